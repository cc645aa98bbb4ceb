"""A Dask cluster of this machine that opens no pages and trusts nobody else.

Imported only where Dask is wanted.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import dask
from distributed import Client, Nanny, Scheduler, SpecCluster, Worker
from distributed.security import Security

SILENT = 50
LOOPBACK = "127.0.0.1"
HOW = {
    "distributed.worker.multiprocessing-method": (
        "forkserver" if sys.platform == "linux" else "spawn"
    )
}
"""How a worker's process is made; see `clampwright.archive.cluster`."""

# Dask types the arguments of these only in part; what they make is typed by hand below.
_Security: Any = Security
_SpecCluster: Any = SpecCluster
_Client: Any = Client


class _NoPages:
    """Scheduler and worker open a port for pages of their own even where no pages are wanted."""

    def start_http_server(self, *_given: Any, **_more: Any) -> None:
        """Open none."""


class QuietScheduler(_NoPages, Scheduler):
    """A scheduler without pages."""


class QuietWorker(_NoPages, Worker):
    """A worker without pages."""


@contextmanager
def client_here(count: int, space: str, *, threads: bool) -> Iterator[Client]:
    """Start a scheduler and workers, one thread each.

    Parameters
    ----------
    count : int
    space : str
        Folder for what workers lay down for a while.
    threads : bool
        In this process, without any port.

    Yields
    ------
    distributed.Client
    """
    security: Any = _Security() if threads else _Security.temporary()
    common: dict[str, Any] = {"security": security, "dashboard": False}
    if threads:
        common["protocol"] = "inproc://"
    else:
        common |= {"protocol": "tls://", "host": LOOPBACK}
    worker = {"nthreads": 1, "local_directory": space, "memory_limit": 0, **common}
    kind: Any = QuietWorker
    if not threads:
        kind = Nanny
        worker |= {"worker_class": QuietWorker, "silence_logs": SILENT}
    with ExitStack() as stack:
        stack.enter_context(dask.config.set(HOW))  # also when a worker that died is replaced
        cluster = stack.enter_context(
            _SpecCluster(
                scheduler={"cls": QuietScheduler, "options": {"port": 0, **common}},
                workers={number: {"cls": kind, "options": dict(worker)} for number in range(count)},
                security=security,
                silence_logs=SILENT,
            )
        )
        yield stack.enter_context(_Client(cluster, security=security, set_as_default=False))
