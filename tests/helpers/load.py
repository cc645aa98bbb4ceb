"""A day's work of many benches at one server, or at several, with what everybody waited for.

Most benches send a pull every few seconds; some let a wrench record theirs over the live channel.
Beside them, in the same run, a bare durable commit and a bare echo are timed: what a machine that
is busy makes everybody wait for stands under the ratio.
"""

from __future__ import annotations

import asyncio
import json
import os
import sqlite3
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import psycopg
from crowd import Bench, Line
from processes import ECHO, SERVER, free_port, process
from websockets.asyncio.client import ClientConnection, connect

from clampwright.bench.folder import Workshop
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.store.where import Database, place_of

RATE = 100
"""Samples a second of a wrench."""
AT_ONCE = 5
"""Samples in one message."""
BARE = b"x" * 1700
"""About as long as an entry."""


@contextmanager
def served(place: Workshop) -> Iterator[int]:
    """A server of a workshop in a process of its own, by the real command; its port."""
    port = free_port()
    with process(SERVER, "serve", "--workshop", str(place.folder), "--port", str(port), port=port):
        yield port


@contextmanager
def bare_commits(place: Workshop) -> Iterator[Callable[[], float]]:
    """Something that makes one row durable where the log lies, and says how long it took, s."""
    log = place_of(place.folder)
    with ExitStack() as stack:
        if isinstance(log, Database):
            server = stack.enter_context(psycopg.connect(log.url))
            server.execute("CREATE TABLE IF NOT EXISTS bare (n bigserial PRIMARY KEY, b bytea)")
            server.commit()

            def commit() -> None:
                server.execute("INSERT INTO bare (b) VALUES (%s)", (BARE,))
                server.commit()

        else:
            file = stack.enter_context(
                closing(
                    sqlite3.connect(
                        place.folder.parent / "bare.sqlite",
                        isolation_level=None,
                        check_same_thread=False,
                    )
                )
            )
            file.execute("PRAGMA journal_mode = delete")
            file.execute("PRAGMA synchronous = extra")  # as the store sets it
            file.execute("CREATE TABLE IF NOT EXISTS bare (n INTEGER PRIMARY KEY, b BLOB)")

            def commit() -> None:
                file.execute("BEGIN IMMEDIATE")
                file.execute("INSERT INTO bare (b) VALUES (?)", (BARE,))
                file.execute("COMMIT")

        def timed() -> float:
            begin = time.perf_counter()
            commit()
            return time.perf_counter() - begin

        timed()
        yield timed


@dataclass
class Waits:
    """How long things took, s."""

    of: list[float] = field(default_factory=list)

    def told(self) -> str:
        return (
            f"{len(self.of):>6}  p50 {statistics.median(self.of) * 1e3:8.1f} ms"
            f"  p99 {self.p99 * 1e3:8.1f} ms  longest {max(self.of) * 1e3:8.1f} ms"
        )

    @property
    def p99(self) -> float:
        return sorted(self.of)[int(len(self.of) * 0.99)]


@dataclass
class Report:
    """What came of a run."""

    pulls: Waits = field(default_factory=Waits)
    traces: Waits = field(default_factory=Waits)
    answers: Waits = field(default_factory=Waits)
    commits: Waits = field(default_factory=Waits)
    echoes: Waits = field(default_factory=Waits)
    errors: list[str] = field(default_factory=list)
    machine: list[float] = field(default_factory=list)

    def told(self) -> str:
        lines = {
            "pulls through HTTP, until durable": self.pulls,
            "recorded pulls, end until durable": self.traces,
            "live answers": self.answers,
            "bare durable commits": self.commits,
            "bare echoes": self.echoes,
        }
        text = [f"{name:<36}{waits.told()}" for name, waits in lines.items() if waits.of]
        text += [
            f"p99 of a pull / of a bare commit: {self.pulls.p99 / self.commits.p99:.2f}",
            f"p99 of a live answer / of a bare echo: {self.answers.p99 / self.echoes.p99:.2f}",
            f"errors: {len(self.errors)} {self.errors[:3]}",
            f"load of the machine: {min(self.machine):.1f} to {max(self.machine):.1f}",
        ]
        return "\n".join(text)


@dataclass
class Load:
    """Benches at work.

    Parameters
    ----------
    place : Workshop
        As `crowd.crowded` makes it.
    benches : sequence of Bench
    recording : int
        How many of them let a wrench record.
    seconds : float
        How long it goes on.
    every : float
        Seconds between two pulls of a bench.
    """

    place: Workshop
    benches: Sequence[Bench]
    recording: int
    seconds: float
    every: float
    report: Report = field(default_factory=Report)

    def run(self, ports: Sequence[int], echo: int) -> Report:
        """Let them work at these servers, each pull at the next one."""
        with bare_commits(self.place) as commit:
            asyncio.run(self._all(ports, echo, commit))
        return self.report

    async def _all(self, ports: Sequence[int], echo: int, commit: Callable[[], float]) -> None:
        self._until = time.monotonic() + self.seconds
        async with asyncio.TaskGroup() as group:
            for number, bench in enumerate(self.benches):
                begin = self.every * number / len(self.benches)
                if number < self.recording:
                    group.create_task(self._recording(bench, ports[number % len(ports)], begin))
                else:
                    group.create_task(self._pulling(bench, ports, begin))
            group.create_task(self._echoing(echo))
            group.create_task(self._committing(commit))

    async def record(self, port: int) -> None:
        """Let only the wrenches that record go on, beside something else."""
        self._until = time.monotonic() + self.seconds
        async with asyncio.TaskGroup() as group:
            for number, bench in enumerate(self.benches):
                begin = self.every * number / len(self.benches)
                group.create_task(self._recording(bench, port, begin))

    async def _waits(self, begin: float, number: int) -> bool:
        """Wait for a bench's next round; say whether there is one."""
        due = self._until - self.seconds + begin + number * self.every
        if due >= self._until:
            return False
        await asyncio.sleep(max(0.0, due - time.monotonic()))
        return True

    async def _pulling(self, bench: Bench, ports: Sequence[int], begin: float) -> None:
        lines = [await Line.open(port) for port in ports]
        number = 0
        while await self._waits(begin, number):
            # Every third pull goes to all servers at once: one of them takes it.
            to = lines if number % 3 == 2 else [lines[number % len(lines)]]
            sent = time.perf_counter()
            answers = await bench.pull(*to)
            self.report.pulls.of.append(time.perf_counter() - sent)
            if sorted(one.status for one in answers) != [*[200] * (len(to) - 1), 201]:
                self.report.errors += [f"{one.status} {one.body[:200]!r}" for one in answers]
            number += 1
        for line in lines:
            await line.close()

    async def _recording(self, bench: Bench, port: int, begin: float) -> None:
        address = f"ws://127.0.0.1:{port}/live/{bench.job}"
        origin = {"origin": f"http://127.0.0.1:{port}"}
        number = 0
        async with connect(address, additional_headers=origin) as wrench:
            while await self._waits(begin, number):
                await self._record(bench, wrench)
                number += 1

    async def _record(self, bench: Bench, wrench: ClientConnection) -> None:
        """One pull of a wrench: a straight rise to the target in three fifths of the time."""
        entry, body = str(uuid7()), bench.next()[1]
        where = {name: body[name] for name in ("joint", "stage", "fastener")}
        start = {"pull": where, "tool": body["tool"], "entry": entry, "answers": True}
        await wrench.send(json.dumps(start))
        await self._heard(wrench, '"live"')
        count = int(0.6 * self.every * RATE)
        began = time.monotonic()
        for first in range(0, count, AT_ONCE):
            rows = [
                [n / RATE, round(90.4 * n / count, 2), round(60 * n / count, 2)]
                for n in range(first + 1, first + 1 + AT_ONCE)
            ]
            await asyncio.sleep(max(0.0, began + (first + AT_ONCE) / RATE - time.monotonic()))
            sent = time.perf_counter()
            await wrench.send(json.dumps({"samples": rows}))
            await self._heard(wrench, '"now"')
            self.report.answers.of.append(time.perf_counter() - sent)
        sent = time.perf_counter()
        await wrench.send(json.dumps({"end": True}))
        if await self._heard(wrench, '"taken"'):
            bench.acknowledged.append(entry)
            self.report.traces.of.append(time.perf_counter() - sent)

    async def _heard(self, wrench: ClientConnection, sign: str) -> bool:
        """Wait for a message among what all pages hear."""
        async with asyncio.timeout(60):
            while True:
                text = str(await wrench.recv())
                if text.startswith(('{"error"', '{"stopped"')):
                    self.report.errors.append(text[:200])
                    return False
                if sign in text:
                    return True

    async def _echoing(self, port: int) -> None:
        message = json.dumps({"samples": [[1.23, 45.67, 12.34]] * AT_ONCE})
        async with connect(f"ws://127.0.0.1:{port}/") as echo:
            while time.monotonic() < self._until:
                sent = time.perf_counter()
                await echo.send(message)
                await echo.recv()
                self.report.echoes.of.append(time.perf_counter() - sent)
                await asyncio.sleep(0.1)

    async def _committing(self, commit: Callable[[], float]) -> None:
        while time.monotonic() < self._until:
            self.report.commits.of.append(await asyncio.to_thread(commit))
            self.report.machine.append(os.getloadavg()[0])
            await asyncio.sleep(0.2)


def nothing_lost(place: Workshop, benches: Sequence[Bench]) -> int:
    """Prove that what was acknowledged is on the log once, in the order it was sent; the count."""
    with Store.open(place.folder, write=False) as store:
        assert store.check() == store.verify_log() == store.head()[0]
        at = {line.id: line.index for line in store.lines()}
        twice = Counter(line.id for line in store.lines())
    assert set(twice.values()) == {1}
    total = 0
    for bench in benches:
        places = [at[entry] for entry in bench.acknowledged]
        assert places == sorted(places)
        total += len(places)
    return total


Serving = Callable[[Workshop], AbstractContextManager[int]]


def worked(load: Load, servers: int = 1, serving: Serving = served) -> Report:
    """Start so many servers and an echo, let the benches work, and prove that nothing is lost."""
    echo = free_port()
    with ExitStack() as stack:
        ports = [stack.enter_context(serving(load.place)) for _ in range(servers)]
        stack.enter_context(process(ECHO, str(echo), port=echo))
        report = load.run(ports, echo)
    assert nothing_lost(load.place, load.benches) == len(report.pulls.of) + len(report.traces.of)
    return report


def main() -> None:
    """Run a load from the command line: FOLDER BENCHES RECORDING SECONDS EVERY [SERVERS]."""
    from crowd import crowded  # noqa: PLC0415 - only for a run by hand

    folder, (benches, recording) = Path(sys.argv[1]), map(int, sys.argv[2:4])
    seconds, every = map(float, sys.argv[4:6])
    servers = int(sys.argv[6]) if len(sys.argv) > 6 else 1
    pulls = int(seconds / every) + 2
    place = crowded(folder, benches, pulls)
    load = Load(place, [Bench(n, pulls) for n in range(benches)], recording, seconds, every)
    print(worked(load, servers).told())


if __name__ == "__main__":
    main()
