"""The reference agrees with the program: commands, keys of files, members, variables."""

from __future__ import annotations

import datetime as dt
import importlib
import importlib.util
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import fields
from pathlib import Path
from types import ModuleType
from typing import Any

import click
import pytest

from clampwright import __version__, cli, locale
from clampwright.bench.anchoring import HEAD_KEPT
from clampwright.bench.people import CHANGED as PEOPLE_CHANGED
from clampwright.bench.tool_checks import LOOKED_OVER
from clampwright.drawer import belonging_tables
from clampwright.drawer import files as drawer_files
from clampwright.drawer import tables as drawer_tables
from clampwright.drawer.history import (
    LOOK_BACK_DECIDED,
    TOOL_CALIBRATED,
    TOOL_CHECKED,
    TOOL_EVENT,
)
from clampwright.procedure import stage, toml_form
from clampwright.proof import entry, rows, verification
from clampwright.proof.handover import HANDED_OVER, TAKEN_IN
from clampwright.proof.keychain import KEY_CHANGED
from clampwright.report.sections import SECTION_ADDED
from clampwright.tomlfile import FileModel
from clampwright.trace import patterns, verdict
from clampwright.trace.given import Given, Nominal
from clampwright.work import figures, fold, jobfile, shelf
from clampwright.work.aftermath import TAKEN_BACK
from clampwright.work.follow_up import FOLLOW_UP_PLANNED, FOLLOW_UP_SETTLED
from clampwright.work.telling import TELLING_BEGUN, TELLING_ENDED

ROOT = Path(__file__).parents[2]
REFERENCE = ROOT / "docs" / "reference"
WORKSHOPS = (ROOT / "src" / "clampwright" / "demo" / "workshop", ROOT / "examples/pump-workshop")


def page(name: str) -> str:
    return (REFERENCE / name).read_text(encoding="utf-8")


def section(name: str, heading: str) -> str:
    """The text under a heading, up to the next one of any rank."""
    found = re.search(
        rf"^#+ {re.escape(heading)}\n(.*?)(?=^#|\Z)", page(name), re.MULTILINE | re.DOTALL
    )
    assert found, f"{name} has no section {heading!r}"
    return found[1]


def table(text: str, head: str = "key") -> dict[str, list[str]]:
    """The rows of the tables that begin with a column of this name, by their first cell."""
    lines, inside = dict[str, list[str]](), False
    for line in text.splitlines():
        cells = [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]
        if not cells:
            inside = False
        elif cells[0] == head:
            inside = True
        elif inside and not cells[0].startswith("---"):
            lines[cells[0].strip("`")] = cells[1:]
    return lines


# --- commands -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    path = ROOT / "tools" / "command_reference.py"
    spec = importlib.util.spec_from_file_location("command_reference", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_what_is_made_from_the_program_is_up_to_date() -> None:
    # In a process of its own, as a maintainer runs it: other tests leave their mark on commands.
    done = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "command_reference.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


def test_the_check_of_the_generator_can_fail(
    generator: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(generator, "REFERENCE", tmp_path)
    monkeypatch.setattr(sys, "argv", ["command_reference.py", "--check"])
    assert generator.main() == 1
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setattr(sys, "argv", ["command_reference.py"])
    assert generator.main() == 0
    monkeypatch.setattr(sys, "argv", ["command_reference.py", "--check"])
    assert generator.main() == 0


def known_commands() -> Iterator[tuple[str, click.Command]]:
    """Every command, and every command of a group, with what a person types for it."""
    for name in cli.COMMANDS:
        module = importlib.import_module(f"clampwright.cli.{name.replace('-', '_')}")
        command: click.Command = module.command
        yield f"clampwright {name}", command
        if isinstance(command, click.Group):
            context = click.Context(command)
            for one in command.list_commands(context):
                inner = command.get_command(context, one)
                assert inner is not None, one
                yield f"clampwright {name} {one}", inner


@pytest.mark.parametrize(("path", "command"), [*known_commands()], ids=str)
def test_command_and_its_options_are_in_the_reference(path: str, command: click.Command) -> None:
    text = section("commands.md", path)
    options = [o for p in command.params if isinstance(p, click.Option) for o in p.opts]
    assert [option for option in options if option not in text] == []


def test_every_command_has_its_status_explained() -> None:
    explained = table(page("exit-status.md"), "command")
    assert set(explained) == {f"{name}" for name in cli.COMMANDS}


# --- keys of files --------------------------------------------------------------------------------

JOB = {
    "Top of the file": jobfile.JobFile,
    "Head": jobfile.JobTable,
    "Rules": jobfile.RulesTable,
    "Joint": jobfile.JointTable,
    "Layout": jobfile.LayoutTable,
    "Bearing": jobfile.BearingTable,
    "Stiffness": jobfile.StiffnessTable,
    "Layer": jobfile.LayerTable,
    "Engagement": jobfile.EngagementTable,
    "Hold": jobfile.HoldTable,
    "Procedure": jobfile.ProcedureTable,
    "Source": jobfile.SourceTable,
    "Stage": toml_form.StageTable,
    "Also": toml_form.AlsoTable,
    "Wrench setting": toml_form.SettingTable,
}
DRAWER = {
    "Top of the file": drawer_files.DrawerFile,
    "Tool": drawer_files.ToolTable,
    "Scale": drawer_tables.ScaleTable,
    "Calibration": drawer_tables.CalibrationTable,
    "Interval": drawer_tables.IntervalTable,
    "Point": drawer_tables.PointTable,
    "Angle": drawer_tables.AngleTable,
    "Preset": drawer_tables.PresetTable,
    "Paper": belonging_tables.PaperTable,
    "Adapter": belonging_tables.AdapterTable,
    "Stretch gauge": belonging_tables.StretchGaugeTable,
    "Test device": belonging_tables.TestDeviceTable,
}
TABLES = [("job-file.md", *item) for item in JOB.items()] + [
    ("drawer-file.md", *item) for item in DRAWER.items()
]


def test_every_table_of_the_files_has_its_section() -> None:
    for top, known in ((jobfile.JobFile, JOB), (drawer_files.DrawerFile, DRAWER)):
        names = {model.__name__ for model in known.values()}
        assert set(top.model_json_schema()["$defs"]) | {top.__name__} == names


@pytest.mark.parametrize(
    ("name", "heading", "model"), TABLES, ids=lambda value: getattr(value, "__name__", value)
)
def test_keys_are_as_the_model_has_them(name: str, heading: str, model: type[FileModel]) -> None:
    rows_ = table(section(name, heading))
    assert set(rows_) == set(model.model_fields)
    schema = model.model_json_schema()
    for key, (value, left_out, _meaning) in rows_.items():
        field = model.model_fields[key]
        assert (left_out == "needed") == field.is_required(), key
        default = field.get_default(call_default_factory=True)
        plain = not isinstance(default, FileModel)  # a table by itself has its own section
        if plain and default not in (None, "", (), {}) and not field.is_required():
            shown = json.dumps(default).removesuffix(".0").strip('"')
            assert f"`{shown}`" in left_out, f"{key}: the default {shown} is not named"
        missing = [word for word in said(schema["properties"][key]) if word not in value]
        assert missing == [], f"{key}: {missing} not named"


def said(node: dict[str, Any]) -> Iterator[str]:
    """What the page must say of a key: its choices, and its limits but for 0."""
    for one in (node, *node.get("anyOf", ())):
        yield from (str(choice) for choice in one.get("enum", ()) if choice != "")
        limits = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "maxLength")
        for limit in limits:
            if one.get(limit) and not (limit == "maxLength" and one["maxLength"] == 200):
                yield f"{one[limit]:g}" if one[limit] < 10_000 else str(int(one[limit]))


# --- the JSON Schemas, by a validator of this test's own ------------------------------------------


def problems(value: Any, node: dict[str, Any], top: dict[str, Any], path: str) -> Iterator[str]:
    """Check a value against the parts of JSON Schema 2020-12 that our schemas use."""
    unknown = node.keys() - _WORDS
    assert not unknown, f"the schema uses {unknown}, which this validator does not know"
    if "$ref" in node:
        target = top["$defs"][node["$ref"].removeprefix("#/$defs/")]
        yield from problems(value, target, top, path)
    if "anyOf" in node and all(list(problems(value, n, top, path)) for n in node["anyOf"]):
        yield f"{path}: fits none"
    if "type" in node and not _TYPES[node["type"]](value):
        yield f"{path}: no {node['type']}"
        return
    if "enum" in node and value not in node["enum"]:
        yield f"{path}: not one of {node['enum']}"
    if "const" in node and value != node["const"]:
        yield f"{path}: not {node['const']}"
    yield from _limits(value, node, path)
    if isinstance(value, dict):
        yield from _object(value, node, top, path)
    if isinstance(value, list):
        kinds = [*node.get("prefixItems", ()), *len(value) * [node.get("items", {})]]
        for place, (item, kind) in enumerate(zip(value, kinds, strict=False)):
            yield from problems(item, kind, top, f"{path}/{place}")


def _object(
    value: dict[str, Any], node: dict[str, Any], top: dict[str, Any], path: str
) -> Iterator[str]:
    for key in node.get("required", ()):
        if key not in value:
            yield f"{path}: {key} is missing"
    for key, item in value.items():
        kind = node.get("properties", {}).get(key, node.get("additionalProperties", {}))
        if kind is False:
            yield f"{path}: {key} is not known"
        else:
            yield from problems(item, kind, top, f"{path}/{key}")


def _limits(value: Any, node: dict[str, Any], path: str) -> Iterator[str]:
    size = len(value) if isinstance(value, str | list) else 0
    checks: dict[str, Callable[[Any], object]] = {
        "minimum": lambda limit: value >= limit,
        "exclusiveMinimum": lambda limit: value > limit,
        "maximum": lambda limit: value <= limit,
        "exclusiveMaximum": lambda limit: value < limit,
        "minLength": lambda limit: size >= limit,
        "maxLength": lambda limit: size <= limit,
        "minItems": lambda limit: size >= limit,
        "maxItems": lambda limit: size <= limit,
        "pattern": lambda pattern: re.search(pattern, value),
    }
    for word, holds in checks.items():
        if word in node and not holds(node[word]):
            yield f"{path}: {word} {node[word]}"


_WORDS = {
    *(
        "$defs",
        "$ref",
        "$schema",
        "additionalProperties",
        "anyOf",
        "const",
        "default",
        "description",
    ),
    *("enum", "exclusiveMaximum", "exclusiveMinimum", "format", "items", "maxItems", "maxLength"),
    *("maximum", "minItems", "minLength", "minimum", "pattern", "prefixItems", "properties"),
    *("required", "title", "type"),
}
_TYPES = {
    "object": lambda v: isinstance(v, dict),
    "array": lambda v: isinstance(v, list),
    "string": lambda v: isinstance(v, str),
    "integer": lambda v: isinstance(v, int) and not isinstance(v, bool),
    "number": lambda v: isinstance(v, int | float) and not isinstance(v, bool),
    "boolean": lambda v: isinstance(v, bool),
}


def loaded(path: Path) -> Any:
    """A TOML file as JSON has it: a date is text."""
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    return json.loads(json.dumps(content, default=dt.date.isoformat))


FILES = [
    (path, "drawer-file" if path.name == "drawer.toml" else "job-file")
    for workshop in WORKSHOPS
    for path in (workshop / "drawer.toml", *sorted((workshop / "jobs").glob("*.toml")))
]


@pytest.mark.parametrize(("path", "name"), FILES, ids=lambda value: Path(str(value)).stem)
def test_schema_takes_every_example_and_refuses_slips(path: Path, name: str) -> None:
    schema = json.loads(page(f"{name}.schema.json"))
    content = loaded(path)
    assert list(problems(content, schema, schema, "")) == []
    rows_ = content["tool" if name == "drawer-file" else "joint"]
    rows_[0]["titel"] = rows_[0].pop("title")
    assert len(list(problems(content, schema, schema, ""))) == 2  # one unknown, one missing
    rows_[0]["id"] = "Not An Id"
    assert len(list(problems(content, schema, schema, ""))) == 3


# --- traces and records ---------------------------------------------------------------------------


def test_given_values_are_those_the_program_takes() -> None:
    keys = table(section("trace-file.md", "Given values"))
    names = [f.name for f in fields(Given)] + [f.name for f in fields(Nominal)]
    assert set(keys) == set(names)


def test_answer_to_a_trace_is_explained() -> None:
    text = section("trace-file.md", "The answer")
    answer = verdict.TraceVerdict("within", "normal", fault=False, reasons=()).as_json()
    assert set(table(text)) == set(answer)
    assert [
        word for word in (*patterns.PATTERNS, *verdict.VERDICTS) if f"`{word}`" not in text
    ] == []


def test_members_of_a_record_are_explained() -> None:
    assert set(table(section("record-format.md", "The file"), "member")) == verification.MEMBERS
    both = table(section("record-format.md", "Step 4: each entry"), "member")
    assert set(both) == rows.MEMBERS | entry.MEMBERS


def test_kinds_of_entries_are_explained() -> None:
    kinds = table(section("record-format.md", "Kinds of entries"), "kind")
    folded = set(fold._RULES)  # noqa: SLF001 - the kinds have no other list
    beside = {entry.LOG_OPENED, entry.RECORD_MADE, "paper_made"}  # of the log, not of a job's state
    beside |= {KEY_CHANGED, HEAD_KEPT, FOLLOW_UP_PLANNED, FOLLOW_UP_SETTLED, HANDED_OVER, TAKEN_IN}
    beside |= {PEOPLE_CHANGED, TAKEN_BACK, SECTION_ADDED}
    beside |= {TELLING_BEGUN, TELLING_ENDED}
    tools = {TOOL_EVENT, TOOL_CALIBRATED, TOOL_CHECKED, LOOK_BACK_DECIDED, LOOKED_OVER}
    assert set(kinds) == folded | beside | tools | {figures.ASKED, figures.FOUND} | set(shelf.KINDS)


def test_members_of_a_pull_are_those_in_a_real_record(built_bench: Path) -> None:
    text = section("record-format.md", "Kinds of entries")
    explained = {
        name for cell in table(text, "member") for name in re.findall(r"\w+", cell.replace("`", ""))
    }
    seen: set[str] = set()
    for path in (built_bench / "demo-workshop" / "records").glob("*.json"):
        for row in json.loads(path.read_bytes())["entries"]:
            if row["entry"]["kind"] == "pull":
                seen |= row["entry"]["body"].keys()
    assert seen == explained


def test_limits_of_the_format_are_those_of_the_program() -> None:
    text = page("record-format.md")
    for number in (verification.MAX_BYTES, entry.MAX_NAME, rows.MAX_PROOF, verification.VERSION):
        assert f"{number:,}" in text


# --- variables ------------------------------------------------------------------------------------


def test_variables_are_those_the_program_reads() -> None:
    named = set(re.findall(r"`([A-Z_]+)`", page("environment.md")))
    assert named == set(locale.VARIABLES) | {
        "CLAMPWRIGHT_AS", "SSL_CERT_FILE", "XDG_CACHE_HOME",
    }  # fmt: skip


def test_literal_kinds_of_stage_have_their_meaning() -> None:
    kinds = table(section("job-file.md", "Stage"), "kind")
    assert set(kinds) == set(stage.KINDS)


# --- the manual itself ----------------------------------------------------------------------------


def test_the_manual_builds_without_a_warning_beside_older_ones(tmp_path: Path) -> None:
    for older in ("0.0.9", "0.0.10", "drafts"):
        (tmp_path / older).mkdir()
        (tmp_path / older / "index.html").touch()
    done = subprocess.run(
        [sys.executable, str(ROOT / "tools/docs.py"), str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    page = (tmp_path / __version__ / "how-to/release.html").read_text("utf-8")
    assert f"Version {__version__}" in page
    assert 'href="../../index.html"' in page, "the way to other versions"
    fetched = re.compile(r"<(?:script|link|img|iframe)[^>]*(?:src|href)=.?(?:https?:)?//")
    pages = sorted((tmp_path / __version__).rglob("*.html"))
    assert [one.name for one in pages if fetched.search(one.read_text("utf-8"))] == []
    assert len(pages) > 60
    listed = (tmp_path / "index.html").read_text("utf-8")
    assert re.findall(r'href="([^/]+)/index.html"', listed) == [__version__, "0.0.10", "0.0.9"]
