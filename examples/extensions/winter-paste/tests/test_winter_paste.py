"""The condition is there by its name, and changes nothing where it is not named."""

from clampwright import standards


def test_it_is_there_with_its_source() -> None:
    condition = standards.friction("winter paste")
    assert (condition.low, condition.high) == (0.09, 0.13)
    assert "package example-winter-paste 0.1.0" in condition.source


def test_the_tables_stay_as_they_are() -> None:
    assert "winter_paste" not in [one.name for one in standards.friction_conditions()]
