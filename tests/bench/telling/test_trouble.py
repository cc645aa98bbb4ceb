"""What goes wrong on the way: nothing is lost, the order holds, and nobody waits for ever."""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import signal
import socket
import sys
import threading
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from receivers import Board, Clock, https, put, turned_on

from clampwright.bench import outside, telling
from clampwright.bench.outbox import read_outbox
from clampwright.bench.reach import target_of
from clampwright.bench.telling import WAITS, send_again, tell
from clampwright.cli import group
from clampwright.errors import Refused


@pytest.mark.parametrize("status", [500, 404, 301, 308, 100])
def test_what_was_not_taken_is_tried_again_later_in_order(
    status: int, folder: Path, board: Board, clock: Clock
) -> None:
    turned_on(folder, board.url)
    for job in ("a", "b"):
        put(folder, "job_closed", job=job)
    board.status = 500 if status == 100 else status
    board.location = "http://127.0.0.1:1/elsewhere"
    (tried,) = tell(folder, clock)
    assert str(board.status) in str(tried.problem)
    assert tell(folder, clock) == [], "not before its time"
    clock.on(WAITS[0])
    board.status = 200
    assert [one.problem for one in tell(folder, clock)] == [None, None]
    assert board.jobs == ["a", "a", "b"]
    names = [json.loads(body)["id"] for *_rest, body in board.got]
    assert names[0] == names[1] != names[2], "the same name each time"


def test_a_redirect_is_not_followed(folder: Path, board: Board, clock: Clock) -> None:
    elsewhere = Board()
    board.status, board.location = 307, elsewhere.url
    turned_on(folder, board.url)
    put(folder, "job_closed")
    (tried,) = tell(folder, clock)
    assert "a redirect is not followed" in str(tried.problem)
    assert elsewhere.got == []
    elsewhere.server.server_close()


def test_nobody_answers(folder: Path, clock: Clock) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    turned_on(folder, f"http://127.0.0.1:{port}/told")
    put(folder, "job_closed")
    (tried,) = tell(folder, clock)
    assert f"http://127.0.0.1:{port} did not answer" in str(tried.problem)


def test_one_that_is_slow_is_cut_off(
    folder: Path, board: Board, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(telling, "SECONDS", 0.3)
    board.wait.clear()
    turned_on(folder, board.url)
    put(folder, "job_closed")
    (tried,) = tell(folder, clock)
    assert tried.problem is not None
    assert board.answered == 0, "it was not waited for"


@pytest.mark.parametrize("late", [False, True])
@pytest.mark.parametrize(
    ("scheme", "begun"),
    [
        ("http", b"HTTP/1.1 200 OK\r\nx: "),
        ("https", b"\x16\x03\x03\x40\x00"),  # a record of TLS that is to have 16,384 bytes
    ],
)
def test_one_that_drips_is_cut_off(
    scheme: str, begun: bytes, *, late: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each byte comes in time for the socket, the whole does not; or connecting took it all."""
    over, end, cut = threading.Event(), threading.Event(), threading.Event()
    connect, cut_off = socket.create_connection, outside._To.cut  # noqa: SLF001 - nothing public tells the moment in which the time is over

    def connect_late(*where: Any) -> socket.socket:
        made = connect(*where)
        assert not late or over.wait(5)
        return made

    def cut_and_say(to: Any) -> None:
        cut_off(to)
        over.set()

    monkeypatch.setattr(socket, "create_connection", connect_late)
    monkeypatch.setattr(outside._To, "cut", cut_and_say)  # noqa: SLF001 - nothing public tells the moment in which the time is over
    with socket.socket() as server:
        server.bind(("127.0.0.1", 0))
        server.listen()

        def drip() -> None:
            with server.accept()[0] as peer:
                try:
                    peer.sendall(begun)
                    for _ in range(100):  # far longer than it is to be waited for
                        if end.wait(0.05):
                            return
                        peer.sendall(b"y")
                except OSError:
                    cut.set()

        thread = threading.Thread(target=drip)
        thread.start()
        target = target_of(f"{scheme}://127.0.0.1:{server.getsockname()[1]}/", inside=True)
        with pytest.raises(Refused, match="did not answer"):
            outside.deliver(target, {}, b"{}", seconds=0.2)
        assert cut.wait(2), "it was cut off here, not given up there"
        end.set()
        thread.join()


def test_a_wrong_certificate_is_refused(tmp_path: Path, folder: Path, clock: Clock) -> None:
    with https(tmp_path) as url:
        turned_on(folder, url)
        put(folder, "job_closed")
        (tried,) = tell(folder, clock)
    assert "certificate" in str(tried.problem).lower()


def test_a_certificate_of_a_known_authority_is_taken(
    tmp_path: Path, folder: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    with https(tmp_path) as url:
        monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "cert.pem"))
        turned_on(folder, url)
        put(folder, "job_closed")
        (tried,) = tell(folder, clock)
    assert tried.problem is None


def test_given_up_shown_and_sent_again(folder: Path, board: Board, clock: Clock) -> None:
    turned_on(folder, board.url)
    for job in ("a", "b"):
        put(folder, "job_closed", job=job)
    board.status = 503
    for wait in (*WAITS, 0):
        assert len(tell(folder, clock)) == 1
        clock.on(wait)
    (one,) = read_outbox(folder).receivers
    assert [json.loads(letter.body)["job"] for letter in one.dead] == ["a"]
    assert len(board.got) == len(WAITS) + 1
    listed = CliRunner().invoke(group, ["tell", "list", "--workshop", str(folder)])
    assert listed.exit_code == 1
    assert "1 given up" in listed.output
    assert one.dead[0].id in listed.output
    board.status = 204
    assert [item.problem for item in tell(folder, clock)] == [None], "the next one goes on"
    assert send_again(folder, "board") == 1
    tell(folder, clock)
    assert board.jobs[-2:] == ["b", "a"]
    assert read_outbox(folder).receivers[0].dead == []
    with pytest.raises(Refused, match="no letter"):
        send_again(folder, "board", "f" * 32)


def killed_while_sending(folder: Path) -> None:
    tell(folder, Clock())


def test_killed_between_sending_and_noting_it_is_sent_again_under_its_name(
    folder: Path, board: Board, clock: Clock
) -> None:
    turned_on(folder, board.url)
    for job in ("a", "b", "c"):
        put(folder, "job_closed", job=job)
    board.wait.clear()
    killed = multiprocessing.get_context("fork").Process(
        target=killed_while_sending, args=(folder,)
    )
    killed.start()
    assert board.heard()
    assert killed.pid is not None
    os.kill(killed.pid, signal.SIGKILL)
    killed.join()
    board.wait.set()
    assert [one.problem for one in tell(folder, clock)] == [None, None, None]
    assert board.jobs == ["a", "a", "b", "c"]
    first, second = (json.loads(board.got[n][2])["id"] for n in (0, 1))
    assert first == second


def killed_again_and_again(folder: Path, board: Board, clock: Clock, times: int) -> None:
    """Kill the sending program at chance moments; nothing is lost, and the order holds."""
    draw = random.Random(20261005)
    turned_on(folder, board.url)
    for number in range(times):
        for part in "abc":
            put(folder, "job_closed", job=f"j{number}{part}")
        child = multiprocessing.get_context("fork").Process(
            target=killed_while_sending, args=(folder,)
        )
        child.start()
        child.join(draw.uniform(0, 0.12))
        child.kill()  # or it was quicker
        child.join()
    while tell(folder, clock, now_all=True):
        pass
    first = list(dict.fromkeys(board.jobs))
    assert first == [f"j{number}{part}" for number in range(times) for part in "abc"]
    names = {(one, json.loads(body)["id"]) for one, (*_, body) in zip(board.jobs, board.got,
                                                                      strict=True)}  # fmt: skip
    assert len(names) == len(first), "each under one name, however often it came"


def test_killed_at_chance_moments(folder: Path, board: Board, clock: Clock) -> None:
    killed_again_and_again(folder, board, clock, 4)


@pytest.mark.soak
def test_killed_at_very_many_moments(folder: Path, board: Board, clock: Clock) -> None:
    killed_again_and_again(folder, board, clock, 200)
    sys.stdout.write(f"\nkills: 200; messages: 600; sent: {len(board.got)}\n")


def test_what_finds_no_room_stays_on_the_log(
    folder: Path, board: Board, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(telling, "MOST_WAITING", 4)
    turned_on(folder, board.url)
    for number in range(11):
        put(folder, "job_closed", job=f"j{number}")
    board.status = 500
    tell(folder, clock)
    assert len(read_outbox(folder).receivers[0].waiting) == 4
    board.status = 204
    while tell(folder, clock, now_all=True):
        pass
    assert board.jobs[1:] == [f"j{number}" for number in range(11)]
