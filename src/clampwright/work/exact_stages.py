"""Stages as plain data without binary floats, for hashing, comparing and bringing back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.procedure.stage import Figure, Stage, WrenchSetting


def exact_stages(stages: Sequence[Stage]) -> list[dict[str, Any]]:
    """Return stages as plain data without binary floats, for hashing and comparing.

    Parameters
    ----------
    stages : sequence of Stage

    Returns
    -------
    list of dict

    Examples
    --------
    >>> exact_stages([Stage("torque", 27.5, "N·m")])[0]["value"]
    '27.5'
    """
    return [_exact(stage.as_json()) for stage in stages]


def stages_from(data: Sequence[Mapping[str, Any]]) -> tuple[Stage, ...]:
    """Rebuild stages from `exact_stages`.

    Parameters
    ----------
    data : sequence of mapping

    Returns
    -------
    tuple of Stage

    Examples
    --------
    >>> stages_from(exact_stages([Stage("torque", 27.5, "N·m")]))[0].torque_nm
    27.5
    """
    return tuple(_stage(one) for one in data)


_NUMBERS = frozenset({"value", "tolerance_low", "tolerance_high"})


def _stage(data: Mapping[str, Any]) -> Stage:
    given: dict[str, Any] = {key: _given(key, value) for key, value in data.items()}
    also = data.get("also", ())
    figures = (also,) if isinstance(also, Mapping) else also
    given["also"] = tuple(_figure(one) for one in figures)
    setting = data.get("wrench_setting")
    if setting is not None:
        value = float(setting["value"])
        given["wrench_setting"] = WrenchSetting(value, setting["unit"], setting["with"])
    return Stage(**given)


def _given(key: str, value: Any) -> Any:
    if key in _NUMBERS:
        return None if value is None else float(value)
    return tuple(value) if isinstance(value, list | tuple) else value


def _figure(data: Mapping[str, Any]) -> Figure:
    value, low, high = (
        None if data[key] is None else float(data[key])
        for key in ("value", "tolerance_low", "tolerance_high")
    )
    return Figure(value, data["unit"], low, high)


def _exact(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _exact(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_exact(value) for value in data]
    return repr(data) if isinstance(data, float) else data
