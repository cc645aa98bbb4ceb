"""How quickly a command answers, against bare Python with the command-line library.

Measured as it is once installed: installers compile every module, and Python keeps what it has
compiled, unless the environment forbids it. Where it does, each start compiles the package anew,
which more than doubles the time of a short command and says nothing of the program.
"""

from __future__ import annotations

import http.client
import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from clampwright.demo.run import build_workshop
from conftest import Compare

COMMAND = str(Path(sys.executable).with_name("clampwright"))


@pytest.fixture(scope="module", autouse=True)
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Let what is started keep what it compiles, ours and the reference alike."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        patch.setenv("PYTHONPYCACHEPREFIX", str(tmp_path_factory.mktemp("compiled")))
        yield


def run(*words: str, text: str = "") -> None:
    subprocess.run(words, input=text.encode(), capture_output=True, check=True)


def import_click() -> None:
    run(sys.executable, "-c", "import click")


def test_version(compare: Compare) -> None:
    ratio = compare(
        "clampwright --version / import click",
        lambda: run(COMMAND, "--version"),
        import_click,
        figure=1.5,
        rounds=15,
    )
    assert ratio > 0


def test_read_of_one_line(compare: Compare) -> None:
    ratio = compare(
        "clampwright read of one line / import click",
        lambda: run(COMMAND, "read", "-", text="Step 1: 30 Nm, step 2: 90°"),
        import_click,
        figure=4.0,
        rounds=15,
    )
    assert ratio > 0


def first_answer(folder: Path) -> float:
    """From the start of the process to the first answer that it is able to work, s."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = int(found.getsockname()[1])
    began = time.perf_counter()
    serve = (COMMAND, "serve", "--workshop", str(folder), "--port", str(port))
    with subprocess.Popen(serve, stdout=subprocess.DEVNULL) as server:
        try:
            while time.perf_counter() - began < 60:
                try:
                    with closing(http.client.HTTPConnection("127.0.0.1", port)) as asked:
                        asked.request("GET", "/healthz")
                        answer = asked.getresponse()
                        answer.read()
                except ConnectionError:
                    time.sleep(0.005)
                else:
                    assert answer.status == 200
                    return time.perf_counter() - began
            raise AssertionError("the server did not start")
        finally:
            server.terminate()


def test_a_server_starts(tmp_path: Path, compare: Compare) -> None:
    place = build_workshop(tmp_path / "workshop", replace=False)
    bare_words = (sys.executable, "-c", "import fastapi, uvicorn, sqlalchemy")
    first_answer(place.folder)
    run(*bare_words)
    ours, bare = [], []
    for _ in range(7):
        ours.append(first_answer(place.folder))
        began = time.perf_counter()
        run(*bare_words)
        bare.append(time.perf_counter() - began)
    median = statistics.median(ours)
    compare.figures("server: start to its first answer / 1.5 s", median, 1.5, figure=1.0)
    compare.figures(
        "server: start / import fastapi, uvicorn, sqlalchemy", median, statistics.median(bare)
    )
    assert median > 0
