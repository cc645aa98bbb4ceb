"""Which fasteners need a wrench, and which do not."""

from __future__ import annotations

import pytest

from clampwright.drawer.by_feel import advise, harm_table, limits_of_the_rule, reasons_table
from clampwright.errors import OutOfRange


@pytest.mark.parametrize(
    ("level", "facts", "control", "keys"),
    [
        (1, {}, "wrench", ["life"]),
        (2, {}, "wrench", ["breakdown"]),
        (3, {}, "feel", ["annoyance"]),
        (3, {"torque_stated": True}, "wrench", ["stated"]),
        (3, {"to_yield": True}, "wrench", ["yield"]),
        (3, {"soft_thread": True}, "small wrench", ["soft_thread"]),
        (3, {"soft_gasket": True}, "small wrench", ["gasket"]),
        (3, {"diameter": 6.0}, "small wrench", ["small"]),
        (3, {"diameter": 8.0}, "feel", ["annoyance"]),
        # The strictest comes first; the others stay told.
        (1, {"soft_thread": True, "diameter": 5.0}, "wrench", ["life", "soft_thread", "small"]),
    ],
)
def test_advice(level: int, facts: dict[str, float], control: str, keys: list[str]) -> None:
    """The sort of trade practice: common practice, no source."""
    found = advise(level, **facts)  # type: ignore[arg-type]  # rows of one table with several types
    assert found.control == control
    assert [one.key for one in found.reasons] == keys


def test_every_row_names_its_source_and_the_limits_are_told() -> None:
    assert all(one.source and str(one.say) for one in reasons_table())
    assert all(one.source and one.level in {1, 2, 3} for one in harm_table())
    assert {one.level for one in harm_table()} == {1, 2, 3}
    assert [one.level for one in harm_table()] == sorted(one.level for one in harm_table())
    assert all(source for _say, source in limits_of_the_rule())
    assert len({one.key for one in harm_table()}) == len(harm_table())


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRange, match="harm level 4 does not exist"):
        advise(4)
    with pytest.raises(OutOfRange, match="a thread of -3 mm cannot be"):
        advise(3, diameter=-3.0)
    with pytest.raises(OutOfRange, match="a thread of nan mm cannot be"):
        advise(3, diameter=float("nan"))
