"""Chart of fasteners that influence each other: who holds what after each pull of a pass."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from clampwright.errors import Missing
from clampwright.joint.passes import PassResult
from clampwright.report.axes import LETTERS, Spec, Style
from clampwright.report.clamp_axes import KILO, Scales, force_text, heading, plain, stretch
from clampwright.words import Words, words

MOST_NUMBERED = 64
"""More pulls than this are drawn without a number at each."""


def pulls_chart(passes: Sequence[PassResult], *, title: Words, style: Style | None = None) -> Spec:
    """Draw the clamp load of every fastener after each pull.

    Parameters
    ----------
    passes : sequence of PassResult
        In turn, computed without scatter.
    title : Words
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification.

    Raises
    ------
    Missing
        There is no pass, or a pass keeps no history (it was computed with scatter).
    """
    style = style or Style()
    histories = [done.history for done in passes if done.history is not None]
    if not passes or len(histories) != len(passes):
        raise Missing(words("a chart of pulls needs passes without scatter"), "passes")
    loads = np.vstack([histories[0][:1], *(rows[1:] for rows in histories)]) / KILO
    pulled = [number for done in passes for number in done.order]
    ends = np.cumsum([0, *(len(done.order) for done in passes)])
    scales = Scales(
        x=words("pull"),
        x_high=1.04 * len(pulled),
        y_high=1.12 * max(float(loads.max()), *(_aim(done) for done in passes)),
        style=plain(style),
    )
    places = np.arange(len(loads), dtype=np.float64)
    layers = [
        stretch([(start, _aim(done)), (end, _aim(done))], scales, dash=[9, 5], width=1.8)
        for done, (start, end) in zip(passes, pairwise(ends.tolist()), strict=True)
    ]
    for line in loads.T:
        points = [*zip(places.tolist(), np.maximum(line, 0.0).tolist(), strict=True)]
        layers.append(stretch(points, scales, width=1.6, opacity=0.75))
    if len(pulled) <= MOST_NUMBERED:
        small = max(10, min(LETTERS, 640 // (len(pulled) + 1)))
        for place, number in enumerate(pulled, 1):
            load = float(loads[place, number - 1])
            layers += scales.text(place, load, str(number), dy=-12, fontSize=small)
    return scales.chart(heading(style.say(title), _pull_lines(passes, style), style), layers)


def _aim(done: PassResult) -> float:
    return float(done.target.max()) / KILO


def _pull_lines(passes: Sequence[PassResult], style: Style) -> list[str]:
    last = passes[-1].clamp
    lines = [
        words(
            "after the last pull {low} to {high}; the loosest is fastener {number}",
            low=force_text(float(last.min())),
            high=force_text(float(last.max())),
            number=int(last.argmin()) + 1,
        ),
        words("figure: the fastener pulled; broken line: what each pull aims at"),
    ]
    slack = np.flatnonzero(np.any([done.slack for done in passes], axis=0)) + 1
    if len(slack):
        numbers = ", ".join(str(number) for number in slack.tolist())
        lines.append(words("lost all clamp load on the way: {numbers}", numbers=numbers))
    return [style.say(one) for one in lines]
