"""The stages of a procedure as TOML tables a person can write.

One ``[[stage]]`` for each stage, figures with their unit as text::

    [[stage]]
    kind = "torque"
    torque = "30 N·m"
    tolerance = ["28 N·m", "32 N·m"]
    fasteners = [1, 2, 3]
    order = "centre_out"
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Annotated, Literal, get_args

from pydantic import Field, model_validator

from clampwright.errors import BadFile, ClampwrightError
from clampwright.procedure.stage import (
    ORDERS,
    Check,
    Fasteners,
    Figure,
    Kind,
    Order,
    Stage,
    WrenchSetting,
)
from clampwright.tomlfile import FileModel
from clampwright.units import Quantity, parse_quantity
from clampwright.units.unit import Kind as UnitKind
from clampwright.words import words

Number = Annotated[int, Field(ge=1, le=10_000)]
Text = Annotated[str, Field(max_length=200)]

# Which key holds the figure of a kind of stage, and what it measures.
_FIGURES: dict[str, tuple[str, UnitKind]] = {
    "torque": ("torque", "torque"),
    "torque_check": ("torque", "torque"),
    "angle": ("angle", "angle"),
    "back_off_then": ("angle", "angle"),
    "stretch": ("stretch", "length"),
    "wait": ("wait", "time"),
}
_FIGURE_KEYS = ("torque", "angle", "stretch", "wait", "drive")
_MINUTES = {"min": 1.0, "h": 60.0, "s": 1 / 60}


class SettingTable(FileModel):
    """What to set on the wrench with a fitting."""

    torque: Text
    fitted: Text = ""


class AlsoTable(FileModel):
    """The same figure in another unit, with its limits."""

    value: Text | None = None
    tolerance: tuple[Text, Text]


class StageTable(FileModel):
    """One stage; figures are text with their unit."""

    kind: Kind
    torque: Text | None = None
    angle: Text | None = None
    stretch: Text | None = None
    wait: Text | None = None
    drive: Text | None = None
    tolerance: tuple[Text, Text] | None = None
    at_least: Text | None = None
    at_most: Text | None = None
    also: tuple[Text | AlsoTable, ...] = ()
    fasteners: Literal["all"] | tuple[Number, ...] | Text = "all"
    order: Text | tuple[Number | Text, ...] | None = None
    note: Text = ""
    condition: Text = ""
    direction: Literal["", "ccw"] = ""
    per_fastener: bool = False
    plus_running_torque: bool = False
    wrench_setting: SettingTable | None = None
    check: Check | None = None
    as_written: Text = ""
    value_from: Literal["", "range_midpoint"] = ""

    @model_validator(mode="after")
    def _fits_its_kind(self) -> StageTable:
        allowed = _FIGURES.get(self.kind, ("", ""))[0]
        for key in _FIGURE_KEYS:
            fits = key == allowed or (key == "drive" and allowed == "wait")
            if getattr(self, key) is not None and not fits:
                raise ValueError(f"a {self.kind} stage has no {key}")
        if self.tolerance and (self.at_least or self.at_most):
            raise ValueError("give tolerance, or at_least and at_most, not both")
        if self.kind == "torque_check" and self.check is None:
            raise ValueError(f"check must say which: {', '.join(get_args(Check))}")
        if isinstance(self.order, str) and self.order not in ORDERS:
            raise ValueError(f"order must be a list of numbers or one of {', '.join(ORDERS)}")
        self._check_figures()
        return self

    def _check_figures(self) -> None:
        try:
            stage = _stage(self)
        except ClampwrightError as error:
            raise ValueError(str(error)) from error
        numbers = (stage.value, stage.tolerance_low, stage.tolerance_high)
        stated = [number for number in numbers if number is not None]
        if any(number <= 0 for number in stated):
            raise ValueError("figures must be above 0")
        if self.kind in {"torque", "angle", "stretch", "wait"} and not stated:
            raise ValueError(f"{_FIGURES[self.kind][0]} is missing")


def stages_from_tables(tables: Sequence[StageTable]) -> tuple[Stage, ...]:
    """Return the stages that tables describe.

    Parameters
    ----------
    tables : sequence of StageTable

    Returns
    -------
    tuple of Stage

    Examples
    --------
    >>> stages_from_tables([StageTable(kind="angle", angle="90 deg")])[0].angle_deg
    90.0
    """
    return tuple(_stage(table) for table in tables)


def _stage(table: StageTable) -> Stage:
    _, kind = _FIGURES.get(table.kind, ("", "torque"))
    main = table.torque or table.angle or table.stretch or table.wait or table.drive
    unit_kind: UnitKind = "length" if table.drive else kind
    target = _figure(main, unit_kind) if main else None
    low, high = _limits(table, unit_kind)
    unit = _common_unit(target, low, high)
    return Stage(
        kind=table.kind,
        value=_written(target, unit),
        unit=unit,
        tolerance_low=_written(low, unit),
        tolerance_high=_written(high, unit),
        fasteners=table.fasteners,
        note=table.note,
        order=table.order,
        also=tuple(_also(text, unit_kind) for text in table.also),
        condition=table.condition,
        direction=table.direction,
        per_fastener=table.per_fastener,
        plus_running_torque=table.plus_running_torque,
        wrench_setting=_setting(table.wrench_setting),
        check=table.check,
        as_written=table.as_written,
        value_from=table.value_from,
    )


def _figure(text: str, kind: UnitKind) -> Quantity:
    """Read a figure; a point is the decimal mark of TOML, a doubtful comma is still asked about."""
    return parse_quantity(text, kind, decimal=None if "," in text else ".")


def _limits(table: StageTable, kind: UnitKind) -> tuple[Quantity | None, Quantity | None]:
    low, high = table.tolerance or (table.at_least, table.at_most)
    pair = (_figure(low, kind) if low else None, _figure(high, kind) if high else None)
    if pair[0] and pair[1] and pair[0].value > pair[1].value:
        raise BadFile(
            words(
                "the lower limit {low} is above the upper limit {high}",
                low=low or "",
                high=high or "",
            ),
            file="",
        )
    return pair


def _common_unit(*figures: Quantity | None) -> str | None:
    stated = [figure for figure in figures if figure is not None]
    if not stated:
        return None
    return "min" if stated[0].written_unit in _MINUTES else stated[0].written_unit


def _written(figure: Quantity | None, unit: str | None) -> float | None:
    if figure is None or unit is None:
        return None
    if unit == "min":
        return float(figure.written_value) * _MINUTES[figure.written_unit]
    return float(figure.written_value) if figure.written_unit == unit else figure.to(unit)


def _also(entry: str | AlsoTable, kind: UnitKind) -> Figure:
    if isinstance(entry, str):
        figure = _figure(entry, kind)
        return Figure(float(figure.written_value), figure.written_unit)
    low, high = (_figure(text, kind) for text in entry.tolerance)
    value = _figure(entry.value, kind) if entry.value else None
    unit = low.written_unit
    return Figure(_written(value, unit), unit, _written(low, unit), _written(high, unit))


def _setting(table: SettingTable | None) -> WrenchSetting | None:
    if table is None:
        return None
    figure = _figure(table.torque, "torque")
    return WrenchSetting(float(figure.written_value), figure.written_unit, table.fitted)


def stages_to_toml(stages: Sequence[Stage]) -> str:
    """Return stages as TOML, ready to be put into a job file.

    Parameters
    ----------
    stages : sequence of Stage

    Returns
    -------
    str

    Examples
    --------
    >>> print(stages_to_toml([Stage("torque", 30.0, "N·m")]))
    [[stage]]
    kind = "torque"
    torque = "30 N·m"
    """
    return "\n\n".join("\n".join(["[[stage]]", *_lines(stage)]) for stage in stages)


def _lines(stage: Stage) -> Iterator[str]:
    yield f"kind = {_quoted(stage.kind)}"
    yield from _figure_lines(stage)
    if stage.also:
        yield f"also = [{', '.join(_also_shown(figure) for figure in stage.also)}]"
    if stage.fasteners != "all":
        yield f"fasteners = {_plain(stage.fasteners)}"
    if stage.order is not None:
        yield f"order = {_plain(stage.order)}"
    for key in ("note", "condition", "direction", "check", "as_written", "value_from"):
        if value := getattr(stage, key):
            yield f"{key} = {_quoted(value)}"
    for key in ("per_fastener", "plus_running_torque"):
        if getattr(stage, key):
            yield f"{key} = true"
    if setting := stage.wrench_setting:
        torque, fitted = _quoted(_shown(setting.value, setting.unit)), _quoted(setting.fitted)
        yield f"wrench_setting = {{ torque = {torque}, fitted = {fitted} }}"


def _figure_lines(stage: Stage) -> Iterator[str]:
    if stage.unit is None:
        return
    key = _FIGURES[stage.kind][0] if stage.kind in _FIGURES else "torque"
    key = "drive" if stage.unit in {"km", "mi"} else key
    if stage.value is not None:
        yield f"{key} = {_quoted(_shown(stage.value, stage.unit))}"
    low, high = stage.tolerance_low, stage.tolerance_high
    if low is not None and high is not None:
        yield f"tolerance = {_listed([_shown(low, stage.unit), _shown(high, stage.unit)])}"
    elif low is not None:
        yield f"at_least = {_quoted(_shown(low, stage.unit))}"
    elif high is not None:
        yield f"at_most = {_quoted(_shown(high, stage.unit))}"


def _also_shown(figure: Figure) -> str:
    value = "" if figure.value is None else _quoted(_shown(figure.value, figure.unit))
    if figure.low is None or figure.high is None:
        return value
    limits = _listed([_shown(figure.low, figure.unit), _shown(figure.high, figure.unit)])
    return f"{{ {f'value = {value}, ' if value else ''}tolerance = {limits} }}"


def _shown(value: float, unit: str) -> str:
    return f"{value:.12g} {unit}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _listed(texts: list[str]) -> str:
    return "[" + ", ".join(_quoted(text) for text in texts) + "]"


def _plain(value: Fasteners | Order) -> str:
    return json.dumps(list(value) if isinstance(value, tuple) else value, ensure_ascii=False)
