"""One rule for each way a pull can look; the criteria stand in the table of limits.

Each rule answers with a sentence that has the numbers in it, or with None. Torque and angle alone
cannot always tell causes apart; the sentence then says what else it may be.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from clampwright.trace.given import Given, expected_rate, yield_torque
from clampwright.trace.limits import limit
from clampwright.trace.seen import Seen
from clampwright.words import Words, words

PATTERNS = (
    "normal",
    "pause",
    "soft_joint",
    "plastic",
    "cross_thread",
    "false_seat",
    "bottomed",
    "stick_slip",
    "stripped",
    "necking",
    "prevailing_high",
    "slope_out_of_band",
    "rehit",
    "slip_off",
    "galling",
)

TITLES: Mapping[str, Words] = MappingProxyType(
    {
        "normal": words("an ordinary pull"),
        "pause": words("an ordinary pull with a rest"),
        "soft_joint": words("a soft joint"),
        "plastic": words("a yielded fastener"),
        "cross_thread": words("a thread that cuts across"),
        "false_seat": words("a gap pulled shut"),
        "bottomed": words("a bolt on the bottom of its hole"),
        "stick_slip": words("sticking and slipping"),
        "stripped": words("a stripped thread"),
        "necking": words("a bolt drawn thin"),
        "prevailing_high": words("a fastener that turns hard before the seat"),
        "slope_out_of_band": words("a slope out of the ordinary"),
        "rehit": words("a fastener that was tight before"),
        "slip_off": words("a socket that slipped off"),
        "galling": words("galling"),
    }
)
"""What each pattern is called."""

Rule = Callable[[Seen], Words | None]


def slip_off(it: Seen) -> Words | None:
    """See whether the torque is gone at once while the handle runs on."""
    if not it.features.turned.slips:
        return None
    lost = next(s for s in it.features.turned.strokes if s.end == "slipped")
    return words(
        "the socket slipped off: {torque:.1f} N·m were lost at once while the handle ran on",
        torque=lost.torque_end,
    )


def stripped(it: Seen) -> Words | None:
    """See whether the torque falls while turning and does not come back."""
    f = it.features
    if f.drop < limit("strip_drop") or f.drop_way < limit("strip_turn_deg"):
        return None
    if f.last_torque > (1.0 - limit("strip_drop")) * f.top_torque:
        return None
    if _fall_per_degree(it) < limit("strip_rate"):
        return None
    return words(
        "the thread has stripped: the torque fell from {top:.1f} to {end:.1f} N·m over the last "
        "{way:.0f}° of turning",
        top=f.top_torque,
        end=f.last_torque,
        way=f.drop_way,
    )


def _fall_per_degree(it: Seen) -> float:
    f = it.features
    return f.drop / f.drop_way if f.drop_way > 0 else 0.0


def rehit(it: Seen) -> Words | None:
    """See whether the torque came without turning: the fastener was tight before."""
    f, after = it.features, it.features.after_snug
    if it.target is None or after is None or it.given.procedure != "torque":
        return None
    if f.peak_torque < 0.8 * it.target:
        return None
    if f.total.value > limit("rehit_total_deg"):
        return None
    if it.angle_expected is None:
        most = limit("rehit_angle_deg")
    else:
        least = max(limit("rehit_angle_deg"), limit("rehit_angle_share") * it.angle_expected)
        most = min(limit("rehit_angle_ratio") * it.angle_expected, least)
    if after.value >= most or (it.angle_expected or most) < 2.0:
        return None
    return words(
        "the fastener was tight already: {torque:.1f} N·m came with {angle:.1f}° of turning; this "
        "pull shows nothing about it",
        torque=f.peak_torque,
        angle=max(after.value, 0.0),
    )


def cross_thread(it: Seen) -> Words | None:
    """See whether the torque climbs slowly and roughly over a long way."""
    f = it.features
    if it.target is None or it.slope_ratio is None or it.slope_ratio > limit("soft_slope_ratio"):
        return None
    if it.given.previous_torque_Nm:
        return None  # it had gone in straight before
    way = f.way_above
    expected = it.angle_expected or 0.0
    long = way > 180.0 + expected and (it.angle_ratio or 0) > limit("cross_thread_angle_ratio")
    rough = f.curve.roughness > limit("cross_thread_roughness") and way > 90.0 + expected
    if f.yielded is not None or not (long or rough):
        return None
    return words(
        "the thread seems to cut across: the torque climbed over {way:.0f}° with {ratio:.0%} of "
        "the expected slope; stop, take the fastener out and look at the thread",
        way=way,
        ratio=it.slope_ratio,
    )


def galling(it: Seen) -> Words | None:
    """See whether the slope keeps growing above the expected one."""
    f, rate = it.features, expected_rate(it.given)
    if f.late_slope is None or f.early_slope is None or rate is None or f.yielded is not None:
        return None
    grown = f.late_slope / max(f.early_slope, 1e-9)
    steep = f.early_slope > limit("bottomed_slope_ratio") * rate
    least = limit("galling_steep_ratio") if steep else limit("galling_ratio")
    if grown < least or f.late_slope < limit("galling_ratio") * rate:
        return None
    if f.early_slope < limit("soft_slope_ratio") * rate:
        return None
    return words(
        "friction grew while turning (slope {late:.2f} N·m/° at the end, {early:.2f} at first): "
        "galling; stop at once",
        late=f.late_slope,
        early=f.early_slope,
    )


def bottomed(it: Seen) -> Words | None:
    """See whether the curve is steep and short."""
    ratio, angle = it.slope_ratio, it.angle_ratio
    _, room = _friction_room(it.given)
    if ratio is None or angle is None or ratio < limit("bottomed_slope_ratio") * room:
        return None
    if it.given.procedure == "torque" and angle > limit("bottomed_angle_ratio"):
        return None
    return words(
        "the torque rose {ratio:.1f} times as steeply as expected: the bolt stands on the bottom "
        "of its hole or is too long, and does not clamp",
        ratio=ratio,
    )


def necking(it: Seen) -> Words | None:
    """See whether the torque falls slowly after yield."""
    f = it.features
    if f.yielded is None or f.slope is None or f.end_slope is None:
        return None
    if f.end_slope > limit("necking_slope_ratio") * f.slope.value or f.drop_way < 15.0:
        return None
    if f.drop < limit("necking_drop"):
        return None
    return words(
        "the bolt is being drawn thin: past yield the torque falls by {slope:.2f} N·m per degree",
        slope=-f.end_slope,
    )


def stick_slip(it: Seen) -> Words | None:
    """See whether the torque swings about its own course."""
    rough = it.features.curve.roughness
    if rough < limit("stick_slip_share"):
        return None
    return words(
        "the fastener sticks and slips: the torque swings by ±{share:.0%} about its course; clean "
        "and lubricate as the maker says",
        share=rough,
    )


def false_seat(it: Seen) -> Words | None:
    """See whether a gap was pulled shut first."""
    f, rate = it.features, expected_rate(it.given)
    if f.early_slope is None or f.late_slope is None or f.yielded is not None:
        return None
    grown = f.late_slope / max(f.early_slope, 1e-9)
    if grown < limit("false_seat_ratio"):
        return None
    if rate is not None and not _first_soft_then_hard(f.early_slope, f.late_slope, rate):
        return None
    if f.running_torque is not None and f.running_torque > 0.7 * f.snug_torque:
        return None  # the snug torque lies below what it takes to turn at all
    return words(
        "the slope grew from {early:.2f} to {late:.2f} N·m/° after snug: parts came together late "
        "(dirt, a burr, a gap)",
        early=f.early_slope,
        late=f.late_slope,
    )


def _first_soft_then_hard(early: float, late: float, rate: float) -> bool:
    """Tell a gap from a curve that is steep, or flat, all along."""
    middle = limit("soft_slope_ratio") * rate
    return early <= middle <= late


def prevailing_high(it: Seen) -> Words | None:
    """See whether it turned hard before the seat."""
    running = it.features.running_torque
    if running is None or it.target is None or running < limit("prevailing_share") * it.target:
        return None
    return words(
        "it took {running:.1f} N·m to turn before the seat: {share:.0%} of the target makes no "
        "clamp load",
        running=running,
        share=running / it.target,
    )


def plastic(it: Seen) -> Words | None:
    """See whether the curve flattened for good."""
    bend = it.features.yielded
    if bend is None:
        return _on_the_plateau(it)
    if bend.clamp is not None:
        return words(
            "the fastener yielded at {torque:.1f} N·m, about {clamp:.1f} kN",
            torque=bend.torque,
            clamp=bend.clamp.value / 1000.0,
        )
    return words("the fastener yielded at {torque:.1f} N·m", torque=bend.torque)


def _on_the_plateau(it: Seen) -> Words | None:
    """See whether it yielded in an earlier stage, so that no elastic part is left to see."""
    f, rate, expected = it.features, expected_rate(it.given), yield_torque(it.given)
    if not it.given.previous_torque_Nm or rate is None or expected is None:
        return None
    if f.end_slope is None or f.final_torque is None:
        return None
    flat = f.end_slope < limit("plateau_slope_ratio") * rate
    if not flat or f.final_torque.value < limit("plateau_least") * expected:
        return None
    return words(
        "the fastener stretched for good while it was turned: {torque:.1f} N·m, rising by only "
        "{slope:.2f} N·m/°",
        torque=f.final_torque.value,
        slope=f.end_slope,
    )


def soft_joint(it: Seen) -> Words | None:
    """See whether the curve is straight, but far less steep than expected."""
    ratio = it.slope_ratio
    room, _ = _friction_room(it.given)
    if ratio is None or ratio > limit("soft_slope_ratio") * room or it.features.yielded is not None:
        return None
    return words(
        "the joint is soft: the torque rose with {ratio:.0%} of the expected slope (a gasket, "
        "paint, or a part of another kind)",
        ratio=ratio,
    )


def slope_out_of_band(it: Seen) -> Words | None:
    """See whether the slope is out of the ordinary; the cause cannot be told."""
    ratio = it.slope_ratio
    if ratio is None:
        return None
    low, high = _friction_room(it.given)
    if limit("band_low") * low <= ratio <= limit("band_high") * high:
        return None
    return words(
        "the torque rose with {ratio:.0%} of the expected slope: a missing washer, a wrong part or "
        "other friction; torque and angle cannot tell which",
        ratio=ratio,
    )


def _friction_room(given: Given) -> tuple[float, float]:
    """Return what the stated friction allows of the expected slope, as shares of it."""
    rate, nominal = expected_rate(given), given.nominal
    if not rate:
        return 1.0, 1.0
    low, high = nominal.torque_rate_low_Nm_per_deg, nominal.torque_rate_high_Nm_per_deg
    return min(1.0, (low or rate) / rate), max(1.0, (high or rate) / rate)


def pause(it: Seen) -> Words | None:
    """See whether the hand rested under load."""
    if not it.features.turned.pauses:
        return None
    return words("rests under load: {count}", count=len(it.features.turned.pauses))


RULES: tuple[tuple[str, Rule], ...] = (
    ("slip_off", slip_off),
    ("stripped", stripped),
    ("rehit", rehit),
    ("cross_thread", cross_thread),
    ("stick_slip", stick_slip),
    ("galling", galling),
    ("bottomed", bottomed),
    ("necking", necking),
    ("false_seat", false_seat),
    ("prevailing_high", prevailing_high),
    ("plastic", plastic),
    ("soft_joint", soft_joint),
    ("slope_out_of_band", slope_out_of_band),
    ("pause", pause),
)
"""The rules in the order in which the worse one speaks first."""

_EXPLAIN_SLOPE = frozenset(
    {"stripped", "rehit", "cross_thread", "galling", "bottomed", "false_seat", "soft_joint"}
)
"""Patterns that say already why the slope is what it is."""


def found(it: Seen) -> list[tuple[str, Words]]:
    """Return every pattern that fits, the one that decides first.

    Parameters
    ----------
    it : Seen

    Returns
    -------
    list of (str, Words)
        Empty for a normal pull.
    """
    answers = ((name, rule(it)) for name, rule in RULES)
    fits = [(name, sentence) for name, sentence in answers if sentence is not None]
    if any(name in _EXPLAIN_SLOPE for name, _ in fits):
        fits = [fit for fit in fits if fit[0] != "slope_out_of_band"]
    return fits
