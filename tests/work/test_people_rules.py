"""Roles, lockout, PINs and passwords: the rules alone."""

from __future__ import annotations

import csv
import datetime as dt
import re
from itertools import pairwise
from pathlib import Path

import pytest

from clampwright.errors import Refused
from clampwright.work import people_rules, roles
from clampwright.work.people_rules import Lockout

NOW = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)
RULE = Lockout(3, 30, 3600, 86_400)
DOCS = Path(__file__).parents[2] / "docs" / "reference"


def test_every_act_has_its_words_and_every_role_stands_in_the_table() -> None:
    assert set(roles.acts()) == set(roles.ACTS)
    for act in roles.acts().values():
        assert act.roles <= set(roles.ROLES)
        assert act.source
        assert "administrator" in act.roles, act


def test_each_role_may_what_the_one_before_it_may() -> None:
    ladder = list(roles.ROLES)
    for lower, higher in pairwise(ladder):
        assert {a for a in roles.acts() if roles.may(lower, a)} <= {
            a for a in roles.acts() if roles.may(higher, a)
        }


def test_what_is_in_no_table_nobody_may() -> None:
    assert not any(roles.may(role, "fly") for role in roles.ROLES)
    assert not roles.may("stranger", "look")
    with pytest.raises(Refused, match=r"apprentice may not do this .close a job.*mechanic"):
        roles.refuse_unless("apprentice", "close_job")


def test_every_kind_of_entry_in_the_reference_has_an_act() -> None:
    text = (DOCS / "record-format.md").read_text("utf-8").split("Unknown kinds are to be")[1]
    table = text.split("| --- | --- |")[1].split("\n\n")[0]
    kinds = re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE)
    assert len(kinds) > 20
    assert set(kinds) <= set(roles.entry_acts())
    assert set(roles.entry_acts().values()) <= set(roles.acts())


def test_the_wait_grows_to_its_longest_and_ends() -> None:
    waits = [RULE.wait(n) for n in range(12)]
    assert waits == [0, 0, 0, 30, 60, 120, 240, 480, 960, 1920, 3600, 3600]
    ago = NOW - dt.timedelta(seconds=10)
    assert RULE.left(3, ago, NOW) == 20
    assert RULE.left(3, NOW - dt.timedelta(seconds=30), NOW) == 0
    assert RULE.left(2, ago, NOW) == RULE.left(3, None, NOW) == 0


def test_a_clock_set_back_lengthens_no_wait_and_old_tries_are_forgotten() -> None:
    assert RULE.left(3, NOW + dt.timedelta(days=3), NOW) == 30
    assert RULE.counted(9, NOW - dt.timedelta(days=2), NOW) == 0
    assert RULE.counted(9, NOW - dt.timedelta(hours=2), NOW) == 9


@pytest.mark.parametrize("pin", ["", "123", "1234", "4321", "0000", "12a4", "٣٤٥٦", "123456789"])
def test_bad_pins(pin: str) -> None:
    with pytest.raises(Refused, match="PIN"):
        people_rules.check_pin(pin)


@pytest.mark.parametrize("password", ["", "short", "aaaaaaaaaaaa", "A. Fitter Long", "x" * 201])
def test_bad_passwords(password: str) -> None:
    with pytest.raises(Refused, match="password"):
        people_rules.check_password(password, "A. FITTER long")


def test_good_ones_are_taken() -> None:
    people_rules.check_pin("2741")
    people_rules.check_password("four plain words here", "A. Fitter")


def test_idle_and_over() -> None:
    later = NOW + dt.timedelta(seconds=301)
    assert people_rules.is_idle(NOW, later)
    assert not people_rules.is_idle(NOW, NOW + dt.timedelta(seconds=299))
    assert people_rules.is_over(NOW, NOW + dt.timedelta(hours=12, seconds=1))


def test_every_figure_names_its_source() -> None:
    assert all(part["source"] for part in people_rules.figures().values())
    text = Path(roles.__file__).with_name("roles.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert all(row["source"] for row in rows)


def test_the_reference_shows_the_table_and_the_figures_as_they_are() -> None:
    text = (DOCS / "roles.md").read_text("utf-8")
    rows = [line.strip("| ").split(" | ") for line in text.splitlines() if " | yes" in line]
    shown = {
        row[0]: ([one == "yes" for one in row[1:5]], row[-1].endswith("signed")) for row in rows
    }
    wanted = {
        str(roles.ACTS[name]): ([role in act.roles for role in roles.ROLES], act.signs)
        for name, act in roles.acts().items()
    }
    assert shown == wanted
    for part in people_rules.figures():
        for name, value in people_rules.figures()[part].items():
            if name not in {"source", "forgotten_after_s"}:
                assert re.search(rf"\b{value}\b", text), (part, name)
