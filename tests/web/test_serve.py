"""``clampwright serve``: on this machine only, in clear words."""

from __future__ import annotations

import http.client
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from clampwright.bench.folder import Workshop

COMMAND = str(Path(sys.executable).with_name("clampwright"))


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [COMMAND, "serve", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.0.7", "example.org", "::"])  # noqa: S104 - refused
def test_other_machines_are_not_served(workshop: Workshop, host: str) -> None:
    done = run("--workshop", workshop.folder, "--host", host)
    assert done.returncode == 2
    assert "127.0.0.1, localhost or ::1 only" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_port_in_use_is_told(workshop: Workshop) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = run("--workshop", workshop.folder, "--port", str(taken.getsockname()[1]))
    assert done.returncode == 2
    assert "name another one with --port" in done.stderr


def test_a_folder_that_is_no_workshop_is_told(tmp_path: Path) -> None:
    done = run("--workshop", tmp_path)
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
