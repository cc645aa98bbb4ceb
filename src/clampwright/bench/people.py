"""The people of a workshop: added, given role, password and PIN; erased, and the log stays whole.

A name, what a password became and a role stand in a table that can be erased; entries hold random
ids. What is changed here stands on the log too, by those ids only.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from clampwright.bench.acting import require
from clampwright.bench.names import Names, checked_name, new_person_id, plain
from clampwright.bench.passwords import Hashing
from clampwright.bench.sign_in import password_subject, pin_subject, prove
from clampwright.errors import Missing, Refused
from clampwright.store.log import Store
from clampwright.store.people import PeopleTables, Person
from clampwright.store.where import has_log
from clampwright.store.writing import timestamp
from clampwright.words import words
from clampwright.work.people_rules import check_password, check_pin
from clampwright.work.roles import ROLES

CHANGED = "people_changed"
"""Kind of the entries that say what was changed, by ids only."""


class People:
    """The people of an open workshop.

    Parameters
    ----------
    store : Store
        Open for writing.
    folder : pathlib.Path
        The workshop's folder.
    hashing : Hashing
    """

    def __init__(self, store: Store, folder: Path, hashing: Hashing | None = None) -> None:
        self._store, self._names = store, Names(folder)
        self._hashing = hashing or Hashing()

    def find(self, name: str) -> Person:
        """Return a person by name or id.

        Parameters
        ----------
        name : str

        Raises
        ------
        Missing
            When there is none.
        """
        found = self._store.people.named(plain(name)) or self._store.people.get(name)
        if found is None:
            raise Missing(
                words("there is no person of the name {name} here", name=name), needed="person"
            )
        return found

    def add(
        self, name: str, role: str, *, password: str | None = None, pin: str | None = None
    ) -> Person:
        """Add a person; who was named in the log before keeps the id.

        Parameters
        ----------
        name : str
        role : str
        password, pin : str, optional

        Returns
        -------
        Person

        Raises
        ------
        Refused
            When the name is taken, there is no such role, or password or PIN will not do.
        """
        require(self._store, "look_after_people")
        checked = checked_name(name)
        _check_role(role)
        if password is not None:
            check_password(password, checked)
        if pin is not None:
            check_pin(pin)
        person = Person(
            self._names.known(checked) or new_person_id(),
            checked,
            role,
            None if password is None else self._hashing.of(password),
            None if pin is None else self._hashing.of(pin),
            timestamp(self._store.now()),
            None,
        )
        self._store.people.add(person, plain(checked))
        self._names.forget(person.id)
        self._note("added", person.id, role)
        return person

    def set_role(self, name: str, role: str) -> Person:
        """Give a person another role; open sessions have it at once.

        Raises
        ------
        Refused
            When nobody would be left who looks after people.
        """
        require(self._store, "look_after_people")
        _check_role(role)
        person = self._here(name)
        if role != "administrator":
            self._refuse_the_last(person)
        self._store.people.change(person.id, role=role)
        self._note("role", person.id, role)
        return self.find(person.id)

    def set_password(self, name: str, password: str) -> None:
        """Give a person another password; every session of the person ends.

        Raises
        ------
        Refused
            When it will not do, or somebody else's is changed without the right to.
        """
        person = self._own_or_allowed(name)
        check_password(password, person.name or "")
        self._store.people.change(person.id, password=self._hashing.of(password))
        self._store.people.forget_tries(password_subject(person.name or ""))
        self.end_sessions(person.id)
        self._note("password", person.id)

    def set_pin(self, name: str, pin: str) -> None:
        """Give a person another PIN.

        Raises
        ------
        Refused
            As `set_password`.
        """
        person = self._own_or_allowed(name)
        check_pin(pin)
        self._store.people.change(person.id, pin=self._hashing.of(pin))
        self._store.people.count({pin_subject(person.id): 0}, self._now())
        self._note("pin", person.id)

    def prove(self, person: str, secret: str, place: str) -> None:
        """Check that it is the person itself; see `clampwright.bench.sign_in.prove`."""
        prove(self._store, self._hashing, person, secret, place=place)

    def erase(self, name: str) -> str:
        """Erase name, password and PIN of a person; the log stays whole and holds the id.

        Returns
        -------
        str
            The id.

        Raises
        ------
        Refused
            When nobody would be left who looks after people.
        """
        require(self._store, "look_after_people")
        known = self._names.known(name)
        if known is not None and self._store.people.get(known) is None:
            self._names.forget(known)  # somebody who was only ever named
            return known
        person = self._here(name)
        self._refuse_the_last(person)
        if person.name is not None:
            self._store.people.forget_tries(password_subject(person.name))
        self._store.people.erase(person.id, self._now())
        self._names.forget(person.id)
        self._note("erased", person.id)
        return person.id

    def end_sessions(self, name: str) -> int:
        """End every session of a person; return how many."""
        person = self._own_or_allowed(name)
        return self._store.people.end(self._now(), person=person.id)

    def end_device(self, device: str) -> None:
        """End the enrolment of a device, and its sessions.

        Raises
        ------
        Missing
            When there is no such device.
        """
        require(self._store, "enrol_device")
        self._store.people.end_device(device, self._now())

    def end_session(self, session: str) -> None:
        """End one session: one's own, or another's with the right to."""
        row = self._store.people.session(session)
        if row is not None:
            self._own_or_allowed(row.person)
            self._store.people.end(self._now(), session=session)

    def _here(self, name: str) -> Person:
        person = self.find(name)
        if person.erased:
            raise Refused(words("the name of this person was erased"))
        return person

    def _own_or_allowed(self, name: str) -> Person:
        person = self._here(name)
        if self._store.actor is None or self._store.actor.person != person.id:
            require(self._store, "look_after_people")
        return person

    def _refuse_the_last(self, person: Person) -> None:
        """Somebody must be left who can give roles, as long as there is anybody else."""
        others = [one for one in self._store.people.all() if one.id != person.id and not one.erased]
        another = any(one.role == "administrator" and one.password for one in others)
        if person.role == "administrator" and others and not another:
            raise Refused(
                words(
                    "{name} is the last administrator: make another first", name=person.name or ""
                )
            )

    def _note(self, what: str, person: str, role: str = "") -> None:
        body = {"what": what, "person": person}
        self._store.append(CHANGED, {**body, "role": role} if role else body)

    def _now(self) -> str:
        return timestamp(self._store.now())


def overview(tables: PeopleTables | None) -> dict[str, Any]:
    """Return who is here, on which devices, and who is signed in: as plain data, without secrets.

    Parameters
    ----------
    tables : PeopleTables or None
        None where there are none yet.

    Returns
    -------
    dict
        ``people``, ``devices`` and ``sessions`` (those that are open or locked).
    """
    if tables is None:
        return {"people": [], "devices": [], "sessions": []}
    everybody = tables.all()
    names = {one.id: one.name or "" for one in everybody}
    devices = tables.devices()
    places = {one.id: one.name for one in devices}
    return {
        "people": [
            {
                "id": one.id,
                "name": one.name,
                "role": one.role,
                "password": one.password is not None,
                "pin": one.pin is not None,
                "erased": one.erased is not None,
            }
            for one in everybody
        ],
        "devices": [
            {
                "id": one.id,
                "name": one.name,
                "day": one.enrolled[:10],
                "by": names.get(one.enrolled_by, ""),
                "ended": one.ended is not None,
            }
            for one in devices
        ],
        "sessions": [
            {
                "id": one.id,
                "person": one.person,
                "name": names.get(one.person, ""),
                "device": places.get(one.device or "", ""),
                "started": one.started[:16].replace("T", " "),
            }
            for one in tables.sessions()
            if one.ended is None
        ],
    }


def refuse_open_network(folder: Path, host: str) -> None:
    """Refuse to serve others while nobody here could sign in.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    host : str
        As asked for.

    Raises
    ------
    Refused
        Says what to do.
    """
    if has_log(folder):
        with Store.open(folder, write=False) as store:
            if store.people.any():
                return
    raise Refused(
        words(
            "{host} can be reached by others, and nobody here has a password yet: set up people "
            "first (clampwright people add), or say --without-people if everybody who reaches this "
            "machine may do everything",
            host=host,
        )
    )


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise Refused(
            words("there is no role {role}; there are {roles}", role=role, roles=", ".join(ROLES))
        )
