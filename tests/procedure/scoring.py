"""How a reading is compared with what a careful technician would take from the text.

Status, warnings as a set, lubrication as a set, reuse, and for each stage kind, value, unit,
limits and fasteners; numbers to 0.1 % after conversion; a loosening without amount is the same
under either of its names; the order between different joints does not count.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from clampwright.procedure.reader import read
from clampwright.units import factor

HERE = Path(__file__).parent
Data = Mapping[str, Any]

_BASE = {
    "N·m": "N·m",
    "ft·lbf": "N·m",
    "in·lbf": "N·m",
    "kgf·m": "N·m",
    "kgf·cm": "N·m",
    "turn": "deg",
    "deg": "deg",
    "mm": "mm",
    "in": "mm",
    "min": "min",
    "km": "km",
    "mi": "km",
}


@dataclass
class Score:
    """The comparison of one case.

    ``silent``: one reading was given where it is wrong, or where the text had to be asked about.
    ``asked_plain``: it was asked although the text is plain.
    """

    case: str
    category: str
    wrong: list[str] = field(default_factory=list)
    silent: bool = False
    asked_plain: bool = False
    extra_warnings: int = 0

    @property
    def whole(self) -> bool:
        return not self.wrong

    @property
    def status_right(self) -> bool:
        return not any(remark.startswith("status") for remark in self.wrong)


def cases(name: str) -> list[dict[str, Any]]:
    """Return the cases of a file; lines that begin with # are remarks."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines if line.strip() and not line.startswith("#")]


def category(case: Data) -> str:
    """Name what is special about a case, for the table of scores."""
    expect = case["expect"]
    if expect["status"] != "ok":
        return str(expect["status"])
    stages = expect["stages"]
    kinds = {stage["kind"] for stage in stages}
    if any(stage["fasteners"] != "all" for stage in stages):
        return "subsets and several joints"
    if kinds & {"wait", "torque_check", "stretch"}:
        return "waits, checks, stretch"
    if kinds & {"snug", "loosen", "back_off_then"}:
        return "contact and turning back"
    if any(stage["tolerance_low"] is not None for stage in stages):
        return "ranges and tolerances"
    if expect["lubrication"] or expect["reuse"]:
        return "surfaces and reuse"
    return "torque and angle"


def score(case: Data) -> Score:
    """Read a case and compare."""
    got: dict[str, Any] = read(case["text"], case["locale"]).as_json()
    expect = case["expect"]
    result = Score(case["id"], category(case))
    stages_right = same_stages(got["stages"], expect["stages"])
    result.silent = got["status"] == "ok" and (expect["status"] != "ok" or not stages_right)
    result.asked_plain = got["status"] != "ok" and expect["status"] == "ok"
    result.extra_warnings = len(set(got["warnings"]) - set(expect["warnings"]))
    checks = {
        f"status {got['status']}": got["status"] == expect["status"],
        "stages": stages_right,
        "candidates": not _told_candidates(expect) or same_candidates(got, expect),
        f"warnings {got['warnings']}": set(got["warnings"]) == set(expect["warnings"]),
        f"lubrication {got['lubrication']}": set(got["lubrication"]) == set(expect["lubrication"]),
        f"reuse {got['reuse']}": got["reuse"] == expect["reuse"],
        f"limit {got['reuse_limit']}": got["reuse_limit"] == expect.get("reuse_limit"),
        f"error {got['error']}": expect["status"] != "refused" or same_error(got, expect),
    }
    result.wrong = [remark for remark, right in checks.items() if not right]
    return result


def same_error(got: Data, expect: Data) -> bool:
    """Compare why a text was refused."""
    error = got["error"] or {}
    return bool(error.get("code") == expect["error"]["code"])


def _told_candidates(expect: Data) -> bool:
    """Tell whether a case says which alternatives must be offered; null leaves it open."""
    return expect["status"] == "ambiguous" and expect.get("candidates", []) is not None


def same_candidates(got: Data, expect: Data) -> bool:
    """Compare alternatives without regard to their order."""
    ours, theirs = list(got["candidates"]), list(expect.get("candidates", []))
    return len(ours) == len(theirs) and all(
        any(same_stages(one, other) for other in ours) for one in theirs
    )


def same_stages(got: Iterable[Data], expect: Iterable[Data]) -> bool:
    """Compare two lists of stages."""
    ours, theirs = list(got), list(expect)
    labels = {stage["fasteners"] for stage in theirs if isinstance(stage["fasteners"], str)}
    if len(labels - {"all"}) > 1:
        ours, theirs = _by_joint(ours), _by_joint(theirs)
    return len(ours) == len(theirs) and all(
        same_stage(one, other) for one, other in zip(ours, theirs, strict=True)
    )


def _by_joint(stages: list[Data]) -> list[Data]:
    return sorted(stages, key=lambda stage: str(stage["fasteners"]).casefold())


def same_stage(got: Data, expect: Data) -> bool:
    """Compare two stages."""
    kinds = {got["kind"], expect["kind"]}
    alike = len(kinds) == 1 or (expect["value"] is None and kinds <= {"loosen", "back_off_then"})
    if not alike or not _same_fasteners(got["fasteners"], expect["fasteners"]):
        return False
    told = expect.get("exact", {})  # optional keys of a stage that matter in this case
    if any((got.get(key) or None) != value for key, value in told.items()):
        return False
    return all(
        same_number(got[key], got["unit"], expect[key], expect["unit"])
        for key in ("value", "tolerance_low", "tolerance_high")
    )


def _same_fasteners(got: Any, expect: Any) -> bool:
    if isinstance(got, str) and isinstance(expect, str):
        return got.casefold() == expect.casefold()
    return bool(got == expect)


def same_number(
    got: float | None, unit: str | None, expect: float | None, other: str | None
) -> bool:
    """Compare two figures to 0.1 % after conversion."""
    if got is None or expect is None:
        return got is expect
    if unit is None or other is None or _BASE[unit] != _BASE[other]:
        return False
    one, two = got, expect
    if unit != other:
        one, two = got * factor(unit, _BASE[unit]), expect * factor(other, _BASE[other])
    return abs(one - two) <= 0.001 * abs(two)


def table(scores: Iterable[Score]) -> str:
    """Return the scores by category as text."""
    groups: dict[str, list[Score]] = defaultdict(list)
    for one in scores:
        groups[one.category].append(one)
        groups["all"].append(one)
    rows = [f"{'category':30}{'cases':>7}{'whole':>7}{'status':>8}{'silent':>8}{'extra':>7}"]
    for name in sorted(groups, key=lambda name: (name == "all", name)):
        group = groups[name]
        rows.append(
            f"{name:30}{len(group):7}{sum(one.whole for one in group):7}"
            f"{sum(one.status_right for one in group):8}{sum(one.silent for one in group):8}"
            f"{sum(one.extra_warnings for one in group):7}"
        )
    return "\n".join(rows)
