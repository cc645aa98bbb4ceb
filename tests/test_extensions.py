"""What packages bring is found, checked, told by name, and never takes the place of our own."""

from __future__ import annotations

import datetime as dt
import importlib.metadata
import json
import logging
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from installed import EXAMPLES, build, invent, on_the_path
from starlette.testclient import TestClient

from clampwright import standards
from clampwright.bench.examine import examine
from clampwright.bench.extending import extensions
from clampwright.bench.folder import Workshop, open_session, open_store
from clampwright.bench.records import record_of, record_text
from clampwright.cli import group
from clampwright.demo.run import build_workshop, run_job
from clampwright.errors import ClampwrightError, Missing
from clampwright.extensions import FRICTION, GROUPS, LANGUAGE, LINE, REPORT_SECTION
from clampwright.procedure import added_languages, vocabulary
from clampwright.procedure.reader import read
from clampwright.report.sections import SECTION_ADDED, SectionContent
from clampwright.trace.line_form import form_from_text, form_from_toml
from clampwright.web import shelf_pages
from clampwright.web.app import create_app
from clampwright.work.pinned import pinned

HOST = "127.0.0.1:8123"
SWEDISH = "Dra åt bultarna korsvis till 12,5 Nm, vrid sedan ytterligare 90 grader."
DAY = dt.date(2026, 10, 5)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("extended"))


@pytest.fixture
def installed(site: Path) -> Iterator[None]:
    with on_the_path(site):
        yield


def run(*arguments: str, given: str | None = None) -> Result:
    return CliRunner().invoke(group, list(arguments), input=given)


# ---- the examples ------------------------------------------------------------------------------


class Counted:
    """Counts the tests that passed."""

    passed = 0

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.passed += report.when == "call" and report.passed


@pytest.mark.usefixtures("installed")
def test_the_examples_pass_their_own_tests() -> None:
    paths = [str(one / "tests") for one in sorted(EXAMPLES.iterdir())]
    counted = Counted()
    apart = ["-p", "no:cacheprovider", "-c", os.devnull, "--rootdir", str(EXAMPLES)]
    status = pytest.main(["-q", "--import-mode=importlib", *apart, *paths], plugins=[counted])
    assert (status, counted.passed) == (pytest.ExitCode.OK, 10)


def test_there_is_an_example_of_each_group_with_its_tests(site: Path) -> None:
    found = {point.group for one in importlib.metadata.distributions(path=[str(site)])
             for point in one.entry_points}  # fmt: skip
    assert found == set(GROUPS)
    for folder in EXAMPLES.iterdir():
        assert {"README.md", "pyproject.toml", "tests"} <= {one.name for one in folder.iterdir()}
        assert "nvented" in (folder / "README.md").read_text("utf-8")


@pytest.mark.usefixtures("installed")
def test_all_are_listed_with_package_and_version() -> None:
    told = run("extensions")
    assert told.exit_code == 0
    assert len(told.output.splitlines()) == 4
    assert "language of procedures sv: package example-swedish-procedures 0.1.0" in told.output
    found = json.loads(run("extensions", "--json").output)
    assert {one["group"] for one in found["brought"]} == set(GROUPS)
    assert found["left_out"] == []


@pytest.mark.usefixtures("installed")
def test_a_language_is_read_by_name_and_without() -> None:
    for locale in ("sv-SE", "und"):
        told = run("read", "--locale", locale, "-", given=SWEDISH)
        assert "1. torque 12.5 N·m; crosswise" in told.output
    german = "Schrauben mit 30 Nm anziehen, dann 90° weiterdrehen."
    assert [one.kind for one in read(german, "und").stages] == ["torque", "angle"]


@pytest.mark.usefixtures("installed")
def test_a_kind_of_line_is_judged_and_stands_in_the_file_of_the_device(tmp_path: Path) -> None:
    lines = tmp_path / "pull.txt"
    lines.write_text("ready\n:000003E804D200FBBC\n:000003F204D80105D7\n:000003F204D80105D8\n")
    told = run("judge", str(lines), "--lines", "kind hex-frames")
    assert told.exit_code == 0, told.output
    assert "12.34" in told.output
    assert form_from_toml(b'kind = "hex-frames"') == form_from_text("kind hex-frames")
    with pytest.raises(ClampwrightError, match="nothing else is said"):
        form_from_text("kind hex-frames; rate_hz 100")
    with pytest.raises(ClampwrightError, match="installed: hex-frames"):
        form_from_text("kind morse")


def test_a_device_whose_package_is_missing_does_not_stop_the_server(
    site: Path, workshop: Workshop, caplog: pytest.LogCaptureFixture
) -> None:
    lines = '"kind hex-frames"'
    (workshop.folder / "device.toml").write_text(f'port = "/dev/none"\nlines = {lines}\n')
    create_app(workshop.folder, hosts=[HOST])
    assert "brings the kind of line 'hex-frames'" in caplog.text
    points = examine(workshop.folder, now=dt.datetime.now(dt.UTC))
    assert [one.state for one in points if one.name == "device"] == ["wrong"]
    with on_the_path(site):
        points = examine(workshop.folder, now=dt.datetime.now(dt.UTC))
    assert [one.state for one in points if one.name == "device"] == []


@pytest.mark.usefixtures("installed")
def test_a_condition_is_listed_apart_and_named_with_its_package() -> None:
    told = run("friction", "--list").output
    assert "Of installed packages\n  winter_paste  0.09 – 0.13" in told
    assert "example-winter-paste" in standards.friction("winter paste").source


def client_of(folder: Path) -> TestClient:
    own = f"http://{HOST}"
    app = create_app(folder, hosts=[HOST], patience=0.2)
    return TestClient(app, base_url=own, headers={"origin": own})


@pytest.mark.usefixtures("installed")
def test_the_pages_know_them(workshop: Workshop) -> None:
    with client_of(workshop.folder) as client:
        assert "package example-hex-frames 0.1.0" in client.get("/safe").text
        assert "winter_paste" in client.get("/friction").text
        assert "svenska" in client.get("/procedures/new").text
        asked = {"text": SWEDISH, "locale": "und"}
        read_ = client.post("/api/procedures/reading", json=asked)
        assert "12.5" in read_.text, read_.text
        sample = {"form": "kind hex-frames", "sample": ":000003E804D200FBBC\n:000003F204D80105D7"}
        assert "12.34" in client.get("/lines", params=sample).text
    points = examine(workshop.folder, now=dt.datetime.now(dt.UTC))
    assert [one.state for one in points if one.name == "extensions"] == ["fine"]


# ---- what a job relies on ----------------------------------------------------------------------

JOB = """
invented = true

[job]
id = "winter-wheel"
title = "Wheel with paste"
machine = "invented trailer"

[rules]
torque_percent = 5
angle_deg = 5

[[joint]]
id = "wheel"
title = "Wheel"
harm_level = 2
thread = "M12x1.5"
strength = "8.8"
bearing = { outer_mm = 21.0, inner_mm = 13.5 }
friction = "winter_paste"
layout = { pattern = "circle", count = 5, diameter_mm = 140 }

[joint.procedure]
text = "Dra åt muttrarna korsvis till 45 Nm."
locale = "sv"
source = { title = "invented" }
"""


def test_a_job_names_what_it_was_begun_with_and_goes_on_only_with_that(
    site: Path, workshop: Workshop
) -> None:
    path = workshop.jobs / "winter-wheel.toml"
    path.write_text(JOB, encoding="utf-8")
    with on_the_path(site), open_session(workshop, path, today=DAY) as session:
        named = (session.state.opened or {})["extensions"]
    assert [(one["group"], one["package"]) for one in named] == [
        (LANGUAGE, "example-swedish-procedures"),
        (FRICTION, "example-winter-paste"),
    ]
    with open_store(workshop) as store:
        record = record_of(store, "winter-wheel")  # the record needs no package
    assert b"example-winter-paste" in record
    with client_of(workshop.folder) as client:
        assert client.get("/").status_code == 200
        assert client.get("/jobs/trailer-wheel").status_code == 200
        missing = client.get("/jobs/winter-wheel")
        assert missing.status_code == 422
        assert "install that version to go on" in missing.text
    with open_store(workshop, write=False) as store:
        (opened,) = [
            e["body"] for e in store.entries(job="winter-wheel") if e["kind"] == "job_opened"
        ]
    with pytest.raises(Missing, match=r"example-swedish-procedures 0.1.0, which is not"):
        pinned(opened)
    with on_the_path(site):
        assert pinned(opened)[0].joints[0].friction is not None


def test_a_job_that_names_nothing_is_the_same_with_packages_and_without(
    site: Path, workshop: Workshop
) -> None:
    path = workshop.jobs / "trailer-wheel.toml"
    with open_session(workshop, path, today=DAY) as session:
        before = session.state.opened
    with on_the_path(site), open_session(workshop, path, today=DAY) as session:
        assert session.state.opened == before
        assert "extensions" not in (before or {})


# ---- sections of the record --------------------------------------------------------------------


@pytest.fixture(scope="module")
def sectioned(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop whose record has a section, on paper too."""
    place = build_workshop(tmp_path_factory.mktemp("sectioned") / "shop", replace=False)
    with on_the_path(site):
        result = run_job(place, "gearbox-drain-plug", seed=3, faults=())
        assert result.record is not None
        told = run("record", "gearbox-drain-plug", "--workshop", str(place.folder))
        assert told.exit_code == 0, told.output
    return place.folder


def test_a_section_stands_in_the_record_with_its_package(site: Path, sectioned: Path) -> None:
    record = (sectioned / "records/gearbox-drain-plug.json").read_bytes()
    entries = [row["entry"] for row in json.loads(record)["entries"]]
    added = [one["body"] for one in entries if one["kind"] == SECTION_ADDED]
    assert [(one["package"], one["version"]) for one in added] == [("example-pull-times", "0.1.0")]
    text = "\n".join(record_text(record))
    assert "Time at the joints (example)" in text
    assert "Added by package example-pull-times 0.1.0. It is not part of Clampwright" in text
    with on_the_path(site), open_store(Workshop(sectioned)) as store:
        assert record_of(store, "gearbox-drain-plug") == record, "nothing is added twice"


def test_a_record_with_a_section_is_verified_without_the_package(
    site: Path, sectioned: Path
) -> None:
    paper = str(sectioned / "records/gearbox-drain-plug.pdf")
    known = str(sectioned / "papers")
    Path(known).mkdir(exist_ok=True)
    told = run("verify", paper, "--render", "--recordings", known)
    assert told.exit_code == 0, told.output
    assert "the same bytes" in told.output
    assert "package example-pull-times 0.1.0, which is not installed here" in " ".join(
        told.output.split()
    )
    plain = run("verify", str(sectioned / "records/gearbox-drain-plug.json"))
    assert "The section pull-times was added by package example-pull-times 0.1.0." in plain.output
    with on_the_path(site):
        again = run("verify", paper, "--render", "--recordings", known)
    assert again.exit_code == 0
    assert "computes the same again" in again.output


def test_a_package_that_computes_something_else_is_a_finding(
    sectioned: Path, tmp_path: Path
) -> None:
    about = tmp_path / "example_pull_times-0.1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: example-pull-times\nVersion: 0.1.0\n"
    )
    (about / "entry_points.txt").write_text(f"[{REPORT_SECTION}]\npull-times = forged:section\n")
    (tmp_path / "forged.py").write_text(
        "def section(record):\n    return {'title': 'Time', 'lines': ['none']}\n"
    )
    with on_the_path(tmp_path):
        told = run("verify", str(sectioned / "records/gearbox-drain-plug.pdf"), "--render",
                   "--recordings", str(sectioned / "papers"))  # fmt: skip
    assert told.exit_code == 1
    assert "computes something else from the same entries" in told.output


BAD_SECTIONS = {
    "fails": "def section(record):\n    raise KeyError('x')\n",
    "changes": "import itertools\nn = itertools.count()\n"
    "def section(record):\n    return {'title': 'T', 'lines': [str(next(n))]}\n",
    "odd": "def section(record):\n    return {'title': 'T', 'html': '<b>x</b>'}\n",
    "uneven": "def section(record):\n"
    "    return {'title': 'T', 'table': {'head': ['a', 'b'], 'rows': [['1']]}}\n",
    "numbers": "def section(record):\n    return {'title': 'T', 'lines': [1.5]}\n",
    "long": "def section(record):\n    return {'title': 'T', 'lines': ['x' * 501]}\n",
}


@pytest.fixture
def again(sectioned: Path, tmp_path: Path) -> Workshop:
    """The same workshop, copied for one test."""
    return Workshop(shutil.copytree(sectioned, tmp_path / "again"))


def test_a_section_that_is_wrong_is_left_out_by_name_and_the_record_is_made(
    again: Workshop, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    before = (again.records / "gearbox-drain-plug.json").read_bytes()
    site = tmp_path / "site"
    for name, code in BAD_SECTIONS.items():
        invent(site, f"bad-{name}", {REPORT_SECTION: {name: f"{name}_s:section"}},
               {f"{name}_s.py": code})  # fmt: skip
    with on_the_path(site), open_store(again) as store:
        assert record_of(store, "gearbox-drain-plug") == before
    for name in BAD_SECTIONS:
        assert f"package bad-{name} 2.1: its section {name} is left out" in caplog.text


def test_a_section_changes_nothing_it_is_given(again: Workshop, tmp_path: Path) -> None:
    code = "def section(record):\n    n = len(record['entries'])\n    record['entries'].clear()\n"
    code += "    return {'title': 'T', 'lines': [str(n)]}\n"
    invent(tmp_path, "eraser", {REPORT_SECTION: {"eraser": "eraser_s:section"}},
           {"eraser_s.py": code})  # fmt: skip
    with on_the_path(tmp_path), open_store(again) as store:
        record = json.loads(record_of(store, "gearbox-drain-plug"))
    entries = [row["entry"] for row in record["entries"]]
    body = [one["body"] for one in entries if one["kind"] == SECTION_ADDED][-1]
    assert body["section"] == "eraser"
    assert int(body["content"]["lines"][0]) > 1


def test_texts_of_a_section_are_set_as_they_are() -> None:
    hostile = '#import "@preview/x" <script>alert(1)</script> \\ $x$ {{7*7}} ../../etc'
    kept = SectionContent.model_validate({"title": hostile[:60], "lines": [hostile]})
    assert kept.lines == [hostile]


# ---- what is wrong is left out by name ---------------------------------------------------------

ROW = 'tag,decimal,thousands,hints\n{tag},",",.,och sedan därefter skruvarna bultarna\n'
WORDS = "class,value,phrases\nTIGHTEN,,dra\n"
FRICTION_HEAD = "name,title,low,high,basis,source,flag,climbs_with_reuse\n"
KIND = """
UNITS = {"time": "ms", "torque": "N·m", "angle": "deg"}
EXAMPLES = (("1 2 3", (1, 2, 3)), ("x", None))
def read(line):
    return tuple(map(float, line.split())) if line != "x" else None
"""


def language(tag: str = "xx", row: str = "", table: str = WORDS) -> dict[str, str]:
    return {"bad/__init__.py": "", "bad/language.csv": row or ROW.format(tag=tag),
            "bad/words.csv": table}  # fmt: skip


def condition(row: str) -> dict[str, str]:
    return {"bad/__init__.py": "", "bad/friction.csv": FRICTION_HEAD + row}


WRONG: list[tuple[str, str, dict[str, str], str]] = [
    (LANGUAGE, "de", language("de"), "Clampwright has de itself, and nothing takes its place"),
    (LANGUAGE, "any", language("any"), "Clampwright has any itself"),
    (LANGUAGE, "xx", language("yy"), "whose tag is that of the entry point: xx"),
    (LANGUAGE, "xx", language(row="tag,decimal\nxx,.\n"), "the columns must be tag,decimal"),
    (LANGUAGE, "xx", language(row="tag,decimal,thousands,hints\nxx,.,.,a b c d e\n"), "thousands"),
    (LANGUAGE, "xx", language(row='tag,decimal,thousands,hints\nxx,.,",",a b\n'), "at least 5"),
    (LANGUAGE, "xx", language(row='tag,decimal,thousands,hints\nxx,.,",",a2 b2 c2 d2 e2 und\n'),
     "none of another language (und)"),
    (LANGUAGE, "xx", language(table=WORDS + "SCREAM,,skrik\n"), "row 3: there is no class SCREAM"),
    (LANGUAGE, "xx", language(table=WORDS + "ORDER,spiral,i spiral\n"), "no value 'spiral'"),
    (LANGUAGE, "xx", language(table=WORDS + "NUMBER,many,många\n"), "no value 'many'"),
    (LANGUAGE, "xx", language(table=WORDS + "NUMBER,1/0,noll\n"), "no value '1/0'"),
    (LANGUAGE, "xx", language(table=WORDS + "NOT,, | \n"), "phrases are words"),
    (LANGUAGE, "xx", language(table=WORDS + "NOT,inte\n"), "row 3: expected 3 cells"),
    (LANGUAGE, "xx", language(table="class,value,phrases\n"), "words.csv is empty"),
    (LANGUAGE, "xx", language(table='class,value,phrases\nNOT,,"inte\n'), "Error: unexpected"),
    (LANGUAGE, "xx", {"bad/__init__.py": ""}, "language.csv cannot be read"),
    (LANGUAGE, "xx", {"bad.py": "raise RuntimeError('boom')"}, "RuntimeError: boom"),
    (LANGUAGE, "xx", {"bad.py": "def ("}, "SyntaxError"),
    (LANGUAGE, "xx", {"good.py": ""}, "ModuleNotFoundError"),
    (FRICTION, "oiled", condition("oiled,t,0.01,0.02,ours,s,,"), "Clampwright has oiled itself"),
    (FRICTION, "anti_seize", condition("anti_seize,t,0.01,0.02,ours,s,,"), "nothing takes its"),
    (FRICTION, "wax", condition("wax,t,0.2,0.1,ours,s,,"), "low below high"),
    (FRICTION, "wax", condition("wax,t,0.2,9,ours,s,,"), "not above 1"),
    (FRICTION, "wax", condition("wax,t,0.2,nan,ours,s,,"), "low below high"),
    (FRICTION, "wax", condition("wax,t,0.1,0.2,ours,,,"), "source must be said"),
    (FRICTION, "wax", condition("wax,t,0.1,0.2,guess,s,,"), "basis is one of"),
    (FRICTION, "wax", condition("wax,t,0.1,0.2,ours,s,,no"), "climbs_with_reuse is yes or empty"),
    (FRICTION, "wax", condition("lard,t,0.1,0.2,ours,s,,"), "must hold one row named wax"),
    (LINE, "dots", {"bad.py": KIND.replace("(1, 2, 3)", "(1, 2, 4)")}, "its own example '1 2 3'"),
    (LINE, "dots", {"bad.py": KIND.replace('"angle": "deg"', '"heat": "K"')}, "UNITS must name"),
    (LINE, "dots", {"bad.py": KIND.replace('"N·m"', '"J"')}, "UNITS"),
    (LINE, "dots", {"bad.py": KIND + "RATE_HZ = 100"}, "either UNITS names time, or RATE_HZ"),
    (LINE, "dots", {"bad.py": KIND.replace('("x", None)', "")}, "one that is no sample"),
    (LINE, "dots", {"bad.py": KIND.replace('line != "x"', "True")}, "fails: ValueError"),
    (LINE, "dots", {"bad.py": KIND.replace("def read", "def reed")}, "read, a function"),
    (LINE, "DOTS", {"bad.py": KIND}, "small letters"),
    (REPORT_SECTION, "s", {"bad.py": ""}, "must name a function"),
    ("clampwright.theme", "s", {"bad.py": ""}, "there is no such group; there are"),
]  # fmt: skip


NUMBERED = [f"{one[0].split('.')[1]}-{number}" for number, one in enumerate(WRONG)]


@pytest.mark.parametrize(("which", "name", "files", "why"), WRONG, ids=NUMBERED)
def test_what_is_wrong_is_left_out_and_named(
    which: str, name: str, files: dict[str, str], why: str, tmp_path: Path
) -> None:
    invent(tmp_path, "bad-one", {which: {name: "bad"}}, files)
    before = standards.friction("oiled"), read("Schrauben mit 30 Nm anziehen", "de").stages
    with on_the_path(tmp_path):
        found = extensions()
        after = standards.friction("oiled"), read("Schrauben mit 30 Nm anziehen", "de").stages
    assert found.brought == ()
    (one,) = found.left_out
    assert f"package bad-one 2.1: its {name} ({which}) is left out: " in str(one.says)
    assert why in str(one.why)
    assert before == after


def test_the_right_ones_of_these_are_taken(tmp_path: Path) -> None:
    invent(tmp_path, "good-one", {LANGUAGE: {"xx": "bad"}, LINE: {"dots": "kind"}},
           {**language(), "kind.py": KIND})  # fmt: skip
    with on_the_path(tmp_path):
        found = extensions()
        choices = shelf_pages._languages()  # noqa: SLF001 - what the page offers
        assert ("xx", "xx") in choices, "a language that few have heard of stands by its tag"
    assert [one.name for one in found.brought] == ["xx", "dots"]


def test_two_packages_with_one_name_are_both_left_out(tmp_path: Path) -> None:
    for number in (1, 2):
        invent(tmp_path, f"dots-{number}", {LINE: {"dots": "kind"}}, {"kind.py": KIND})
    with on_the_path(tmp_path):
        found = extensions()
        with pytest.raises(ClampwrightError, match="several packages bring dots"):
            form_from_text("kind dots")
    assert [one.package for one in found.left_out] == ["dots-1", "dots-2"]


def test_it_is_told_where_a_person_looks(tmp_path: Path, workshop: Workshop) -> None:
    invent(tmp_path, "bad-one", {LANGUAGE: {"de": "bad"}}, language("de"))
    with on_the_path(tmp_path):
        told = run("extensions")
        listed = json.loads(run("extensions", "--json").output)["left_out"]
        with client_of(workshop.folder) as client:
            assert "package bad-one 2.1: its de" in client.get("/safe").text
        points = examine(workshop.folder, now=dt.datetime.now(dt.UTC))
    assert told.exit_code == 1
    assert "bad-one 2.1" in told.output
    assert listed[0]["package"] == "bad-one"
    assert [one.state for one in points if one.name == "extensions"] == ["look"]


def test_a_kind_that_fails_later_is_no_sample_and_told_once(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    code = KIND.replace("def read(line):", "def read(line):\n    if line == 'bad': return (1,)\n"
                        "    if line == 'worse': raise KeyError(line)")  # fmt: skip
    invent(tmp_path, "later", {LINE: {"dots": "kind"}}, {"kind.py": code})
    with on_the_path(tmp_path), caplog.at_level(logging.WARNING):
        form = form_from_text("kind dots")
        got = [form.read(line) for line in ("1 2 3", "bad", "bad", "worse", "nan 1 1", "4 5 6")]
    assert got == [(1, 2, 3), None, None, None, None, (4, 5, 6)]
    assert caplog.text.count("the kind of line dots must give 3 figures a line") == 2
    assert caplog.text.count("the kind of line dots fails") == 1


# ---- what is shipped holds to the same rules, and nothing becomes slower -----------------------


def test_the_shipped_tables_keep_the_rules_for_packages() -> None:
    meanings = vocabulary.shared_meanings()
    for tag in ("any", *vocabulary.languages()):
        table = vocabulary._rows(f"words/{tag}.csv")  # noqa: SLF001 - the table itself
        rows = [(name, value, phrases) for name, value, phrases in table]
        added_languages.check_words(rows, f"{tag}.csv", meanings)


def test_without_packages_the_machinery_is_not_even_loaded() -> None:
    code = (
        "import sys; from clampwright.procedure.reader import read; read('30 Nm', 'und');"
        "from clampwright.standards import friction; friction('oiled'); print(*sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "clampwright.extensions" in loaded
    assert not loaded & {"importlib.metadata", "clampwright.procedure.added_languages"}
