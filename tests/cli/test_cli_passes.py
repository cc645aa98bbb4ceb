"""``clampwright passes`` as a person and as a program use it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.cli.passes import command
from clampwright.errors import BadFile, ClampwrightError, Missing, OutOfRange

RING = (
    "--circle", "8", "--diameter", "200 mm", "--width", "30 mm", "--thickness", "25 mm",
    "--gasket-modulus", "120 MPa", "--gasket-thickness", "2 mm", "--resilience", "4.35e-6",
)  # fmt: skip
AIM = ("--target", "20 kN")
ROWS = "pulled, 1 [kN], 2 [kN], 3 [kN]\n, 5, 5, 5\n1, 20, 3, 5\n2, 17, 20, 2\n"


def run(*words: str) -> Result:
    return CliRunner().invoke(command, list(words))


def data(*words: str) -> dict[str, Any]:
    done = run(*words, "--json")
    assert done.exit_code == 0, done.output
    found: dict[str, Any] = json.loads(done.output)
    return found


def test_orders_are_compared_best_first_and_settings_given() -> None:
    found = data(*RING, *AIM, "--shares", "30,60,100", "--order", "1,2,8,3,7,4,6,5")
    assert {one["name"] for one in found["orders"]} == {
        "1,2,8,3,7,4,6,5", "general order", "by number",
    }  # fmt: skip
    least = [one["least_p05"] for one in found["orders"]]
    assert least == sorted(least, reverse=True)
    assert all(len(one["evenness"]) == 3 for one in found["orders"])
    assert [one["share"] for one in found["settings"]] == [0.3, 0.6, 1.0]
    assert found["settings"][0]["order"] == [1, 2, 8, 3, 7, 4, 6, 5]
    assert found["settings"][-1]["clamp_N"][5 - 1] == pytest.approx(20_000)  # the last one pulled
    assert found["repeated"]["still"]


def test_a_person_sees_the_same_and_is_told_how_far_geometry_goes() -> None:
    said = run(*RING, *AIM, "--closing", "--scatter", "8").output
    for part in ("general order", "by number", "nothing turns any more in pass", "about half",
                 "To end with all equal"):  # fmt: skip
        assert part in said


def test_units_of_the_user() -> None:
    inches = (
        "--circle", "8", "--diameter", "7.874015748 in", "--width", "1.181102362 in",
        "--thickness", "0.984251969 in", "--gasket-modulus", "17404.5 psi",
        "--gasket-thickness", "0.0787401575 in", "--resilience", "4.35e-6",
    )  # fmt: skip
    one, other = data(*RING, *AIM), data(*inches, "--target", "4496.17886 lbf")
    assert other["orders"][0]["evenness"] == pytest.approx(one["orders"][0]["evenness"], rel=1e-4)


def test_a_grid_and_a_row() -> None:
    plate = (*RING[6:], *AIM)
    grid = data("--grid", "2x4", "--pitch", "80 mm", "--pitch-across", "100 mm", *plate)
    row = data("--row", "5", "--pitch", "80 mm", "--width", "30 mm", *plate)
    assert (len(grid["matrix"]), len(row["matrix"])) == (8, 5)


def test_measured_pulls_go_before_geometry(tmp_path: Path) -> None:
    path = tmp_path / "pass.csv"
    path.write_text(ROWS, encoding="utf-8")
    with_geometry = ("--row", "3", "--pitch", "80 mm", "--width", "30 mm", *RING[6:])
    found = data("--measured", str(path), "--u-clamp", "100 N", *with_geometry, *AIM)
    assert found["matrix"][1][0] == pytest.approx(-2 / 15)
    assert 0.0 < abs(found["matrix"][1][2]) < 0.5  # computed: the third was not pulled
    with pytest.raises(Missing, match="fasteners 3 do to the others"):
        CliRunner().invoke(command, ["--measured", str(path), *AIM], catch_exceptions=False)


def test_a_matrix_and_a_chart(tmp_path: Path) -> None:
    path, chart = tmp_path / "matrix.csv", tmp_path / "pulls.svg"
    path.write_text("1,-0.2,0.04\n-0.2,1,-0.2\n0.04,-0.2,1\n", encoding="utf-8")
    done = run("--matrix", str(path), *AIM, "--order", "1,3,2", "--chart", str(chart))
    assert done.output.endswith(f"Chart written: {chart}\n")
    assert "Order: 1,3,2" in chart.read_text(encoding="utf-8")
    assert "about half" not in done.output


def test_the_paper_for_the_machine(tmp_path: Path) -> None:
    paper = tmp_path / "passes.pdf"
    done = run(*RING, *AIM, "--shares", "30,60,100", "--pdf", str(paper))
    assert done.exit_code == 0, done.output
    assert done.output.endswith(f"Paper written: {paper}\n")
    assert paper.read_bytes().startswith(b"%PDF-")
    assert json.loads(run(*RING, *AIM, "--json", "--pdf", str(paper)).output)["settings"]


def test_a_paper_that_cannot_be_written_says_why(tmp_path: Path) -> None:
    done = run(*RING, *AIM, "--pdf", str(tmp_path / "none" / "passes.pdf"))
    assert isinstance(done.exception, ClampwrightError)
    assert "cannot be written: No such file or directory" in str(done.exception)


def test_with_scatter_the_band_says_what_it_is_of() -> None:
    assert "with scatter" in " ".join(run(*RING, *AIM, "--scatter", "8").output.split())


@pytest.mark.parametrize(("words", "kind", "said"), [
    (("--circle", "8"), Missing, "--diameter is needed"),
    ((), Missing, "give the fasteners with --circle"),
    (("--circle", "8", "--row", "3"), ClampwrightError, "give one of"),
    (("--grid", "2 by 4"), ClampwrightError, "such as 2x5"),
    (RING[:-2], Missing, "--resilience is needed"),
    ((*RING, "--order", "1,2"), ClampwrightError, ""),
    ((*RING, "--order", "1,2,3,4,5,6,7,7.5"), ClampwrightError, "write fastener numbers"),
    ((*RING, "--shares", "a"), ClampwrightError, "--shares 'a'"),
    ((*RING, "--shares", "60,30"), ClampwrightError, "shares must rise"),
    ((*RING, "--shares", "nan"), OutOfRange, "shares"),
    ((*RING, "--scatter", "90"), OutOfRange, "individual_u_rel"),
    ((*RING, "--resilience", "0"), OutOfRange, "resilience"),
    ((*RING, "--chart", "x.pdf"), ClampwrightError, "end its name in .svg"),
    ((*RING, "--pdf", "x.svg"), ClampwrightError, "end its name in .pdf"),
    (("--matrix", "no.csv"), ClampwrightError, "cannot be read"),
    (("--circle", "0", *RING[2:]), OutOfRange, "1 to 400 fasteners"),
])  # fmt: skip
def test_bad_input_is_one_sentence(
    words: tuple[str, ...], kind: type[ClampwrightError], said: str
) -> None:
    done = run(*words, *AIM)
    assert isinstance(done.exception, kind)
    assert said in str(done.exception)


def test_a_target_without_a_unit_is_asked_for() -> None:
    assert "no unit" in str(run(*RING, "--target", "20").exception)


def test_a_bad_table_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "pass.csv"
    path.write_text(ROWS + "3, 1\n", encoding="utf-8")
    done = run("--measured", str(path), *AIM)
    assert isinstance(done.exception, BadFile)
    assert done.exception.line == 5


def test_fasteners_anywhere_and_free_edges() -> None:
    cover = (
        "--points", "0,0; 80,0; 80,60; 0,60", "--thickness", "20 mm",
        "--gasket-modulus", "60 MPa", "--gasket-thickness", "2 mm", "--resilience", "4.35e-6",
    )  # fmt: skip
    endless, edged = data(*cover, *AIM), data(*cover, *AIM, "--beyond", "15 mm")
    assert endless["matrix"] != edged["matrix"]
    assert len(edged["matrix"]) == 4
    with pytest.raises(ClampwrightError, match="--points '0': write places in mm"):
        CliRunner().invoke(command, ["--points", "0;1", *cover[2:], *AIM], catch_exceptions=False)
