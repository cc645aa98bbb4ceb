"""Limits learnt from a joint's own good pulls, and the fasteners of one joint as a set.

What is ordinary for a joint is best told by the joint: once there are ten good pulls of the same
fastening, median and robust spread of slope, angle, torque and running torque say what the next one
should look like. Until then the table of limits holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from clampwright.errors import Missing
from clampwright.joint.outlier_limits import modified_z_limit
from clampwright.joint.outliers import modified_z
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats
from clampwright.trace.verdict import TraceVerdict
from clampwright.words import Words, words

_FEATURES = ("slope", "turned_after_snug", "final_torque", "clamp")
_TITLES: Mapping[str, Words] = MappingProxyType(
    {
        "slope": words("the slope, N·m per degree"),
        "turned_after_snug": words("the rotation after snug, degrees"),
        "final_torque": words("the torque at the end, N·m"),
        "clamp": words("the clamp load by slope and stiffness, N"),
    }
)


@dataclass(frozen=True, slots=True)
class Ordinary:
    """What is ordinary for one feature.

    Parameters
    ----------
    middle : float
        Median of the good pulls.
    low, high : float
        Middle less and plus 3.5 robust standard deviations.
    count : int
        Good pulls it was learnt from.
    """

    middle: float
    low: float
    high: float
    count: int


@dataclass(frozen=True, slots=True)
class Learned:
    """What is ordinary for one fastening.

    Parameters
    ----------
    features : mapping of str to Ordinary
        ``slope`` (N·m/deg), ``turned_after_snug`` (degrees), ``final_torque`` (N·m), ``clamp`` (N);
        those that were determinable in enough pulls.
    """

    features: Mapping[str, Ordinary]

    def unusual(self, verdict: TraceVerdict) -> list[Words]:
        """Say what of a pull lies outside what is ordinary here.

        Parameters
        ----------
        verdict : TraceVerdict

        Returns
        -------
        list of Words
            Empty for an ordinary pull.
        """
        says = []
        for name, ordinary in self.features.items():
            value = getattr(verdict, name)
            if value is not None and not ordinary.low <= value <= ordinary.high:
                says.append(
                    words(
                        "{what}, {value:.4g}, is unusual here: {count} good pulls lay between "
                        "{low:.4g} and {high:.4g}",
                        what=_TITLES[name],
                        value=value,
                        count=ordinary.count,
                        low=ordinary.low,
                        high=ordinary.high,
                    )
                )
        return says


def learned(verdicts: Iterable[TraceVerdict]) -> Learned:
    """Learn what is ordinary from pulls of the same fastening and stage.

    Parameters
    ----------
    verdicts : iterable of TraceVerdict
        Only those ``within`` and without fault count.

    Returns
    -------
    Learned

    Raises
    ------
    Missing
        With fewer than ten good pulls.

    Notes
    -----
    Median ± 3.5 robust standard deviations (1.4826 times the median distance from the median). The
    spread is taken at least as large as the uncertainty that the pulls themselves state, so that
    ten alike pulls do not make the eleventh unusual.
    """
    good = [v for v in verdicts if v.verdict == "within" and not v.fault]
    least = int(limit("learn_least"))
    if len(good) < least:
        raise Missing(
            words(
                "{count} good pulls are too few to learn from; at least {least} are needed",
                count=len(good),
                least=least,
            ),
            needed="good pulls",
        )
    found = {}
    for name in _FEATURES:
        pairs = [(getattr(v, name), v.uncertainty.get(_KEYS[name], 0.0)) for v in good]
        rows = np.array([pair for pair in pairs if pair[0] is not None])
        if len(rows) >= least:
            found[name] = _ordinary(rows[:, 0], float(np.median(rows[:, 1])))
    return Learned(MappingProxyType(found))


def remembered(found: Mapping[str, Any], verdict: str | None = None) -> TraceVerdict:
    """Return the figures of a verdict from its plain form, as a batch or a log holds it.

    Parameters
    ----------
    found : mapping
        As made by `TraceVerdict.as_json`; numbers may be decimal strings.
    verdict : str, optional
        What the pull was judged to be in the end; that of `found` if not given.

    Returns
    -------
    TraceVerdict
        Without reasons and strokes.

    Examples
    --------
    >>> remembered({"verdict": "within", "pattern": "normal", "fault": False,
    ...             "slope_nm_per_deg": "1.25"}).slope
    1.25
    """

    def number(name: str) -> float | None:
        value = found.get(name)
        return None if value is None else float(value)

    return TraceVerdict(
        verdict or found["verdict"],
        found["pattern"],
        fault=found["fault"],
        reasons=(),
        final_torque=number("final_torque_nm"),
        turned_after_snug=number("turned_after_snug_deg"),
        slope=number("slope_nm_per_deg"),
        clamp=number("clamp_n"),
        uncertainty={name: float(u) for name, u in (found.get("uncertainty") or {}).items()},
    )


_KEYS = {
    "slope": "slope_nm_per_deg",
    "turned_after_snug": "turned_after_snug_deg",
    "final_torque": "final_torque_nm",
    "clamp": "clamp_n",
}


def _ordinary(values: Floats, u: float) -> Ordinary:
    middle = float(np.median(values))
    least = max(u, limit("learn_u_rel") * abs(middle))
    spread = max(1.4826 * float(np.median(np.abs(values - middle))), least)
    room = limit("learn_room") * spread
    return Ordinary(middle, middle - room, middle + room, len(values))


@dataclass(frozen=True, slots=True)
class OddOneOut:
    """A fastener that differs from the others of its joint.

    Parameters
    ----------
    fastener : int or str
        Its number, or the name of its pull.
    feature : str
        In what: ``turned_after_snug``, ``final_torque`` or ``slope``.
    value, middle : float
        Its own, and the median of all.
    score : float
        Modified z score, 0.6745 (x − median) / MAD.
    limit : float
        Score from which on it counts, for this many fasteners.
    """

    fastener: int | str
    feature: str
    value: float
    middle: float
    score: float
    limit: float

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data, with the sentence in English."""
        return {
            "id": self.fastener,
            "feature": _KEYS[self.feature],
            "value": self.value,
            "middle": self.middle,
            "score": round(self.score, 3),
            "limit": round(self.limit, 3),
            "told": str(self.told),
        }

    @property
    def told(self) -> Words:
        """Say it."""
        return words(
            "fastener {fastener} differs from the others of this joint in {what}: {value:.4g} "
            "beside {middle:.4g}",
            fastener=self.fastener,
            what=_TITLES[self.feature],
            value=self.value,
            middle=self.middle,
        )


def odd_ones_out(
    verdicts: Mapping[int, TraceVerdict] | Mapping[str, TraceVerdict],
    features: Sequence[str] = ("turned_after_snug", "slope"),
) -> list[OddOneOut]:
    """Find the fasteners of one joint that differ from the others.

    Parameters
    ----------
    verdicts : mapping of int or str to TraceVerdict
        By the number of the fastener or the name of its pull; all of one kind and one stage.
    features : sequence of str
        What is compared.

    Returns
    -------
    list of OddOneOut
        The most different first; empty for fewer than four fasteners.

    Notes
    -----
    By `clampwright.joint.outliers.modified_z`; differences smaller than the stated uncertainty, or
    than a few percent, do not count, so that alike readings do not make an ordinary one stand out.
    """
    found = []
    for feature in features:
        known = {n: getattr(v, feature) for n, v in verdicts.items()}
        known = {n: value for n, value in known.items() if value is not None}
        if len(known) < 4:
            continue
        values = np.array(list(known.values()))
        middle = float(np.median(values))
        u = [v.uncertainty.get(_KEYS[feature], 0.0) for v in verdicts.values()]
        scores = modified_z(values, resolution=max(float(np.median(u)), 1e-9 * abs(middle), 1e-12))
        most = modified_z_limit(min(len(known), 100)).limit
        found += [
            OddOneOut(number, feature, float(value), middle, float(score), most)
            for (number, value), score in zip(known.items(), scores, strict=True)
            if abs(score) > most and abs(value - middle) >= limit("odd_share") * abs(middle)
        ]
    return sorted(found, key=lambda one: -abs(one.score))
