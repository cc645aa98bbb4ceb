"""Charts of the clamp load to expect of a plan, as Vega-Lite specifications.

Everything is told by place, line and word; grey only sets fields apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

import numpy as np

from clampwright.errors import Missing
from clampwright.joint.band import ClampBand, clamp_bands
from clampwright.joint.curve import curve
from clampwright.joint.friction_range import friction_range
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step
from clampwright.joint.way import N_MM, Leg, Way, way_of
from clampwright.report.axes import Spec, Style
from clampwright.report.clamp_axes import (
    KILO,
    Scales,
    area,
    bar,
    force_text,
    heading,
    plain,
    stretch,
)
from clampwright.standards import FrictionCondition
from clampwright.trace.model import Floats
from clampwright.words import Words, words
from clampwright.work.describe import describe
from clampwright.work.plan import JointPlan, StagePlan

Show = Literal["fan", "curve", "contributions"]
SHOWS: tuple[Show, ...] = ("curve", "fan", "contributions")

CHART_TITLES: Mapping[Show, Words] = MappingProxyType(
    {
        "curve": words(
            "Torque over angle, stage by stage; grey: friction alone, 5 to 95 %. The thin line "
            "through each end joins little, middle and much friction."
        ),
        "fan": words(
            "Clamp load over torque; grey: friction alone, 5 to 95 %. Each bar: the whole band of "
            "a stage, wrench and all."
        ),
        "contributions": words(
            "What widens the band of the last stage; each bar: this alone varies."
        ),
    }
)
"""What each chart shows, for where it stands without a heading; in the order they are shown."""

_BEYOND = 1.2
"""How far past the last figure the scales go."""
_GRID = 13


def plan_chart(planned: JointPlan, show: Show, *, style: Style | None = None) -> Spec:
    """Draw what a plan makes of one joint.

    Parameters
    ----------
    planned : JointPlan
    show : {"fan", "curve", "contributions"}
        Clamp load over torque with its friction band; torque over angle with the stages; or what
        widens the band of the last stage.
    style : Style, optional
        Its unit is that of torque.

    Returns
    -------
    dict
        A Vega-Lite specification.

    Raises
    ------
    Missing
        What the chart needs is not in the job.
    """
    return _CHARTS[show](planned, style or Style())


def fan_chart(planned: JointPlan, style: Style) -> Spec:
    """Draw clamp load over torque, with the band that friction makes; see `plan_chart`."""
    fastening, friction, stages = _known(planned)
    aims = [stage for stage in stages if stage.clamp and stage.clamp.step.kind == "torque"]
    if not aims:
        raise Missing(
            words("{joint}: no stage goes to a torque", joint=planned.joint.title), "procedure"
        )
    reach = _fan_reach(fastening, friction, aims)
    torque = np.linspace(fastening.prevailing_torque, reach, _GRID)[1:]
    bands = clamp_bands(
        fastening,
        [Step("torque", value) for value in torque.tolist()],
        friction=(friction.low, friction.high),
        torque_u_rel=0.0,
    )
    rows = np.array([(0.0, 0.0, 0.0), *((b.p05, b.nominal, b.p95) for b in bands)]) / KILO
    across = np.concatenate([[fastening.prevailing_torque], torque]) * style.size
    scales = Scales(
        x=words("torque, {unit}", unit=style.unit),
        x_high=1.3 * float(across[-1]),
        y_high=1.08 * float(rows.max()),
        style=plain(style),
    )
    lines = [*_stage_lines(aims, style), style.say(_grey(friction))]
    return scales.chart(
        heading(planned.joint.title, lines, style),
        [
            area(across, rows[:, 0], rows[:, 2], scales),
            stretch([*zip(across.tolist(), rows[:, 1].tolist(), strict=True)], scales, width=3),
            *_edge_words(across, rows, scales),
            *_yield_layers(fastening, friction, float(across[-1]), style, scales),
            *(layer for group in _by_torque(aims) for layer in _aim_layers(group, style, scales)),
        ],
    )


def curve_chart(planned: JointPlan, style: Style) -> Spec:
    """Draw torque over angle with the stages, yield and bands; see `plan_chart`."""
    fastening, friction, stages = _known(planned)
    steps = [stage.clamp.step for stage in stages if stage.clamp]
    try:
        way = way_of(fastening, steps, (friction.low, friction.high))
    except Missing as lacking:
        raise Missing(
            words("{joint}: {problem}", joint=planned.joint.title, problem=lacking.message),
            lacking.needed,
        ) from lacking
    size = style.size
    highest = max(torque for leg in way.legs for _angle, torque in (*leg.points, *leg.ends))
    scales = Scales(
        x=words("angle from first contact, degrees"),
        x_high=1.12 * float(way.angle[-1]),
        y_high=1.15 * highest * size,
        style=plain(style),
        y=words("torque, {unit}", unit=style.unit),
    )
    lines = [*_stage_lines(stages, style), style.say(_grey(friction))]
    return scales.chart(
        heading(planned.joint.title, lines, style),
        [
            area(way.angle, way.low * size, way.high * size, scales),
            *(_leg_layer(leg, size, scales) for leg in way.legs),
            *(_ends_layer(leg, size, scales) for leg in way.legs if not leg.back),
            *_onset_layers(way, size, scales),
            *_stage_marks(way, stages, size, scales),
        ],
    )


def contributions_chart(planned: JointPlan, style: Style) -> Spec:
    """Draw what widens the band of the last stage, largest first; see `plan_chart`."""
    _fastening, _friction, stages = _known(planned)
    last = _last(stages)
    if last is None or last.clamp is None:
        raise Missing(
            words("{joint}: no stage leaves a clamp load", joint=planned.joint.title), "procedure"
        )
    parts = last.clamp.contributions
    whole = sum(part.u**2 for part in parts)
    scales = Scales(
        x=words("standard uncertainty of the clamp load, kN"),
        x_high=1.1 * parts[0].u / KILO,
        y_high=float(len(parts)),
        style=plain(style),
        figures=False,
    )
    layers: list[Spec] = []
    for place, part in enumerate(parts):
        y = len(parts) - place - 0.72
        said = words(
            "{what}: {force}, {share} of the variance",
            what=part.title,
            force=force_text(part.u),
            share=_share(part.u**2 / whole),
        )
        layers += [
            bar(y, part.u / KILO, scales),
            *scales.text(0.0, y + 0.24, style.say(said), align="left", baseline="bottom", dx=4),
        ]
    lines = [*_stage_lines([last], style), style.say(words("Each bar: this alone varies."))]
    return scales.chart(heading(planned.joint.title, lines, style), layers)


_CHARTS = MappingProxyType(
    {"fan": fan_chart, "curve": curve_chart, "contributions": contributions_chart}
)


def _share(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.01 else "< 1 %"


def charts_of(planned: JointPlan, *, style: Style | None = None) -> Mapping[Show, Spec]:
    """Return the charts that a joint has enough data for.

    Parameters
    ----------
    planned : JointPlan
    style : Style, optional

    Returns
    -------
    mapping of str to dict
        Empty where no clamp load is computed.
    """
    found: dict[Show, Spec] = {}
    for show in SHOWS:
        try:
            found[show] = plan_chart(planned, show, style=style)
        except Missing:
            continue  # the joint's page says what was computed; a chart has nothing to add
    return found


def last_band(planned: JointPlan) -> ClampBand | None:
    """Return the band of the last stage that leaves a clamp load; None where there is none."""
    last = _last(planned.stages)
    return last.clamp if last else None


def _last(stages: Sequence[StagePlan]) -> StagePlan | None:
    return next((s for s in reversed(stages) if s.clamp and s.clamp.contributions), None)


def unit_of(planned: JointPlan) -> str:
    """Return the unit of torque that a joint's procedure uses."""
    stages = (one.stage for one in planned.stages)
    return next((s.unit for s in stages if s.kind == "torque" and s.unit), "N·m")


def _known(
    planned: JointPlan,
) -> tuple[Fastening, FrictionCondition, tuple[StagePlan, ...]]:
    """Return what the charts need of a joint, or say what is not there."""
    joint = planned.joint
    stages = tuple(stage for stage in planned.stages if stage.clamp is not None)
    if joint.kind != "bolted":
        raise Missing(
            words("{joint}: no clamp load is computed for such a joint", joint=joint.title), "kind"
        )
    if joint.fastening is None:
        raise Missing(
            words("{joint}: a clamp load needs thread and bearing face", joint=joint.title),
            "thread",
        )
    if joint.friction is None:
        raise Missing(
            words(
                "{joint}: a clamp load needs the condition of threads and faces (friction)",
                joint=joint.title,
            ),
            "friction",
        )
    if not stages:
        raise Missing(
            words("{joint}: no stage has a clamp load to compute", joint=joint.title), "procedure"
        )
    return joint.fastening, joint.friction, stages


def _grey(friction: FrictionCondition) -> Words:
    return words(
        "grey: friction alone, 5 to 95 % ({condition}, {low:g} to {high:g})",
        condition=friction.title,
        low=friction.low,
        high=friction.high,
    )


def _stage_lines(stages: Sequence[StagePlan], style: Style) -> list[str]:
    """Tell each stage with its clamp load."""
    return [style.say(_stage_line(s, s.clamp)) for s in stages if s.clamp is not None]


def _stage_line(stage: StagePlan, band: ClampBand) -> Words:
    if band.p95 == 0.0:
        return words("{number}: {what}: loose", number=stage.number, what=describe(stage.stage))
    return words(
        "{number}: {what}: {low:.1f} to {high:.1f} kN",
        number=stage.number,
        what=describe(stage.stage),
        low=band.p05 / KILO,
        high=band.p95 / KILO,
    )


def _edge_words(across: Floats, rows: Floats, scales: Scales) -> list[Spec]:
    found = []
    for column, said in ((2, words("little friction")), (0, words("much friction"))):
        text = scales.style.say(said)
        found += scales.text(float(across[-1]), float(rows[-1, column]), text, align="left", dx=8)
    return found


def _yield_layers(
    fastening: Fastening, friction: FrictionCondition, reach: float, style: Style, scales: Scales
) -> list[Spec]:
    """Draw where the fastener begins to yield, from little friction to much."""
    if fastening.yield_stress is None:
        return []
    mu = friction_range((friction.low, friction.high)).at(np.linspace(-1.96, 1.96, 25))
    line = curve(fastening, mu_thread=mu, mu_bearing=mu)
    torque = (line.yield_clamp * line.arm / N_MM + fastening.prevailing_torque) * style.size
    shown = torque <= reach
    if shown.sum() < 2:
        return []
    points = [*zip(torque[shown].tolist(), (line.yield_clamp[shown] / KILO).tolist(), strict=True)]
    said = style.say(words("yield begins"))
    return [
        stretch(points, scales, dash=[9, 5], width=1.8),
        *scales.text(*points[0], said, align="right", dx=-8, dy=-10),
    ]


def _fan_reach(
    fastening: Fastening, friction: FrictionCondition, aims: Sequence[StagePlan]
) -> float:
    """Return the torque up to which a fan is drawn: to yield where that is not far, N·m."""
    top = max(stage.clamp.step.value or 0.0 for stage in aims if stage.clamp)
    if fastening.yield_stress is None:
        return _BEYOND * top
    mu = friction_range((friction.low, friction.high)).median
    line = curve(fastening, mu_thread=mu, mu_bearing=mu)
    onset = float(line.yield_clamp * line.arm) / N_MM + fastening.prevailing_torque
    return max(_BEYOND * top, min(_BEYOND * onset, 2.0 * top))


def _by_torque(aims: Sequence[StagePlan]) -> list[list[StagePlan]]:
    """Put together the stages that go to one torque with one band."""
    groups: dict[tuple[float | None, float], list[StagePlan]] = {}
    for stage in aims:
        if stage.clamp is not None:
            groups.setdefault((stage.clamp.step.value, stage.clamp.p95), []).append(stage)
    return list(groups.values())


def _aim_layers(group: Sequence[StagePlan], style: Style, scales: Scales) -> list[Spec]:
    """Draw the whole band of stages, wrench and all, at their torque."""
    band = group[0].clamp
    if band is None:
        return []
    numbers = ", ".join(str(stage.number) for stage in group)
    at = (band.step.value or 0.0) * style.size
    return [
        stretch([(at, band.p05 / KILO), (at, band.p95 / KILO)], scales, width=3.5),
        scales.point(at, band.nominal / KILO, "circle", filled=False),
        *(
            scales.point(at, end / KILO, "stroke", filled=True, size=260)
            for end in (band.p05, band.p95)
        ),
        *scales.text(at, band.p95 / KILO, numbers, dy=-14, dx=-8, align="right", fontWeight="bold"),
    ]


def _leg_layer(leg: Leg, size: float, scales: Scales) -> Spec:
    points = [(angle, torque * size) for angle, torque in leg.points]
    return stretch(points, scales, width=2 if leg.back else 3.2, dash=[3, 4] if leg.back else None)


def _ends_layer(leg: Leg, size: float, scales: Scales) -> Spec:
    """Join where a stage ends at little, median and much friction."""
    points = [(angle, torque * size) for angle, torque in leg.ends]
    return stretch(points, scales, width=1.6, opacity=0.8)


def _onset_layers(way: Way, size: float, scales: Scales) -> list[Spec]:
    angle, torque = way.yield_at
    if angle > float(way.angle[-1]):
        return []
    said = scales.style.say(words("yield begins"))
    return [
        scales.point(angle, torque * size, "triangle-down", filled=False),
        *scales.text(angle, torque * size, said, align="left", dx=12, dy=22),
    ]


def _stage_marks(way: Way, stages: Sequence[StagePlan], size: float, scales: Scales) -> list[Spec]:
    """Mark the end of each stage with its number; stages that end at one place share a mark."""
    ends: list[tuple[float, float, list[str]]] = []
    for leg, stage in zip(way.legs, stages, strict=True):
        angle, torque = leg.points[-1]
        for x, y, numbers in ends:
            close = (
                abs(x - angle) < 0.03 * scales.x_high,
                abs(y - torque * size) < (0.04 * scales.y_high),
            )
            if all(close):
                numbers.append(str(stage.number))
                break
        else:
            ends.append((angle, torque * size, [str(stage.number)]))
    layers: list[Spec] = []
    for x, y, numbers in ends:
        text = ", ".join(numbers)
        low = y < 0.08 * scales.y_high
        layers += [
            scales.point(x, y, "circle", filled=True, size=110),
            *scales.text(
                x,
                y,
                text,
                align="left" if low else "right",
                dx=10 if low else -10,
                dy=-14,
                fontWeight="bold",
            ),
        ]
    return layers
