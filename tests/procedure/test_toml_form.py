"""Stages written as TOML tables and read back are the same stages."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from clampwright.errors import BadFile
from clampwright.procedure.reader import read
from clampwright.procedure.stage import Figure, Stage, WrenchSetting
from clampwright.procedure.toml_form import StageTable, stages_from_tables, stages_to_toml
from clampwright.tomlfile import FileModel, read_toml


class Procedure(FileModel):
    stage: tuple[StageTable, ...]


def there_and_back(stages: tuple[Stage, ...]) -> tuple[Stage, ...]:
    content = tomllib.loads(stages_to_toml(stages))
    return stages_from_tables([StageTable.model_validate(one) for one in content["stage"]])


ALL_SORTS = (
    Stage("snug", note='finger tight, "no" tool'),
    Stage("torque", 80.0, "ft·lbf", 75.0, 85.0, fasteners=(1, 2, 3), order="star"),
    Stage(
        "torque", 30.0, "N·m", also=(Figure(22.0, "ft·lbf"), Figure(265.0, "in·lbf", 250.0, 280.0))
    ),
    Stage("torque", None, "N·m", None, 12.0, fasteners="inner nuts", order=(4, 2, 1)),
    Stage("torque", 80.0, "N·m", wrench_setting=WrenchSetting(70.0, "N·m", "60 mm fitting")),
    Stage("torque", 45.0, "N·m", plus_running_torque=True, direction="ccw"),
    Stage("angle", 0.25, "turn", condition="not with a torque wrench", per_fastener=True),
    Stage("angle", 120.0, "deg", as_written="two flats"),
    Stage("back_off_then", 180.0, "deg"),
    Stage("loosen", order="reverse"),
    Stage("stretch", 0.00575, "in", 0.0055, 0.006, value_from="range_midpoint"),
    Stage("wait", 90.0, "min"),
    Stage("wait", 50.0, "km"),
    Stage("torque_check", None, "N·m", 1.5, 2.5, check="rotating"),
)


def test_all_sorts_of_stages() -> None:
    assert there_and_back(ALL_SORTS) == ALL_SORTS


@given(
    st.floats(0.1, 5000).map(lambda value: round(value, 3)),
    st.sampled_from(["N·m", "ft·lbf", "in·lbf", "kgf·m", "kgf·cm"]),
    st.text("abc \"'\\äé", max_size=12),
)
@settings(max_examples=60, deadline=None)
def test_any_torque_and_note(value: float, unit: str, note: str) -> None:
    stages = (Stage("torque", value, unit, value, value * 2, note=note),)
    back = there_and_back(stages)
    assert back[0].value == pytest.approx(value, rel=1e-11)
    assert back[0].note == note


def test_what_was_read_can_be_written_down() -> None:
    stages = read("Bolts 1-4: 20 N·m (15 lb ft), then 90°. After 50 km re-check.").stages
    assert [stage.kind for stage in there_and_back(stages)] == [stage.kind for stage in stages]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ('kind = "torque"', "torque is missing"),
        ('kind = "torque"\nangle = "90 deg"', "has no angle"),
        ('kind = "torque"\ntorque = "30"', "no unit"),
        ('kind = "torque"\ntorque = "30 lbs"', "lbs"),
        ('kind = "torque"\ntorque = "0 N·m"', "above 0"),
        ('kind = "torque"\ntorque = "30 N·m"\ntolerance = ["32 N·m", "28 N·m"]', "above the upper"),
        ('kind = "torque_check"\ntorque = "2 N·m"', "check must say"),
        ('kind = "torque"\ntorque = "30 N·m"\norder = "zigzag"', "order must be"),
        ('kind = "torque"\ntorque = "30 N·m"\ntolerence = ["1 N·m", "2 N·m"]', "tolerance"),
        ('kind = "turn"', "kind"),
        ('kind = "torque"\ntorque = "30 N·m"\nfasteners = [0]', "fasteners"),
    ],
)
def test_a_wrong_table_is_refused_in_words(text: str, part: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_toml(f"[[stage]]\n{text}\n".encode(), "job.toml", Procedure)
    assert part in str(caught.value)


def test_limits_given_twice_are_refused() -> None:
    with pytest.raises(ValidationError):
        StageTable(kind="torque", torque="30 N·m", tolerance=("1 N·m", "2 N·m"), at_most="3 N·m")
