"""Servers in processes of their own: the real one, and one that only echoes, to compare with."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

SERVER = "import sys; from clampwright.cli import main; sys.exit(main())"
ECHO = """
import sys
import uvicorn
from starlette.applications import Starlette
from starlette.routing import WebSocketRoute

async def echo(socket):
    await socket.accept()
    async for text in socket.iter_text():
        await socket.send_text(text)

uvicorn.run(
    Starlette(routes=[WebSocketRoute("/", echo)]),
    port=int(sys.argv[1]),
    log_level="critical",
    ws="websockets-sansio",
)
"""


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextmanager
def process(*command: str, port: int) -> Iterator[None]:
    """Run a server until it is no longer needed."""
    with subprocess.Popen([sys.executable, "-c", *command], stdout=subprocess.DEVNULL) as running:
        try:
            until = time.monotonic() + 60
            while time.monotonic() < until:
                assert running.poll() is None, "the server did not start"
                with closing(socket.socket()) as asked:
                    if asked.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.05)
            yield
        finally:
            running.terminate()
