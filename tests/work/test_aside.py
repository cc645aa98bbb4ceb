"""What is kept aside is told as it was read, whichever way it was read."""

from __future__ import annotations

from typing import Any

import pytest

from clampwright.words import words
from clampwright.work.aside import Aside, told

TOLD: list[tuple[dict[str, Any], str]] = [
    ({"kind": "value", "value": "45", "unit": "N·m"}, "45 N·m"),
    ({"kind": "angle", "value": "90"}, "90°"),
    ({"kind": "click", "clicked": True, "moved": False}, "clicked, stood still"),
    ({"kind": "done", "done": True}, "done"),
    ({"kind": "done", "done": False}, "not done"),
    ({"kind": "marks", "start": "12:00", "end": "3:00", "turning": "cw"}, "90°, "),
    ({"kind": "gauge", "value": "61"}, "61° on the dial, let go"),
    ({"kind": "phone", "value": "91.5", "u": "1"}, "91.5° by the phone"),
    (
        {"kind": "stretch", "free": ["80.10"], "tight": ["80.31"], "unit": "mm", "step": "0.01"},
        "free 80.10, tight 80.31 mm",
    ),
    ({"kind": "while_turning", "values": ["3.1", "3.2"], "unit": "N·m"}, "3.1 · 3.2 N·m while"),
    ({"kind": "of_a_newer_program"}, "a reading of the kind of_a_newer_program"),
]


@pytest.mark.parametrize(("reading", "said"), TOLD)
def test_every_way_of_reading_is_told(reading: dict[str, Any], said: str) -> None:
    content = {"joint": "head", "stage": 2, "fastener": 3, "reading": reading}
    one = Aside("e1", "e0", "pulls", content, words("the job is closed"), "tablet", "2026-11-30")
    sentence = str(told(one))
    assert f"head, stage 2, fastener 3: {said}" in sentence
    assert ("not done" in sentence) == (reading == {"kind": "done", "done": False})
