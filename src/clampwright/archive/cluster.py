"""Pieces of work spread over processes by Dask: on this machine, or on a scheduler that runs.

Nothing listens but scheduler and workers, on the loopback address, and they speak only to who holds
the certificates made for this run. There are no status pages.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import forkserver
from typing import TYPE_CHECKING, Any

from clampwright.archive.running import Done, Spread, Task, do_task
from clampwright.errors import Missing, Refused
from clampwright.words import as_data, words

if TYPE_CHECKING:
    from distributed import Client

AHEAD = 3
"""Tasks that lie ready for each worker: a fleet's tasks are never all in the scheduler's memory."""
QUIET = 50
"""Level of the log of Dask's own machinery: what went wrong is told by this program."""
MOST_WORKERS = 256
LOADED_ONCE = ("distributed", "clampwright.archive.analyses", "pyarrow.parquet")
"""What every worker needs: loaded by the process they are forked from, while this one loads it."""
ALONE = {
    "MALLOC_TRIM_THRESHOLD_": "65536",
    "MKL_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
}
"""Dask gives these to a worker it starts anew; one that is forked has them from where it is forked.
A worker has one thread, and gives memory back."""


@dataclass(frozen=True, slots=True)
class Machinery:
    """The parts of Dask that are used."""

    distributed: Any
    quiet: Any


def machinery() -> Machinery:
    """Import Dask.

    Raises
    ------
    Missing
        It is not installed.
    """
    try:
        found = Machinery(
            import_module("distributed"), import_module("clampwright.archive.quiet_dask")
        )
    except ImportError as error:
        raise Missing(
            words(
                "several workers need Dask, which is not installed: pip install "
                "dask distributed; without --workers this machine does the work alone"
            ),
            needed="archive",
        ) from error
    return found


@contextmanager
def workers_here(count: int, *, threads: bool = False) -> Iterator[Spread]:
    """Start workers on this machine, and stop them in the end.

    Parameters
    ----------
    count : int
        1 to 256.
    threads : bool
        In this process, in place of processes of their own: for trials.

    Yields
    ------
    callable
        Does tasks.

    Raises
    ------
    Missing
        Dask is not installed.
    Refused
        So many workers make no sense.
    """
    if not 1 <= count <= MOST_WORKERS:
        raise Refused(
            words("{count} workers: 1 to {most} can be started", count=count, most=MOST_WORKERS)
        )
    if not threads:
        _ready_to_fork()
    parts = machinery()
    with ExitStack() as stack:
        space = stack.enter_context(tempfile.TemporaryDirectory(prefix="clampwright-"))
        client = stack.enter_context(parts.quiet.client_here(count, space, threads=threads))
        yield lambda tasks: _spread(parts.distributed, client, tasks, count)


def _ready_to_fork() -> None:
    """Start the process that workers are forked from; what they need is loaded once, beside us.

    Elsewhere than on Linux a process that was forked may not use all the system's libraries: there
    each worker is started anew, and loads all by itself.
    """
    if sys.platform != "linux":
        return
    for name, value in ALONE.items():
        os.environ.setdefault(name, value)
    multiprocessing.set_forkserver_preload(list(LOADED_ONCE))
    forkserver.ensure_running()


@contextmanager
def workers_at(address: str) -> Iterator[Spread]:
    """Use the workers of a scheduler that runs; all must reach the archive under the same path.

    Parameters
    ----------
    address : str
        Such as ``tcp://10.0.0.5:8786``.

    Yields
    ------
    callable
        Does tasks.

    Raises
    ------
    Missing
        Dask is not installed.
    Refused
        There is no scheduler, or it has no workers.
    """
    parts = machinery()
    try:
        client = parts.distributed.Client(address, set_as_default=False, timeout=10)
    except (OSError, ValueError) as error:
        raise Refused(
            words("there is no scheduler at {address}", address=repr(address[:80]))
        ) from error
    with client:
        count = len(client.scheduler_info(n_workers=-1)["workers"])
        if not count:
            raise Refused(words("the scheduler at {address} has no workers", address=address))
        yield lambda tasks: _spread(parts.distributed, client, tasks, count)


def _spread(
    distributed: Any, client: Client, tasks: Sequence[Task], workers: int
) -> Iterator[Done]:
    """Hand out tasks, a few ahead of each worker, and yield what came of them as it comes."""
    waiting = iter(tasks)
    running: dict[Any, Task] = {}

    def next_one() -> Any:
        task = next(waiting, None)
        if task is None:
            return None
        future = client.submit(do_task, task, pure=False)
        running[future.key] = task
        return future

    first = [one for one in (next_one() for _ in range(AHEAD * workers)) if one is not None]
    completed = distributed.as_completed(first, loop=client.loop)
    for future in completed:
        task = running.pop(future.key)
        try:
            done = future.result()
        except distributed.KilledWorker:
            done = _killed(task)
        yield done
        more = next_one()
        if more is not None:
            completed.add(more)


def _killed(task: Task) -> Done:
    """Name what no worker got through: each that tried ended over it."""
    why = words(
        "{piece}: every worker that took this up ended over it; it may need more memory than there "
        "is",
        piece=task.units[0].name,
    )
    return Done(len(task.units), tuple((one.name, as_data(why)) for one in task.units))
