"""Starts servers by forking, for tests that kill them: a line "PORT FOLDER" in, its process out."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

import clampwright.web.app  # noqa: F401 - loaded once, for all servers to come
from clampwright.cli.serve import bound, serve


def main() -> None:
    """Fork a server for every line that is read."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # ended servers leave nothing behind
    for line in sys.stdin:
        port, folder = line.rstrip("\n").split(" ", 1)
        child = os.fork()
        if child == 0:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            with Path(os.devnull).open("w") as nowhere:
                os.dup2(nowhere.fileno(), 1)
            serve(Path(folder), bound("127.0.0.1", int(port)))
            os._exit(0)
        print(child, flush=True)


if __name__ == "__main__":
    main()
