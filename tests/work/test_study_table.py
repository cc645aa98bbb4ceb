"""A repeatability and reproducibility study from a table, against the published data set."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from clampwright.errors import BadFile
from clampwright.work.study_table import read_study

TWO = "person,part,trial,value\n" + "".join(
    f"{person},{part},{trial},{20 * part + gap + 0.1 * trial}\n"
    for person, gap in (("Ann", 0.0), ("Bo", 0.4))
    for part in (1, 2, 3)
    for trial in (1, 2)
)


def test_the_published_study_comes_out() -> None:
    """AIAG data set (from memory): GRR 0.302373, %GRR 27.9, ndc 4 by analysis of variance."""
    text = (
        files("clampwright.standards.published").joinpath("gauge_readings.csv").read_text("utf-8")
    )
    rows = list(csv.DictReader(text.splitlines()))
    table = "person,part,trial,value\n" + "".join(
        f"{row['appraiser']},{row['part']},{row['trial']},{row['value']}\n" for row in rows
    )
    study = read_study(table.encode(), "s.csv")
    assert (study.people, study.parts, study.trials) == (3, 10, 3)
    result = study.variance.study
    assert result.gauge == pytest.approx(0.302373, abs=5e-6)
    assert result.percent("gauge") == pytest.approx(27.9, abs=0.05)
    assert result.categories == 4
    assert study.ranges is not None
    assert study.ranges.gauge == pytest.approx(0.30575, abs=5e-5)
    told = " ".join(str(line) for line in study.says)
    assert "what is at stake" in told
    assert "at least 5" in told


def test_two_people_are_enough_and_what_differs_is_said() -> None:
    study = read_study(TWO.encode(), "s.csv")
    assert study.people == 2
    assert "The people differ more" in " ".join(str(line) for line in study.says)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("person,part,value\nA,1,2\n", "column trial is missing"),
        (TWO.replace("Bo,3,2,60.6\n", ""), "person Bo, part 3, trial 2 is missing"),
        (TWO + "Bo,3,2,1\n", "is there twice"),
        ("person,part,trial,value\nA,1,1,2\nA,1,2,2\n", "at least two people"),
        (TWO.replace("60.6", "much"), "not a number"),
    ],
)
def test_a_study_that_is_not_whole_says_what_lacks(text: str, said: str) -> None:
    with pytest.raises(BadFile, match=said):
        read_study(text.encode(), "s.csv")
