"""One small job again and again, each time with another call to the disk failing.

Started by test_power_cuts.py with the recorder loaded; prints one line a run: which call failed,
how many entries were acknowledged, and what was wrong, if anything.
"""

from __future__ import annotations

import ctypes
import sys
from pathlib import Path

from clampwright.errors import ClampwrightError
from clampwright.store import Store


def switches() -> tuple[ctypes.c_int, ...]:
    """Return the recorder's switches: which call fails, with which error, how many were made."""
    disk = ctypes.CDLL(None)
    names = ("power_fail_at", "power_error", "power_calls")
    return tuple(ctypes.c_int.in_dll(disk, name) for name in names)


def job(folder: Path, entries: int) -> dict[int, str]:
    """Make a store, add entries, sign a record; go on after errors, as a person would."""
    told: dict[int, str] = {}
    for attempt in range(2):
        try:
            with Store.open(folder, create=True, workshop="Invented Yard") as store:
                for number in range(entries):
                    receipt = store.append("pull", {"attempt": attempt, "n": number}, job="wheel")
                    told[receipt.index] = receipt.id
                with store.together():
                    two = [store.append("pull", {"attempt": attempt}, job="wheel") for _ in "ab"]
                told.update({receipt.index: receipt.id for receipt in two})
                store.record("wheel")
        except ClampwrightError:
            continue
    return told


def problem(folder: Path, told: dict[int, str]) -> str:
    """Say what is wrong afterwards, when the disk works again."""
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        size = store.check()
        there = {line.index: line.id for line in store.lines()}
        if size != store.head()[0]:
            return "the log has another size than its head"
        if any(there.get(index) != entry_id for index, entry_id in told.items()):
            return "something acknowledged is not there"
    return ""


def main() -> None:
    """Let every call fail once, with these errors in turn."""
    place, entries, *errors = Path(sys.argv[1]), *map(int, sys.argv[2:])
    fail_at, fail_as, calls = switches()
    number = 0
    while number < 2_000:
        number += 1
        folder = place / str(number)
        folder.mkdir()
        fail_at.value, calls.value, fail_as.value = number, 0, errors[number % len(errors)]
        told = job(folder, entries)
        met = calls.value >= number
        fail_as.value = 0
        print(number, len(told), problem(folder, told) or "-", flush=True)
        if not met:
            return


if __name__ == "__main__":
    main()
