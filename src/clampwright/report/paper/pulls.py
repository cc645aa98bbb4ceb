"""One pull in a line: what was read, what the fastener got, the verdict and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.report.mark_dial import dial_of, dial_words
from clampwright.report.paper.material import Material
from clampwright.report.phrases import mark_of, verdict_words
from clampwright.units import convert
from clampwright.words import Words, from_data, words
from clampwright.work.describe import shown
from clampwright.work.fold import Pull
from clampwright.work.second_reading import reading_words as told_reading

Row = dict[str, Any]


def reading_words(body: Mapping[str, Any]) -> Words:
    """Say what was handed in.

    Parameters
    ----------
    body : mapping
        Of an entry of kind ``pull``.

    Returns
    -------
    Words

    Examples
    --------
    >>> str(reading_words({"reading": {"kind": "angle", "value": "91", "unit": "deg"}}))
    '91°'
    """
    if body["reading"]["kind"] == "trace":
        return _trace_words(body)
    return told_reading(body["reading"])


def _trace_words(body: Mapping[str, Any]) -> Words:
    found = body.get("found") or {}
    torque, angle = found.get("final_torque_nm"), found.get("turned_after_snug_deg")
    if torque is None:
        return words("recorded")
    ended = shown(float(torque), "N·m")
    if angle is None:
        return words("recorded: ended at {torque}", torque=ended)
    return words("recorded: {torque}, {angle:.0f}° after snug", torque=ended, angle=float(angle))


def received_words(body: Mapping[str, Any]) -> Words | None:
    """Say what the fastener got, with the 95 % spread; None where nothing was reckoned."""
    received = body.get("received")
    if received is None:
        return _measured_words(body.get("measured"))
    unit = _unit(body["reading"])
    torque, spread = (
        convert(float(received[name]["value"]), received[name]["unit"], unit)
        for name in ("torque", "standard_uncertainty")
    )
    return words(
        "{torque:.{digits}f} ± {spread:.{digits}f} {unit}",
        torque=torque,
        spread=2 * spread,
        digits=_digits(2 * spread),
        unit=unit,
    )


def _measured_words(measured: Mapping[str, Any] | None) -> Words | None:
    """Say an angle or a stretch that was measured with its own uncertainty."""
    if measured is None:
        return None
    value, spread = (float(measured[name]["value"]) for name in ("value", "standard_uncertainty"))
    unit = measured["value"]["unit"]
    return words(
        "{value:.{digits}f} ± {spread:.{digits}f} {unit}",
        value=value,
        spread=2 * spread,
        digits=min(_digits(2 * spread), 1) if unit == "deg" else _digits(2 * spread),
        unit="°" if unit == "deg" else unit,
    )


def _digits(spread: float) -> int:
    """Return the decimals that show two figures of a spread (JCGM 100:2008, 7.2.6)."""
    return max(0, 1 - math.floor(math.log10(spread))) if spread > 0 else 1


def _unit(reading: Mapping[str, Any]) -> str:
    return str(reading.get("unit") or reading.get("setting", {}).get("unit") or "N·m")


def common_reasons(pulls: Sequence[Pull]) -> list[Words]:
    """Return the reasons that all pulls within share, so that they are said once."""
    within = [pull for pull in pulls if pull.verdict == "within"]
    if len(within) < 2:
        return []
    return [r for r in within[0].reasons if all(r in other.reasons for other in within[1:])]


def one_day(material: Material, pulls: Sequence[Pull]) -> str:
    """Return the day on which all pulls of a stage were written; nothing where there are more."""
    days = {material.time(pull.entry).partition(" ")[0] for pull in pulls}
    return days.pop() if len(days) == 1 else ""


def row(
    material: Material, pull: Pull, *, common: Sequence[Words], tool: str | None, day: str = ""
) -> Row:
    """Return one pull for the paper.

    Parameters
    ----------
    material : Material
    pull : Pull
    common : sequence of Words
        Reasons that are said elsewhere.
    tool : str or None
        The planned tool; another one is named.
    day : str
        The day, where it is said elsewhere.

    Returns
    -------
    dict
    """
    told = material.say
    got, drawn = received_words(pull.body), dial_words(pull.body)
    plain = pull.verdict == "within" and not pull.voided and not pull.doubted
    said = common if pull.verdict == "within" else ()
    reasons = [told(reason) for reason in pull.reasons if reason not in said]
    return {
        "fastener": str(pull.key.fastener) if pull.key.fastener else "–",
        "read": told(reading_words(pull.body)),
        "got": told(got) if got else "",
        "dial": dial_of(pull.body),
        "dial_alt": told(drawn) if drawn else "",
        "mark": mark_of(pull.verdict),
        "verdict": told(verdict_words(pull.verdict)),
        "plain": plain,
        "undone": pull.voided,
        "time": material.time(pull.entry).removesuffix(" UTC").removeprefix(day).strip(),
        "reasons": reasons,
        "after": [told(sentence) for sentence in _after(material, pull, tool)],
    }


def _after(material: Material, pull: Pull, tool: str | None) -> list[Words]:
    """Say what else belongs to the pull: another tool, what was advised, what a person decided."""
    sentences = []
    used = pull.body.get("tool")
    if used is not None and used != tool:
        sentences.append(words("With another tool: {tool}.", tool=_title(material, used)))
    if pull.next is not None and not pull.settled:
        sentences.append(words("Advised: {advice}", advice=pull.next))
    sentences += [
        words("A second person: {told}", told=from_data(one["told"]))
        for one in material.state.read_again
        if one["entry"] == pull.entry
    ]
    if pull.taken_back:
        sentences.append(words("Taken back: {reason}", reason=pull.taken_back))
    elif pull.voided:
        sentences.append(words("Undone: the fastener was loosened and started again."))
    elif pull.doubted:
        sentences.append(words("Doubtful: the wrench it was made with is in doubt."))
    if pull.accepted:
        sentences.append(words("A person went on: {reason}", reason=_reason(material, pull.entry)))
    return sentences


def _title(material: Material, tool: str) -> str:
    return next((one.title for one in material.drawer.tools if one.id == tool), tool)


def _reason(material: Material, entry: str) -> str:
    return next(
        (
            str(one["body"]["reason"])
            for one in material.entries.values()
            if one["kind"] == "pull_accepted" and one["body"]["entry"] == entry
        ),
        "–",
    )


def limits_words(limits: Mapping[str, Any]) -> Words | None:
    """Say the limits of a stage, from its plan.

    Examples
    --------
    >>> str(limits_words({"quantity": "torque", "low": "28.2", "high": "31.8", "unit": "N·m",
    ...                   "origin": "workshop"}))
    'Limits: 28.2 N·m to 31.8 N·m, by the workshop: the procedure states none.'
    """
    low, high, unit = limits.get("low"), limits.get("high"), limits.get("unit") or ""
    if low is None and high is None:
        return None
    span = _span(*(None if end is None else shown(float(end), unit) for end in (low, high)))
    if limits.get("origin") == "workshop":
        return words("Limits: {span}, by the workshop: the procedure states none.", span=span)
    return words("Limits: {span}, as the procedure states them.", span=span)


def _span(low: str | None, high: str | None) -> Words:
    if low is not None and high is not None:
        return words("{low} to {high}", low=low, high=high)
    if low is not None:
        return words("at least {low}", low=low)
    return words("at most {high}", high=high or "–")


def clamp_words(clamp: Mapping[str, Any] | None) -> Words | None:
    """Say the clamp load a stage was planned to leave, with its band.

    Examples
    --------
    >>> str(clamp_words({"nominal_N": "21400", "p05_N": "14200", "p95_N": "30100"}))
    'Clamp load to expect: 21.4 kN, 9 times in 10 between 14.2 kN and 30.1 kN.'
    """
    if clamp is None or not float(clamp.get("nominal_N") or 0):
        return None
    nominal, low, high = (
        shown(float(clamp[name]) / 1000, "kN") for name in ("nominal_N", "p05_N", "p95_N")
    )
    return words(
        "Clamp load to expect: {nominal}, 9 times in 10 between {low} and {high}.",
        nominal=nominal,
        low=low,
        high=high,
    )
