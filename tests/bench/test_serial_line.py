"""A serial port against a pseudo-terminal: one owner, a pulled plug, half lines, and the doctor."""

from __future__ import annotations

import errno
import json
import queue
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Self

import pytest
import serial
from cable import Cable
from click.testing import CliRunner
from uart import heard_at

from clampwright.bench import serial_line
from clampwright.bench.device_doctor import examine
from clampwright.bench.device_file import Device, device_of, keep_device
from clampwright.bench.folder import Workshop
from clampwright.bench.serial_line import PortProblem, SerialLine, lines_of, opened
from clampwright.cli import group
from clampwright.errors import ClampwrightError
from clampwright.trace.line_form import form_from_text

FORM_TEXT = "time 1 ms; torque 2 N·m; angle 3 deg"
FORM = form_from_text(FORM_TEXT)
LINES = b"".join(b"%d %d %d\r\n" % (10 * k, k, 2 * k) for k in range(40))


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[Cable]:
    found = Cable(tmp_path)
    yield found
    found.pull()


class Listener:
    """A line that is listened to, and what it told."""

    def __init__(self, port: str) -> None:
        self.lines: queue.Queue[str] = queue.Queue()
        self.lost = threading.Event()
        self.line = SerialLine(port, 9600, self._heard, self.lost.set, again_after=0.02)

    def _heard(self, lines: list[str]) -> None:
        for line in lines:
            self.lines.put(line)

    def __enter__(self) -> Self:
        self.line.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.line.stop()

    def next(self) -> str:
        return self.lines.get(timeout=120)


def until_open(one: Listener) -> None:
    pause = threading.Event()
    for _ in range(2000):
        if one.line.state.open:
            return
        pause.wait(0.01)
    raise AssertionError(one.line.state)


def test_half_lines_garbage_and_a_plug_that_is_pulled(cable: Cable) -> None:
    with Listener(cable.port) as heard:
        until_open(heard)
        cable.send(b"1 2")
        cable.send(b" 3\r\n\xff\xfe\x00\r\n4 5 6\n7 8")
        assert heard.next() == "1 2 3"
        assert "\ufffd" in heard.next()
        assert heard.next() == "4 5 6"
        assert heard.line.recent(60).startswith(b"1 2 3")
        cable.pull()
        assert heard.lost.wait(120)
        cable.plug()
        until_open(heard)
        cable.send(b"9\n10 11 12\n")
        assert heard.next() == "9", "half a line before the cut is not glued to the next"
        assert heard.next() == "10 11 12"
        state = heard.line.state
        assert (state.problem, state.lines) == (None, 5)
        assert state.silent_s is not None


def test_a_port_has_one_owner(cable: Cable) -> None:
    with opened(cable.port, 9600), pytest.raises(PortProblem, match="in use") as caught:
        opened(cable.port, 9600)
    assert caught.value.code == "busy"
    assert "end the other program" in str(caught.value.do)
    with opened(cable.port, 9600):
        pass


def test_a_flood_is_read_to_its_end(cable: Cable) -> None:
    with Listener(cable.port) as heard:
        until_open(heard)
        cable.send(b"".join(b"%d 1 2\n" % k for k in range(20_000)))
        for k in range(20_000):
            assert heard.next() == f"{k} 1 2"
        assert len(heard.line.recent(600)) <= serial_line.KEPT


@pytest.mark.parametrize(
    ("number", "code", "does"),
    [
        (errno.ENOENT, "missing", "plug"),
        (errno.EACCES, "permission", "group"),
        (5, "other", "look"),
    ],
)
def test_what_stands_in_the_way_of_a_port(
    monkeypatch: pytest.MonkeyPatch, number: int, code: str, does: str
) -> None:
    def refuse(*_args: object, **_more: object) -> None:
        raise serial.SerialException(number, "no")

    monkeypatch.setattr(serial, "Serial", refuse)
    found = examine("/dev/wrench", 9600, FORM, seconds=0.1)
    assert (found.code, found.well, found.looked) == (code, False, None)
    assert does in str(found.do)


@pytest.mark.parametrize(
    ("sends", "code"),
    [
        (LINES, "well"),
        (b"", "silent"),
        (heard_at(LINES, sent=115200, heard=9600), "wrong_speed"),
        (b"T=1 A=2\n" * 40, "no_match"),
    ],
)
def test_the_doctor_at_the_terminal(cable: Cable, sends: bytes, code: str) -> None:
    sender = threading.Timer(0.15, cable.send, [sends])
    sender.start()
    typed = ["device", "doctor", "--port", cable.port, "--lines", FORM_TEXT, "--seconds", "0.6"]
    result = CliRunner().invoke(group, [*typed, "--json"])
    sender.join()
    told = json.loads(result.output)
    assert (told["code"], result.exit_code) == (code, int(code != "well"))
    assert told["do"]


def test_a_missing_port_is_told_with_what_to_do() -> None:
    result = CliRunner().invoke(group, ["device", "doctor", "--port", "/dev/no-such-port"])
    assert result.exit_code == 1
    assert "there is no port /dev/no-such-port" in result.output
    assert "=> plug the device in" in result.output


def test_lines_as_they_come_until_the_cable_is_cut(cable: Cable) -> None:
    lines = lines_of(cable.port, 9600)
    assert next(lines) == "", "nothing came yet; the port is open now"
    cable.send(b"1 2 3\n")
    assert next(line for line in lines if line) == "1 2 3"
    cable.pull()
    with pytest.raises(PortProblem):
        for _line in lines:
            pass


def test_the_device_of_a_workshop_is_kept(workshop: Workshop) -> None:
    assert device_of(workshop.folder) is None
    typed = ["device", "keep", "--port", "COM3", "--lines", FORM_TEXT, "--rest", "3"]
    folder = ["--workshop", str(workshop.folder)]
    result = CliRunner().invoke(group, [*typed, "--tool", "electronic-200", *folder])
    assert result.exit_code == 0, result.output
    found = device_of(workshop.folder)
    assert found == Device(port="COM3", lines=FORM_TEXT, tool="electronic-200", rest_s=3.0)
    odd = Device(port='\\\\.\\COM12 "a"', lines="torque T= N·m; angle A= deg; rate_hz 100")
    keep_device(workshop.folder, odd)
    assert device_of(workshop.folder) == odd


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"--tool": "hammer"}, "the drawer has no 'hammer'"),
        ({"--lines": "torque 1 N·m; rate 2 dps; time 3 s"}, "a rate cannot be followed live"),
        ({"--lines": "what"}, "is not known; expected parts"),
    ],
)
def test_a_device_that_cannot_be_is_not_kept(
    workshop: Workshop, change: dict[str, str], says: str
) -> None:
    options = {"--port": "COM3", "--lines": FORM_TEXT, "--workshop": str(workshop.folder)} | change
    words = [part for pair in options.items() for part in pair]
    result = CliRunner().invoke(group, ["device", "keep", *words])
    assert says in str(result.exception)
    assert not (workshop.folder / "device.toml").exists()


def test_a_device_file_that_cannot_be_read(workshop: Workshop) -> None:
    (workshop.folder / "device.toml").write_text('prt = "COM3"\nlines = "x"\n')
    with pytest.raises(ClampwrightError, match="prt"):
        device_of(workshop.folder)
