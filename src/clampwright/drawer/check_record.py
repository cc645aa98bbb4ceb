"""One check of a tool against a trusted one, as the log keeps it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from clampwright.drawer.calibration import Direction

CheckVerdict = Literal["agrees", "off", "not known"]


@dataclass(frozen=True, slots=True)
class CheckRecord:
    """Paired pulls with a trusted tool, and what they came to.

    Parameters
    ----------
    date : datetime.date
    trusted : str
        Id of the trusted tool, or what else it was compared with.
    unit : str
        Of the readings.
    pairs : tuple of (float, float)
        What the tool showed, and what the trusted one showed, for the same pull.
    deviation : float
        Mean deviation of the tool from the corrected trusted one, percent.
    u : float
        Standard uncertainty of that mean, percent, the trusted tool's included.
    normalized_error : float
        E_n.
    verdict : str
        ``agrees``, ``off`` or ``not known``.
    direction : str
    note : str
    entry : str
        Id of its entry on the log.
    """

    date: dt.date
    trusted: str
    unit: str
    pairs: tuple[tuple[float, float], ...]
    deviation: float
    u: float
    normalized_error: float
    verdict: CheckVerdict
    direction: Direction = "cw"
    note: str = ""
    entry: str = ""

    @property
    def level(self) -> float:
        """Mean of what the trusted tool showed, unit of the readings."""
        return sum(pair[1] for pair in self.pairs) / len(self.pairs)

    def as_body(self) -> dict[str, Any]:
        """Return it as the body of an entry: no binary floats."""
        return {
            "date": self.date.isoformat(),
            "trusted": self.trusted,
            "unit": self.unit,
            "pairs": [[f"{one:.10g}", f"{other:.10g}"] for one, other in self.pairs],
            "deviation_percent": f"{self.deviation:.6g}",
            "standard_uncertainty_percent": f"{self.u:.6g}",
            "normalized_error": f"{self.normalized_error:.6g}",
            "verdict": self.verdict,
            "direction": self.direction,
            **({"note": self.note} if self.note else {}),
        }

    @classmethod
    def from_body(cls, body: Mapping[str, Any], entry: str = "") -> CheckRecord:
        """Rebuild it from the body of an entry."""
        return cls(
            date=dt.date.fromisoformat(body["date"]),
            trusted=str(body["trusted"]),
            unit=str(body["unit"]),
            pairs=tuple((float(one), float(other)) for one, other in body["pairs"]),
            deviation=float(body["deviation_percent"]),
            u=float(body["standard_uncertainty_percent"]),
            normalized_error=float(body["normalized_error"]),
            verdict=body["verdict"],
            direction="ccw" if body["direction"] == "ccw" else "cw",
            note=str(body.get("note", "")),
            entry=entry,
        )
