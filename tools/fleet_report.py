"""Hold the plan of a fleet against fleets that were really put in and analysed.

``python tools/fleet_report.py 10 100 1000`` makes archives of so many invented workshops, takes the
costs from the smallest, reckons the others from them, and prints both side by side.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "helpers"))

from fleet import Day, day_of, fleet

from clampwright.archive.analyses import ANALYSES
from clampwright.archive.layout import Archive, archive_at
from clampwright.archive.paper_plan import PLANNED, Costs, Fleet, Plan, costs_of, plan_for
from clampwright.archive.running import run
from clampwright.archive.taking import put

MONTHS = 3
HOUR = 3600.0


def made(day: Day, folder: Path, count: int) -> tuple[Archive, float]:
    """Put so many workshops in and analyse them; return the archive and the processor time, s."""
    archive = archive_at(folder, create=True)
    started = time.process_time()
    for source in fleet(day, count, MONTHS):
        put(archive, source)
    for name in PLANNED:
        run(archive, ANALYSES[name])
    return archive, time.process_time() - started


def size(archive: Archive) -> int:
    """Return the bytes of an archive."""
    return sum(one.stat().st_size for one in archive.folder.rglob("*") if one.is_file())


def planned(costs: Costs, count: int) -> Plan:
    """Reckon a fleet of workshops like those the costs are from."""
    years = MONTHS / 12
    each = costs.workshops * years
    return plan_for(Fleet(count, years, costs.entries / each, costs.samples / each), costs)


def lines(sizes: list[int]) -> Iterator[str]:
    """Yield the rows of the table."""
    with tempfile.TemporaryDirectory() as folder:
        day = day_of(Path(folder) / "day")
        costs: Costs | None = None
        for count in sorted(sizes):
            archive, seconds = made(day, Path(folder) / f"chain-{count}", count)
            found = costs_of(archive)
            costs = costs or found
            plan = planned(costs, count)
            reckoned = (plan.all_first_h * HOUR, plan.bytes / 1e6)
            measured = (seconds, size(archive) / 1e6)
            yield (
                f"| {count} | {found.entries} | {found.samples} | {reckoned[0]:.1f} | "
                f"{measured[0]:.1f} | {reckoned[1]:.1f} | {measured[1]:.1f} |"
            )


def main() -> int:
    """Print the table."""
    sizes = [int(one) for one in sys.argv[1:]] or [10, 100]
    print("| workshops | entries | samples | plan, s | measured, s | plan, MB | measured, MB |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for line in lines(sizes):
        print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
