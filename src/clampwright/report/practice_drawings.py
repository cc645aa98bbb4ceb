"""Drawings of tries by hand: those of one learner in their order, those of a class in rows.

Drawn for a page: colours are those of the page around, and letters are large enough for the back
of a room where a page is thrown on a wall.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from clampwright.locale import say
from clampwright.practice.feel import Spread, spread_of
from clampwright.practice.tries import Try
from clampwright.report.svg import PAGE, Look, clean, lettering, number, picture, tag
from clampwright.words import Words, words

WIDTH = 640.0
_LETTERS = 18.0
_LEFT, _RIGHT = 64.0, 20.0
_LEAST_REACH = 0.12


class _Percent:
    """A scale of errors in percent, even about zero."""

    def __init__(self, errors: Sequence[float], low: float, high: float) -> None:
        widest = max([_LEAST_REACH, *(abs(error) for error in errors)])
        self.reach = next(
            (step for step in (0.12, 0.2, 0.3, 0.5, 0.75, 1.0, 2.0) if step >= widest), widest
        )
        self._low, self._high = low, high

    def at(self, error: float) -> float:
        middle, half = (self._low + self._high) / 2, (self._high - self._low) / 2
        return middle + half * max(-1.0, min(1.0, error / self.reach))

    def ticks(self) -> list[float]:
        step = self.reach / 2
        return [-2 * step, -step, 0.0, step, 2 * step]


def _percent(share: float) -> str:
    text = number(100.0 * share)
    return "0 %" if text == "0" else f"{'+' if share > 0 else '−'}{text.lstrip('-')} %"


def feel_drawing(
    tries: Sequence[Try], *, tolerance: float = 0.1, look: Look = PAGE, language: str | None = None
) -> str:
    """Draw tries in their order: how far off each was, the bias, and what a stage allows.

    Parameters
    ----------
    tries : sequence of Try
        At least one, in the order of time.
    tolerance : float
        ±, as a share, drawn as broken lines.
    look : Look
    language : str, optional

    Returns
    -------
    str
        SVG.
    """
    spread, top, bottom = spread_of(tries), 28.0, 268.0
    errors = [one.error for one in tries]
    scale = _Percent([*errors, tolerance], bottom, top)
    step = (WIDTH - _LEFT - _RIGHT) / max(len(tries), 5)
    x = [_LEFT + step * (i + 0.5) for i in range(len(tries))]
    dots = (
        tag(
            "circle",
            tag("title", clean(f"{i}: {_percent(error)}")),
            cx=at,
            cy=scale.at(error),
            r=min(9.0, max(3.5, step / 3)),
            fill=look.ink,
            stroke=look.ground,
            stroke_width=1.5,
        )
        for i, (at, error) in enumerate(zip(x, errors, strict=True), 1)
    )
    days = [
        tag("path", d=f"M{(a + b) / 2:.1f} {top}V{bottom}", stroke=look.ink, stroke_width=1,
            stroke_dasharray="2 6")
        for (one, other), (a, b) in zip(pairwise(tries), pairwise(x), strict=True)
        if one.day != other.day
    ]  # fmt: skip
    return picture(
        *_upright(scale, look),
        *(_across(scale.at(limit), look, "9 6") for limit in (-tolerance, tolerance)),
        *_bias(spread, scale, look),
        *days,
        *dots,
        _foot(words("try by try; a dotted line: another day"), 296, look, language),
        width=WIDTH,
        height=316,
        label=say(_feel_label(spread), language),
        class_="feel",
    )


def _feel_label(spread: Spread) -> Words:
    return words(
        "{count} tries by hand; on average {bias:+.1f} % off.",
        count=spread.count,
        bias=100.0 * spread.bias,
    )


def _upright(scale: _Percent, look: Look) -> list[str]:
    drawn = [tag("path", d=f"M{_LEFT} {scale.at(scale.reach):.1f}V{scale.at(-scale.reach):.1f}",
                 stroke=look.ink, stroke_width=2)]  # fmt: skip
    for tick in scale.ticks():
        y = scale.at(tick)
        drawn.append(
            lettering(_percent(tick), _LEFT - 8, y, 14, fill=look.ink, anchor="end",
                      weight="normal")
        )  # fmt: skip
    drawn.append(_across(scale.at(0.0), look, None))
    return drawn


def _across(y: float, look: Look, dash: str | None) -> str:
    return tag("path", d=f"M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}", stroke=look.ink, stroke_width=1.6,
               stroke_dasharray=dash)  # fmt: skip


def _bias(spread: Spread, scale: _Percent, look: Look) -> list[str]:
    """Draw the bias as a line, and its interval as a field."""
    drawn = []
    if spread.bias_range is not None:
        low, high = (scale.at(end) for end in spread.bias_range)
        drawn.append(
            tag("rect", x=_LEFT, y=high, width=WIDTH - _LEFT - _RIGHT, height=low - high,
                fill=look.ink, fill_opacity=0.16)
        )  # fmt: skip
    y = scale.at(spread.bias)
    drawn.append(tag("path", d=f"M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}", stroke=look.ink,
                     stroke_width=4))  # fmt: skip
    return drawn


def _foot(sentence: Words, y: float, look: Look, language: str | None) -> str:
    return lettering(say(sentence, language), _LEFT, y, 15, fill=look.ink, anchor="start",
                     weight="normal")  # fmt: skip


def class_drawing(
    tries: Mapping[str, Sequence[Try]],
    *,
    tolerance: float = 0.1,
    look: Look = PAGE,
    language: str | None = None,
) -> str:
    """Draw the tries of a class, a row for each learner, for the back of a room.

    Parameters
    ----------
    tries : mapping of str to sequence of Try
        By learner, in the order they are to stand; at least one try each.
    tolerance : float
        ±, as a share, drawn as broken lines.
    look : Look
    language : str, optional

    Returns
    -------
    str
        SVG.
    """
    errors = [one.error for row in tries.values() for one in row]
    left, row, top = 210.0, 46.0, 56.0
    scale = _Percent([*errors, tolerance], left, WIDTH + 120.0)
    bottom = top + row * len(tries)
    lines = [
        tag("path", d=f"M{scale.at(at):.1f} {top - 10}V{bottom:.1f}", stroke=look.ink,
            stroke_width=2, stroke_dasharray=dash)
        for at, dash in ((0.0, None), (-tolerance, "9 6"), (tolerance, "9 6"))
    ]  # fmt: skip
    heads = [
        lettering(_percent(tick), scale.at(tick), 26, 24, fill=look.ink) for tick in scale.ticks()
    ]
    rows = (
        _learner_row(name, mine, top + row * (place + 0.5), scale, look)
        for place, (name, mine) in enumerate(tries.items())
    )
    said = words("{learners} learners, {tries} tries", learners=len(tries), tries=len(errors))
    return picture(
        *lines,
        *heads,
        *rows,
        width=WIDTH + 170.0,
        height=bottom + 12,
        label=say(said, language),
        class_="class-tries",
    )


def _learner_row(name: str, tries: Sequence[Try], y: float, scale: _Percent, look: Look) -> str:
    """Draw the tries of one learner as rings, the mean as a stroke across."""
    mean = scale.at(sum(one.error for one in tries) / len(tries))
    rings = (
        tag("circle", cx=scale.at(one.error), cy=y, r=9, fill="none", stroke=look.ink,
            stroke_width=3)
        for one in tries
    )  # fmt: skip
    return tag(
        "g",
        lettering(name, 4, y, min(28.0, 300.0 / max(len(name), 1)), fill=look.ink, anchor="start"),
        *rings,
        tag("path", d=f"M{mean:.1f} {y - 20:.1f}v40", stroke=look.ink, stroke_width=7),
    )
