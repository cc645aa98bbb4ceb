"""``clampwright serve``: on this machine only, in clear words."""

from __future__ import annotations

import http.client
import json
import re
import signal
import socket
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from forked import Forked

from clampwright.bench.folder import Workshop
from clampwright.cli.serve import bound

COMMAND = str(Path(sys.executable).with_name("clampwright"))


def run(forked: Forked, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [forked.command, "serve", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.0.7", "example.org", "::"])  # noqa: S104 - refused
def test_other_machines_are_not_served(forked: Forked, workshop: Workshop, host: str) -> None:
    done = run(forked, "--workshop", workshop.folder, "--host", host)
    assert done.returncode == 2
    assert "nobody here has a password yet" in done.stderr
    assert "Traceback" not in done.stderr


def test_small_answers_are_not_held_back() -> None:
    """Without TCP by name asyncio leaves the delay on: an answer may then wait 40 ms."""
    with closing(bound("127.0.0.1", 0)) as taken:
        assert taken.proto == socket.IPPROTO_TCP


def test_a_port_in_use_is_told(forked: Forked, workshop: Workshop) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = run(forked, "--workshop", workshop.folder, "--port", str(taken.getsockname()[1]))
    assert done.returncode == 2
    assert "name another one with --port" in done.stderr


def test_a_folder_that_is_no_workshop_is_told(forked: Forked, tmp_path: Path) -> None:
    done = run(forked, "--workshop", tmp_path)
    assert done.returncode == 2
    assert "drawer.toml" in done.stderr


def test_it_says_where_and_stops_when_told(workshop: Workshop) -> None:
    with subprocess.Popen(
        [COMMAND, "serve", "--workshop", workshop.folder, "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={"PYTHONUNBUFFERED": "1", "PATH": str(Path(COMMAND).parent)},
    ) as process:
        assert process.stdout is not None
        told = process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", told)
        assert found, told
        asked = http.client.HTTPConnection("127.0.0.1", int(found[1]), timeout=20)
        asked.request("GET", "/api/jobs")
        assert asked.getresponse().status == 200
        asked.close()
        process.send_signal(signal.SIGINT)
        rest, errors = process.communicate(timeout=20)
    assert "Traceback" not in rest + errors
    assert process.returncode in {0, 130, -signal.SIGINT}


def test_page_and_terminal_take_turns_on_one_job(server: Any, wheel: Any) -> None:
    """The page opens the job, the terminal does a pull, the page goes on; then they collide."""
    place: Workshop = server.place

    def ask(method: str, path: str, body: Any = None) -> tuple[int, Any]:
        headers = {"origin": server.address, "content-type": "application/json"}
        with closing(http.client.HTTPConnection("127.0.0.1", server.port, timeout=20)) as page:
            page.request(method, path, json.dumps(body) if body else None, headers)
            answer = page.getresponse()
            return answer.status, json.loads(answer.read())

    pulls = f"/api/jobs/{wheel.job}/pulls"
    assert ask("POST", f"/api/jobs/{wheel.job}/opening")[0] == 201
    assert ask("PUT", f"{pulls}/{wheel.entry()}", wheel.click(1))[0] == 201
    job = place.jobs / f"{wheel.job}.toml"
    command = [COMMAND, "tighten", str(job)]
    typed = subprocess.run(
        command, input="c\nq\n", capture_output=True, text=True, timeout=60, check=False
    )
    assert typed.returncode == 1, typed.stderr
    assert ask("GET", f"/api/jobs/{wheel.job}/bench")[1]["pulls"]["done"] == 2
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as terminal:
        assert terminal.stdin is not None
        assert terminal.stdout is not None
        while "Fastener 5" not in terminal.stdout.readline():
            pass  # it has the right to write by then
        status, busy = ask("PUT", f"{pulls}/{wheel.entry()}", wheel.click(5))
        assert (status, "kept and sent" in busy["error"]) == (503, True)
        terminal.stdin.write("q\n")
        terminal.stdin.flush()
        terminal.communicate(timeout=30)
    assert ask("PUT", f"{pulls}/{wheel.entry()}", wheel.click(5))[0] == 201
