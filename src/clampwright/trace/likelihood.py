"""How likely each pattern is, by Bayes' rule: priors, the answer of the rules, and what was seen.

The tables lie beside the code: `priors.csv` (how common each pattern is, to be tuned by hand),
`answers.csv` (how often the rules answer what, for each true pattern) and `evidence.csv` (middle
and spread of each feature, for each true pattern). The last two are counted on simulated pulls by
``tools/trace_likelihoods.py``; how well the result is calibrated stands in docs/validation.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from contextvars import ContextVar
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

import numpy as np

from clampwright.errors import ClampwrightError
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.seen import Seen
from clampwright.words import words

OWN_PRIORS: ContextVar[Mapping[str, float]] = ContextVar("own priors", default=MappingProxyType({}))
"""Priors of a person's own that are in force just now; see `clampwright.trace.tuning`."""
EVIDENCE = ("slope", "angle", "grown", "rough", "running", "drop")
"""Names of the features that are weighed."""


def evidence_of(it: Seen) -> dict[str, float]:
    """Return the features that are weighed, on scales on which their spread is even.

    Parameters
    ----------
    it : Seen

    Returns
    -------
    dict
        By the names in `EVIDENCE`; what is not determinable is absent.
    """
    f, found = it.features, {}
    if it.slope_ratio is not None:
        found["slope"] = math.log(it.slope_ratio)
    if it.angle_ratio is not None:
        found["angle"] = math.log(max(it.angle_ratio, 0.02))
    if f.early_slope is not None and f.late_slope is not None:
        found["grown"] = math.log(max(f.late_slope, 1e-3) / max(f.early_slope, 1e-3))
    found["rough"] = math.log(f.curve.roughness + 0.002)
    if f.running_torque is not None and it.target:
        found["running"] = math.log(max(f.running_torque / it.target, 0.0) + 0.02)
    found["drop"] = math.log(f.drop + 0.01)
    return found


def likelihoods(
    answer: str, evidence: Mapping[str, float], priors: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Weigh the patterns against each other.

    Parameters
    ----------
    answer : str
        What the rules answered.
    evidence : mapping of str to float
        From `evidence_of`.
    priors : mapping of str to float, optional
        How common each pattern is, in any unit; the table if not given.

    Returns
    -------
    dict
        A probability for each of `clampwright.trace.patterns.PATTERNS`; they add up to 1.

    Raises
    ------
    ClampwrightError
        If no pattern has a prior above 0.

    Examples
    --------
    >>> found = likelihoods("slip_off", {"rough": -6.0, "drop": -4.0})
    >>> found["slip_off"] > 0.7, round(sum(found.values()), 9)
    (True, 1.0)
    """
    weights = {**table_of_priors(), **OWN_PRIORS.get()} if priors is None else priors
    prior = np.array([max(weights.get(pattern, 0.0), 0.0) for pattern in PATTERNS])
    if not prior.any():
        raise ClampwrightError(words("at least one pattern needs a prior above 0"))
    middle, spread = _spreads()
    seen = [k for k, name in enumerate(EVIDENCE) if name in evidence]
    values = np.array([evidence[EVIDENCE[k]] for k in seen])
    z = (values - middle[:, seen]) / spread[:, seen]
    # tails so heavy that no single feature decides alone: Student's t with 3 degrees of freedom
    fit = (-np.log(spread[:, seen]) - 2.0 * np.log1p(z * z / 3.0)).sum(axis=1)
    scores = np.log(_answers()[:, PATTERNS.index(answer)]) + limit("evidence_power") * fit
    shares = prior * np.exp(scores - scores[prior > 0].max())
    return dict(zip(PATTERNS, (shares / shares.sum()).tolist(), strict=True))


def tables_of(
    priors: Mapping[str, float] | None = None,
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the tables as arrays, for whoever weighs many pulls at once.

    Parameters
    ----------
    priors : mapping of str to float, optional
        As for `likelihoods`.

    Returns
    -------
    tuple of ndarray
        Logarithm of the chance of each answer (column) for each true pattern, middle and spread of
        each feature (column) for each, and the priors.
    """
    weights = table_of_priors() if priors is None else priors
    prior = np.array([max(weights.get(pattern, 0.0), 0.0) for pattern in PATTERNS])
    return np.log(_answers()), *_spreads(), prior


@lru_cache(maxsize=1)
def table_of_priors() -> Mapping[str, float]:
    """Return how common each pattern is, from the table.

    Returns
    -------
    mapping of str to float

    Examples
    --------
    >>> table_of_priors()["normal"] > table_of_priors()["galling"]
    True
    """
    return MappingProxyType({row["pattern"]: float(row["weight"]) for row in _rows("priors.csv")})


@lru_cache(maxsize=1)
def _answers() -> Floats:
    """Chance of each answer of the rules (column) for each true pattern; none is impossible."""
    counts = np.full((len(PATTERNS), len(PATTERNS)), limit("answer_least"))
    for row in _rows("answers.csv"):
        place = PATTERNS.index(row["pattern"]), PATTERNS.index(row["answer"])
        counts[place] += float(row["count"])
    return np.asarray(counts / counts.sum(axis=1, keepdims=True))


@lru_cache(maxsize=1)
def _spreads() -> tuple[Floats, Floats]:
    """Middle and spread of each feature (column) for each true pattern."""
    middle, spread = np.zeros((2, len(PATTERNS), len(EVIDENCE)))
    for row in _rows("evidence.csv"):
        place = PATTERNS.index(row["pattern"]), EVIDENCE.index(row["feature"])
        middle[place], spread[place] = float(row["middle"]), float(row["spread"])
    return middle, spread


def _rows(name: str) -> list[dict[str, str]]:
    text = resources.files("clampwright.trace").joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))
