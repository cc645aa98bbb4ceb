"""Control chart factors and examples, and the statistical reference data sets."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from clampwright.standards.printed import half_last_digit, published
from clampwright.validation.cases.readings import (
    chart_factor,
    cusum_example,
    ewma_example,
    reference_summary,
)
from clampwright.validation.row import Row

FACTORS = ("d2", "d3", "c4", "A2", "D3", "D4", "A3", "B3", "B4", "E2")

EWMA = {"weight": 0.3, "start": 50.0, "s": 2.0539}
CUSUM = {"target": 325.0, "k": 0.3175, "h": 4.1959}
"""Settings of the handbook's two examples."""

DIGITS = {"NumAcc2": 1e-13, "NumAcc3": 1e-8, "NumAcc1": 1e-15}
"""Relative; the last digits that double precision can give. The inputs of NumAcc3 are no binary
numbers: an exact 0.1 comes out as 0.10000000003492461 even from exact sums."""


def factors() -> Iterator[Row]:
    """Factors of control charts for samples of 2 to 10.

    Yields
    ------
    Row
    """
    for line in published("control_constants"):
        for name in FACTORS:
            yield Row(
                id=f"control_constants/n {line['n']}/{name}",
                topic="control chart factors",
                quantity=f"{name} for samples of {line['n']}",
                computed=chart_factor(n=float(line["n"]), name=name),
                printed=line[name],
                unit="",
                tolerance=half_last_digit(line[name]),
                source=f"integrals of the normal range and standard deviation, {line['basis']}",
            )


@lru_cache(maxsize=2)
def _example(name: str) -> dict[str, Any]:
    return ewma_example(**EWMA) if name == "EWMA" else cusum_example(**CUSUM)


def examples() -> Iterator[Row]:
    """Columns of the handbook's EWMA and CUSUM examples.

    Yields
    ------
    Row
    """
    for line in published("control_examples"):
        place = int(line["index"]) - 1
        found = _example(line["example"])
        columns = (
            {"stat1_ewma_or_cusum_high": found["values"][place]}
            if line["example"] == "EWMA"
            else {
                "stat1_ewma_or_cusum_high": found["high"][place],
                "stat2_cusum_low": found["low"][place],
            }
        )
        for column, value in columns.items():
            yield Row(
                id=f"control_examples/{line['example']} {line['index']}/{column}",
                topic="control charts",
                quantity=f"{line['example']} {line['index']}, {column}",
                computed=value,
                printed=line[column],
                unit="",
                tolerance=half_last_digit(line[column]),
                source="NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2 (data from memory),"
                " worked apart from this program",
            )


def reference_data() -> Iterator[Row]:
    """Certified summaries of the statistical reference data sets.

    Yields
    ------
    Row
    """
    columns = {"mean": "mean", "sd_n_minus_1": "s", "autocorr_lag1": "autocorrelation"}
    for line in published("reference_certified"):
        found = reference_summary(dataset=line["dataset"])
        for column, name in columns.items():
            printed = line[column]
            digits = DIGITS.get(line["dataset"], 1e-13)
            yield Row(
                id=f"reference_data/{line['dataset']}/{column}",
                topic="statistical reference data",
                quantity=f"{line['dataset']}, {column}",
                computed=found[name],
                printed=printed,
                unit="",
                tolerance=max(digits * abs(float(printed)), half_last_digit(printed)
                              if "." in printed and len(printed) > 10 else 0.0),
                source=line["source"],
                note="the data set has a 3 at place 957, where pi has an 8"
                if line["dataset"] == "PiDigits" else "",
            )  # fmt: skip
