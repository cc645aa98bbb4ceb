"""A tool's budget drawn at random: do both ways to an uncertainty agree, and if not, why not."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from clampwright.drawer.metrology.readings import ToolBudget
from clampwright.joint.monte_carlo import law_validated
from clampwright.words import Words, words

SAMPLES = 200_000
SEED = 20_260_103
COVERAGE_FACTOR = 1.959964
"""Of 95 % for a normal distribution."""


@dataclass(frozen=True, slots=True)
class BudgetCheck:
    """The same budget by both ways.

    Parameters
    ----------
    u : float
        Standard deviation of the draws, percent.
    half_width : float
        Half width of their symmetric 95 % interval, percent.
    law_half_width : float
        The same by the law of propagation, percent.
    agrees : bool
        By the rule of JCGM 101, clause 8, to one figure of the uncertainty.
    why : Words
        What to make of it.
    """

    u: float
    half_width: float
    law_half_width: float
    agrees: bool
    why: Words


def budget_check(budget: ToolBudget, *, samples: int = SAMPLES, seed: int = SEED) -> BudgetCheck:
    """Draw a budget at random and compare it with the law of propagation.

    Parameters
    ----------
    budget : ToolBudget
    samples : int
    seed : int

    Returns
    -------
    BudgetCheck

    Notes
    -----
    Scatter from few readings is drawn from a scaled t distribution (JCGM 101:2008, 6.4.9, from
    memory), steps and widths from rectangular ones. The same seed gives the same answer.

    Examples
    --------
    >>> from clampwright.drawer.metrology.readings import tool_budget
    >>> budget = tool_budget(set_value=20, readings=[20.15, 20.28, 20.05, 20.20, 20.12],
    ...                      resolution=0.5, device_W=0.5)
    >>> check = budget_check(budget)
    >>> check.agrees, check.half_width < check.law_half_width
    (False, True)
    """
    rng = np.random.default_rng(seed)
    total = np.zeros(samples)
    for part in budget.parts:
        if part.distribution == "rectangular":
            total += rng.uniform(-1.0, 1.0, samples) * part.w * math.sqrt(3.0)
        elif math.isfinite(part.dof):
            total += rng.standard_t(part.dof, samples) * part.w
        else:
            total += rng.normal(0.0, part.w, samples) if part.w else 0.0
    half = float(np.quantile(np.abs(total), 0.95))
    law = COVERAGE_FACTOR * budget.w
    agrees = law_validated((-law, law), (-half, half), u=budget.w, digits=1)
    return BudgetCheck(
        float(total.std()), half, law, agrees, _why(budget, half, law, agrees=agrees)
    )


def _why(budget: ToolBudget, half: float, law: float, *, agrees: bool) -> Words:
    if agrees:
        return words("drawn at random it comes to the same (JCGM 101, clause 8)")
    largest = budget.largest[0]
    if half < law:
        return words(
            "drawn at random the 95 % interval is ±{half:.2f} % where the usual way gives "
            "±{law:.2f} %: {name} dominates and has hard edges, so the usual way is on the safe "
            "side",
            half=half,
            law=law,
            name=largest.name,
        )
    return words(
        "drawn at random the 95 % interval is ±{half:.2f} % where the usual way gives "
        "±{law:.2f} %: the scatter comes from few readings; take more of them",
        half=half,
        law=law,
    )
