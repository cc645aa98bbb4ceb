"""The recorded pulls of one stage over one another: who differs from the others is seen at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.report.axes import Axes, Spec, Style, line
from clampwright.report.charts import limit_layers
from clampwright.report.marked import Marked
from clampwright.trace.curve import Curve, curve_of
from clampwright.trace.model import Trace
from clampwright.trace.strokes import turned
from clampwright.words import words

BEFORE_SNUG = 25.0
"""How much of the way before snug is shown, degrees."""
_POINTS = 200


@dataclass(frozen=True, slots=True)
class Recorded:
    """One recorded pull among others.

    Parameters
    ----------
    label : str
        Its fastener.
    trace : Trace
    marked : Marked
    stiffness : float or None
        Of the tool, N·m/deg.
    held : float
        Torque the fastener held before, N·m.
    """

    label: str
    trace: Trace
    marked: Marked
    stiffness: float | None = None
    held: float = 0.0

    @property
    def snug(self) -> float:
        """Where counting began, degrees since the first sample."""
        return self.marked.snug_angle or 0.0

    def curve(self) -> Curve:
        """Return running torque over the fastener's angle."""
        return curve_of(self.trace, turned(self.trace, self.stiffness, self.held))


def overlay_chart(pulls: Sequence[Recorded], *, style: Style | None = None) -> Spec:
    """Draw several pulls over the angle after snug.

    Parameters
    ----------
    pulls : sequence of Recorded
        At least one; limits are taken from the first.
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification. A pull that is not within is drawn broken and named at its end.
    """
    style = style or Style()
    curves = [(pull, pull.curve()) for pull in pulls]
    drawn = [(pull, curve.angle - pull.snug, curve) for pull, curve in curves if len(curve)]
    first = pulls[0].marked
    axes = Axes(
        x=words("angle after snug, degrees"),
        x_low=max(min([x[0] for _, x, _ in drawn] + [0.0]), -BEFORE_SNUG),
        x_high=1.12 * max([x[-1] for _, x, _ in drawn] + [_high(first, "angle"), 1.0]),
        y_high=1.12
        * style.size
        * max([c.torque.max() for _, _, c in drawn] + [_high(first, "torque"), 0.0]),
        style=style,
    )
    layers = limit_layers(first, axes, snug=0.0)
    for pull, x, curve in drawn:
        seen = x >= axes.x_low
        within = pull.marked.verdict == "within"
        dash = None if within else [10, 5]
        layers += line(
            x[seen], curve.torque[seen], axes, width=1.6 if within else 3.0, dash=dash, most=_POINTS
        )
    for pull, x, curve in drawn:
        layers += _end(pull, float(x[-1]), float(curve.torque[-1]), axes)
    return axes.chart(None, layers)


def _high(marked: Marked, quantity: str) -> float:
    return (marked.high or 0.0) if marked.quantity == quantity else 0.0


def _end(pull: Recorded, x: float, torque: float, axes: Axes) -> list[Spec]:
    if pull.marked.verdict == "within":
        return [axes.point(x, torque, "circle", filled=True, size=70)]
    return [
        axes.point(x, torque, "cross", filled=True),
        *axes.text(x, torque, pull.label, align="left", dx=12, dy=12, fontWeight="bold"),
    ]
