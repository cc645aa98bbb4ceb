"""The shelf as a fold, its search, and what changed between versions."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import Missing, Refused
from clampwright.procedure import read
from clampwright.work.attached import file_types, type_of
from clampwright.work.difference import MOST_LINES, difference
from clampwright.work.exact_stages import exact_stages, stages_from
from clampwright.work.naming import id_from
from clampwright.work.settling import stage_lines
from clampwright.work.shelf import (
    CONFIRMED,
    SHELVED,
    Version,
    fold_shelf,
    version_from,
)

CASES = [
    json.loads(line)
    for name in ("corpus.jsonl", "own_cases.jsonl")
    for line in (Path(__file__).parents[1] / "procedure" / name).read_text("utf-8").splitlines()
    if line.startswith("{")
]
SOURCE = {"title": "Sheet", "edition": "", "page": "4", "date": ""}


def shelved(procedure: str, number: int, text: str, **more: Any) -> dict[str, Any]:
    reading = read(text)
    content = {
        "title": procedure.title(),
        "text": text,
        "locale": "en",
        "choice": None,
        "understood": list(stage_lines(reading.stages)),
        "stages": exact_stages(reading.stages),
        "source": SOURCE,
        "attached": [],
        **more,
    }
    body = {
        "procedure": procedure,
        "version": number,
        "content": content,
        "sha256": f"{number:064x}",
        "by": "person-1",
    }
    return {"kind": SHELVED, "id": f"{procedure}-{number}", "recorded": "2026-01-02", "body": body}


def version(number: int, text: str, **more: Any) -> Version:
    return fold_shelf([shelved("pump", number, text, **more)]).procedures["pump"][0]


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_stages_come_back_from_the_log_as_they_went(case: dict[str, str]) -> None:
    reading = read(case["text"], case.get("locale", "en"))
    for stages in (reading.stages, *reading.candidates):
        there = json.loads(json.dumps(exact_stages(stages)))
        assert stages_from(there) == stages


def test_the_fold_can_stop_and_go_on_and_passes_over_other_kinds() -> None:
    entries = [
        shelved("pump", 1, "10 Nm"),
        {"kind": "pull", "id": "x", "recorded": "", "body": {}},
        shelved("head", 1, "30 Nm"),
        shelved("pump", 2, "12 Nm"),
        {
            "kind": CONFIRMED,
            "id": "c",
            "recorded": "2026-02-02",
            "body": {"procedure": "pump", "version": 2, "sha256": f"{2:064x}", "by": "person-2"},
        },
    ]
    whole = fold_shelf(entries)
    for cut in range(len(entries)):
        assert fold_shelf(entries[cut:], fold_shelf(entries[:cut])) == whole
    assert [one.number for one in whole.versions("pump")] == [1, 2]
    assert [len(one.confirmed) for one in whole.versions("pump")] == [0, 1]
    assert [one.procedure for one in whole.newest] == ["head", "pump"]
    assert version_from(whole.version("pump", 2).as_body()) == whole.version("pump", 2)


def test_a_confirmation_of_another_content_counts_for_nothing() -> None:
    body = {"procedure": "pump", "version": 1, "sha256": "f" * 64, "by": "person-2"}
    made = {"kind": CONFIRMED, "id": "c", "recorded": "", "body": body}
    found = fold_shelf([shelved("pump", 1, "10 Nm"), made])
    assert found.version("pump", 1).confirmed == ()
    assert fold_shelf([made]).procedures == {}


def test_search_takes_words_in_any_case_and_without_accents() -> None:
    shelf = fold_shelf(
        [
            shelved("pump", 1, "10 Nm", title="Pumpendeckel Größe 2"),
            shelved("head", 1, "Tête: 30 Nm", source={**SOURCE, "title": "Moteur"}),
            shelved("head", 2, "Tête: 31 Nm", source={**SOURCE, "title": "Moteur"}),
        ]
    )
    for sought, found in {
        "": ["head", "pump"],
        "grosse pump": ["pump"],
        "TETE moteur": ["head"],
        "31": ["head"],
        "10 moteur": [],
    }.items():
        assert [one.procedure for one in shelf.find(sought)] == found, sought


def test_what_is_not_there_is_named() -> None:
    shelf = fold_shelf([shelved("pump", 1, "10 Nm")])
    with pytest.raises(Missing, match="no procedure 'head'"):
        shelf.version("head", 1)
    with pytest.raises(Missing, match="no version 2"):
        shelf.version("pump", 2)
    with pytest.raises(Refused, match="another hash"):
        shelf.version("pump", 1, "0" * 64)


def test_the_difference_of_two_versions() -> None:
    before = version(1, "Step 1: 10 Nm\nStep 2: 22 Nm")
    after = version(
        2,
        "Step 1: 10 Nm\nStep 2: 24 Nm",
        source={**SOURCE, "edition": "4", "page": ""},
        title="Pump cover",
        attached=[{"sha256": "a", "type": "image/png", "name": "page.png", "size": 3}],
    )
    found = difference(before, after)
    assert [(line.sign, line.text) for line in found.stages] == [
        (" ", "torque 10 N·m"),
        ("-", "torque 22 N·m"),
        ("+", "torque 24 N·m"),
    ]
    assert [(line.sign, line.text) for line in found.text] == [
        (" ", "Step 1: 10 Nm"),
        ("-", "Step 2: 22 Nm"),
        ("+", "Step 2: 24 Nm"),
    ]
    assert found.stages_changed
    assert found.text_changed
    assert [str(one) for one in found.others] == [
        "title: Pump cover (Pump before)",
        "edition: 4 (nothing before)",
        "page: left out (4 before)",
        "file added: page.png",
    ]
    back = difference(after, before)
    assert "file left out: page.png" in [str(one) for one in back.others]


def test_a_wording_alone_leaves_the_stages() -> None:
    found = difference(version(1, "Tighten to 10 Nm"), version(2, "Tighten to 10 N·m"))
    assert (found.stages_changed, found.text_changed, found.others) == (False, True, ())


def test_very_long_texts_are_only_said_to_differ(monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_LINES > 1_000, "no procedure is that long"
    monkeypatch.setattr("clampwright.work.difference.MOST_LINES", 30)
    long = "Tighten to 10 Nm\n" + "see there\n" * 30
    found = difference(version(1, long), version(2, long + "more"))
    assert [line.sign for line in found.text] == ["-", "+"]
    assert difference(version(1, long), version(2, long)).text == ()
    short = long.removesuffix("see there\nsee there\n")
    assert [line.sign for line in difference(version(1, short), version(2, short + "x")).text] == [
        *29 * " ",
        "+",
    ]


@pytest.mark.parametrize("title", ["", "汉字", "---", "A" * 300, "é" * 60, "../../etc", "x\n[job]"])
def test_an_id_made_from_any_title_is_one(title: str) -> None:
    taken: list[str] = []
    for _ in range(12):
        taken.append(id_from(title, taken))
    assert len(set(taken)) == 12
    for one in taken:
        assert len(one) <= 40
        assert one[0].isalnum()
        assert set(one) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")


def test_every_sort_of_file_is_told_by_its_first_bytes() -> None:
    for one in file_types():
        data = bytes.fromhex(one.first_bytes.replace(".", "0")) + b"rest"
        assert type_of(data, "any name") == one
        assert one.source
