"""Puts entries on a log while its calls are taped; started by test_power_cuts.py.

Tells each acknowledged entry by one line in a file of its own. With ``--careless`` the journal is
set as one must not: the trial has to notice.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from clampwright.store import NewEntry, Store, engine


def main() -> None:
    """Make a store in a folder, add so many entries, sign a head now and then."""
    folder, told, count = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
    if "--careless" in sys.argv:  # the type minds the argument's name, which nobody uses
        engine.journal_for = lambda _version: engine.Journal("wal", "NORMAL", 1)  # type: ignore[assignment]
    handle = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        for number in range(count):
            size = 1 + number % 3
            new = [
                NewEntry("pull", {"n": number, "text": "x" * (number * 37 % 900)}, job="wheel")
                for _ in range(size)
            ]
            if number % 2:
                receipts = store.append_many(new)
            else:
                with store.together():
                    receipts = [store.append_many([one])[0] for one in new]
            for receipt in receipts:
                os.write(handle, f"{receipt.index} {receipt.id}\n".encode())
            if number % 7 == 0:
                store.sign_checkpoint()


if __name__ == "__main__":
    main()
