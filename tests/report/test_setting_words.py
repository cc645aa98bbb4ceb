"""What a card says and what is spoken are the same sentences."""

from __future__ import annotations

import pytest

from clampwright.drawer import Adapter, Scale, Tool, setting
from clampwright.report.setting_words import spoken_setting
from clampwright.report.settingcard import setting_card

SCALES = (Scale("ft·lbf", 20, 150, 10, 1), Scale("N·m", 30, 200, 10, 2))
CLICK = Tool("c", "Click wrench", "click", "1/2 in", SCALES, length=480.0)
OPEN = Adapter("a", "Open end 17 mm", "1/2 in", 60.0)
GEAR = Adapter(
    "m", "Multiplier", "1/2 in", kind="multiplier", ratio=4.0, efficiency=0.9, u_efficiency=0.02
)
FIXED = Tool("f", "Fixed", "click", "1/2 in", (Scale("N·m", 90, 90, 90),), mechanism="fixed")
BEAM = Tool("b", "Beam", "beam", "1/2 in", (Scale("N·m", 20, 140, 20, 5),))


@pytest.mark.parametrize(
    ("tool", "torque", "adapter", "said"),
    [
        (CLICK, 92.8, None, ["Set 92 N·m", "at the fastener: 92.8 N·m", "0.8 N·m less than"]),
        (CLICK, 93.0, OPEN, ["480 mm from the square", "1.12 times as much"]),
        (CLICK, 400.0, GEAR, ["Only with Multiplier: the fastener gets 3.6 times as much"]),
        (FIXED, 90.0, None, ["it stands at 90 N·m: nothing to set", "say it aloud"]),
        (BEAM, 62.5, None, ["Look straight down on it", "midway between 60 and 65"]),
    ],
)
def test_the_card_says_what_is_spoken(
    tool: Tool, torque: float, adapter: Adapter | None, said: list[str]
) -> None:
    found = setting(tool, torque, adapter=adapter)
    spoken = " ".join(str(one) for one in spoken_setting(tool, found))
    drawn = setting_card(tool, found)
    for part in said:
        assert part in spoken
    for word in "Wanted", "fastener":
        assert word in drawn


def test_the_wanted_value_stands_in_the_unit_of_the_procedure() -> None:
    found = setting(CLICK, 40.0, unit="kgf·m")
    assert found.wanted == pytest.approx(40.0)
    assert "Wanted at the fastener: 4.079 kgf·m" in [str(x) for x in spoken_setting(CLICK, found)]
