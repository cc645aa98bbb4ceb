"""Second looks stand in the record, on paper and in text."""

from __future__ import annotations

from clampwright.report.prepared import told_of
from clampwright.words import as_data, words
from clampwright.work.fold import JobState, fold

TAKEN = {
    "joint": "wheel",
    "stage": 2,
    "tool": "beam-200",
    "reason": "compared this morning",
    "against": [as_data(words("its calibration ran out on {due}", due="2026-04-02"))],
}
READ = {
    "joint": "wheel",
    "stage": 1,
    "tool": "click-60",
    "wanted": {"value": "44", "unit": "N·m"},
    "read": {"value": "54", "unit": "N·m"},
    "agrees": False,
    "told": as_data(words("off by {count} whole main marks", count=2)),
}


def test_what_a_record_says_of_them() -> None:
    state = fold(
        [
            {"id": "1", "kind": "tool_overruled", "body": TAKEN},
            {"id": "2", "kind": "setting_read_back", "body": READ},
        ]
    )
    ((title, lines),) = told_of("wheel", state)
    assert str(title) == "Second looks"
    assert [str(line) for line in lines] == [
        (
            "Stage 1: click-60 was to stand on 44 N·m; a second person read 54 N·m: off by 2 whole "
            "main marks"
        ),
        "Stage 2: a person took beam-200 instead: compared this morning",
        "Against it stood: its calibration ran out on 2026-04-02",
    ]
    assert told_of("other", state) == ()
    assert told_of("wheel", JobState()) == ()
