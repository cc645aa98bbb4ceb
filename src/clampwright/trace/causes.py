"""What may lie behind a pattern where torque and angle alone cannot tell the causes apart."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

from clampwright.words import Words, words

CAUSES: Mapping[str, Words] = MappingProxyType(
    {
        "friction_high": words("more friction than expected (dry, dirty or damaged)"),
        "friction_low": words("less friction than expected (oil, another coating)"),
        "part_stiff": words("a stiffer part, or a shorter clamp length"),
        "part_soft": words("a softer part, or a longer clamp length"),
        "washer_missing": words("a washer is missing"),
        "washer_wrong": words("a washer too many, or one of another kind"),
        "gasket": words("a gasket, or one too thick"),
        "paint": words("paint or dirt between the parts"),
        "socket_off": words("the socket came off the head"),
        "tool_let_go": words("the tool let go (ratchet, adapter)"),
        "fastener_broke": words("the fastener broke"),
        "bolt_too_long": words("a bolt too long for its hole"),
        "hole_filled": words("oil, chips or an uncut thread in the hole"),
        "nut_thread": words("the thread of the nut or hole has given way"),
        "bolt_thread": words("the thread of the bolt has given way"),
        "parts_give": words("a part under the head cracks or is crushed"),
        "locking_feature": words("a locking feature that was not reckoned with"),
        "thread_dirty": words("burrs, paint, rust or thread-locking compound in the thread"),
        "thread_begins_across": words("a thread that begins to cut across"),
        "thread_wrong": words("a thread of another pitch or size"),
        "gap_or_burr": words("a gap, a burr or dirt between the parts"),
        "washer_dished": words("a dished or doubled washer"),
        "part_tilted": words("a part that stood tilted"),
        "coating": words("a coating or paste that creaks"),
        "tight_before": words("it was tightened before"),
        "fastener_seized": words("it has seized (rust, set thread-locking compound)"),
        "bolt_weak": words("a bolt of a lower class, or one stretched before"),
    }
)
"""Sentences for the names in the table of causes."""


@lru_cache(maxsize=1)
def _table() -> tuple[Mapping[str, str], ...]:
    text = resources.files("clampwright.trace").joinpath("causes.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def causes(pattern: str, slope_ratio: float | None) -> dict[str, float]:
    """Return the causes that would look the same, with how likely each is.

    Parameters
    ----------
    pattern : str
    slope_ratio : float or None
        Slope over the expected one.

    Returns
    -------
    dict
        Names of `CAUSES` to probabilities that add up to 1; empty where the pattern is its own
        cause, or where the slope would be needed and is not known.

    Examples
    --------
    >>> causes("slope_out_of_band", 1.4)["washer_missing"]
    0.15
    """
    direction = "steep" if slope_ratio is not None and slope_ratio > 1.0 else "flat"
    here = {"any"} if slope_ratio is None else {"any", direction}
    rows = [r for r in _table() if r["pattern"] == pattern and r["direction"] in here]
    total = sum(float(row["weight"]) for row in rows)
    return {row["cause"]: float(row["weight"]) / total for row in rows}


def told(shares: Mapping[str, float]) -> list[Words]:
    """Say the causes, the likeliest first.

    Parameters
    ----------
    shares : mapping of str to float
        From `causes`.

    Returns
    -------
    list of Words
    """
    order = sorted(shares, key=lambda name: -shares[name])
    return [
        words("possible cause, {share:.0%}: {cause}", share=shares[name], cause=CAUSES[name])
        for name in order
    ]
