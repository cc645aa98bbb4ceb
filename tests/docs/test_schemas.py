"""The published schemas take every real file and refuse slips; a break of the API is found."""

from __future__ import annotations

import copy
import datetime as dt
import importlib
import json
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema_rs
import pytest

from clampwright.bench.device_file import Device, keep_device
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.handing import hand_over
from clampwright.errors import ClampwrightError
from clampwright.proof.ids import uuid7
from clampwright.trace.line_form import form_from_data
from clampwright.work.friction_file import ConditionTable, as_toml
from clampwright.work.telling import message_of, message_of_due, message_of_trial

ROOT = Path(__file__).parents[2]
Node = dict[str, Any]


@pytest.fixture(scope="module")
def tools() -> Iterator[Callable[[str], ModuleType]]:
    with pytest.MonkeyPatch.context() as patched:
        patched.syspath_prepend(str(ROOT / "tools"))
        yield importlib.import_module


@pytest.fixture(scope="module")
def schemas(tools: Callable[[str], ModuleType]) -> dict[str, Node]:
    made = tools("command_reference")
    return {name: json.loads(made.schema(name)) for name in (*made.SCHEMAS, *made.WRITTEN)}


def fits(schemas: dict[str, Node], name: str, content: Any) -> bool:
    return jsonschema_rs.is_valid(schemas[f"{name}.schema.json"], content)


def from_toml(text: str) -> Any:
    return json.loads(json.dumps(tomllib.loads(text), default=dt.date.isoformat))


def test_every_schema_is_one_and_stands_on_the_page(schemas: dict[str, Node]) -> None:
    page = (ROOT / "docs/reference/schemas.md").read_text("utf-8")
    for name, schema in schemas.items():
        jsonschema_rs.meta.validate(schema)
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert f"| `{name}` |" in page
        assert schema["description"].split("; ")[1].partition(" ")[0] in {
            path.name for path in (ROOT / "docs/reference").glob("*.md")
        }
    assert page.count(".schema.json` |") == len(schemas)


def test_every_file_written_by_hand_in_the_tree(schemas: dict[str, Node]) -> None:
    where = {"drawer.toml": "drawer-file", "device.toml": "device-file"}
    seen = []
    for path in [*ROOT.glob("examples/**/*.toml"), *ROOT.glob("src/clampwright/demo/**/*.toml"),
                 *ROOT.glob("src/clampwright/practice/lessons/*.toml")]:  # fmt: skip
        kind = where.get(path.name) or {"jobs": "job-file", "lessons": "lesson-file"}.get(
            path.parent.name
        )
        if kind is None:
            assert path.name == "pyproject.toml", f"{path} has no schema"
            continue
        content = from_toml(path.read_text("utf-8"))
        assert fits(schemas, kind, content), path
        content["strange"] = 1
        assert not fits(schemas, kind, content), path
        seen.append(kind)
    assert set(seen) == {"drawer-file", "job-file", "lesson-file"}


def test_files_the_program_writes_by_hand(schemas: dict[str, Node], tmp_path: Path) -> None:
    device = Device(port="/dev/ttyUSB0", lines="time 1 ms; torque 2 N·m; angle 3 deg")
    content = from_toml(keep_device(tmp_path, device).read_text("utf-8"))
    assert fits(schemas, "device-file", content)
    assert not fits(schemas, "device-file", {**content, "speed": 1})
    table = ConditionTable(
        name="bench-paste", title="t", low=0.1, high=0.2, fasteners=5, parts="p", sha256="0" * 64,
        date=dt.date(2026, 1, 5), by="b",
    )  # fmt: skip
    friction = from_toml(as_toml(table))
    assert fits(schemas, "friction-file", friction)
    friction["condition"][0]["low"] = 2
    assert not fits(schemas, "friction-file", friction)
    page = (ROOT / "docs/reference/outside-file.md").read_text("utf-8")
    outside = from_toml(page.partition("```toml\n")[2].partition("```")[0])
    assert fits(schemas, "outside-file", outside)
    assert not fits(schemas, "outside-file", {"witness": [{"url": "ftp://x", "key": "k"}]})


def test_mappings_of_lines_are_taken_as_the_program_takes_them(schemas: dict[str, Node]) -> None:
    torque = {"field": 1, "unit": "N·m"}
    cases: list[Any] = [
        {"torque": torque, "angle": {"after": "A=", "unit": "deg", "sign": -1}, "rate_hz": 100},
        {"torque": torque, "rate": {"field": 2}, "time": {"field": 3, "unit": "ms"},
         "separator": ";", "begins": "R:"},
        {"torque": torque, "rate_hz": 100},
        {"torque": torque, "angle": {"field": 2}, "rate": {"field": 3}, "rate_hz": 100},
        {"torque": torque, "angle": {"field": 2}},
        {"torque": torque, "angle": {"field": 2}, "time": {"field": 3}, "rate_hz": 9},
        {"torque": {"field": 0}, "angle": {"field": 2}, "rate_hz": 9},
        {"torque": {"field": 1, "after": "T="}, "angle": {"field": 2}, "rate_hz": 9},
        {"torque": {}, "angle": {"field": 2}, "rate_hz": 9},
        {"torque": torque, "angle": {"field": 2, "sign": 2}, "rate_hz": 9},
        {"torque": torque, "angle": {"field": 2}, "rate_hz": 0},
        {"torque": torque, "angle": {"field": 2}, "rate_hz": 9, "more": 1},
    ]  # fmt: skip
    for content in cases:
        try:
            form_from_data(content)
        except ClampwrightError:
            taken = False
        else:
            taken = True
        assert fits(schemas, "line-mapping", content) == taken, content
    assert [fits(schemas, "line-mapping", one) for one in cases].count(True) == 2
    assert fits(schemas, "line-mapping", {"kind": "hex-frames"})
    assert not fits(schemas, "line-mapping", {"kind": "hex-frames", "rate_hz": 9})


def test_records_and_entries(schemas: dict[str, Node], built_bench: Path) -> None:
    paths = sorted((built_bench / "demo-workshop/records").glob("*.json"))
    assert len(paths) == 4
    for path in paths:
        record = json.loads(path.read_bytes())
        assert fits(schemas, "record", record), path
        for row in record["entries"]:
            assert fits(schemas, "entry", row["entry"])
    slips: list[Callable[[Node], object]] = [
        lambda r: r.update(more=1),
        lambda r: r.pop("key"),
        lambda r: r.update(version=2),
        lambda r: r["entries"].clear(),
        lambda r: r["entries"][0].update(index=-1),
        lambda r: r["entries"][0]["proof"].append("x"),
        lambda r: r["entries"][0]["entry"].update(id="1"),
        lambda r: r["entries"][0]["entry"].update(recorded="today"),
        lambda r: r["entries"][0]["entry"]["device"].update(name="x"),
        lambda r: r["entries"][0]["entry"].pop("body"),
    ]
    for slip in slips:
        changed = copy.deepcopy(record)
        slip(changed)
        assert not fits(schemas, "record", changed)


def test_what_is_carried_and_handed_over(schemas: dict[str, Node], workshop: Workshop) -> None:
    carried = json.loads((ROOT / "examples/entries-of-a-device.json").read_bytes())
    assert fits(schemas, "exchange-file", carried)
    carried["entries"][0]["counter"] = "1"
    assert not fits(schemas, "exchange-file", carried)
    with open_store(workshop, create=True) as store:
        handed = json.loads(hand_over(workshop, store, "tool", "click-60"))
    assert fits(schemas, "handover", handed)
    assert not fits(schemas, "handover", {**handed, "files": [{"sha256": "x", "data": ""}]})


def test_messages(schemas: dict[str, Node]) -> None:
    entry = {"id": str(uuid7()), "index": 3, "job": "j", "recorded": "2026-10-05T08:00:00Z",
             "body": {"joint": "wheel", "stage": 1, "fastener": 2, "verdict": "over"}}  # fmt: skip
    told = message_of("r", "verdict_over", "log", entry)
    due = message_of_due("r", "log", follow_up="f", job="j", joint="w", what="check",
                         day="2026-10-05", time="2026-10-05T08:00:00Z")  # fmt: skip
    for message in (told, due, message_of_trial("r", "log", key="k", time="2026-10-05T08:00:00Z")):
        assert fits(schemas, "message", message)
    for slip in ({"about": "all"}, {"id": "x"}, {"more": 1}, {"index": -1}):
        assert not fits(schemas, "message", {**told, **slip})


# ---- the API -----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def kept() -> Node:
    api: Node = json.loads((ROOT / "docs/reference/openapi.json").read_bytes())
    return api


def pull(api: Node) -> Node:
    way: Node = api["paths"]["/api/jobs/{job}/pulls/{entry}"]["put"]
    return way


def sent(api: Node) -> Node:
    name = pull(api)["requestBody"]["content"]["application/json"]["schema"]["$ref"]
    found: Node = api["components"]["schemas"][name.rpartition("/")[2]]
    return found


def _needs_more(api: Node) -> None:
    sent(api)["properties"]["mood"] = {"type": "string"}
    sent(api)["required"].append("mood")


BROKEN: list[tuple[Callable[[Node], object], str]] = [
    (lambda a: a["paths"].pop("/api/jobs"), "GET /api/jobs is gone"),
    (lambda a: a["paths"]["/api/jobs/{job}/pulls/{entry}"].pop("put"), "pulls/{entry} is gone"),
    (lambda a: sent(a)["properties"].pop("tool"), "member tool is gone"),
    (_needs_more, "member mood is needed now"),
    (lambda a: sent(a)["properties"].update(stage={"type": "string"}), "integer became string"),
    (lambda a: sent(a)["properties"]["joint"].update(maxLength=1), "maxLength is narrower"),
    (lambda a: sent(a)["properties"]["joint"].update(enum=["a"]), "only some choices"),
    (lambda a: pull(a)["responses"].pop("201"), "no answer 201 any more"),
    (lambda a: pull(a)["parameters"].append({"in": "query", "name": "x", "required": True,
                                             "schema": {}}), "x must now be given"),
    (lambda a: pull(a).update(parameters=pull(a)["parameters"][1:]), "is no longer taken"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "why"), BROKEN, ids=[one[1] for one in BROKEN])
def test_a_break_of_the_api_is_found_and_named(
    tools: Callable[[str], ModuleType], kept: Node, change: Callable[[Node], object], why: str
) -> None:
    changed = copy.deepcopy(kept)
    change(changed)
    assert any(why in one for one in tools("api_change").breaks(kept, changed))


def answer(api: Node, name: str = "Taken") -> Node:
    found: Node = api["components"]["schemas"][name]
    return found


CHANGED_ANSWERS: list[tuple[Callable[[Node], object], str]] = [
    (lambda a: answer(a)["properties"].pop("index"), "answer 200: member index is gone"),
    (lambda a: answer(a)["properties"].update(index={"type": "string"}), "integer became string"),
    (lambda a: answer(a)["required"].remove("index"), "member index is not sure now"),
    (lambda a: answer(a)["properties"].update(index={"anyOf": [{"type": "integer"},
     {"type": "null"}]}), "integer became one of several forms"),
    (lambda a: answer(a, "PullVerdict")["properties"]["verdict"]["enum"].append("odd"), '"odd"'),
    (lambda a: answer(a, "PullVerdict")["properties"]["verdict"].pop("enum"), "any choice may"),
    (lambda a: pull(a)["responses"].pop("200"), "no answer 200 any more"),
]  # fmt: skip


@pytest.fixture(scope="module")
def described(tools: Callable[[str], ModuleType]) -> Node:
    made: Node = json.loads(tools("command_reference").openapi())
    return made


@pytest.mark.parametrize(
    ("change", "why"), CHANGED_ANSWERS, ids=[one[1] for one in CHANGED_ANSWERS]
)
def test_a_break_of_an_answer_is_found_and_named(
    tools: Callable[[str], ModuleType], described: Node, change: Callable[[Node], object], why: str
) -> None:
    changed = copy.deepcopy(described)
    change(changed)
    assert any(why in one for one in tools("api_change").breaks(described, changed))


def test_more_in_an_answer_breaks_nothing(
    tools: Callable[[str], ModuleType], described: Node
) -> None:
    more = copy.deepcopy(described)
    answer(more)["properties"]["mood"] = {"type": "string"}
    assert tools("api_change").breaks(described, more) == []


def test_what_is_added_breaks_nothing(tools: Callable[[str], ModuleType], kept: Node) -> None:
    more = copy.deepcopy(kept)
    more["paths"]["/api/new"] = copy.deepcopy(more["paths"]["/api/jobs"])
    sent(more)["properties"]["mood"] = {"type": "string"}
    pull(more)["responses"]["418"] = {"description": "short and stout"}
    breaks = tools("api_change").breaks
    assert breaks(kept, more) == breaks(kept, kept) == []
    assert breaks(more, kept) != []


def test_a_break_is_not_written_over_the_kept_copy(
    tools: Callable[[str], ModuleType], kept: Node, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    made = tools("command_reference")
    changed = copy.deepcopy(kept)
    del changed["paths"]["/api/jobs"]
    (tmp_path / "openapi.json").write_text(json.dumps(kept), "utf-8")
    monkeypatch.setattr(made, "REFERENCE", tmp_path)
    monkeypatch.setattr(made, "made", lambda: {"openapi.json": json.dumps(changed)})
    monkeypatch.setattr("sys.argv", ["command_reference.py"])
    assert made.main() == 1
    assert "GET /api/jobs is gone" in capsys.readouterr().out
    assert json.loads((tmp_path / "openapi.json").read_bytes()) == kept
    monkeypatch.setattr("sys.argv", ["command_reference.py", "--breaking"])
    assert made.main() == 0
    assert json.loads((tmp_path / "openapi.json").read_bytes()) == changed
