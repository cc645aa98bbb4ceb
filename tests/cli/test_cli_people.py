"""``clampwright people``, ``--as``, and who may reach the pages."""

from __future__ import annotations

import json
import socket
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.acting import present
from clampwright.cli import group
from clampwright.errors import ClampwrightError
from clampwright.store import Store


@pytest.fixture
def yard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A workshop with a chief (password and PIN from files) and an apprentice."""
    from argon2.profiles import CHEAPEST  # noqa: PLC0415 - only here

    from clampwright.bench import passwords  # noqa: PLC0415 - as above

    monkeypatch.setattr(passwords.Hashing.__init__, "__defaults__", (CHEAPEST,))
    folder = tmp_path / "yard"
    folder.mkdir()
    (folder / "drawer.toml").write_text("")
    (tmp_path / "password").write_text("four plain words here\n")
    (tmp_path / "pin").write_text("2741\n")
    done(folder, "people", "add", "A. Chief", "--role", "administrator",
         "--password-file", tmp_path / "password", "--pin-file", tmp_path / "pin")  # fmt: skip
    done(folder, "people", "add", "C. Learner", "--role", "apprentice")
    return folder


def run(folder: Path, *arguments: str | Path, who: str = "") -> Result:
    before = ["--as", who] if who else []
    where = [*map(str, arguments), "--workshop", str(folder)]
    return CliRunner().invoke(group, [*before, *where])


def done(folder: Path, *arguments: str | Path, who: str = "") -> str:
    result = run(folder, *arguments, who=who)
    assert result.exception is None, result.exception
    return result.output


def refused(folder: Path, *arguments: str | Path, who: str = "") -> str:
    result = run(folder, *arguments, who=who)
    assert isinstance(result.exception, ClampwrightError), result.exception
    return str(result.exception)


def test_people_are_listed_with_what_they_have(yard: Path) -> None:
    told = done(yard, "people", "list")
    assert "A. Chief: administrator; password and PIN" in told
    assert "C. Learner: apprentice; neither password nor PIN" in told
    found = json.loads(done(yard, "people", "list", "--json"))
    assert [one["role"] for one in found["people"]] == ["administrator", "apprentice"]
    assert "argon2" not in json.dumps(found)


def test_roles_pins_and_passwords_are_changed(yard: Path, tmp_path: Path) -> None:
    assert "mechanic now" in done(yard, "people", "role", "c. learner", "mechanic")
    done(yard, "people", "pin", "C. Learner", "--pin-file", tmp_path / "pin")
    done(yard, "people", "password", "C. Learner", "--password-file", tmp_path / "password")
    assert "C. Learner: mechanic; password and PIN" in done(yard, "people", "list")
    (tmp_path / "pin").write_text("1234\n")
    told = refused(yard, "people", "pin", "C. Learner", "--pin-file", tmp_path / "pin")
    assert "among the first that anybody tries" in told
    assert "0 sessions were ended" in done(yard, "people", "end-sessions", "C. Learner")
    assert "no enrolled device" in refused(yard, "people", "end-device", "device-000000000000")


def test_a_name_is_erased_and_the_log_stays(yard: Path) -> None:
    with Store.open(yard, write=False) as store:
        before = store.head()[0]
    told = done(yard, "people", "erase", "C. Learner", "--yes")
    assert told.startswith("Erased. In the log this person is person-")
    assert "a person, name erased: apprentice" in done(yard, "people", "list")
    with Store.open(yard) as store:
        assert store.check() == before + 1


def test_it_asks_before_it_erases(yard: Path) -> None:
    result = CliRunner().invoke(
        group, ["people", "erase", "C. Learner", "--workshop", str(yard)], input="n\n"
    )
    assert result.exit_code == 1
    assert "C. Learner: apprentice" in done(yard, "people", "list")


def test_who_is_named_is_bound_by_the_role(yard: Path) -> None:
    told = refused(yard, "people", "role", "C. Learner", "mechanic", who="C. Learner")
    assert "the role apprentice may not do this (look after people and roles)" in told
    done(yard, "people", "role", "C. Learner", "mechanic", who="A. Chief")
    with Store.open(yard, write=False) as store:
        last = list(store.entries())[-1]["body"]
    assert last["made_by"]["signed"] == "terminal"
    assert "no person of the name Z. Nobody" in refused(yard, "people", "list", who="Z. Nobody")
    assert present() is None, "named for one command, not for the next"


def test_the_variable_names_the_person_too(yard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CLAMPWRIGHT_AS", "C. Learner")
    assert "apprentice may not" in refused(yard, "people", "erase", "A. Chief", "--yes")


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.0.7", "::"])  # noqa: S104 - refused
def test_others_are_let_in_only_where_people_are_set_up(tmp_path: Path, host: str) -> None:
    (tmp_path / "drawer.toml").write_text("")
    told = refused(tmp_path, "serve", "--host", host)
    assert "nobody here has a password yet" in told
    assert "--without-people" in told
    assert "nobody here has a password yet" in refused(tmp_path, "serve", "--sign-in")


@pytest.mark.parametrize(
    ("more", "sign_in"),
    [
        (("--host", "127.0.0.2"), True),
        (("--host", "127.0.0.2", "--without-people"), False),
        (("--sign-in",), True),
        ((), False),
    ],
)
def test_others_sign_in_and_this_machine_need_not(
    yard: Path,
    monkeypatch: pytest.MonkeyPatch,
    more: tuple[str, ...],
    sign_in: bool,  # noqa: FBT001 - a case
) -> None:
    asked: list[bool] = []

    def serve(
        _folder: Path, taken: socket.socket, *_: object, sign_in: bool, **_more: object
    ) -> None:
        taken.close()
        asked.append(sign_in)

    monkeypatch.setattr("clampwright.cli.serve.serve", serve)
    done(yard, "serve", "--port", "0", *more)
    assert asked == [sign_in]


def test_a_name_is_no_address(yard: Path) -> None:
    told = refused(yard, "serve", "--host", "example.org", "--without-people")
    assert "give an address of this machine in figures" in told
