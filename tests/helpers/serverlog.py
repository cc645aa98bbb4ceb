"""Workshops whose log lies on a server, and a hand with another tool there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
from postgres import Server

from clampwright.store import Store
from clampwright.store.databasefile import write_database_file
from clampwright.store.where import Database, place_of


def begun(postgres: Server, folder: Path) -> Path:
    postgres.folder_on(folder)
    with Store.open(folder, create=True, workshop="Invented yard") as store:
        store.append("note", {"n": 1}, job="wheel")
        store.sign_checkpoint()
    return folder


@contextlib.contextmanager
def other_hand(place: Path) -> Iterator[psycopg.Connection[Any]]:
    """A hand with another tool, with every right there is."""
    database = on_server(place)
    options = f"-c search_path={database.schema}"
    with psycopg.connect(database.url, autocommit=True, options=options) as connection:
        yield connection


def on_server(place: Path) -> Database:
    found = place_of(place)
    assert isinstance(found, Database)
    return found


def elsewhere(folder: Path, url: str, schema: str = "yard") -> Path:
    """A workshop's folder that names another database."""
    folder.mkdir(exist_ok=True)
    write_database_file(folder / "workshop.database", Database(url, schema))
    return folder
