"""A real PostgreSQL server for the tests: a folder of its own, a socket of its own, no network.

The server refuses to run as root, so it runs as Debian's user ``postgres`` then. Its data lie in
memory where there is room: the tests ask what is kept when programs and the server end, not the
disk.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from urllib.parse import quote

import pytest

from clampwright.store.databasefile import write_database_file
from clampwright.store.where import DATABASE_FILE, Database

HOW_TO_INSTALL = (
    "the tests of the store on PostgreSQL need its server programs. Install them (make database), "
    "for example on Debian: sudo apt-get install postgresql"
)
on_both = pytest.mark.parametrize("workshop", ["sqlite", "postgresql"], indirect=True)
"""Let a test of a workshop run twice: its log in a file, then in a database."""
ROOM = 1_000_000_000
RULES = "local all guarded scram-sha-256\nlocal all all trust\n"
SETTINGS = {
    "listen_addresses": "''",
    "max_connections": "60",
    "shared_buffers": "16MB",
    "min_wal_size": "2MB",
    "max_wal_size": "64MB",
    "autovacuum": "off",
    "log_min_messages": "fatal",
    "log_min_error_statement": "panic",
}


def programs() -> Path:
    """The folder of the server's programs, the newest where there are several."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=_version)
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    if on_path is None:
        raise RuntimeError(HOW_TO_INSTALL)
    return Path(on_path).resolve().parent


def _version(path: Path) -> int:
    name = path.parent.parent.name
    return int(name) if name.isdigit() else 0


class Server:
    """A server that is running; `schema` gives each test a place of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.data = folder, folder / "data"
        self._programs = programs()
        self._user = "postgres" if os.getuid() == 0 else None
        self._schemas = count(1)

    def begin(self) -> None:
        """Make the server's files and start it."""
        if self._user is not None:
            owner = pwd.getpwnam(self._user)
            os.chown(self.folder, owner.pw_uid, owner.pw_gid)
        self._run("initdb", "--no-sync", "--auth=trust", "--username=clampwright", "--locale=C",
                  "--encoding=UTF8", "--wal-segsize=1", "-D", str(self.data))  # fmt: skip
        (self.data / "pg_hba.conf").write_text(RULES)
        with (self.data / "postgresql.conf").open("a") as out:
            out.write("".join(f"{name} = {value}\n" for name, value in SETTINGS.items()))
            out.write(f"unix_socket_directories = '{self.folder}'\n")
        self.start()

    def start(self) -> None:
        """Start it, and wait until it answers."""
        log = str(self.folder / "server.log")
        self._run("pg_ctl", "-D", str(self.data), "-l", log, "-w", "start")

    def stop(self, mode: str = "immediate") -> None:
        """Stop it; ``immediate`` is as if it had crashed."""
        self._run("pg_ctl", "-D", str(self.data), "-m", mode, "-w", "stop")

    def url(self, *, role: str = "clampwright", database: str = "postgres") -> str:
        """The address of a database."""
        return f"postgresql://{role}@/{database}?host={quote(str(self.folder), safe='')}"

    def schema(self) -> Database:
        """A place that nobody else uses."""
        return Database(self.url(), f"yard_{next(self._schemas)}")

    def folder_on(self, folder: Path) -> Database:
        """Let a workshop's folder have its log here."""
        folder.mkdir(parents=True, exist_ok=True)
        database = self.schema()
        write_database_file(folder / DATABASE_FILE, database)
        return database

    def _run(self, program: str, *arguments: str) -> None:
        subprocess.run(
            [str(self._programs / program), *arguments],
            check=True,
            stdout=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
            cwd=self.folder,
            user=self._user,
        )


@contextmanager
def running(where: Path | None = None) -> Iterator[Server]:
    """A server that ends with the block; its data in memory if there is room and no place given."""
    memory = Path("/dev/shm")  # noqa: S108 - a folder with a name nobody can foresee is made in it
    if where is None and memory.is_dir() and shutil.disk_usage(memory).free > ROOM:
        where = memory
    with tempfile.TemporaryDirectory(prefix="clampwright-", dir=where) as name:
        server = Server(Path(name))
        server.begin()
        try:
            yield server
        finally:
            server.stop()
