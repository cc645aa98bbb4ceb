"""Results of analyses as tables of words: the same for the command line and the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.archive.running import Result
from clampwright.locale import between, figure, say
from clampwright.report.phrases import verdict_words
from clampwright.words import Words, words
from clampwright.work.look_back import ADVICE_WORDS

Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """A table with what is to be said before it.

    Parameters
    ----------
    title : Words
    lines : tuple of Words
    columns : tuple of Words
    rows : tuple of tuple of str
    """

    title: Words
    lines: tuple[Words, ...] = ()
    columns: tuple[Words, ...] = ()
    rows: tuple[Row, ...] = ()


TITLES: Mapping[str, Words] = {
    "rejudge": words("Recorded pulls judged again"),
    "drift": words("Drift of wrenches"),
    "friction": words("Friction by condition"),
    "outlying": words("Joints unlike the others"),
    "procedures": words("Procedures that give trouble"),
    "look-back": words("Look-back for one wrench"),
    "bad-calibration": words("What rests on a bad calibration"),
}
"""Names of the analyses, for people."""


def tables(result: Result, most: int = 50) -> list[Told]:
    """Return a result as tables.

    Parameters
    ----------
    result : Result
    most : int
        Rows of a table at most.

    Returns
    -------
    list of Told
    """
    found = _TABLES[result.analysis](result.found)
    return [Told(one.title, one.lines, one.columns, one.rows[:most]) for one in found]


def needs_a_look(result: Result) -> bool:
    """Return whether a result holds something that a person should look at.

    Parameters
    ----------
    result : Result

    Returns
    -------
    bool
        Something was set aside; a verdict changed; a joint or wrench is unlike the others; or a
        joint rests on a bad wrench.
    """
    found = result.found
    if result.aside:
        return True
    if result.analysis == "rejudge":
        return bool(found["changed_in_all"] or found["unreadable_in_all"])
    if result.analysis in {"drift", "outlying"}:
        return bool(found["outlying"] or found.get("signals"))
    if result.analysis in {"look-back", "bad-calibration"}:
        return any(one["advice"] != "fine" for one in found["joints"])
    return False


def _percent(value: float, digits: int = 1) -> str:
    return f"{100 * value:.{digits}f} %"


def _verdict(verdict: str) -> str:
    return say(verdict_words(verdict))


def _rejudged(found: Mapping[str, Any]) -> list[Told]:
    first = Told(
        TITLES["rejudge"],
        (
            words(
                "{pulls} pulls, {changed} verdicts are others than they were, {unreadable} cannot "
                "be read",
                pulls=found["pulls"],
                changed=found["changed_in_all"],
                unreadable=found["unreadable_in_all"],
            ),
        ),
        (words("Then"), words("Now"), words("Pulls")),
        tuple(
            (*map(_verdict, key.split(" > ")), str(count)) for key, count in found["turned"].items()
        ),
    )
    changed = Told(
        words("Verdicts that changed"),
        (),
        (words("Workshop"), words("Pull"), words("Then"), words("Now"), words("Shape now")),
        tuple(
            (
                one["workshop"],
                one["where"],
                _verdict(one["then"]),
                _verdict(one["now"]),
                one["pattern_now"],
            )
            for one in found["changed"]
        ),
    )
    return [first, changed] if changed.rows else [first]


def _drift(found: Mapping[str, Any]) -> list[Told]:
    kinds = Told(
        TITLES["drift"],
        (
            words(
                "{count} wrenches, {rates} of them calibrated at least twice",
                count=found["in_all"],
                rates=found["with_rates"],
            ),
        ),
        (
            words("Kind"),
            words("Wrenches"),
            words("Change, % a year"),
            words("From wrench to wrench"),
        ),
        tuple(_kind_row(one) for one in found["kinds"]),
    )
    first = Told(
        words("Wrenches that reach their limit first, if they go on so"),
        (),
        (
            words("Workshop"),
            words("Wrench"),
            words("Own, % a year"),
            words("Drawn to its kind"),
            words("Years to the limit"),
        ),
        tuple(
            (
                one["name"],
                one["title"],
                figure(one["own"], "+.2f"),
                figure(one["rate"], "+.2f"),
                "–" if one["years"] is None else figure(one["years"], ".1f"),
            )
            for one in found["wrenches"]
        ),
    )
    unlike = Told(
        words("Wrenches unlike the others of their kind"),
        (_share(found["share"]),),
        (words("Workshop"), words("Wrench"), words("Change, % a year"), words("Distance")),
        tuple(
            (one["name"], one["title"], figure(one["own"], "+.2f"), figure(one["distance"], "+.1f"))
            for one in found["outlying"]
        ),
    )
    signals = Told(
        words("Wrenches whose checks signal"),
        (),
        (words("Workshop"), words("Wrench"), words("Days")),
        tuple(
            (one["name"], one["title"], ", ".join(one["signals"][-3:])) for one in found["signals"]
        ),
    )
    return [kinds, *(one for one in (first, unlike, signals) if one.rows)]


def _kind_row(one: Mapping[str, Any]) -> Row:
    pooled = one["pooled"]
    if pooled is None:
        return one["kind"], str(one["wrenches"]), "–", "–"
    change = f"{figure(pooled['rate'], '+.2f')} ± {figure(2 * pooled['u'], '.2f')}"
    return one["kind"], str(one["wrenches"]), change, figure(pooled["between"], ".2f")


def _share(share: float) -> Words:
    return words(
        "Of these at most {share:.0f} in 100 are expected to be false alarms.", share=100 * share
    )


def _friction(found: Mapping[str, Any]) -> list[Told]:
    conditions = Told(
        TITLES["friction"],
        (
            words(
                "One value a joint and job, from the slope of its traces; each workshop is drawn "
                "towards all of them."
            ),
        ),
        (
            words("Condition"),
            words("Joints"),
            words("Workshops"),
            words("Median"),
            words("Next workshop, 95 %"),
            words("Table"),
        ),
        tuple(_condition_row(one) for one in found["conditions"]),
    )
    return [conditions, *(_workshops_of(one) for one in found["conditions"] if one["workshops"])]


def _condition_row(one: Mapping[str, Any]) -> Row:
    pooled, table = one["pooled"], one["table"]
    stated = "–" if table is None else between(table[0], table[1], ".2f")
    counts = one["condition"], str(one["joints"]), str(one["workshops_in_all"])
    if pooled is None:
        return (*counts, "–", "–", stated)
    low, high = pooled["next"]
    return (*counts, figure(pooled["median"], ".3f"), between(low, high, ".3f"), stated)


def _workshops_of(one: Mapping[str, Any]) -> Told:
    return Told(
        words("Condition {name}, workshop by workshop", name=one["condition"]),
        (),
        (
            words("Workshop"),
            words("Joints"),
            words("Own"),
            words("Weight of its own"),
            words("Drawn"),
            words("95 %"),
        ),
        tuple(
            (
                row["name"],
                str(row["joints"]),
                figure(row["own"], ".3f"),
                figure(row["weight"], ".2f"),
                figure(row["drawn"], ".3f"),
                between(row["interval"][0], row["interval"][1], ".3f"),
            )
            for row in one["workshops"]
        ),
    )


_QUANTITY = {"angle": "°", "torque": "N·m"}


def _outlying(found: Mapping[str, Any]) -> list[Told]:
    return [
        Told(
            TITLES["outlying"],
            (
                words(
                    "{count} joints of {kinds} kinds compared; {few} of kinds with too few to "
                    "compare",
                    count=found["joints"],
                    kinds=found["kinds"],
                    few=found["too_few"],
                ),
                _share(found["share"]),
            ),
            (
                words("Workshop"),
                words("Job"),
                words("Joint"),
                words("Day"),
                words("Harm"),
                words("It ended at"),
                words("Usual"),
                words("Distance"),
            ),
            tuple(
                (
                    one["workshop"],
                    one["job"],
                    one["title"],
                    one["date"],
                    str(one["harm"]),
                    f"{one['value']:.1f} {_QUANTITY[one['quantity']]}",
                    f"{one['usual']:.1f} {_QUANTITY[one['quantity']]}",
                    figure(one["distance"], "+.1f"),
                )
                for one in found["outlying"]
            ),
        )
    ]


def _procedures(found: Mapping[str, Any]) -> list[Told]:
    return [
        Told(
            TITLES["procedures"],
            (
                words(
                    "Ranked by what is surely trouble: the lower end of the 95 % interval of the "
                    "share of pulls that were not within."
                ),
            ),
            (
                words("Joint"),
                words("Surely"),
                words("Not within"),
                words("Pulls"),
                words("Begun again"),
                words("Workshops"),
                words("Procedure"),
            ),
            tuple(
                (
                    one["title"],
                    _percent(one["interval"][0]),
                    _percent(one["share"]),
                    str(one["pulls"]),
                    str(one["begun_again"]),
                    str(one["workshops"]),
                    "; ".join(one["procedure"]),
                )
                for one in found["procedures"]
            ),
        )
    ]


def _back(found: Mapping[str, Any]) -> list[Told]:
    lay = ", ".join(f"{name} ({tool})" for _log, name, tool in found["where"])
    line = words(
        "{tool}: {pulls} pulls from {start} to {found}; it lay at: {where}",
        tool=found["tool"],
        pulls=found["pulls"],
        start=found["start"],
        found=found["found"] or "–",
        where=lay,
    )
    return [Told(TITLES["look-back"], (line,), _JOINTS, _joints(found["joints"]))]


def _bad(found: Mapping[str, Any]) -> list[Told]:
    rested = Told(
        TITLES["bad-calibration"],
        (
            words(
                "{count} calibrations, {pulls} pulls rest on them",
                count=len(found["calibrations"]),
                pulls=found["pulls"],
            ),
        ),
        (words("Workshop"), words("Wrench"), words("Calibrated"), words("Until"), words("Pulls")),
        tuple(
            (one["name"], one["tool"], one["start"], one["found"] or "–", str(one["pulls"]))
            for one in found["calibrations"]
        ),
    )
    joints = Told(words("Joints in question"), (), _JOINTS, _joints(found["joints"]))
    return [rested, joints] if joints.rows else [rested]


_JOINTS = (
    words("Workshop"),
    words("Job"),
    words("Joint"),
    words("Harm"),
    words("Chance outside"),
    words("Advice"),
)


def _joints(joints: Sequence[Mapping[str, Any]]) -> tuple[Row, ...]:
    return tuple(
        (
            one["workshop"],
            one["job"],
            one["title"],
            str(one["harm"]),
            _percent(one["chance"], 0),
            say(ADVICE_WORDS[one["advice"]]),
        )
        for one in joints
    )


_TABLES: Mapping[str, Callable[[Mapping[str, Any]], list[Told]]] = {
    "rejudge": _rejudged,
    "drift": _drift,
    "friction": _friction,
    "outlying": _outlying,
    "procedures": _procedures,
    "look-back": _back,
    "bad-calibration": _bad,
}
