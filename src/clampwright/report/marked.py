"""What is marked on the chart of a pull: taken from its entry, never judged again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.report.stroke_marks import Bar
from clampwright.units import factor
from clampwright.words import Words, from_data


@dataclass(frozen=True, slots=True)
class Marked:
    """What is marked on the chart of a pull.

    Parameters
    ----------
    verdict : str
    reasons : tuple of Words
    quantity : str
        ``torque`` or ``angle``: what the limits are of; else there are none.
    low, high : float or None
        Limits, N·m, or degrees after snug.
    snug_angle : float or None
        Where angle counting began, degrees since the first sample.
    turned_after_snug : float or None
        Degrees.
    final_torque : float or None
        N·m.
    yield_angle : float or None
        Where the curve bent, degrees since the first sample.
    slips : tuple of float
        When the socket slipped, s.
    end_time : float or None
        When the turning ended, s; the end of the recording if not known.
    strokes : tuple of Bar
        The forward swings over time, s.
    """

    verdict: str
    reasons: tuple[Words, ...] = ()
    quantity: str = "none"
    low: float | None = None
    high: float | None = None
    snug_angle: float | None = None
    turned_after_snug: float | None = None
    final_torque: float | None = None
    yield_angle: float | None = None
    slips: tuple[float, ...] = ()
    end_time: float | None = None
    strokes: tuple[Bar, ...] = ()

    @classmethod
    def from_body(cls, body: Mapping[str, Any]) -> Marked:
        """Take what is marked from the entry of a pull.

        Parameters
        ----------
        body : mapping
            Of an entry of kind ``pull``; numbers may be decimal strings.

        Returns
        -------
        Marked
        """
        found, limits = body.get("found") or {}, body.get("limits") or {}
        bend = found.get("yield") or {}
        strokes = found.get("strokes") or ()
        return cls(
            verdict=body["verdict"],
            reasons=tuple(from_data(reason) for reason in body["reasons"]),
            quantity=limits.get("quantity", "none"),
            low=_in_base(limits.get("low")),
            high=_in_base(limits.get("high")),
            snug_angle=_float(found.get("snug_angle_deg")),
            turned_after_snug=_float(found.get("turned_after_snug_deg")),
            final_torque=_float(found.get("final_torque_nm")),
            yield_angle=_float(bend.get("angle_deg")) if bend.get("reached") else None,
            slips=tuple(float(one["t1_s"]) for one in strokes if one["end"] == "slipped"),
            end_time=max((float(one["t1_s"]) for one in strokes), default=None),
            strokes=tuple(
                Bar(
                    float(one["t0_s"]),
                    float(one["t1_s"]),
                    float(one["turned_deg"]),
                    one["end"] == "slipped",
                )
                for one in strokes
            ),
        )


def _float(value: object) -> float | None:
    return None if value is None else float(str(value))


def _in_base(value: Mapping[str, str] | None) -> float | None:
    if value is None:
        return None
    unit = value["unit"]
    return float(value["value"]) * factor(unit, "deg" if unit in {"deg", "turn"} else unit)
