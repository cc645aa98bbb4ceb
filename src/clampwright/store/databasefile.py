"""The small file that says in which database a workshop's log lies.

It holds no secret. A password belongs in the password file of PostgreSQL's own client library
(https://www.postgresql.org/docs/current/libpq-pgpass.html), which is refused when others can read
it; so it stands in no backup, no message and no list of processes.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit

from pydantic import Field

from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.intake import sized
from clampwright.store.keyfile import sync_folder
from clampwright.store.where import Database
from clampwright.tomlfile import FileModel, read_toml
from clampwright.words import words

SCHEMA_NAME = re.compile(r"(?!pg_)[a-z_][a-z0-9_]{0,62}")
"""Names that need no quotes; PostgreSQL cuts them after 63 bytes and keeps ``pg_`` for itself."""

OWN_SETTINGS = {"options", "client_encoding", "password", "sslpassword", "oauth_client_secret"}
"""Parts of an address that the program sets itself, or that are secrets."""

TEXT = """\
# Where the log of this workshop lies. Written by: clampwright store move
# A password does not belong here: see PostgreSQL's password file (~/.pgpass).
url = {url}
schema = {schema}
"""


class _DatabaseFile(FileModel):
    url: str
    in_schema: str = Field(alias="schema")


def database_at(url: str, schema: str) -> Database:
    """Return a place in a database.

    Parameters
    ----------
    url : str
        ``postgresql://role@host:port/database``, with settings of the client library behind ``?``.
    schema : str

    Returns
    -------
    Database

    Raises
    ------
    Refused
        When it is no such address, holds a password, or the schema's name is none.
    """
    sized(url.encode("utf-8", "replace"), "database address", "address")
    try:
        parts = urlsplit(url)
        settings = {name for name, _ in parse_qsl(parts.query, keep_blank_values=True)}
        secret = parts.password is not None
    except ValueError:
        parts, settings, secret = urlsplit(""), set(), False
    if secret or settings & OWN_SETTINGS:
        raise Refused(
            words(
                "the address of the database may hold no password and none of {names}; put the "
                "password into PostgreSQL's password file (~/.pgpass)",
                names=", ".join(sorted(OWN_SETTINGS)),
            )
        )
    if parts.scheme not in {"postgresql", "postgres"} or not parts.path.strip("/"):
        raise Refused(
            words("this is no address of a database; one is postgresql://role@host:5432/database")
        )
    if not SCHEMA_NAME.fullmatch(schema):
        raise Refused(
            words(
                "{schema!r} is no name for a schema: small letters, digits and _, at most 63, "
                "beginning with a letter and not with pg_",
                schema=schema,
            )
        )
    return Database(url, schema)


def read_database_file(file: Path) -> Database:
    """Read the file that names the database.

    Parameters
    ----------
    file : pathlib.Path

    Returns
    -------
    Database

    Raises
    ------
    BadFile
        When it cannot be read, or names no database.
    """
    try:
        data = file.read_bytes()
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(file), problem=str(error.strerror)),
            file=str(file),
        ) from error
    found = read_toml(data, str(file), _DatabaseFile)
    try:
        return database_at(found.url, found.in_schema)
    except Refused as refused:
        raise BadFile(
            words("{file}: {problem}", file=str(file), problem=str(refused)), file=str(file)
        ) from refused


def write_database_file(file: Path, database: Database) -> None:
    """Write the file that names the database; durable when this returns, whole or not there.

    Parameters
    ----------
    file : pathlib.Path
    database : Database

    Raises
    ------
    StoreFull
        When it cannot be written.
    """
    part = file.with_name(f"{file.name}.new")
    quoted = {name: _quoted(getattr(database, name)) for name in ("url", "schema")}
    try:
        part.unlink(missing_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(TEXT.format(**quoted))
            out.flush()
            os.fsync(out.fileno())
        part.replace(file)
        sync_folder(file.parent)
    except OSError as error:
        raise StoreFull(
            words(
                "{file} could not be written: {problem}",
                file=str(file),
                problem=str(error.strerror),
            )
        ) from error


def _quoted(text: str) -> str:
    """Return a TOML basic string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
