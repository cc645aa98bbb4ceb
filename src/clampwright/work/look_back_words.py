"""A look-back in words: what was found, and what each pull probably received."""

from __future__ import annotations

from clampwright.words import Words, words
from clampwright.work.look_back import LikelyPull, Review


def window_lines(looked: Review) -> list[Words]:
    """Say what was found, since when, and how the two stories were told."""
    window = looked.window
    worst = max(window.found.points, key=lambda point: abs(point.deviation))
    lines = [
        words(
            "Found on {date}: {deviation:+.2f} % off at {torque:.3g} N·m (below zero: the "
            "fasteners got more than it showed)",
            date=window.found.date.isoformat(),
            deviation=worst.deviation,
            torque=worst.torque,
        ),
        words("Before that: {since}", since=window.since),
        words(
            "{count} pulls in the window of {days} days; {outside} outside it",
            count=looked.count,
            days=window.days,
            outside=looked.outside,
        ),
    ]
    if window.sudden is not None:
        lines.append(
            words(
                "It had a knock on {date}: the sudden shift is put there.",
                date=window.sudden.isoformat(),
            )
        )
    return lines


def pull_words(one: LikelyPull) -> Words:
    """Say what a pull probably received, by both stories."""
    return words(
        "stage {stage}, fastener {fastener}: showed {shown:.3g} N·m, by drift {drift:.3g} N·m "
        "({drift_chance:.0%} outside), by a shift {shift:.3g} N·m ({shift_chance:.0%} outside)",
        stage=one.pull.stage,
        fastener=one.pull.fastener,
        shown=one.pull.shown * one.pull.ratio,
        drift=one.drift_torque,
        drift_chance=one.drift_chance,
        shift=one.shift_torque,
        shift_chance=one.shift_chance,
    )


def clamp_words(one: LikelyPull) -> Words | None:
    """Say what clamp load a pull probably left; None where none was computed."""
    drift, shift = one.clamp(one.drift_torque), one.clamp(one.shift_torque)
    if drift is None or shift is None or one.pull.clamp is None:
        return None
    return words(
        "clamp load {drift:.1f} kN by drift, {shift:.1f} kN by a shift, wanted {clamp:.1f} kN "
        "(all at the friction of the plan)",
        drift=drift / 1000,
        shift=shift / 1000,
        clamp=one.pull.clamp / 1000,
    )
