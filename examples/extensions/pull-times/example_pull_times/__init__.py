"""How long each joint of a job took, as a section of its record: an example."""

from datetime import datetime
from typing import Any


def section(record: dict[str, Any]) -> dict[str, Any] | None:
    """Return the section: from the first to the last pull of each joint.

    ``record`` holds ``job`` and ``entries``, as the manual's page on the form of a record has them.
    Return texts only, and the same each time; None where there is nothing to say.
    """
    times: dict[str, list[datetime]] = {}
    for entry in record["entries"]:
        if entry["kind"] == "pull":
            made = datetime.fromisoformat(entry["recorded"])
            times.setdefault(entry["body"]["joint"], []).append(made)
    if not times:
        return None
    rows = [
        [joint, str(len(made)), f"{(max(made) - min(made)).total_seconds():.0f} s"]
        for joint, made in sorted(times.items())
    ]
    return {
        "title": "Time at the joints (example)",
        "lines": ["From the first to the last pull, by the clock of the log."],
        "table": {"head": ["Joint", "Pulls", "Time"], "rows": rows},
    }
