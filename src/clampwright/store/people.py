"""The tables of people, enrolled devices, sessions and wrong tries: apart from the log, erasable.

Nothing here knows a password or a secret: only what was made of them by a one-way function.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, func, insert, inspect, select, update

from clampwright.errors import Missing, Refused
from clampwright.store.engine import connect
from clampwright.store.failures import DATABASE_ERRORS, in_words
from clampwright.store.schema import ATTEMPTS, DEVICES, PEOPLE, SESSIONS
from clampwright.store.transactions import Transactions
from clampwright.store.where import LogPlace
from clampwright.words import words

if TYPE_CHECKING:
    from sqlalchemy import Connection, Table


@dataclass(frozen=True, slots=True)
class Person:
    """A row of the table of people.

    Parameters
    ----------
    id : str
        As it stands in entries.
    name : str or None
        None when it was erased.
    role : str
    password, pin : str or None
        Hashes, with their parameters and salt.
    added : str
        RFC 3339.
    erased : str or None
        When the name was erased.
    """

    id: str
    name: str | None
    role: str
    password: str | None
    pin: str | None
    added: str
    erased: str | None


@dataclass(frozen=True, slots=True)
class Device:
    """A device on which a PIN is enough.

    Parameters
    ----------
    id, name : str
    enrolled : str
        RFC 3339.
    enrolled_by : str
        Id of the person.
    ended : str or None
    """

    id: str
    name: str
    enrolled: str
    enrolled_by: str
    ended: str | None


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A session, or a signature under one entry.

    Parameters
    ----------
    id, person : str
    device : str or None
    how : str
        ``password`` or ``pin``.
    act, entry : str or None
        What was signed; None for a session.
    started, seen : str
        RFC 3339.
    ended : str or None
    """

    id: str
    person: str
    device: str | None
    how: str
    act: str | None
    entry: str | None
    started: str
    seen: str
    ended: str | None


_SIGNED_IN = [SESSIONS.c[name] for name in SignedIn.__dataclass_fields__]
_DEVICE = [DEVICES.c[name] for name in Device.__dataclass_fields__]


class PeopleTables:
    """The rows about people in one store.

    Parameters
    ----------
    transactions : Transactions
    """

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    # ---- people

    def all(self) -> list[Person]:
        """Return every person, the erased ones too, in the order in which they were added."""
        rows = self._transactions.rows(select(PEOPLE).order_by(PEOPLE.c.added, PEOPLE.c.id))
        return [_person(row) for row in rows]

    def get(self, person: str) -> Person | None:
        """Return a person by id, or None."""
        rows = self._transactions.rows(select(PEOPLE).where(PEOPLE.c.id == person))
        return _person(rows[0]) if rows else None

    def named(self, name_key: str) -> Person | None:
        """Return a person by the key of the name, or None."""
        rows = self._transactions.rows(select(PEOPLE).where(PEOPLE.c.name_key == name_key))
        return _person(rows[0]) if rows else None

    def add(self, person: Person, name_key: str) -> None:
        """Add a person.

        Raises
        ------
        Refused
            When the name is taken.
        """
        if self.named(name_key) is not None:
            raise Refused(
                words("there is a person of the name {name} already", name=person.name or "")
            )
        values = {name: getattr(person, name) for name in Person.__dataclass_fields__}
        with self._transactions.writing() as connection:
            connection.execute(insert(PEOPLE).values(**values, name_key=name_key))

    def change(self, person: str, **columns: str | None) -> None:
        """Change columns of a person's row.

        Raises
        ------
        Missing
            When there is no such person.
        """
        with self._transactions.writing() as connection:
            _changed(connection, person, columns)

    def erase(self, person: str, at: str) -> None:
        """Erase name, password and PIN of a person, and every session; the id stays.

        Parameters
        ----------
        person : str
        at : str
            RFC 3339.
        """
        nothing = {"name": None, "name_key": None, "password": None, "pin": None}
        with self._transactions.writing() as connection:
            _changed(connection, person, {**nothing, "erased": at})
            connection.execute(delete(SESSIONS).where(SESSIONS.c.person == person))
            connection.execute(delete(ATTEMPTS).where(ATTEMPTS.c.subject.like(f"%{person}")))
        self._transactions.forget_old_pages()

    # ---- devices

    def devices(self) -> list[Device]:
        """Return every device that was enrolled."""
        rows = self._transactions.rows(select(*_DEVICE).order_by(DEVICES.c.enrolled))
        return [Device(*row) for row in rows]

    def device_of(self, secret: bytes) -> Device | None:
        """Return the device whose secret has this hash, if it is enrolled still."""
        query = select(*_DEVICE).where(DEVICES.c.secret == secret, DEVICES.c.ended.is_(None))
        rows = self._transactions.rows(query)
        return Device(*rows[0]) if rows else None

    def enrol(self, device: Device, secret: bytes) -> None:
        """Enrol a device.

        Parameters
        ----------
        device : Device
        secret : bytes
            Hash of what is in its cookie.
        """
        values = {name: getattr(device, name) for name in Device.__dataclass_fields__}
        with self._transactions.writing() as connection:
            connection.execute(insert(DEVICES).values(**values, secret=secret))

    def end_device(self, device: str, at: str) -> None:
        """End the enrolment of a device, and its sessions.

        Raises
        ------
        Missing
            When there is no such device.
        """
        with self._transactions.writing() as connection:
            done = connection.execute(
                update(DEVICES)
                .where(DEVICES.c.id == device, DEVICES.c.ended.is_(None))
                .values(ended=at)
            )
            if not done.rowcount:
                raise Missing(words("there is no enrolled device {id}", id=device), "device")
            connection.execute(
                update(SESSIONS)
                .where(SESSIONS.c.device == device, SESSIONS.c.ended.is_(None))
                .values(ended=at)
            )

    # ---- sessions and signatures

    def sessions(self) -> list[SignedIn]:
        """Return every session, the ended ones too, the newest first; no signatures."""
        query = select(*_SIGNED_IN).where(SESSIONS.c.act.is_(None))
        rows = self._transactions.rows(query.order_by(SESSIONS.c.started.desc()))
        return [SignedIn(*row) for row in rows]

    def session(self, session: str) -> SignedIn | None:
        """Return a session by its id, or None."""
        query = select(*_SIGNED_IN).where(SESSIONS.c.id == session, SESSIONS.c.act.is_(None))
        rows = self._transactions.rows(query)
        return SignedIn(*rows[0]) if rows else None

    def by_token(self, token: bytes) -> SignedIn | None:
        """Return the session or signature whose token has this hash, or None."""
        rows = self._transactions.rows(select(*_SIGNED_IN).where(SESSIONS.c.token == token))
        return SignedIn(*rows[0]) if rows else None

    def sign_in(self, row: SignedIn, token: bytes) -> None:
        """Keep a new session or signature.

        Parameters
        ----------
        row : SignedIn
        token : bytes
            Hash of what the device holds.
        """
        values = {name: getattr(row, name) for name in SignedIn.__dataclass_fields__}
        with self._transactions.writing() as connection:
            connection.execute(insert(SESSIONS).values(**values, token=token))

    def touch(self, session: str, at: str) -> None:
        """Note that somebody was there."""
        with self._transactions.writing() as connection:
            connection.execute(
                update(SESSIONS)
                .where(SESSIONS.c.id == session, SESSIONS.c.ended.is_(None))
                .values(seen=at)
            )

    def end(self, at: str, *, session: str | None = None, person: str | None = None) -> int:
        """End one session, or all of a person; return how many were ended."""
        query = update(SESSIONS).where(SESSIONS.c.ended.is_(None), SESSIONS.c.act.is_(None))
        if session is not None:
            query = query.where(SESSIONS.c.id == session)
        if person is not None:
            query = query.where(SESSIONS.c.person == person)
        with self._transactions.writing() as connection:
            return int(connection.execute(query.values(ended=at)).rowcount)

    def by_tokens(self, since: str) -> dict[bytes, SignedIn]:
        """Return sessions that have not ended, and signatures, by the hash of their token.

        Parameters
        ----------
        since : str
            Only those begun after this time (RFC 3339, as the store writes it).
        """
        query = select(SESSIONS.c.token, *_SIGNED_IN).where(
            SESSIONS.c.ended.is_(None), SESSIONS.c.started > since
        )
        return {row[0]: SignedIn(*row[1:]) for row in self._transactions.rows(query)}

    def devices_by_secret(self) -> dict[bytes, Device]:
        """Return every device that is enrolled still, by the hash of its secret."""
        query = select(DEVICES.c.secret, *_DEVICE).where(DEVICES.c.ended.is_(None))
        return {row[0]: Device(*row[1:]) for row in self._transactions.rows(query)}

    # ---- wrong tries

    def tries(self, subject: str) -> tuple[int, str | None]:
        """Return how many wrong tries there were, and when the last was."""
        rows = self._transactions.rows(select(ATTEMPTS).where(ATTEMPTS.c.subject == subject))
        return (rows[0].failures, rows[0].last) if rows else (0, None)

    def count(self, failures: Mapping[str, int], at: str) -> None:
        """Set the wrong tries of subjects; 0 forgets one."""
        with self._transactions.writing() as connection:
            for subject, number in failures.items():
                connection.execute(delete(ATTEMPTS).where(ATTEMPTS.c.subject == subject))
                if number:
                    row = {"subject": subject, "failures": number, "last": at}
                    connection.execute(insert(ATTEMPTS).values(**row))

    def forget_tries(self, subject: str) -> None:
        """Forget the wrong tries of a subject, from every place.

        Parameters
        ----------
        subject : str
            Its parts, such as places, begin with it and a colon.
        """
        with self._transactions.writing() as connection:
            connection.execute(
                delete(ATTEMPTS).where(
                    (ATTEMPTS.c.subject == subject)
                    | ATTEMPTS.c.subject.startswith(f"{subject}:", autoescape=True)
                )
            )

    def tidy(self, before: str) -> None:
        """Forget wrong tries that were made before a time."""
        with self._transactions.writing() as connection:
            connection.execute(delete(ATTEMPTS).where(ATTEMPTS.c.last < before))

    # ---- whole

    def any(self) -> bool:
        """Say whether people are set up: somebody has a password."""
        query = select(func.count()).select_from(PEOPLE).where(PEOPLE.c.password.is_not(None))
        return bool(self._transactions.rows(query)[0][0])

    def copy_to(self, connection: Connection) -> None:
        """Copy every row into a store file that was made anew from the log, and so has none.

        Parameters
        ----------
        connection : Connection
            With a writing transaction open.
        """
        for table, rows in self.everything():
            if rows:
                connection.execute(insert(table), rows)

    def everything(self) -> list[tuple[Table, list[dict[str, Any]]]]:
        """Return every row of every table, tables and rows in a fixed order."""
        return [
            (
                table,
                [
                    dict(row._mapping)  # noqa: SLF001 - SQLAlchemy's own public name of a row as a mapping
                    for row in self._transactions.rows(select(table).order_by(*table.primary_key))
                ],
            )
            for table in (PEOPLE, DEVICES, SESSIONS, ATTEMPTS)
        ]


@contextmanager
def people_of(place: LogPlace) -> Iterator[PeopleTables | None]:
    """Read the people in a store, without opening its log.

    Parameters
    ----------
    place : pathlib.Path or Database
        It need not be there, nor have the tables.

    Yields
    ------
    PeopleTables or None
        None where there are none.
    """
    if isinstance(place, Path) and not place.is_file():
        yield None
        return
    try:
        connection = connect(place, write=False, busy_seconds=5.0)
    except DATABASE_ERRORS as error:
        raise in_words(error, str(place)) from error
    try:
        there = inspect(connection).has_table(PEOPLE.name)
        connection.rollback()  # the look began a transaction of its own
        yield PeopleTables(Transactions(connection, None, str(place))) if there else None
    except DATABASE_ERRORS as error:
        raise in_words(error, str(place)) from error
    finally:
        connection.close()


def names_in(place: LogPlace) -> tuple[dict[str, str], frozenset[str]]:
    """Return the names in a store, without opening its log.

    Parameters
    ----------
    place : pathlib.Path or Database
        It need not be there, nor have the tables.

    Returns
    -------
    dict of str to str, frozenset of str
        Names by id, and the ids whose name was erased.
    """
    with people_of(place) as tables:
        everybody = [] if tables is None else tables.all()
    names = {one.id: one.name for one in everybody if one.name is not None}
    return names, frozenset(one.id for one in everybody if one.name is None)


def _person(row: Any) -> Person:
    return Person(row.id, row.name, row.role, row.password, row.pin, row.added, row.erased)


def _changed(connection: Connection, person: str, columns: Mapping[str, str | None]) -> None:
    done = connection.execute(update(PEOPLE).where(PEOPLE.c.id == person).values(**columns))
    if not done.rowcount:
        raise Missing(words("there is no person {id} here", id=person), "person")
