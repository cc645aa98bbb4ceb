"""Commands that keep a log: save, restore, check, key, head, witness, verify against."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.cli import group
from clampwright.errors import ClampwrightError
from clampwright.store import NewEntry, Store

PHRASE = "left over right"


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    folder = tmp_path / "yard"
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        store.append_many(NewEntry("pull", {"fastener": n}, job="wheel") for n in range(4))
        (tmp_path / "record.json").write_bytes(store.record("wheel"))
    return folder


def run(*arguments: str | Path, given: str | None = None) -> Result:
    return CliRunner().invoke(group, [str(one) for one in arguments], input=given)


def done(*arguments: str | Path, given: str | None = None) -> str:
    result = run(*arguments, given=given)
    assert result.exception is None, result.exception
    assert result.exit_code == 0, result.output
    return result.output


def refused(*arguments: str | Path, given: str | None = None) -> str:
    result = run(*arguments, given=given)
    assert isinstance(result.exception, ClampwrightError)
    return str(result.exception)


def told(*arguments: str | Path) -> dict[str, object]:
    data: dict[str, object] = json.loads(done(*arguments, "--json"))
    return data


def test_saved_into_a_folder_and_thinned_out(yard: Path, tmp_path: Path) -> None:
    saved = tmp_path / "saved"
    first = told("store", "backup", yard, saved)
    assert first["entries"] == 6
    old = saved / "workshop-20200101T000000Z.zip"
    old.write_bytes(Path(str(first["file"])).read_bytes())
    done("store", "backup", yard, saved / "x.zip")
    Path(str(first["file"])).unlink()
    second = told("store", "backup", yard, saved, "--keep", "1")
    assert second["removed"] == [str(old)]
    assert sorted(path.name for path in saved.iterdir()) == [
        Path(str(second["file"])).name,
        "x.zip",
    ]
    assert told("store", "restore", saved / "x.zip", tmp_path / "new")["key_missing"] is True


def test_checked_and_rebuilt(yard: Path) -> None:
    assert told("store", "check", yard) == {
        "folder": str(yard),
        "entries": 6,
        "after_last_head": 0,
    }
    assert told("store", "check", "--quick", yard)["entries"] == 6
    assert told("store", "rebuild", yard)["differed"] is None


def test_out_and_in_again(yard: Path, tmp_path: Path) -> None:
    out = told("store", "export", yard, tmp_path / "out")
    back = told("store", "import", tmp_path / "out", tmp_path / "new")
    assert out["root"] == back["root"]


def test_the_key_is_locked_changed_and_brought_back(yard: Path, tmp_path: Path) -> None:
    phrase = tmp_path / "phrase.txt"
    phrase.write_text(f"{PHRASE}\n")
    shown = told("key", "show", yard)
    assert (shown["file"], shown["changes"]) == ("open", [])
    done("key", "lock", yard, "--new-pass-phrase-file", phrase)
    assert told("key", "show", yard)["file"] == "locked"
    assert "locked with a pass phrase" in refused("key", "change", yard)
    changed = told("key", "change", yard, "--pass-phrase-file", phrase)
    assert changed["fingerprint"] != shown["fingerprint"]
    sheet = done("key", "sheet", yard)
    rows = "\n".join(line[5:] for line in sheet.splitlines() if line[:3].strip().isdigit())
    (yard / "workshop.key").unlink()
    assert told("key", "show", yard)["file"] == "missing"
    wrong = rows.replace(rows[0], "A" if rows[0] != "A" else "B", 1)
    assert "row 1 of the sheet is mistyped" in refused("key", "from-sheet", yard, given=wrong)
    assert not (yard / "workshop.key").exists()
    done("key", "from-sheet", yard, given=rows)
    assert told("key", "show", yard)["file"] == "open"
    assert "say --lost or --stolen, not both" in refused(
        "key", "change", yard, "--lost", "--stolen"
    )
    done("key", "change", yard, "--stolen")
    assert len(told("key", "show", yard)["changes"]) == 2  # type: ignore[arg-type] # a list


def test_the_sheet_as_a_page_is_readable_by_its_owner_only(yard: Path, tmp_path: Path) -> None:
    done("key", "sheet", yard, "--pdf", tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "sheet.pdf").stat().st_mode & 0o077 == 0
    assert "is there already" in refused("key", "sheet", yard, "--pdf", tmp_path / "sheet.pdf")


def test_a_head_is_kept_and_a_record_held_against_it(yard: Path, tmp_path: Path) -> None:
    record, kept = tmp_path / "record.json", tmp_path / "kept.txt"
    note = str(told("head", yard, "--kept", "binder 3", "--pdf", tmp_path / "head.pdf")["head"])
    kept.write_text(note)
    assert (tmp_path / "head.pdf").read_bytes().startswith(b"%PDF-")
    assert "the same log" in done("verify", record, "--against", kept)
    forged = tmp_path / "forged"
    with Store.open(forged, create=True, workshop="Invented Yard") as store:
        store.append("pull", {"fastener": 1}, job="wheel")
        other = store.sign_checkpoint()
    (tmp_path / "other.txt").write_text(other)
    result = run("verify", record, "--against", tmp_path / "other.txt")
    assert result.exit_code == 1
    assert "is of another log" in result.output
    (tmp_path / "none.txt").write_text("no head\n")
    assert "signed head" in refused("verify", record, "--against", tmp_path / "none.txt")


def test_a_witness_at_the_terminal(yard: Path, tmp_path: Path) -> None:
    line = done("witness", "make", tmp_path / "w", "neighbour").strip()
    done("witness", "introduce", tmp_path / "w", str(told("key", "show", yard)["line"]))
    request = str(told("head", yard, "--since", "0")["text"])
    signed = done("witness", "sign", tmp_path / "w", "-", given=request)
    done("witness", "keep", yard, "-", "--out", tmp_path / "kept.txt", given=signed)
    found = done(
        "verify", tmp_path / "record.json", "--against", tmp_path / "kept.txt", "--witness", line
    )
    assert "countersigned by neighbour" in found
    assert "the last head seen here has" in refused(
        "witness", "sign", tmp_path / "w", "-", given=request
    )
    assert "is no witness's folder" in refused("witness", "sign", tmp_path, "-", given=request)
