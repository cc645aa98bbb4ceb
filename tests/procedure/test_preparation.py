"""The preparation list: who gets which point, and where each comes from."""

from __future__ import annotations

import pytest

from clampwright.procedure.preparation import (
    Point,
    facts_of,
    features,
    points,
    preparation_list,
)
from clampwright.procedure.stage import Stage

TORQUE = Stage("torque", 45.0, "N·m")
ANGLE = Stage("angle", 90.0, "deg")


def names(*stages: Stage, **more: object) -> list[str]:
    given = {"kind": "bolted", "harm_level": 2, "count": 4, "surface_stated": True, **more}
    return [one.name for one in preparation_list(facts_of(stages or (TORQUE,), **given))]  # type: ignore[arg-type]  # keywords as the tests need them


def test_every_point_has_its_source_and_a_way_to_settle_it() -> None:
    assert len({one.name for one in points()}) == len(points())
    for one in points():
        assert one.source, one.name
        assert str(one.say).endswith((".", "?")), one.name
        assert (one.ask == "choose") == bool(one.options), one.name


def test_where_sources_contradict_each_other_each_answer_has_its_own() -> None:
    choices = [one for one in points() if one.ask == "choose"]
    assert {one.name for one in choices} >= {"surface", "wheel_surface", "wheel_ground", "retorque"}
    for one in choices:
        assert len(one.options) >= 3
        assert len({option.source for option in one.options}) == len(one.options)
        assert one.options[0].name == "maker", "the maker's information stands first"


def test_every_condition_can_come_true() -> None:
    """A word in a condition that no fact can be would hide its point for ever."""
    kinds = {"bolted", "plug", "filter", "bearing_setting"}
    known = {
        *kinds, *features(), *(f"harm{n}" for n in (1, 2, 3)), "torque", "angle", "rotating",
        "running", "re_check", "dry", "oil_threads", "oil_underhead", "anti_seize",
        "thread_locker", "sealant", "several", "no_surface", "new_required", "reuse_limit", "used",
        "left_hand", "click",
    }  # fmt: skip
    for one in points():
        for word in one.when.replace("|", " ").split():
            assert word.strip("!?") in known, (one.name, word)


def test_an_angle_stage_asks_for_marks_before_it() -> None:
    assert "marks" not in names(TORQUE)
    with_angle = preparation_list(
        facts_of((TORQUE, ANGLE), kind="bolted", harm_level=2, count=4, surface_stated=True)
    )
    assert [one.name for one in with_angle if one.due == "angle"] == ["marks", "sweep"]


@pytest.mark.parametrize(
    ("facts", "point"),
    [
        ({"harm_level": 1}, "second_person"),
        ({"reuse": "new_required"}, "new_fasteners"),
        ({"reuse_limited": True}, "reuse_limit"),
        ({"lubrication": ("oil_threads",)}, "surface_threads"),
        ({"lubrication": ("oil_underhead",)}, "surface_underhead"),
        ({"lubrication": ("thread_locker",)}, "thread_locker"),
        ({"surface_stated": False}, "surface"),
        ({"features": ("engine",)}, "cold"),
        ({"features": ("gasket",)}, "seated"),
        ({"features": ("wheel",)}, "wheel_faces"),
        ({"tapped": True, "features": ("gasket",)}, "blind_holes"),
        ({"left_hand": True}, "left_hand"),
        ({"tools": ("click",)}, "exercised"),
        ({"kind": "bearing_setting"}, "maker_figures"),
    ],
)
def test_what_is_known_of_a_joint_brings_its_points(facts: dict[str, object], point: str) -> None:
    assert point in names(**facts)
    plain = names(features=("nothing",))
    assert point not in plain


def test_what_nobody_said_is_asked_and_nothing_takes_it_away() -> None:
    assert {"blind_holes", "washers", "seated"} <= set(names())
    assert not {"blind_holes", "washers", "seated"} & set(names(features=("nothing",)))


def test_the_wheels_own_question_replaces_the_general_one() -> None:
    wheel = names(features=("wheel",), surface_stated=False)
    assert "wheel_surface" in wheel
    assert "surface" not in wheel


def test_an_option_is_found_by_its_name() -> None:
    (point,) = [one for one in points() if one.name == "wheel_surface"]
    assert isinstance(point, Point)
    assert point.option("dry") is not None
    assert point.option("wet") is None
