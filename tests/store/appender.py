"""Puts entries on a log until it is killed; started by test_store_kill.

A fork server: it loads everything once, then forks a child for each line it reads, so that a child
is at work a few milliseconds after it was asked for. What a child has had acknowledged it tells by
one write for each entry to a file, which outlives it.
"""

from __future__ import annotations

import json
import os
import random
import sys
from pathlib import Path

from clampwright.store import NewEntry, Store, upgrade  # noqa: F401 - loaded before forking

JOBS = ("wheel", "head", None)


def planned(number: int) -> NewEntry:
    """The entry with this number; the same whoever asks."""
    return NewEntry(
        "pull",
        {"number": number, "read": {"unit": "N·m", "value": f"{number % 90}.5"}},
        entry_id=f"017f22e2-79b0-7cc3-98c4-{number:012x}",
        job=JOBS[number % 3],
        device_time="2026-01-31T14:05:00Z",
    )


def work(folder: Path, told: Path, start: int, seed: int) -> None:
    """Open the store, repeat the last three entries, and go on until killed."""
    random_ = random.Random(seed)
    handle = os.open(told, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    number = max(0, start - 3)
    with Store.open(folder, create=True) as store:
        while True:
            count = random_.choice((1, 1, 1, 3))
            new = [planned(number + more) for more in range(count)]
            if random_.random() < 0.5:
                receipts = store.append_many(new)
            else:
                with store.together():
                    receipts = [store.append_many([one])[0] for one in new]
            for receipt in receipts:
                os.write(handle, f"{number} {receipt.index} {receipt.id}\n".encode())
                number += 1
            if random_.random() < 0.1:
                store.sign_checkpoint()


def main() -> None:
    """Fork a child for each request; say its process number, then how it ended."""
    for line in sys.stdin:
        asked = json.loads(line)
        child = os.fork()
        if child == 0:
            work(Path(asked["folder"]), Path(asked["told"]), asked["start"], asked["seed"])
        print(child, flush=True)
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)


if __name__ == "__main__":
    main()
