"""Charts and papers are made in another process, which may use only so much time and memory.

That process gets data on its standard input and gives data on its standard output; it sees no
settings of this one, opens no connection, and cannot write a file.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from clampwright.errors import Refused
from clampwright.words import words

Task = Literal["charts", "paper"]

SECONDS: Mapping[Task, int] = {"charts": 60, "paper": 60}
MEGABYTES: Mapping[Task, int] = {"charts": 2048, "paper": 512}
"""Memory for data. Measured on Linux for a job of 64 pulls and 4 charts: the charts need 600 to 700
(nearly all of it the engine itself), the paper 32 to 48."""

WORKER = Path(__file__).with_name("worker.py")
_KEPT = ("PATH", "SYSTEMROOT", "TEMP", "TMP", "TMPDIR")
_SHOWN = 300


def run(
    task: Task, payload: Any, *, seconds: int | None = None, megabytes: int | None = None
) -> bytes:
    """Let the other process do a task.

    Parameters
    ----------
    task : str
        ``charts`` or ``paper``.
    payload : JSON-like
        What it needs.
    seconds, megabytes : int, optional
        Limits of time and memory; the usual ones if not given. Memory is limited where the
        system can (POSIX).

    Returns
    -------
    bytes

    Raises
    ------
    Refused
        When it was stopped by a limit, or could not do it.
    """
    seconds = SECONDS[task] if seconds is None else seconds
    megabytes = MEGABYTES[task] if megabytes is None else megabytes
    # By its path, so that it is this very version that draws, wherever else one is installed.
    command = [sys.executable, "-I", "-X", "utf8", str(WORKER)]
    try:
        done = subprocess.run(  # noqa: S603 - this program's own module, no shell
            [*command, task, str(seconds), str(megabytes)],
            input=json.dumps(payload, ensure_ascii=False).encode("utf-8"),
            capture_output=True,
            timeout=seconds,
            env={name: os.environ[name] for name in _KEPT if name in os.environ},
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise Refused(
            words("it was stopped: drawing took longer than {seconds} s", seconds=seconds)
        ) from error
    if done.returncode == 0:
        return done.stdout
    if done.returncode < 0:
        raise Refused(
            words(
                "it was stopped: drawing needed more than {seconds} s or {megabytes} MB "
                "(signal {signal})",
                seconds=seconds,
                megabytes=megabytes,
                signal=-done.returncode,
            )
        )
    raise Refused(words("it could not be drawn: {problem}", problem=_last_line(done.stderr)))


def _last_line(errors: bytes) -> str:
    lines = errors.decode("utf-8", "replace").split("\n")
    return next((line.strip()[:_SHOWN] for line in reversed(lines) if line.strip()), "")
