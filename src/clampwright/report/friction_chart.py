"""Chart of a torque-tension test: the points of every fastener and the line through them."""

from __future__ import annotations

from collections.abc import Sequence

from clampwright.report.axes import LETTERS, Spec, Style, rounded
from clampwright.report.clamp_axes import CLAMP, KILO, Scales, heading, plain, stretch
from clampwright.words import Words, words
from clampwright.work.friction_study import FrictionStudy, Points

SHAPES = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down")
"""One after the other for the fasteners; the name stands at the end of each line."""


def friction_chart(
    study: FrictionStudy, lines: Sequence[Words], *, style: Style | None = None
) -> Spec:
    """Draw torque over clamp load with the fitted lines.

    Parameters
    ----------
    study : FrictionStudy
    lines : sequence of Words
        What came out, for the heading.
    style : Style, optional
        Its unit is that of torque.

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    style = style or Style()
    size = style.size
    reach = max(float(one.clamp.max()) for one in study.points) / KILO
    top = max(float(one.torque.max()) for one in study.points) * size
    scales = Scales(
        x=CLAMP,
        x_high=1.18 * reach,
        y_high=1.12 * top,
        style=plain(style),
        y=words("torque, {unit}", unit=style.unit),
    )
    layers: list[Spec] = []
    for place, (points, test) in enumerate(zip(study.points, study.tests, strict=True)):
        end = float(points.clamp.max())
        across = [(load / KILO, (test.line.intercept + test.line.slope * load) * size)
                  for load in (0.0, end)]  # fmt: skip
        layers.append(_points(points, SHAPES[place % len(SHAPES)], size, scales))
        dash = None if test.straight else [9, 5]
        layers.append(stretch(across, scales, width=2, dash=dash))
        if points.name:
            layers += scales.text(
                *across[1], points.name, align="left", dx=12, fontSize=LETTERS - 3
            )
    title = style.say(words("Torque-tension test"))
    return scales.chart(heading(title, [style.say(line) for line in lines], style), layers)


def _points(points: Points, shape: str, size: float, scales: Scales) -> Spec:
    look = scales.style.look
    values = [
        {"x": rounded(load / KILO), "y": rounded(torque * size)}
        for load, torque in zip(points.clamp.tolist(), points.torque.tolist(), strict=True)
    ]
    mark = {"type": "point", "shape": shape, "size": 90, "fill": look.ground, "stroke": look.ink,
            "strokeWidth": 2, "opacity": 1}  # fmt: skip
    return {"data": {"values": values}, "mark": mark, "encoding": scales.encoding()}
