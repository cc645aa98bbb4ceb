"""The paper: what stands on it, the record attached unchanged, always the same bytes."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import re
import subprocess
import sys
import zlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import BadFile, Refused
from clampwright.proof.record import verify
from clampwright.report import child
from clampwright.report.paper.labels import LABELS
from clampwright.report.paper.material import open_record
from clampwright.report.pdf import content, record_pdf
from clampwright.words import words

pytestmark = pytest.mark.usefixtures("drawn_once")

RECORD_TYP = Path(child.__file__).with_name("record.typ")


def streams(pdf: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield the dictionary and the unpacked content of every stream of a PDF."""
    for match in re.finditer(rb"obj\s*(<<(?:(?!endobj).)*?>>)\s*stream\r?\n", pdf, re.DOTALL):
        data = pdf[match.end() : pdf.index(b"endstream", match.end())]
        if b"FlateDecode" in match[1]:
            yield match[1], zlib.decompressobj().decompress(data)
        else:
            yield match[1], data


def pages(pdf: bytes) -> int:
    everything = pdf + b"\n".join(data for _, data in streams(pdf))
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", everything))


def told(invented: Any, *, traces: bool = True) -> dict[str, Any]:
    material = open_record(invented.record(), "en")
    return content(material, invented.traces if traces else {})


def all_text(data: Any) -> str:
    if isinstance(data, dict):
        return "\n".join(all_text(value) for value in data.values())
    if isinstance(data, list | tuple):
        return "\n".join(all_text(value) for value in data)
    return str(data)


def test_the_record_is_attached_byte_for_byte_and_still_holds(eventful: Any) -> None:
    record = eventful.record()
    pdf = record_pdf(record, eventful.traces, language="en")
    attached = [data for head, data in streams(pdf) if b"EmbeddedFile" in head]
    assert attached == [record]
    assert verify(attached[0]).ok
    assert b"/AFRelationship/Source" in pdf.replace(b" ", b"")
    assert b"raft-wheel.json" in pdf


def test_it_says_that_it_is_pdf_a_3b_in_the_language_of_the_paper(clean: Any) -> None:
    pdf = record_pdf(clean.record(), clean.traces, language="en")
    assert pdf.startswith(b"%PDF-1.7")
    (about,) = [data.decode() for head, data in streams(pdf) if b"/XML" in head]
    assert "<pdfaid:part>3</pdfaid:part>" in about
    assert "<pdfaid:conformance>B</pdfaid:conformance>" in about
    assert "<rdf:li>en</rdf:li>" in about
    assert "Record of tightening: Paddle wheel after new bushes" in about


def test_its_time_is_that_of_the_last_entry(clean: Any) -> None:
    record = clean.record()
    last = json.loads(record)["entries"][-1]["entry"]["recorded"]
    pdf = record_pdf(record, language="en")
    stamp = dt.datetime.fromisoformat(last)
    assert f"D:{stamp:%Y%m%d%H%M%S}".encode() in pdf


def test_two_processes_anywhere_make_the_same_bytes(eventful: Any, tmp_path: Path) -> None:
    record = eventful.record()
    here = record_pdf(record, eventful.traces, language="en")
    (tmp_path / "record.json").write_bytes(record)
    for name, data in eventful.traces.items():
        (tmp_path / f"{name}.csv").write_bytes(data)
    code = (
        "import sys, pathlib\n"
        "from clampwright.report.pdf import record_pdf\n"
        "folder = pathlib.Path('.')\n"
        "traces = {path.stem: path.read_bytes() for path in folder.glob('*.csv')}\n"
        "record = (folder / 'record.json').read_bytes()\n"
        "sys.stdout.buffer.write(record_pdf(record, traces, language='en'))\n"
    )
    elsewhere = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        check=True,
        cwd=tmp_path,
        env=os.environ
        | {"TZ": "Asia/Kathmandu", "SOURCE_DATE_EPOCH": "1", "PYTHONHASHSEED": "7", "LANG": "C"},
    ).stdout
    assert elsewhere == here


def test_another_record_makes_another_paper(eventful: Any, clean: Any) -> None:
    assert record_pdf(eventful.record(), language="en") != record_pdf(clean.record(), language="en")


def test_the_first_page_says_what_is_open_odd_and_due(eventful: Any) -> None:
    page = told(eventful)["summary"]
    assert page["headline"] == [
        "2 of 8 pulls are not done or not settled.",
        "1 went on by a person's decision in spite of the verdict.",
        "5 pulls fall due later.",
    ]
    counts = {word: count for _, word, count in page["counts"]}
    assert counts == {
        "within": "5",
        "short": "1",
        "over": "0",
        "doubtful": "1",
        "void": "0",
        "not known": "1",
        "undone and started again": "1",
        "not done yet": "5",
    }
    odd = "\n".join(page["attention"])
    assert "stage 2, fastener 2: short" in odd
    assert "stage 2, fastener 4: not known" in odd
    assert "stage 1, fastener 3: doubtful, accepted by a person" in odd
    assert page["due"] == ["Paddle wheel: wait 50 km", "Paddle wheel: torque_check 30 N·m"]
    assert page["tools"] == ["Click wrench 10 to 60 N·m: calibration overdue since 2026-01-10."]
    assert ["State", "not closed"] in page["facts"]


def test_a_clean_job_says_so_and_no_more_than_that(clean: Any) -> None:
    page = told(clean)["summary"]
    assert page["headline"] == [
        "All 8 pulls are within their limits.",
        "5 pulls fall due later.",
    ]
    assert page["attention"] == []
    assert "not prove that a pull was true" in page["notes"][-1]
    assert not re.search(r"\bis safe\b", all_text(page))


def test_a_missing_pull_is_named(invented: Any) -> None:
    log = invented()
    log.click(1)
    page = told(log)["summary"]
    assert page["headline"][0] == "7 of 8 pulls are not done or not settled."
    assert "not done on fastener 3, 2, 4." in page["attention"][0]


def test_every_pull_stands_there_with_reading_verdict_and_reasons(eventful: Any) -> None:
    (joint,) = told(eventful)["joints"]
    first, second, wait, check = joint["stages"]
    assert [row["fastener"] for row in first["rows"]] == ["1", "3", "2", "4", "4"]
    doubtful = first["rows"][1]
    assert doubtful["read"] == "set to 30 N·m: click, did not move"
    assert doubtful["got"] == "29.88 ± 0.60 N·m"
    assert (doubtful["mark"], doubtful["verdict"]) == ("?", "doubtful")
    assert doubtful["after"] == ["A person went on: seen to turn by the apprentice"]
    undone = first["rows"][3]
    assert undone["undone"]
    assert undone["after"][-1] == "Undone: the fastener was loosened and started again."
    assert first["common"] == ["limits by the workshop's rule"]
    assert [row["verdict"] for row in second["rows"]] == ["within", "within", "short", "not known"]
    assert second["rows"][2]["read"] == "recorded: 40.0 N·m, 20° after snug"
    assert [row["time"] for row in first["rows"]] == ["14:00"] * 5
    assert "Done on 2026-03-04." in first["about"]
    assert wait["open"] == check["open"] == "Due later."


def test_the_joint_is_drawn_as_the_record_leaves_it(eventful: Any) -> None:
    (joint,) = told(eventful)["joints"]
    states = dict(re.findall(r'data-fastener="(\d)" data-state="(\w+)"', joint["map"]))
    assert states == {"1": "done", "2": "doubtful", "3": "done", "4": "doubtful"}
    for mark in ("short", "not known", "accepted", "Left-hand thread"):
        assert mark in joint["map"]
    assert ["Thread", "M10, left-hand"] in joint["facts"]
    assert ["If it fails", "life or limb (level 1)"] in joint["facts"]


def test_procedure_and_source_stand_as_written(eventful: Any) -> None:
    (joint,) = told(eventful)["joints"]
    assert joint["procedure"]["text"] == "Step 1: 30 N·m\nStep 2: turn 45°\nRe-check after 50 km."
    assert joint["procedure"]["source"] == "Raft handbook (invented), 7"


def test_recorded_pulls_are_drawn_together_and_the_odd_one_alone(eventful: Any) -> None:
    (joint,) = told(eventful)["joints"]
    stage = joint["stages"][1]
    assert "angle after snug, degrees" in stage["chart"]
    assert stage["chart"].count('stroke-dasharray="10,5"') == 1
    assert [one["title"] for one in stage["charts"]] == ["Stage 2, fastener 2"]
    assert "SHORT" in stage["charts"][0]["svg"]
    assert stage["lost"] == []


def test_recordings_that_are_not_at_hand_are_named(eventful: Any) -> None:
    (joint,) = told(eventful, traces=False)["joints"]
    stage = joint["stages"][1]
    assert stage["chart"] == ""
    assert len(stage["lost"]) == 3
    for paper in eventful.traces:
        assert any(paper in sentence for sentence in stage["lost"])


def test_a_recording_with_another_content_is_refused(eventful: Any) -> None:
    (name, *_) = eventful.traces
    with pytest.raises(Refused, match="not the one the record names"):
        record_pdf(eventful.record(), {name: b"time_s,torque_Nm,angle_deg\n0,1,2\n"})


def test_a_recording_that_is_no_trace_is_named(invented: Any) -> None:
    log = invented()
    junk = b"not a trace at all\n"
    paper = hashlib.sha256(junk).hexdigest()
    log.pull(2, 1, "within", {"kind": "trace", "paper": paper})
    with pytest.raises(BadFile):
        record_pdf(log.record(), {paper: junk})


def test_an_altered_record_gives_no_paper(eventful: Any) -> None:
    altered = eventful.record().replace(b"seen to turn", b"seen to burn")
    with pytest.raises(Refused, match="no paper was made"):
        record_pdf(altered, eventful.traces)


@pytest.mark.parametrize(
    "body",
    [
        {"joint": "wheel", "stage": 1},
        {"joint": "other", "stage": 1, "fastener": 1, "verdict": "short", "reasons": []},
        {
            "joint": "wheel",
            "stage": 1,
            "fastener": 1,
            "verdict": "short",
            "reading": {"kind": "done"},
            "reasons": [{"template": "{lost}", "text": "", "values": {"a": "b"}}],
        },
    ],
)
def test_entries_of_another_shape_are_refused_in_words(invented: Any, body: Any) -> None:
    log = invented()
    log.add("pull", body)
    with pytest.raises(Refused, match="this version cannot put on paper"):
        record_pdf(log.record(), language="en")


def test_tools_stand_with_their_calibration(eventful: Any) -> None:
    click, electronic = told(eventful)["tools"]
    assert (click["due"], click["warn"]) == ("OVERDUE since 2026-01-10", True)
    assert click["pulls"] == "5 pulls"
    assert (electronic["due"], electronic["warn"]) == ("holds until 2027-01-10", False)
    assert electronic["calibration"] == "calibrated 2026-01-10, deviations not stated"


def test_questions_cautions_key_and_checkpoint_stand_there(eventful: Any) -> None:
    record = eventful.record()
    data = content(open_record(record, "en"), {})
    assert data["findings"][0]["question"] == "Dry or oiled?"
    assert any("manufacturer" in line for line in data["cautions"])
    assert any("Paddle wheel: life or limb depends on it" in line for line in data["cautions"])
    assert data["proof"]["checkpoint"] == json.loads(record)["checkpoint"]
    assert data["proof"]["facts"][0][1] == verify(record).fingerprint
    assert data["invented"] is True


HOSTILE = "#panic() *b* _i_ $x$ @p <l> // http://127.0.0.1/ \\ `r` = h [z] </text><script>"


def test_hostile_words_are_set_as_they_are(invented: Any) -> None:
    log = invented(title=HOSTILE, text=HOSTILE)
    odd = log.pull(1, 1, "doubtful", {"kind": "done", "done": True}, reasons=(words(HOSTILE),))
    log.add("pull_accepted", {"entry": odd.id, "reason": HOSTILE})
    data = told(log)
    assert data["title"] == HOSTILE
    assert data["joints"][0]["procedure"]["text"] == HOSTILE
    assert pages(record_pdf(log.record(), language="en")) >= 4


def test_nothing_is_fetched_for_a_paper(invented: Any, listening: Any) -> None:
    with listening() as (address, heard):
        log = invented(title=f"{address}/a", text=f'#image("{address}/b.png") {address}/c')
        log.click(1)
        record = log.record()
        data = content(open_record(record, "en"), {})
        picture = f'<image width="9" height="9" href="{address}/d.png"/></svg>'
        data["summary"]["map"] = data["summary"]["map"].replace("</svg>", picture)
        inputs = {"data": json.dumps(data), "record": record.decode()}
        with suppress(Refused):  # set without it or not at all: only nothing may go out
            child.run("paper", {"inputs": inputs, "time": "2026-03-04T14:00:00Z"})
        assert record_pdf(record, language="en").startswith(b"%PDF")
    assert heard == []


def test_letters_the_fonts_lack_are_shown_as_unknown_and_said(invented: Any) -> None:
    log = invented(title="Wheel 車輪 🔧")
    log.click(1)
    data = told(log)
    assert data["title"] == "Wheel \ufffd\ufffd \ufffd"
    assert data["summary"]["notes"][-1].startswith("Where this paper shows \ufffd")
    assert record_pdf(log.record(), language="en").startswith(b"%PDF")


def test_the_first_page_stays_one_page_however_much_is_odd(invented: Any) -> None:
    def paper(lines: int) -> int:
        log = invented()
        long = words("this reason goes on and on, " * 8)
        for fastener in (1, 3, 2, 4):
            for stage in (1, 2):
                log.pull(
                    stage, fastener, "void", {"kind": "done", "done": True}, reasons=[long] * lines
                )
        data = told(log)
        data["joints"] = []
        inputs = {"data": json.dumps(data), "record": "{}"}
        return pages(child.run("paper", {"inputs": inputs, "time": "2026-03-04T14:00:00Z"}))

    assert paper(1) == paper(0)


def test_the_template_has_no_words_of_its_own() -> None:
    source = re.sub(r"//.*", "", RECORD_TYP.read_text(encoding="utf-8"))
    asked = set(re.findall(r"\bl\.(\w+)", source))
    assert asked <= set(LABELS)
    assert set(LABELS) - asked == {"replaced"}
    for block in re.findall(r"\[([^\[\]]*)\]", source):
        bare = block
        while "(" in bare:
            bare = re.sub(r"\([^()]*\)", "", bare)
        assert not re.search(r"[A-Za-z]", re.sub(r"#[\w.]+", "", bare)), block
    assert "import" not in source


def test_a_paper_beyond_its_limits_is_refused_in_words(clean: Any) -> None:
    with pytest.raises(Refused, match="0 s"):
        child.run("paper", {}, seconds=0)
    with pytest.raises(Refused, match="could not be drawn"):
        child.run("paper", {"inputs": {"data": "{}", "record": ""}, "time": "2026-03-04T14:00:00Z"})
    assert clean.record()
