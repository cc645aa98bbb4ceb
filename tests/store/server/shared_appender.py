"""Puts entries on a log that others add to as well, until it is killed; see test_shared.

A fork server, as appender.py: it says the process number of each child and does not wait for it.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
from pathlib import Path

import psycopg  # noqa: F401 - loaded before forking

from clampwright.store import NewEntry, Store, server_log  # noqa: F401 - same


def planned(worker: int, number: int) -> NewEntry:
    """The entry of a worker with this number; the same whoever asks."""
    return NewEntry(
        "note",
        {"worker": worker, "n": number},
        entry_id=f"017f22e2-79b0-7cc3-98c4-{worker:04x}{number:08x}",
        job=(f"own-{worker}", "shared")[number % 2],
        device_time="2026-01-31T14:05:00Z",
    )


def work(folder: Path, told: Path, worker: int, start: int) -> None:
    """Open the store, repeat the last three entries, and go on until killed."""
    random_ = random.Random(worker * 1_000_000 + start)
    handle = os.open(told, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    number = max(0, start - 3)
    with Store.open(folder) as store:
        while True:
            count = random_.choice((1, 1, 1, 3))
            new = [planned(worker, number + more) for more in range(count)]
            if random_.random() < 0.5:
                receipts = store.append_many(new)
            else:
                with store.together():
                    receipts = [store.append_many([one])[0] for one in new]
            for receipt in receipts:
                os.write(handle, f"{number} {receipt.index} {receipt.id}\n".encode())
                number += 1
            if random_.random() < 0.05:
                store.sign_checkpoint()


def main() -> None:
    """Fork a child for each request, and say its process number."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    for line in sys.stdin:
        asked = json.loads(line)
        child = os.fork()
        if child == 0:
            work(Path(asked["folder"]), Path(asked["told"]), asked["worker"], asked["start"])
        print(child, flush=True)


if __name__ == "__main__":
    main()
