"""A crowd of benches at one server: a workshop with a job for each, and what each of them sends.

Everything is invented. A client here is a connection that stays open, as a browser's does, and
reads no more of an answer than it needs, so that the machine's time goes to the server.
"""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.demo.run import build_workshop
from clampwright.proof.ids import uuid7

FASTENERS = 60
"""Of one joint; a bench takes another joint when one is done."""

HEAD = """\
# Invented for a trial of load: machine, fasteners and every value. Not for any real machine.
invented = true

[job]
id = "{job}"
title = "Covers of bench {number}"
machine = "Gearbox on stand {number} (invented)"

[rules]
torque_percent = 6
angle_deg = 5
"""
JOINT = """
[[joint]]
id = "cover-{joint}"
title = "Cover {joint}"
harm_level = 2
thread = "M12x1.5"
strength = "8.8"
bearing = {{ outer_mm = 21.0, inner_mm = 13.5 }}
friction = "dry"

[joint.layout]
pattern = "circle"
count = {count}
diameter_mm = 900

[joint.stiffness]
grip_mm = 20
outside_mm = 34

[joint.procedure]
locale = "en"
text = "Threads must be clean and dry. Tighten the {count} nuts in a star pattern to 90 N·m."

[joint.procedure.source]
title = "Sheet of the trial (invented)"
page = "1"
"""


def job_of(number: int) -> str:
    """The id of a bench's job."""
    return f"stand-{number}"


def crowded(folder: Path, benches: int, pulls: int) -> Workshop:
    """The invented workshop with an open job of at least so many pulls for each bench.

    Where the folder names a database, the log lies there.
    """
    named = {one.name: one.read_bytes() for one in folder.iterdir()} if folder.is_dir() else {}
    for name in named:
        (folder / name).unlink()
    if folder.is_dir():
        folder.rmdir()
    place = build_workshop(folder, replace=False)
    for name, data in named.items():
        (folder / name).write_bytes(data)
        (folder / name).chmod(0o600)
    joints = -(-pulls // FASTENERS)
    for number in range(benches):
        count = min(FASTENERS, -(-pulls // joints))
        text = HEAD.format(job=job_of(number), number=number + 1) + "".join(
            JOINT.format(joint=joint + 1, count=count) for joint in range(joints)
        )
        file = place.jobs / f"{job_of(number)}.toml"
        file.write_text(text, encoding="utf-8")
        with open_session(place, file, today=today()):
            pass
    return place


def pulls_of(count: int) -> Iterator[dict[str, Any]]:
    """Where a bench's pulls go, one after the other."""
    joints = -(-count // FASTENERS)
    each = min(FASTENERS, -(-count // joints))
    for joint in range(joints):
        for fastener in range(each):
            yield {"joint": f"cover-{joint + 1}", "stage": 1, "fastener": fastener + 1}


@dataclass
class Answer:
    """What the server said."""

    status: int
    body: bytes

    @property
    def said(self) -> Any:
        return json.loads(self.body)


@dataclass
class Line:
    """A connection that stays open; one request at a time (RFC 9112, answers with a length)."""

    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter
    port: int

    @classmethod
    async def open(cls, port: int) -> Self:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        return cls(reader, writer, port)

    async def ask(self, method: str, path: str, sent: Mapping[str, Any] | None = None) -> Answer:
        body = b"" if sent is None else json.dumps(sent, ensure_ascii=False).encode()
        here = f"127.0.0.1:{self.port}"
        head = (
            f"{method} {path} HTTP/1.1\r\nhost: {here}\r\norigin: http://{here}\r\n"
            f"content-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n"
        )
        try:
            return await self._answered(head.encode() + body)
        except (ConnectionError, asyncio.IncompleteReadError):
            # The server had just closed what was idle for long. Browsers send again too.
            self.writer.close()
            self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)
            return await self._answered(head.encode() + body)

    async def _answered(self, sent: bytes) -> Answer:
        self.writer.write(sent)
        told = (await self.reader.readuntil(b"\r\n\r\n")).decode("latin-1").lower()
        length = int(told.partition("content-length:")[2].partition("\r\n")[0])
        return Answer(int(told.split(" ", 2)[1]), await self.reader.readexactly(length))

    async def close(self) -> None:
        self.writer.close()
        await self.writer.wait_closed()


@dataclass
class Bench:
    """One bench of the crowd, with what it was promised.

    Parameters
    ----------
    number : int
    pulls : int
        How many there are to do.
    """

    number: int
    pulls: int
    counter: int = 0
    acknowledged: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.job = job_of(self.number)
        self.places = pulls_of(self.pulls)

    def next(self) -> tuple[str, dict[str, Any]]:
        """The id and the content of the next pull, as read from the electronic wrench."""
        self.counter += 1
        device = {
            "id": f"bench-{self.number}",
            "time": dt.datetime.now(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.000Z"),
            "counter": self.counter,
        }
        reading = {"kind": "value", "value": f"90.{self.counter % 10}", "unit": "N·m"}
        body = {**next(self.places), "tool": "electronic-200", "reading": reading, "device": device}
        return str(uuid7()), body

    async def pull(self, *lines: Line) -> list[Answer]:
        """Send the next pull, to one server or to several at once; 201 or 200 acknowledges it."""
        entry, body = self.next()
        path = f"/api/jobs/{self.job}/pulls/{entry}"
        answers = await asyncio.gather(*(line.ask("PUT", path, body) for line in lines))
        if any(answer.status in {200, 201} for answer in answers):
            self.acknowledged.append(entry)
        return list(answers)
