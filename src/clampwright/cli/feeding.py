"""The other end of the live channel: a program on this machine that sends samples."""

from __future__ import annotations

import http.client
import json
import urllib.parse
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import Any

from websockets.exceptions import WebSocketException
from websockets.sync.client import ClientConnection, connect

from clampwright.bench.sign_in import SESSION_COOKIE
from clampwright.errors import BadFile, ClampwrightError, Refused
from clampwright.intake import answer_of, most
from clampwright.proof.ids import uuid7
from clampwright.words import words

PATIENCE = 150.0
"""Seconds to wait for the server to take a whole pull: it keeps trying for two minutes."""

Sample = tuple[float, float, float]


class Server:
    """A running server on this machine.

    Parameters
    ----------
    port : int
    job : str
        Id of the job.
    token : str
        Of a session, where people sign in.
    """

    def __init__(self, port: int, job: str, token: str = "") -> None:
        self._own = f"127.0.0.1:{port}"
        self._signed_in = {"cookie": f"{SESSION_COOKIE}={token}"} if token else {}
        self._job = urllib.parse.quote(job, safe="")

    @contextmanager
    def begun(self, place: dict[str, Any] | None, tool: str | None) -> Iterator[Feed]:
        """Begin a pull.

        Parameters
        ----------
        place : dict or None
            Joint, stage and fastener; the next pull of the job if None.
        tool : str or None
            The planned one if None.

        Yields
        ------
        Feed

        Raises
        ------
        ClampwrightError
            When no server answers, or the pull cannot be begun.
        """
        where, wrench = self._planned(place, tool)
        origin = {"origin": f"http://{self._own}"}
        try:
            with connect(
                f"ws://{self._own}/live/{self._job}",
                additional_headers={**origin, **self._signed_in},
                proxy=None,
            ) as socket:
                feed = Feed(socket)
                feed.begin(where, wrench)
                yield feed
        except (OSError, WebSocketException) as error:
            raise self._silent(str(error)) from error

    def _planned(
        self, place: dict[str, Any] | None, tool: str | None
    ) -> tuple[dict[str, Any], str]:
        """Return the pull that is meant and its wrench, as the bench has planned it."""
        bench = self._bench()
        if place is None:
            if not bench["ahead"]:
                raise Refused(words("every pull of this job is done"))
            place = dict(zip(("joint", "stage", "fastener"), bench["ahead"][0], strict=True))
        if tool is not None:
            return place, tool
        step = bench["steps"].get(f"{place['joint']}/{place['stage']}") or {}
        planned = (step.get("tool") or {}).get("id")
        if planned is None:
            raise Refused(words("no tool is planned for this pull: name one with --tool"))
        return place, planned

    def _bench(self) -> dict[str, Any]:
        asked = http.client.HTTPConnection(self._own, timeout=20)
        try:
            with closing(asked):
                asked.request("GET", f"/api/jobs/{self._job}/bench", headers=self._signed_in)
                answer = asked.getresponse()
                found = answer_of(answer.read(most("server answer") + 1))
        except (OSError, BadFile, http.client.HTTPException) as error:
            raise self._silent(str(error)) from error
        if "error" in found:
            raise _refused(found["error"])
        return found

    def _silent(self, problem: str) -> ClampwrightError:
        return ClampwrightError(
            words(
                "no server answers on {own} ({problem}); start one with clampwright serve, or name "
                "its --port",
                own=self._own,
                problem=problem,
            )
        )


def _refused(why: str) -> Refused:
    return Refused(words("the server: {why}", why=why))


class Feed:
    """One pull on its way to the server.

    Parameters
    ----------
    socket : ClientConnection
    """

    def __init__(self, socket: ClientConnection) -> None:
        self._socket = socket

    def begin(self, place: dict[str, Any], tool: str) -> None:
        """Say which pull comes, and wait until the server has taken it up."""
        start = {"pull": place, "tool": tool, "entry": str(uuid7()), "answers": True}
        self._socket.send(json.dumps(start))
        self._wait("live")

    def send(self, sample: Sample) -> dict[str, Any]:
        """Send a sample.

        Parameters
        ----------
        sample : tuple of float
            s, N·m, degrees.

        Returns
        -------
        dict
            Where the pull stands: as the server answers.

        Raises
        ------
        Refused
            When the server takes no more of this pull.
        """
        t, torque, angle = sample
        self._socket.send(json.dumps({"t": t, "torque": torque, "angle": angle}))
        return self._wait("now")

    def finish(self) -> dict[str, Any]:
        """End the pull; return the verdict once it is on the log."""
        self._socket.send(json.dumps({"end": True}))
        return self._wait("taken")

    def _wait(self, name: str) -> dict[str, Any]:
        while True:
            message = answer_of(self._socket.recv(timeout=PATIENCE))
            if name in message:
                found: dict[str, Any] = message[name]
                return found
            for refusal in ("error", "stopped"):
                if refusal in message:
                    raise _refused(message[refusal])
