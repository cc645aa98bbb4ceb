"""The verdict on a pull from its trace: within, short, over, doubtful, void or not known.

A verdict speaks about this pull against the limits given. It never says that a joint is safe.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from clampwright.trace.causes import causes
from clampwright.trace.causes import told as told_causes
from clampwright.trace.compare import by_limits
from clampwright.trace.features import Estimate, Features, features_of
from clampwright.trace.given import Given, yield_torque
from clampwright.trace.history import told
from clampwright.trace.likelihood import evidence_of, likelihoods
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Step, Trace
from clampwright.trace.patterns import TITLES, found
from clampwright.trace.remarks import remarks
from clampwright.trace.seen import Seen, seen
from clampwright.trace.strokes import Stroke
from clampwright.words import Words, words

VERDICTS = ("within", "short", "over", "doubtful", "void", "not known")

FAULTS: Mapping[str, str] = MappingProxyType(
    {
        "slip_off": "void",
        "stripped": "void",
        "necking": "void",
        "cross_thread": "void",
        "bottomed": "void",
        "galling": "void",
        "rehit": "doubtful",
        "stick_slip": "doubtful",
        "false_seat": "doubtful",
        "prevailing_high": "doubtful",
        "slope_out_of_band": "doubtful",
    }
)
"""Patterns that are faults, with the verdict each brings."""


_NO_CLAMP = frozenset(
    {"cross_thread", "bottomed", "stripped", "rehit", "galling", "false_seat", "slip_off"}
)
"""Patterns in which torque and slope no longer tell the clamp load."""
_NO_YIELD = frozenset({"stripped", "cross_thread", "rehit"})
"""Patterns in which a flat curve is no yield of the bolt."""


@dataclass(frozen=True, slots=True)
class TraceVerdict:
    """What a trace shows about a pull; None stands for "not determinable".

    Parameters
    ----------
    verdict : str
        One of `VERDICTS`.
    pattern : str
        What the curve looks like (see `clampwright.trace.patterns.PATTERNS`).
    fault : bool
        Whether something went wrong beside being short or over.
    reasons : tuple of Words
        Why, the deciding one first.
    final_torque : float or None
        Running torque at the end, N·m.
    turned_after_snug, turned_total : float or None
        What the fastener turned, degrees. A counter that adds up forward rotation under load says
        nothing about what turned below its own threshold: there the total, and every angle since
        the first sample, counts from where the counter began, and so does its uncertainty.
    snug_angle : float or None
        Where the snug torque was passed, degrees turned since the first sample.
    slope : float or None
        Elastic slope, N·m/deg.
    yielded : bool
    yield_angle, yield_clamp : float or None
        Where it yielded, degrees and N.
    clamp : float or None
        Clamp load at the end by slope and clamp rate, N.
    strokes : tuple of Stroke
    uncertainty : mapping of str to float
        Standard uncertainties of the values above, by their names in the JSON form.
    likelihoods : mapping of str to float
        How likely each pattern is; they add up to 1.
    causes : mapping of str to float
        Causes that would look the same, where torque and angle cannot tell them apart.
    steps : tuple of Step
        What was done to the data before.
    """

    verdict: str
    pattern: str
    fault: bool
    reasons: tuple[Words, ...]
    final_torque: float | None = None
    turned_after_snug: float | None = None
    turned_total: float | None = None
    snug_angle: float | None = None
    slope: float | None = None
    yielded: bool = False
    yield_angle: float | None = None
    yield_clamp: float | None = None
    clamp: float | None = None
    strokes: tuple[Stroke, ...] = ()
    uncertainty: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    likelihoods: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    causes: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    steps: tuple[Step, ...] = ()

    def as_json(self) -> dict[str, object]:
        """Return the verdict as plain data.

        Returns
        -------
        dict
            With units in the names; reasons and history as English text.
        """
        return {
            "verdict": self.verdict,
            "pattern": self.pattern,
            "fault": self.fault,
            "likelihoods": {name: round(p, 4) for name, p in self.likelihoods.items()},
            "causes": {name: round(p, 4) for name, p in self.causes.items()},
            "reasons": [str(reason) for reason in self.reasons],
            "snug_angle_deg": self.snug_angle,
            "turned_after_snug_deg": self.turned_after_snug,
            "turned_total_deg": self.turned_total,
            "final_torque_nm": self.final_torque,
            "slope_nm_per_deg": self.slope,
            "clamp_n": self.clamp,
            "yield": {
                "reached": self.yielded,
                "angle_deg": self.yield_angle,
                "clamp_n": self.yield_clamp,
            },
            "strokes": [
                {"t0_s": s.t0_s, "t1_s": s.t1_s, "turned_deg": s.turned_deg, "end": s.end}
                for s in self.strokes
            ],
            "uncertainty": dict(self.uncertainty),
            "history": [str(told(step)) for step in self.steps],
        }


def judge(trace: Trace, given: Given, priors: Mapping[str, float] | None = None) -> TraceVerdict:
    """Judge a pull from its trace.

    Parameters
    ----------
    trace : Trace
    given : Given
        Limits of the stage, what is expected of the joint, the tool.
    priors : mapping of str to float, optional
        How common each pattern is; the table in `clampwright.trace.likelihood` if not given.

    Returns
    -------
    TraceVerdict

    Examples
    --------
    >>> import numpy as np
    >>> angle = np.linspace(0.0, 40.0, 800)
    >>> trace = Trace(np.arange(800) / 200, 1.25 * angle, angle, "output")
    >>> given = Given(target_torque_Nm=50.0, torque_low=48.0, torque_high=52.0)
    >>> verdict = judge(trace, given)
    >>> verdict.verdict, verdict.pattern, round(verdict.final_torque, 1)
    ('within', 'normal', 50.0)
    """
    if given.angle_mode is not None and given.angle_mode != trace.angle_mode:
        trace = replace(trace, angle_mode=given.angle_mode)
    trace = as_tightening(trace, given)
    nothing = _nothing_to_see(trace)
    if nothing is not None:
        return TraceVerdict(
            "not known", "normal", fault=False, reasons=(nothing,), steps=trace.steps
        )
    return verdict_of(features_of(trace, given), given, trace.sample_rate, trace.steps, priors)


def verdict_of(
    features: Features,
    given: Given,
    sample_rate: float,
    steps: tuple[Step, ...] = (),
    priors: Mapping[str, float] | None = None,
) -> TraceVerdict:
    """Judge a pull from its features.

    Parameters
    ----------
    features : Features
    given : Given
    sample_rate : float
        Hz.
    steps : tuple of Step
        What was done to the data before.
    priors : mapping of str to float, optional
        As for `judge`.

    Returns
    -------
    TraceVerdict
    """
    it = seen(features, given, sample_rate)
    patterns = found(it)
    compared, limits_say = by_limits(it)
    pattern = patterns[0][0] if patterns else "normal"
    fault, heavier = _fault(it, pattern)
    reasons = [sentence for _, sentence in patterns]
    verdict = heavier or compared
    reasons = [*reasons, *limits_say] if heavier else [*limits_say, *reasons]
    reasons += remarks(it, compared)
    shares = likelihoods(pattern, evidence_of(it), priors)
    why = causes(pattern, it.slope_ratio) if fault or pattern != "plastic" else {}
    reasons += [*_also(pattern, shares), *told_causes(why)]
    answer = _verdict(
        features, verdict, pattern, fault=fault, reasons=reasons, steps=steps, given=given
    )
    return replace(answer, likelihoods=MappingProxyType(shares), causes=MappingProxyType(why))


def _also(pattern: str, shares: Mapping[str, float]) -> list[Words]:
    """Name the patterns that are likely too."""
    order = sorted(shares, key=lambda name: -shares[name])
    return [
        words("it may also be: {pattern}, {share:.0%}", pattern=TITLES[name], share=shares[name])
        for name in order
        if name != pattern and shares[name] >= limit("likely_too")
    ]


def _nothing_to_see(trace: Trace) -> Words | None:
    """Tell why nothing can be said about a trace, if so."""
    top, bottom = float(trace.torque.max()), float(trace.torque.min())
    if top <= 0 or top - bottom < 1e-9:
        return words(
            "the torque stays at {torque:.1f} N·m: there is no pull in this trace", torque=top
        )
    if bottom < -0.3 * top:
        return words(
            "the torque goes down to {torque:.1f} N·m: the fastener was loosened in this trace, or "
            "the sign is the wrong way round",
            torque=bottom,
        )
    if _work(trace) < -limit("backward_deg") * top:
        return words(
            "the angle runs backward while the torque is on: the fastener was loosened in this "
            "trace, or the sign of the angle is the wrong way round"
        )
    if len(trace) < 20:
        return words(
            "{count} samples are too few to judge a pull; at least 20 are needed", count=len(trace)
        )
    return _clipped(trace, top)


def _work(trace: Trace) -> float:
    """Work the wrench did, N·m·deg: what a fastener takes is never negative."""
    return float(np.trapezoid(trace.torque, trace.angle))


def as_tightening(trace: Trace, given: Given) -> Trace:
    """Give the pull of a left-hand thread the signs of a right-hand one, where it lacks them.

    Parameters
    ----------
    trace : Trace
    given : Given

    Returns
    -------
    Trace
        Torque and angle positive in the direction of tightening; its history says what was done.

    Examples
    --------
    >>> angle = np.linspace(0.0, 40.0, 800)
    >>> pull = Trace(np.arange(800) / 200, -1.25 * angle, -angle, "output")
    >>> float(as_tightening(pull, Given(direction="ccw")).torque.max())
    50.0
    """
    if given.direction != "ccw":
        return trace
    torque, angle = trace.torque, trace.angle
    if -float(torque.min()) > float(torque.max()):
        torque = -torque
    if float(np.trapezoid(torque, angle)) < 0.0:
        angle = -angle
    if torque is trace.torque and angle is trace.angle:
        return trace
    return trace.after(Step("turned round for a left-hand thread"), torque=torque, angle=angle)


def _clipped(trace: Trace, top: float) -> Words | None:
    """Tell whether the torque signal ran into the end of its range while turning."""
    at_top = np.flatnonzero(trace.torque >= top * (1.0 - 1e-12))
    run = max(np.split(at_top, np.flatnonzero(np.diff(at_top) > 1) + 1), key=len)
    if len(run) < limit("clipped_samples") or _coarse(trace.torque[: at_top[0]], top):
        return None
    way = float(np.ptp(trace.angle[run]))
    if way < limit("clipped_deg"):
        return None
    return words(
        "the torque stands at exactly {torque:.1f} N·m over {way:.0f}° of turning: the range of "
        "the sensor ends there, and what came after cannot be known",
        torque=top,
        way=way,
    )


def _coarse(torque: Floats, top: float) -> bool:
    """Tell whether the signal is rounded so coarsely that it may stand still on a plateau."""
    upper = torque[torque >= 0.5 * top]
    if len(upper) < 2:
        return True
    grid = np.diff(np.unique(upper.round(6)))
    repeats = float(np.mean(np.diff(upper) == 0.0))
    coarse = len(grid) == 0 or float(grid.min()) > limit("clipped_step") * top
    return coarse or repeats > limit("repeat_share")


def _fault(it: Seen, pattern: str) -> tuple[bool, str | None]:
    """Tell whether the pattern is a fault here, and the verdict it brings."""
    if pattern in FAULTS:
        return True, FAULTS[pattern]
    if pattern == "plastic" and _yield_unwanted(it):
        return True, "doubtful"
    return False, None


def _yield_unwanted(it: Seen) -> bool:
    """Yield in a torque stage, or at far less clamp load than the fastener should bear."""
    if it.given.procedure == "torque":
        return True
    bend, expected = it.features.yielded, it.given.nominal.combined_yield_clamp_N
    if bend is not None and bend.clamp is not None and expected is not None:
        return bend.clamp.value < limit("low_yield_ratio") * expected
    final, torque = it.features.final_torque, yield_torque(it.given)
    if final is None or torque is None:
        return False
    return final.value < limit("low_yield_ratio") * torque


def _verdict(
    features: Features,
    verdict: str,
    pattern: str,
    *,
    fault: bool,
    reasons: list[Words],
    steps: tuple[Step, ...],
    given: Given,
) -> TraceVerdict:
    f = features
    bend = None if pattern in _NO_YIELD else f.yielded
    yield_clamp = bend.clamp if bend else None
    clamp = _clamp(f, pattern, given)
    estimates = {
        "final_torque_nm": f.final_torque,
        "turned_after_snug_deg": f.after_snug,
        "turned_total_deg": f.total,
        "slope_nm_per_deg": f.slope,
        "clamp_n": clamp,
        "yield_clamp_n": yield_clamp,
    }
    u = {name: e.u for name, e in estimates.items() if e is not None}
    if f.u_snug_angle is not None:
        u["snug_angle_deg"] = f.u_snug_angle
    if bend is not None:
        u["yield_angle_deg"] = bend.u_angle
    return TraceVerdict(
        verdict=verdict,
        pattern=pattern,
        fault=fault,
        reasons=tuple(reasons),
        final_torque=_value(f.final_torque),
        turned_after_snug=_value(f.after_snug),
        turned_total=f.total.value,
        snug_angle=f.snug_angle,
        slope=_value(f.slope),
        yielded=bend is not None or pattern == "plastic",
        yield_angle=bend.angle if bend else None,
        yield_clamp=_value(yield_clamp),
        clamp=_value(clamp),
        strokes=f.turned.strokes,
        uncertainty=MappingProxyType(u),
        steps=steps,
    )


def _clamp(features: Features, pattern: str, given: Given) -> Estimate | None:
    """Clamp load at the end, by the relation that holds for what was seen; else not determinable.

    Slope and clamp rate need a joint as stiff as expected; a soft one is left to the nut factor.
    """
    if pattern in _NO_CLAMP:
        return None
    final, K, d = features.final_torque, given.nominal.K, given.d_mm
    if pattern != "soft_joint" or features.yielded is not None:
        return features.clamp
    if final is None or not K or not d:
        return None
    value = 1000.0 * (final.value - (features.running_torque or 0.0)) / (K * d)
    return Estimate(value, limit("nut_factor_u_rel") * abs(value))


def _value(estimate: Estimate | None) -> float | None:
    return None if estimate is None else estimate.value
