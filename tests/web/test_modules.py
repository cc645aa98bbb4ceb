"""The hand-written modules hold together: types checked strictly, small parts tried in Node."""

from __future__ import annotations

import atexit
import json
import re
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "clampwright" / "web" / "static"
NO_NODE = (
    "The modules are checked with Node and TypeScript; `make setup` brings both. By hand: install "
    "Node 18 or later (on Debian: apt-get install nodejs npm), then run in this folder: npm ci"
)


def program() -> str:
    beside = Path(sys.executable).with_name("node")
    found = str(beside) if beside.is_file() else shutil.which("node")
    if found is None:
        pytest.fail(NO_NODE)
    return found


def node(*arguments: str, text: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [program(), *arguments], input=text, capture_output=True, text=True, check=False, cwd=ROOT
    )


def test_the_types_of_all_modules_hold() -> None:
    compiler = ROOT / "node_modules" / "typescript" / "bin" / "tsc"
    if not compiler.is_file():
        pytest.fail(NO_NODE)
    done = node(str(compiler), "--project", str(ROOT / "tsconfig.json"))
    assert (done.returncode, done.stdout) == (0, "")


EVALUATOR = """
import { createInterface } from "node:readline";
const Later = Object.getPrototypeOf(async () => {}).constructor;
for await (const line of createInterface({ input: process.stdin })) {
  const [address, expression] = JSON.parse(line);
  let told;
  try {
    const found = await new Later("m", `return (${expression})`)(await import(address));
    told = { found: found === undefined ? null : found };
  } catch (error) {
    told = { error: String(error?.stack ?? error) };
  }
  console.log(JSON.stringify(told));
}
"""
"""Asked line by line: a module and an expression; its value, or why there is none, comes back."""


@cache
def evaluator() -> subprocess.Popen[str]:
    """One Node for all questions, until the tests end."""
    found = subprocess.Popen(
        [program(), "--no-warnings", "--input-type=module", "--eval", EVALUATOR],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    atexit.register(found.communicate)
    return found


def evaluate(module: str, expression: str) -> Any:
    """Return what an expression gives with a module's exports at hand."""
    asked = evaluator()
    assert asked.stdin is not None
    assert asked.stdout is not None
    asked.stdin.write(json.dumps([(STATIC / module).as_uri(), expression]) + "\n")
    asked.stdin.flush()
    told = json.loads(asked.stdout.readline())
    assert "error" not in told, told["error"]
    return told["found"]


def test_who_takes_over_in_another_window_makes_the_entries_of_this_one_too() -> None:
    address = json.dumps((STATIC / "who.js").as_uri())
    script = f"""
    const kept = new Map();
    let heard = () => {{}};
    const store = {{ getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => kept.set(k, v) }};
    Object.defineProperty(globalThis, "localStorage", {{ value: store }});
    globalThis.addEventListener = (name, act) => {{ if (name === "storage") heard = act; }};
    const m = await import({address});
    m.learn({{ needed: true, person: "first", session: "s" }});
    const before = m.hand().person;
    kept.set("who", JSON.stringify({{ needed: true, person: "second", session: "t" }}));
    heard({{ key: "other" }});
    const still = m.hand().person;
    heard({{ key: "who" }});
    console.log(JSON.stringify([before, still, m.hand().person]));
    """
    done = node("--input-type=module", "-", text=script)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == ["first", "first", "second"]


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


def test_a_fastener_begun_anew_on_the_device_has_all_its_pulls_before_it_again() -> None:
    sequence = [["w", 1, 1], ["w", 1, 2], ["w", 2, 1], ["w", 2, 2]]
    bench = {"job": {"id": "j"}, "ahead": sequence[2:], "sequence": sequence, "last": None}
    restart = {"job": "j", "state": "waiting", "way": "restarts", "key": ["w", 2, 1]}
    pull = {**restart, "way": "pulls", "key": ["w", 1, 1], "inside": True}
    calls = [
        f"m.openHere({json.dumps(bench)}, {json.dumps(items)})"
        for items in ([restart], [restart, pull], [pull, restart])
    ]
    begun = [["w", 1, 1], ["w", 2, 1], ["w", 2, 2]]
    found = evaluate("progress.js", f"[{', '.join(calls)}]")
    assert found == [begun, [["w", 2, 1], ["w", 2, 2]], begun]
    receipts = [
        f"m.withReceipt({json.dumps(bench)}, {json.dumps(item)}, {json.dumps(verdict)})"
        for item, verdict in (
            (restart, None),
            ({**pull, "key": ["w", 2, 1]}, {"settled": True}),
            ({**pull, "key": ["w", 2, 1]}, {"settled": False, "entry": "e"}),
        )
    ]
    after = evaluate("progress.js", f"[{', '.join(receipts)}]")
    assert [one["ahead"] for one in after] == [begun, sequence[3:], sequence[2:]]
    assert [one["last"] for one in after] == [None, None, {"settled": False, "entry": "e"}]


def test_what_short_pulls_turned_is_taken_off_on_the_device() -> None:
    """Of 90°, 30° and 12,5° were turned without network: 47,5° are left, within what follows."""
    key = ["w", 3, 1]
    limits = {"deg": {"low": 85, "high": 95, "text": "85° to 95°"}}
    step = {"ask": "angle", "figure": "90°", "compare": {"units": limits}}
    bench = {"job": {"id": "j"}, "ahead": [key], "sequence": [key]}

    def turned(value: str, side: str | None = "short", **more: Any) -> dict[str, Any]:
        reading = {"kind": "angle", "value": value, "unit": "deg"}
        item = {"job": "j", "state": "waiting", "way": "pulls", "key": key, "side": side}
        return {**item, "inside": side is None, "body": {"reading": reading}, **more}

    def left(*items: dict[str, Any]) -> dict[str, Any]:
        given = ", ".join(json.dumps(one) for one in (bench, items, key, step))
        found: dict[str, Any] = evaluate("progress.js", f"m.stepHere({given})")
        return found

    rest = left(turned("30"), turned("12,5"))
    deg = rest["compare"]["units"]["deg"]
    assert (rest["figure"], deg["low"], deg["high"]) == ("47.5°", 42.5, 52.5)
    assert left(turned("30", key=["w", 3, 2]))["figure"] == "90°"
    again = {**turned("0"), "way": "restarts", "body": {}}
    assert left(turned("30"), again)["figure"] == "90°"
    open_at = f"m.outsideHere({json.dumps(bench)}, %s, {json.dumps(key)})"
    over, within = turned("120", "over"), turned("90", None)
    cases = [open_at % json.dumps(items) for items in ([over], [over, within], [over, again])]
    found = evaluate("progress.js", f"[{', '.join(cases)}].map((one) => one?.side ?? null)")
    assert found == ["over", None, None]


def test_a_reading_is_compared_with_both_ends() -> None:
    step = {"compare": {"units": {"N·m": {"low": 80, "high": 100, "text": "80 to 100 N·m"}}}}
    values = ["79,9", "80", "100", "100.1"]
    calls = [
        f"m.compare({json.dumps(step)}, {json.dumps({'kind': 'value', 'value': v, 'unit': 'N·m'})})"
        for v in values
    ]
    found = evaluate("compare.js", f"[{', '.join(calls)}]")
    assert [one["side"] for one in found] == ["short", None, None, "over"]
    assert [one["inside"] for one in found] == [False, True, True, False]


def test_device_and_log_agree_on_what_an_entry_says() -> None:
    from clampwright.bench.asides import content_hash  # noqa: PLC0415 - only here

    contents: list[dict[str, Any]] = [
        {"joint": "w", "fastener": 3, "tool": None, "renewed": True},
        {"reading": {"kind": "value", "value": "90,5", "unit": "N·m"}, "why": "zu weit, e\u0301"},
        {"text": 'line\n"quoted" \\ \u20ac \U0001f529', "list": [1, "2", {"b": 1, "a": 2}]},
    ]
    calls = [f"m.contentHash('j', 'pulls', {json.dumps(one)})" for one in contents]
    found = evaluate("content-hash.js", f"[{', '.join(calls)}]")
    assert found == [content_hash("j", "pulls", one) for one in contents]


def test_a_queue_survives_its_codes_in_any_order_and_python_reads_them_too() -> None:
    from clampwright.bench.exchange import read_exchange  # noqa: PLC0415 - only here

    item = {"job": "j", "way": "pulls", "made": "2026-10-05T08:00:00.000Z", "state": "waiting"}
    items = [
        {**item, "id": f"id-{at}", "counter": at, "body": {"joint": "w", "why": f"Größe {at}"}}
        for at in range(9)
    ]
    file, codes = "m.asFile('device-1', items)", "m.asCodes(file).reverse()"
    program = f"(() => {{ const items = {json.dumps(items)}; const file = {file};"
    program += f" const codes = {codes};"
    program += " return { codes, back: m.carriedIn([...codes, codes[0]].join('\\n')) }; })()"
    found = evaluate("exchange.js", program)
    assert [one["id"] for one in found["back"]["entries"]] == [one["id"] for one in items]
    read = read_exchange("\n".join(found["codes"]).encode(), "codes.txt")
    assert list(read.entries) == found["back"]["entries"]
    short = found["codes"][1:]
    cut = f"(() => {{ try {{ m.carriedIn({json.dumps(chr(10).join(short))}) }} catch (e)"
    assert evaluate("exchange.js", f"{cut} {{ return [e.what, e.which] }} }})()") == [
        "codes_missing", str(len(found["codes"])),
    ]  # fmt: skip


@pytest.fixture
def by_the_standard(monkeypatch: pytest.MonkeyPatch) -> None:
    """segno 1.6 puts a whole byte of zeros where the data end on a byte; ISO/IEC 18004, 7.4.10,
    puts nothing there. Readers take both; to compare, it is told to do as the standard says."""
    import segno.encoder  # noqa: PLC0415 - only here

    def padding(buff: Any, _version: Any, length: int) -> None:
        buff.extend([0] * (-length % 8))

    monkeypatch.setattr(segno.encoder, "write_padding_bits", padding)


@pytest.mark.usefixtures("by_the_standard")
def test_codes_are_those_of_another_encoder_in_every_version() -> None:
    """All 40 versions, full and not full, each of the eight masks: module for module as segno's."""
    import random  # noqa: PLC0415 - only here

    import segno  # noqa: PLC0415 - only here

    chance = random.Random(18004)
    rooms = evaluate("qr.js", "Array.from({length: 40}, (_one, at) => m.room(at + 1))")
    cases = []
    for version, room in enumerate(rooms, 1):
        cases.append((list(chance.randbytes(room - (version % 3))), version, version % 8))
    drawn = evaluate(
        "qr.js",
        f"{json.dumps(cases)}.map(([data, version, mask]) => m.qr(new Uint8Array(data),"
        " {version, mask}).map((row) => row.map(Number)))",
    )
    for (data, version, mask), ours in zip(cases, drawn, strict=True):
        theirs = segno.make_qr(
            bytes(data), mode="byte", error="l", boost_error=False, version=version, mask=mask
        )
        assert ours == [list(row) for row in theirs.matrix], version
    text = list(b"CWE1 1/2 01234567 abcdefghijklmnop")
    masks = f"[0, 1, 2, 3, 4, 5, 6, 7].map((mask) => m.qr(new Uint8Array({text}), {{mask}}))"
    chosen = f"m.qr(new Uint8Array({text}))"
    same = f"{masks}.filter((one) => JSON.stringify(one) === JSON.stringify({chosen})).length"
    assert evaluate("qr.js", same) == 1


def test_the_bench_has_every_sentence_that_its_modules_say() -> None:
    from clampwright.web.rendering import BENCH_SCRIPTS, SCRIPTS  # noqa: PLC0415 - only here

    todo, seen = ["bench.js", "look-choice.js", "language-choice.js"], set[str]()
    said: set[str] = set()
    while todo:
        name = todo.pop()
        if name in seen:
            continue
        seen.add(name)
        text = (STATIC / name).read_text(encoding="utf-8")
        todo += re.findall(r'(?:from|import|import\()\s*"\./([a-z0-9-]+\.js)"', text)
        said |= set(re.findall(r'say\(\s*"([a-z_]+)"', text))
    assert len(seen) > 60, "also those that are fetched later"
    assert len(said) > 150
    assert said - set(BENCH_SCRIPTS) == set()
    assert len(BENCH_SCRIPTS) < len(SCRIPTS)
