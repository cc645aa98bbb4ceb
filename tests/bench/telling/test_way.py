"""The way of a message: what is told, to whom and in which order."""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import json
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import ModuleType

import pytest
from click.testing import CliRunner
from receivers import EXAMPLE, NOW, Board, Clock, put, turned_on

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.outbox import OUTBOX_FILE, read_outbox
from clampwright.bench.telling import send_trial, tell
from clampwright.cli import group
from clampwright.proof.message import COMPONENTS
from clampwright.work.telling import Message, subjects


def test_nothing_leaves_before_a_person_turns_it_on(
    folder: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_args: object, **_more: object) -> None:
        raise AssertionError("a connection was made")

    monkeypatch.setattr(socket, "create_connection", never)
    put(folder, "job_closed")
    assert tell(folder, clock) == []
    assert not (folder / OUTBOX_FILE).exists()


def test_what_happens_is_told_signed_and_verified_by_a_stranger(
    folder: Path, board: Board, clock: Clock, stranger: ModuleType
) -> None:
    put(folder, "job_closed", job="before")
    begun = turned_on(folder, board.url)
    entry = put(folder, "job_closed", {"counts": {"within": 5}, "made_by": {"person": "p-1"}})
    put(folder, "job_opened")
    assert [one.problem for one in tell(folder, clock)] == [None]
    ((path, fields, body),) = board.got
    assert path == "/told?token=hidden-in-the-path"
    content = stranger.verified(
        fields, body, url=board.url, key=begun.receiver.id, secret=bytes.fromhex(begun.secret),
        now=NOW.timestamp(),
    )  # fmt: skip
    assert Message.model_validate(content).entry == entry
    assert content["job"] == "j"
    assert "p-1" not in body.decode(), "no person"
    assert tell(folder, clock) == [], "told once"
    assert read_outbox(folder).receivers[0].delivered == 1


def test_every_subject_comes_of_its_entry(folder: Path, board: Board, clock: Clock) -> None:
    about = tuple(name for name in subjects() if name != "trial")
    turned_on(folder, board.url, about)
    where = {"joint": "wheel", "stage": 1, "fastener": 3}
    put(folder, "job_opened")
    for verdict in ("within", "over", "void", "short", "doubtful", "not known"):
        put(folder, "pull", {**where, "verdict": verdict, "reading": {"value": "1"}})
    put(folder, "something_happened", {"joint": "wheel", "what": "dropped", "note": "secret words"})
    with open_store(Workshop(folder)) as store:
        for verdict in ("agrees", "off"):
            store.append("tool_checked", {"tool": "click-60", "verdict": verdict})
        store.append("tool_calibrated", {"tool": "click-60"})
        planned = {"job": "j", "joint": "wheel", "what": "check", "how": "", "told": "A. Person",
                   "source": "s", "date": "2026-10-01", "after": {"days": "3"}}  # fmt: skip
        store.append("follow_up_planned", planned)
        store.append("follow_up_planned", {**planned, "after": {"days": "30"}})
    put(folder, "job_closed")
    tell(folder, clock)
    assert board.about == [
        "job_opened", "verdict_over", "verdict_void", "verdict_short", "verdict_doubtful",
        "something_happened", "tool_off", "tool_calibrated", "job_closed", "follow_up_due",
    ]  # fmt: skip
    for _path, _fields, body in board.got:
        Message.model_validate_json(body)
    bodies = [json.loads(body) for _path, _fields, body in board.got]
    assert bodies[1]["of"] == {**where, "verdict": "over"}
    assert bodies[-1]["of"] == {"joint": "wheel", "what": "check", "day": "2026-10-04"}
    assert b"secret words" not in b"".join(body for *_rest, body in board.got)
    assert b"A. Person" not in b"".join(body for *_rest, body in board.got)
    places = [one["index"] for one in bodies if one["index"] is not None]
    assert places == sorted(places)
    clock.on(86_400)
    assert tell(folder, clock) == [], "what is due is told once"


def test_the_example_receiver_runs_as_the_page_says(
    folder: Path, clock: Clock, tmp_path: Path
) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        url = f"http://127.0.0.1:{free.getsockname()[1]}/told"
    begun = turned_on(folder, url)
    put(folder, "job_closed")
    clock.now = dt.datetime.now(dt.UTC)
    line = [sys.executable, str(EXAMPLE), begun.receiver.id, url, str(tmp_path / "seen.sqlite")]
    with subprocess.Popen(
        line, env={"CLAMPWRIGHT_SECRET": begun.secret}, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    ) as running:  # fmt: skip
        until, tried = time.monotonic() + 120, tell(folder, clock, now_all=True)
        while tried[0].problem is not None and time.monotonic() < until:
            time.sleep(0.05)
            tried = tell(folder, clock, now_all=True)
        assert running.stdout is not None
        assert running.stdout.readline() == "job_closed j\n"
        running.terminate()
    assert tried[0].problem is None


def test_one_receiver_does_not_hold_up_another(folder: Path, board: Board, clock: Clock) -> None:
    turned_on(folder, "http://127.0.0.1:9/nobody", name="deaf")
    turned_on(folder, board.url)
    put(folder, "job_closed")
    tell(folder, clock)
    assert board.about == ["job_closed"]


def test_two_programs_do_not_send_at_once(folder: Path, board: Board, clock: Clock) -> None:
    turned_on(folder, board.url)
    put(folder, "job_closed")
    board.wait.clear()
    thread = threading.Thread(target=tell, args=(folder, clock))
    thread.start()
    assert board.heard()
    assert tell(folder, clock) == []
    board.wait.set()
    thread.join()
    assert len(board.got) == 1


def test_trial_waits_behind_what_waits(folder: Path, board: Board, clock: Clock) -> None:
    turned_on(folder, board.url)
    put(folder, "job_closed")
    board.status = 500
    tell(folder, clock)
    send_trial(folder, "board", "origin", clock())
    board.status = 204
    tell(folder, clock, now_all=True)
    assert board.about[1:] == ["job_closed", "trial"]


def test_the_whole_way_by_the_command_line(
    folder: Path, board: Board, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)

    def run(*words: str) -> tuple[int, str]:
        done = CliRunner().invoke(group, ["tell", *words])
        return done.exit_code, done.output

    assert run("list") == (0, "Nobody outside is told anything.\n")
    on = CliRunner().invoke(group, ["tell", "on", board.url, "--name", "board", "--inside",
                                    "--about", "job_closed", "--json"])  # fmt: skip
    told = json.loads(on.output)
    assert run("try", "board") == (0, "The trial message was taken.\n")
    put(folder, "job_closed")
    assert run("send") == (0, "board: job_closed delivered\n")
    assert run("send") == (0, "Nothing is to be sent now.\n")
    board.status = 500
    assert run("try", "board")[0] == 1
    assert run("off", told["receiver"]) == (0, "board is told nothing any more\n")
    assert board.about == ["trial", "job_closed", "trial"]
    base = board.got[0][1]["Signature-Input"]
    assert all(f'"{name}"' in base for name in COMPONENTS)
    assert len(hmac.new(bytes.fromhex(told["secret"]), b"", hashlib.sha256).digest()) == 32
