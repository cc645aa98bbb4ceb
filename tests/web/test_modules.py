"""The hand-written modules hold together: types checked strictly, small parts tried in Node."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "clampwright" / "web" / "static"
NO_NODE = (
    "The modules are checked with Node and TypeScript; `make setup` brings both. By hand: install "
    "Node 18 or later (on Debian: apt-get install nodejs npm), then run in this folder: npm ci"
)


def node(*arguments: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    beside = Path(sys.executable).with_name("node")
    found = str(beside) if beside.is_file() else shutil.which("node")
    if found is None:
        pytest.fail(NO_NODE)
    return subprocess.run(
        [found, *arguments], input=text, capture_output=True, text=True, check=False, cwd=ROOT
    )


def test_the_types_of_all_modules_hold() -> None:
    compiler = ROOT / "node_modules" / "typescript" / "bin" / "tsc"
    if not compiler.is_file():
        pytest.fail(NO_NODE)
    done = node(str(compiler), "--project", str(ROOT / "tsconfig.json"))
    assert (done.returncode, done.stdout) == (0, "")


def evaluate(module: str, expression: str) -> Any:
    """Return what an expression gives with a module's exports at hand."""
    address = (STATIC / module).as_uri()
    program = f"import * as m from {json.dumps(address)};\n"
    program += f"console.log(JSON.stringify({expression}));"
    done = node("--input-type=module", "-", text=program)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_names_made_on_the_device_are_uuids_of_version_7_and_rise() -> None:
    from clampwright.proof.ids import is_uuid7  # noqa: PLC0415 - only here

    count = 6000  # more than the counter within one millisecond holds
    made = evaluate("ids.js", f"Array.from({{length: {count}}}, () => m.uuid7(1_700_000_000_000))")
    assert all(is_uuid7(one) for one in made)
    assert made == sorted(set(made))
    later = evaluate("ids.js", "[m.uuid7(1_700_000_000_000), m.uuid7(1_600_000_000_000)]")
    assert later == sorted(later), "a clock that goes back does not bring the order back"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("90", 90.0),
        ("90.5", 90.5),
        ("90,5", 90.5),
        (" 90,5 ", 90.5),
        (",5", 0.5),
        ("-3", -3.0),
        ("\u22123", -3.0),
        ("1.200,5", None),
        ("90 5", None),
        ("ninety", None),
        ("", None),
        ("1e3", None),
        (".", None),
    ],
)
def test_a_typed_figure(text: str, value: float | None) -> None:
    assert evaluate("numbers.js", f"m.parseNumber({json.dumps(text)})") == value


def test_comparing_on_the_device() -> None:
    limits = {"low": 84.5, "high": 95.3, "text": "84.5 to 95.3"}
    step = {"compare": {"units": {"N·m": limits, "ft·lbf": {**limits, "high": None}}}}
    for reading, inside in (
        ({"kind": "value", "value": "90,4", "unit": "N·m"}, True),
        ({"kind": "value", "value": "84.4", "unit": "N·m"}, False),
        ({"kind": "value", "value": "99", "unit": "N·m"}, False),
        ({"kind": "value", "value": "99", "unit": "ft·lbf"}, True),
        ({"kind": "value", "value": "90", "unit": "kgf·m"}, None),
        ({"kind": "done", "done": True}, None),
        ({"kind": "click", "clicked": True, "moved": False}, False),
        ({"kind": "click", "clicked": True, "moved": True}, None),
    ):
        found = evaluate("compare.js", f"m.compare({json.dumps(step)}, {json.dumps(reading)})")
        assert found["inside"] is inside, reading


def test_a_click_is_compared_by_what_the_setting_gives() -> None:
    reading = json.dumps({"kind": "click", "clicked": True, "moved": True})
    for held in (True, False):
        step = json.dumps({"compare": {"click": held, "text": ""}})
        assert evaluate("compare.js", f"m.compare({step}, {reading}).inside") is held


def test_how_far_the_device_has_come_by_itself() -> None:
    ahead = [["w", 1, 1], ["w", 1, 3], ["w", 2, 1]]
    bench = {"job": {"id": "j"}, "ahead": ahead, "sequence": ahead}

    def item(key: list[Any], **more: Any) -> dict[str, Any]:
        return {"job": "j", "state": "waiting", "way": "pulls", "key": key, "inside": True, **more}

    def still(*items: dict[str, Any]) -> list[list[Any]]:
        call = f"m.openHere({json.dumps(bench)}, {json.dumps(items)})"
        found: list[list[Any]] = evaluate("progress.js", call)
        return found

    first = item(["w", 1, 1])
    assert still() == bench["ahead"]
    assert still(first) == [["w", 1, 3], ["w", 2, 1]]
    assert still(item(["w", 1, 1], inside=None)) == [["w", 1, 3], ["w", 2, 1]]
    assert still(item(["w", 1, 1], inside=False)) == bench["ahead"]
    assert still({**first, "job": "other"}) == bench["ahead"]
    assert still({**first, "state": "refused"}) == bench["ahead"]
    assert still(first, item(["w", 1, 1], way="restarts")) == bench["ahead"]
