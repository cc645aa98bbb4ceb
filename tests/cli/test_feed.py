"""``clampwright feed``: any program's lines become a live pull of a running server."""

from __future__ import annotations

import fcntl
import json
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

import pytest
import uvicorn
from argon2.profiles import CHEAPEST
from cable import Cable
from click.testing import CliRunner
from forked import Forked

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.passwords import Hashing
from clampwright.bench.people import People
from clampwright.cli import group
from clampwright.cli.serve import bound
from clampwright.demo.run import build_workshop
from clampwright.store import Store
from clampwright.trace.reading import read_csv
from clampwright.web.app import create_app, own_hosts

FORM = "begins R:; separator semicolon; time 1 ms; torque 2 N·m -; angle 3 deg"
TOML = """
begins = "R:"
separator = ";"
[time]
field = 1
unit = "ms"
[torque]
field = 2
unit = "N·m"
sign = -1
[angle]
field = 3
"""


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> tuple[Workshop, str]:
    """A workshop at the stage that is recorded, and lines of a device for its next pull."""
    workshop = build_workshop(tmp_path_factory.mktemp("recorded") / "workshop", replace=False)
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        mechanic = SimulatedMechanic(session.plan, seed=3)
        while (due := session.next()) is not None and due.key.stage == 1:
            answer = mechanic.pull(due)
            assert answer.reading is not None
            session.take(due.key, answer.reading)
        assert due is not None
        data = mechanic.pull(due).trace
    assert data is not None
    trace = read_csv(data, "pull")
    rows = zip(trace.time[::3], trace.torque[::3], trace.angle[::3], strict=True)
    lines = [f"R:{5000 + 1000 * t:.1f};{-m:.2f};{a:.2f}".replace(".", ",") for t, m, a in rows]
    return workshop, "\n".join(["device ready", *lines, "battery low", ""])


@pytest.fixture
def second_stage(recorded: tuple[Workshop, str], tmp_path: Path) -> tuple[Workshop, str]:
    """The same, copied for one test."""
    place, lines = recorded
    return Workshop(shutil.copytree(place.folder, tmp_path / "workshop")), lines


def served(place: Workshop, *, sign_in: bool = False) -> Iterator[int]:
    taken = bound("127.0.0.1", 0)
    number = int(taken.getsockname()[1])
    app = create_app(place.folder, hosts=own_hosts(number), sign_in=sign_in)
    config = uvicorn.Config(
        app, log_level="critical", ws="websockets-sansio", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]})
    thread.start()
    yield number
    server.should_exit = True
    thread.join(20)


@pytest.fixture
def port(second_stage: tuple[Workshop, str]) -> Iterator[int]:
    yield from served(second_stage[0])


@pytest.fixture(scope="module")
def untouched(recorded: tuple[Workshop, str]) -> Iterator[int]:
    """A server for what is refused: nothing is kept there."""
    yield from served(recorded[0])


def test_a_pull_over_a_serial_port(
    second_stage: tuple[Workshop, str], port: int, tmp_path: Path
) -> None:
    place, lines = second_stage
    cable, last = Cable(tmp_path), lines.splitlines()[-3].split(";")
    start = float(last[0].removeprefix("R:").replace(",", "."))
    rest = [f"R:{start + 100 * k:.1f};0;{last[2]}" for k in range(1, 30)]
    sender = threading.Thread(target=send_when_open, args=(cable, "\n".join([lines, *rest, ""])))
    sender.start()
    typed = ["feed", "trailer-wheel", "--serial", cable.port, "--lines", FORM, "--port", str(port)]
    result = CliRunner().invoke(group, typed)
    sender.join()
    cable.pull()
    assert "WITHIN" in result.output, result.output
    assert result.exit_code == 0
    with Store.open(place.folder, write=False) as store:
        assert [e["kind"] for e in store.entries(job="trailer-wheel")][-1] == "pull"


def send_when_open(cable: Cable, lines: str) -> None:
    """Send once another program holds the port."""
    pause = threading.Event()
    with Path(cable.port).open("rb", buffering=0) as own:
        for _ in range(2000):
            try:
                fcntl.flock(own, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                break
            fcntl.flock(own, fcntl.LOCK_UN)
            pause.wait(0.01)
        pause.wait(0.1)  # what came before it was opened is thrown away
        cable.send(lines.encode())


class Feed(Protocol):
    """Hands lines to the command, and returns how it ended."""

    def __call__(
        self, lines: str, *arguments: str | int | Path, who: str = ""
    ) -> subprocess.CompletedProcess[str]: ...


@pytest.fixture
def feed(forked: Forked) -> Feed:
    def call(
        lines: str, *arguments: str | int | Path, who: str = ""
    ) -> subprocess.CompletedProcess[str]:
        named = ["--as", who] if who else []
        return subprocess.run(
            [forked.command, *named, "feed", "trailer-wheel", *map(str, arguments)],
            input=lines,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return call


def kinds(place: Workshop) -> list[str]:
    with Store.open(place.folder, write=False) as store:
        return [
            entry["body"]["reading"]["kind"]
            for entry in store.entries(job="trailer-wheel")
            if entry["kind"] == "pull"
        ]


def test_lines_of_a_device_become_a_pull_on_the_log(
    second_stage: tuple[Workshop, str], port: int, feed: Feed, tmp_path: Path
) -> None:
    place, lines = second_stage
    form = tmp_path / "form.toml"
    form.write_text(TOML, encoding="utf-8")
    done = feed(lines, "--lines", form, "--port", port)
    assert done.returncode == 0, done.stderr
    told = done.stdout
    assert "turn on" in told
    assert (
        told.index("slow down") < told.index("stop: the target is reached") < told.index("WITHIN")
    )
    assert "2 lines were no sample" in told
    assert kinds(place)[-1] == "trace"


def test_every_answer_can_be_had_as_json(
    second_stage: tuple[Workshop, str], port: int, feed: Feed
) -> None:
    _place, lines = second_stage
    done = feed(lines, "--lines", FORM, "--port", port, "--json", "--pull", "wheel:2:1")
    assert done.returncode == 0, done.stderr
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert answers[-1]["taken"]["verdict"] == "within"
    assert answers[-1]["samples"] == len(answers) - 1
    assert {"slow_down", "stop"} <= {one.get("say") for one in answers}


@pytest.fixture
def strict_port(second_stage: tuple[Workshop, str]) -> Iterator[int]:
    """A server where everybody signs in."""
    place = second_stage[0]
    with Store.open(place.folder) as store:
        people = People(store, place.folder, Hashing(CHEAPEST))
        people.add("A. Chief", "administrator", password="four plain words")  # noqa: S106 - invented
        people.add("B. Fitter", "mechanic")
    yield from served(place, sign_in=True)


def test_where_people_sign_in_the_lines_come_from_somebody(
    second_stage: tuple[Workshop, str], strict_port: int, feed: Feed
) -> None:
    place, lines = second_stage
    given = ("--lines", FORM, "--port", strict_port)
    assert "sign in first" in feed(lines, *given).stderr
    assert "say who does this" in feed(lines, *given, "--workshop", place.folder).stderr
    done = feed(lines, *given, "--workshop", place.folder, who="B. Fitter")
    assert done.returncode == 0, done.stderr
    with Store.open(place.folder, write=False) as store:
        made = list(store.entries(job="trailer-wheel"))[-1]["body"]["made_by"]
        assert store.people.sessions()[0].ended is not None
    assert (made["role"], made["signed"]) == ("mechanic", "terminal")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--lines", "time 1 ms; torque 2 N·m; rate 3 dps"], "a rate cannot be followed live"),
        (["--lines", "torque 2 N·m"], "must say torque, and either angle or rate"),
        (["--lines", "time 1 s; torque 2 N·m; angle 3 deg", "--pull", "wheel"], "is not a pull"),
        (["--lines", "time 1 s; torque 2 N·m; angle 3 deg", "--pull", "wheel:9:9"], "no tool"),
        (
            ["--lines", "time 1 s; torque 2 N·m; angle 3 deg", "--tool", "click-60"],
            "does not record",
        ),
    ],
)
def test_what_cannot_be_fed_is_refused_and_nothing_is_kept(
    recorded: tuple[Workshop, str], untouched: int, feed: Feed, arguments: list[str], says: str
) -> None:
    place, _lines = recorded
    done = feed("0 0 0\n1 1 1\n", "--port", untouched, *arguments)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert len(kinds(place)) == 5


def test_too_few_samples_and_a_missing_server_are_told(
    recorded: tuple[Workshop, str], untouched: int, feed: Feed
) -> None:
    place, _lines = recorded
    form = ("--lines", "time 1 s; torque 2 N·m; angle 3 deg")
    short = feed("0 0 0\n", *form, "--port", untouched)
    assert (short.returncode, "at least 2 samples" in short.stderr) == (2, True)
    with bound("127.0.0.1", 0) as free:
        number = free.getsockname()[1]
    away = feed("0 0 0\n", *form, "--port", number)
    assert (away.returncode, "no server answers" in away.stderr) == (2, True)
    assert len(kinds(place)) == 5
