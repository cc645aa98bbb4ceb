"""A workshop's log moved into a database and back, saved there and put back. All is invented."""

import datetime as dt
import json
from pathlib import Path
from unittest import mock

import pytest
from click.testing import CliRunner
from postgres import Server

from clampwright.bench import moving
from clampwright.bench.backup import write_backup
from clampwright.bench.examine import examine
from clampwright.bench.export import export_log, import_log
from clampwright.bench.folder import histories_in
from clampwright.bench.moving import move_to_database, move_to_folder, schema_for
from clampwright.bench.restore import restore
from clampwright.cli import group
from clampwright.errors import BadFile, Refused, StoreBusy
from clampwright.proof.merkle import Tree
from clampwright.store import NewEntry, Store
from clampwright.store.databasefile import write_database_file
from clampwright.store.people import Person
from clampwright.store.server import connect_server
from clampwright.store.where import Database, place_of

NOW = dt.datetime(2026, 3, 1, 8, 30, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A workshop with entries, signed heads, a record and a person, in a file of its folder."""
    folder = tmp_path / "workshop"
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        store.append_many(NewEntry("note", {"n": n, "t": "ä €"}, job="wheel") for n in range(40))
        store.record("wheel")
        store.append("note", {"n": 40})
        store.people.add(
            Person("p1", "B. Fitter", "owner", "hash", None, "2026-03-01", None), "b. fitter"
        )
    return folder


def whole(folder: Path) -> tuple[object, ...]:
    """All that must be the same before and after."""
    with Store.open(folder, write=False) as store:
        store.check()
        return (
            store.head(),
            list(store.raw_entries()),
            list(store.signed_heads(10**9)),
            store.record("wheel"),
            [rows for _, rows in store.people.everything()],
        )


def test_there_and_back_again(postgres: Server, folder: Path) -> None:
    before = whole(folder)
    there = move_to_database(folder, postgres.url(), None, now=NOW)
    assert whole(folder) == before
    place = place_of(folder)
    assert isinstance(place, Database)
    assert place.schema.startswith("invented_yard_")
    assert not (folder / "workshop.sqlite").exists()
    assert Path(there.left) == folder / "backups/moved-20260301T083000Z/workshop.sqlite"
    assert there.head.size == 43
    with Store.open(folder) as store:
        store.append("note", {"n": 41})
    more = whole(folder)
    back = move_to_folder(folder, now=NOW)
    assert back.left == str(place)
    assert whole(folder) == more
    assert not (folder / "workshop.database").exists()
    with Store.open(folder) as store:
        assert store.append("note", {"n": 42}).index == 44
        assert store.tree().root() == Tree(line.leaf_hash for line in store.lines()).root()
    write_database_file(folder / "workshop.database", place)
    for write in (True, False):
        with pytest.raises(BadFile, match="was moved away and is no longer added to"):
            Store.open(folder, write=write)


def test_from_one_database_into_another(postgres: Server, folder: Path) -> None:
    before = whole(folder)
    move_to_database(folder, postgres.url(), "first_yard", now=NOW)
    with pytest.raises(Refused, match=r"lies in .*first_yard already"):
        move_to_database(folder, postgres.url(), "first_yard", now=NOW)
    move_to_database(folder, postgres.url(), "second_yard", now=NOW)
    assert whole(folder) == before
    with pytest.raises(Refused, match="holds a log already"):
        move_to_database(folder, postgres.url(), "first_yard", now=NOW)


def test_what_stands_in_the_way_changes_nothing(
    postgres: Server, folder: Path, tmp_path: Path
) -> None:
    before = whole(folder)
    url = postgres.url()
    with Store.open(folder), pytest.raises(StoreBusy):
        move_to_database(folder, url, None, now=NOW)
    with pytest.raises(Refused, match="may hold no password"):
        move_to_database(folder, "postgresql://a:sesame@h/b", None, now=NOW)
    with pytest.raises(StoreBusy, match="cannot be reached"):
        move_to_database(folder, "postgresql://a@/b?host=/nowhere", None, now=NOW)
    with pytest.raises(Refused, match=r"lies in .*workshop\.sqlite already"):
        move_to_folder(folder, now=NOW)
    with Store.open(tmp_path / "other", create=True, workshop="Other Yard") as other:
        other.append("note", {"n": 1})
    move_to_database(tmp_path / "other", url, "other_yard", now=NOW)
    with pytest.raises(Refused, match="holds another log"):
        move_to_database(folder, url, "other_yard", now=NOW)
    assert whole(folder) == before
    assert not (folder / "workshop.database").exists()
    with Store.open(tmp_path / "other"), pytest.raises(StoreBusy, match="other programs are"):
        move_to_folder(tmp_path / "other", now=NOW)


def test_a_move_that_was_cut_off_is_done_again(postgres: Server, folder: Path) -> None:
    before = whole(folder)
    schema = postgres.schema().schema
    with (
        mock.patch.object(moving, "write_database_file", side_effect=KeyboardInterrupt),
        pytest.raises(KeyboardInterrupt),
    ):
        move_to_database(folder, postgres.url(), schema, now=NOW)
    assert (folder / "workshop.sqlite").exists(), "the folder was not switched"
    assert whole(folder) == before
    with (
        mock.patch.object(moving, "_leave", side_effect=KeyboardInterrupt),
        pytest.raises(KeyboardInterrupt),
    ):
        move_to_database(folder, postgres.url(), schema, now=NOW)
    assert whole(folder) == before
    told = [one for one in examine(folder, now=NOW) if one.name == "left_behind"]
    assert [one.state for one in told] == ["look"]
    move_to_folder(folder, now=NOW)
    assert whole(folder) == before
    assert (folder / "backups/moved-20260301T083000Z/workshop.sqlite").exists()


def test_a_copy_that_is_not_the_same_is_not_switched_to(postgres: Server, folder: Path) -> None:
    before = whole(folder)
    database = Database(postgres.url(), "spoilt_yard")
    with (
        mock.patch.object(moving, "write_database_file", side_effect=KeyboardInterrupt),
        pytest.raises(KeyboardInterrupt),
    ):
        move_to_database(folder, database.url, database.schema, now=NOW)
    connection = connect_server(database, share="alone", busy_seconds=60)
    with connection.begin():
        connection.exec_driver_sql("UPDATE people SET role = 'learner'")
    connection.close()
    with pytest.raises(BadFile, match="the table people is not the same"):
        move_to_database(folder, database.url, database.schema, now=NOW)
    assert whole(folder) == before
    assert place_of(folder) == folder / "workshop.sqlite"


@pytest.fixture
def moved(postgres: Server, folder: Path) -> Path:
    move_to_database(folder, postgres.url(), postgres.schema().schema, now=NOW)
    return folder


def saved(folder: Path, target: Path) -> Path:
    with Store.open(folder, write=False) as store:
        return write_backup(store, folder, target, now=NOW).file


def test_saved_and_put_back_on_the_server(moved: Path, tmp_path: Path) -> None:
    before = whole(moved)
    file = saved(moved, tmp_path / "a.zip")
    with Store.open(moved) as store:
        store.append("note", {"n": 50})
        with pytest.raises(StoreBusy, match="other programs are writing"):
            restore(file, moved, now=NOW, go_back=True)
    with pytest.raises(Refused, match="1 entries here are newer"):
        restore(file, moved, now=NOW)
    done = restore(file, moved, now=NOW, go_back=True)
    assert (done.lost, done.people_missing) == (1, False)
    assert done.saved_before is not None
    assert whole(moved) == before, "people keep their passwords"
    assert place_of(moved) == place_of(moved)
    assert not (moved / "workshop.sqlite").exists()
    with Store.open(moved) as store:
        assert store.append("note", {"n": 51}).index == 43


def test_put_back_into_another_schema_or_a_file(
    postgres: Server, moved: Path, tmp_path: Path
) -> None:
    with Store.open(moved) as store:
        wanted = store.head()
    file = saved(moved, tmp_path / "a.zip")
    postgres.folder_on(tmp_path / "new")
    for place in (tmp_path / "new", tmp_path / "file"):
        done = restore(file, place, now=NOW)
        assert (done.head.size, done.head.root, done.saved_before) == (*wanted, None)
        with Store.open(place) as store:
            assert store.check() == wanted[0]
    assert not (tmp_path / "new" / "workshop.sqlite").exists()


def test_a_damaged_log_on_the_server_is_not_replaced(
    postgres: Server, moved: Path, tmp_path: Path
) -> None:
    file = saved(moved, tmp_path / "a.zip")
    database = place_of(moved)
    assert isinstance(database, Database)
    connection = connect_server(database, share="alone", busy_seconds=60)
    with connection.begin():
        connection.exec_driver_sql("ALTER TABLE log DISABLE TRIGGER USER")
        connection.exec_driver_sql("UPDATE log SET bytes = '{}' WHERE idx = 7")
    connection.close()
    with pytest.raises(Refused, match=r"name another schema in .*workshop\.database"):
        restore(file, moved, now=NOW)
    write_database_file(moved / "workshop.database", postgres.schema())
    restore(file, moved, now=NOW)
    with Store.open(moved) as store:
        assert store.check() == 43


def test_exported_and_taken_in(postgres: Server, moved: Path, tmp_path: Path) -> None:
    with Store.open(moved) as store:
        head = store.head()
        export_log(store, tmp_path / "out")
    postgres.folder_on(tmp_path / "new")
    taken = import_log(tmp_path / "out", tmp_path / "new")
    assert (taken.size, taken.root) == head
    with pytest.raises(Refused, match="holds a log already"):
        import_log(tmp_path / "out", tmp_path / "new")


def test_examined(moved: Path) -> None:
    (moved / "workshop.database").chmod(0o666)
    found = {one.name: one for one in examine(moved, now=NOW)}
    assert found["log"].state == "fine"
    assert "43 entries" in str(found["log"].says)
    assert "several programs may write" in str(found["writer"].says)
    assert "workshop.database" in str(found["rights"].says)
    assert histories_in(moved) == {}


def test_from_the_command_line(postgres: Server, folder: Path) -> None:
    def call(*arguments: str) -> tuple[int, str]:
        done = CliRunner().invoke(group, ["store", *arguments])
        return done.exit_code, done.output + str(done.exception or "")

    schema = postgres.schema().schema
    status, said = call("move", str(folder), "--to", postgres.url(), "--schema", schema, "--json")
    assert status == 0
    assert json.loads(said)["entries"] == 43
    assert call("check", str(folder), "--json")[0] == 0
    assert "every table was as the entries say" in call("rebuild", str(folder))[1]
    status, said = call("move", str(folder), "--into-folder")
    assert status == 0
    assert "43 entries, root hash" in said
    assert f"A copy as it was is left: {postgres.url().partition('?')[0]}, schema {schema}" in said
    assert "say where to" in call("move", str(folder))[1]
    both = ("move", str(folder), "--into-folder", "--to", postgres.url())
    assert "say where to" in call(*both)[1]


@pytest.mark.parametrize(
    ("origin", "name"),
    [
        ("boat-yard.66687aad", "boat_yard_66687aad"),
        ("2nd-yard.66687aad", "w_2nd_yard_66687aad"),
        ("pg-yard.66687aad", "w_pg_yard_66687aad"),
        ("x" * 80 + ".66687aad", "x" * 54 + "_66687aad"),
    ],
)
def test_names_for_schemas(origin: str, name: str) -> None:
    assert schema_for(origin) == name
