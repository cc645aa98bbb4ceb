"""The command line, loaded once and forked for every call: a fresh process without its start.

A command spends a second on loading what it needs, and a few hundredths on its work. Here a server
loads everything before any work is done and forks for every call. The call gets arguments, folder,
environment and standard streams of its own and ends with its own status, as the command does when
a shell starts it. What a start itself does (light imports, an interpreter's settings, streams that
are closed) is tested with the real command.
"""

from __future__ import annotations

import atexit
import gc
import importlib
import marshal
import os
import pkgutil
import select
import signal
import socket
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TypeAlias

Stream: TypeAlias = int | IO[str] | IO[bytes]

HEAD = 12
"""Bytes that say how long a call's text is."""

CALLER = """\
#!{python} -IS
import marshal, os, socket, sys
with socket.socket(socket.AF_UNIX) as line:
    line.connect({line!r})
    told = marshal.dumps((sys.argv[1:], os.getcwd(), dict(os.environ)))
    socket.send_fds(line, [b"%12d" % len(told)], [0, 1, 2])
    line.sendall(told)
    with line.makefile("rb") as answers:
        answers.readline()
        status = int(answers.readline())
if status < 0:
    os.kill(os.getpid(), -status)
sys.exit(status)
"""
"""Stands for the command in a shell; no more than it needs is loaded."""


@dataclass(slots=True)
class Call:
    """A call under way.

    Parameters
    ----------
    process : int
    """

    process: int
    answers: IO[bytes]

    def wait(self) -> int:
        """Wait for the end; return the status, negative when a signal ended it."""
        with self.answers:
            return int(self.answers.readline())

    def kill(self) -> int:
        """End it at once, as a power cut of the process would, and wait until it is gone."""
        os.kill(self.process, signal.SIGKILL)
        return self.wait()


@dataclass(slots=True)
class Forked:
    """The server, and the command that asks it.

    Parameters
    ----------
    command : pathlib.Path
        To be called instead of the real one; its folder can stand on the PATH.
    """

    command: Path
    line: Path
    server: subprocess.Popen[bytes]

    @classmethod
    def begin(cls, folder: Path, env: Mapping[str, str] | None = None) -> Forked:
        """Load the server; everything in `folder`, whose name must be a short one."""
        line, command = folder / "line", folder / "clampwright"
        command.write_text(CALLER.format(python=sys.executable, line=str(line)), encoding="utf-8")
        command.chmod(0o755)
        server = subprocess.Popen(
            [sys.executable, __file__, str(line)], stdout=subprocess.PIPE, env=env
        )
        assert server.stdout is not None
        assert server.stdout.readline() == b"ready\n"
        return cls(command, line, server)

    def call(
        self,
        *words: str | Path,
        streams: Sequence[Stream],
        cwd: Path | None = None,
        env: Mapping[str, str] | None = None,
    ) -> Call:
        """Start a call with these three standard streams."""
        told = marshal.dumps(
            (
                [str(word) for word in words],
                str(cwd or Path.cwd()),
                dict(os.environ if env is None else env),
            )
        )
        with socket.socket(socket.AF_UNIX) as line:
            line.connect(str(self.line))
            numbers = [one if isinstance(one, int) else one.fileno() for one in streams]
            socket.send_fds(line, [b"%12d" % len(told)], numbers)
            line.sendall(told)
            answers = line.makefile("rb")
        return Call(int(answers.readline()), answers)

    def end(self) -> None:
        self.server.terminate()
        self.server.wait()
        assert self.server.stdout is not None
        self.server.stdout.close()


def load() -> None:
    """Load every module that a command may ask for."""
    import clampwright  # noqa: PLC0415 - the tests load this file too, and need only the caller

    for module in pkgutil.walk_packages(clampwright.__path__, "clampwright."):
        if ".migrations." not in module.name and not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    gc.collect()
    gc.freeze()  # what is loaded stays shared between the processes


def serve(place: str) -> None:
    """Fork for every call that comes, and tell each caller how it ended."""
    callers: dict[int, socket.socket] = {}
    woken, wake = os.pipe()
    for end in (woken, wake):
        os.set_blocking(end, False)
    signal.set_wakeup_fd(wake, warn_on_full_buffer=False)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(place)
        door.listen()
        print("ready", flush=True)
        while True:
            ready, _, _ = select.select([door.fileno(), woken], [], [])
            if door.fileno() in ready:
                caller, _ = door.accept()
                answer(caller, callers)
            if woken in ready:
                os.read(woken, 4096)
            while callers:
                process, status = os.waitpid(-1, os.WNOHANG)
                if not process:
                    break
                tell(callers.pop(process), os.waitstatus_to_exitcode(status))


def answer(caller: socket.socket, callers: dict[int, socket.socket]) -> None:
    """Fork for one call."""
    head, streams, _, _ = socket.recv_fds(caller, HEAD, 3)
    with caller.makefile("rb") as rest:
        words, folder, environment = marshal.loads(rest.read(int(head)))  # noqa: S302 - ours
    process = os.fork()
    if not process:
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        for other in callers.values():
            other.close()
        caller.close()
        os._exit(run(words, folder, environment, streams))
    for stream in streams:
        os.close(stream)
    callers[process] = caller
    caller.sendall(b"%d\n" % process)


def tell(caller: socket.socket, status: int) -> None:
    with caller:
        try:
            caller.sendall(b"%d\n" % status)
        except BrokenPipeError:  # the caller has been ended and does not wait any more
            return


def run(words: list[str], folder: str, environment: dict[str, str], streams: list[int]) -> int:
    """Be the command; return its status."""
    os.chdir(folder)
    os.environ.clear()
    os.environ.update(environment)
    time.tzset()
    for number, stream in enumerate(streams):
        os.dup2(stream, number)
        os.close(stream)
    sys.stdin = os.fdopen(0, encoding=sys.stdin.encoding, errors=sys.stdin.errors)
    sys.stdout = os.fdopen(1, "w", encoding=sys.stdout.encoding, errors=sys.stdout.errors)
    sys.stderr = os.fdopen(2, "w", 1, sys.stderr.encoding, sys.stderr.errors)
    sys.argv = ["clampwright", *words]
    status = 0
    try:
        importlib.import_module("clampwright.cli").main()
    except SystemExit as end:
        if isinstance(end.code, str):
            print(end.code, file=sys.stderr)
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:  # noqa: BLE001 - as the interpreter does at its end
        traceback.print_exc()
        status = 1
    # The interpreter does both before its end; typeshed does not know the first.
    threading._shutdown()  # type: ignore[attr-defined]  # noqa: SLF001 - see above
    atexit._run_exitfuncs()  # noqa: SLF001 - see above
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except OSError:
        status = 120
    return status


if __name__ == "__main__":
    load()
    serve(sys.argv[1])
