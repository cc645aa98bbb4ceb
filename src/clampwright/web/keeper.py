"""Who is at which device: cookies looked up, sessions opened, locked and ended.

What the store says of people is read again only when its file has changed. When somebody was last
there is kept in memory and written down at most every half minute, so that looking costs no write.
"""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace

from clampwright.bench.passwords import Hashing, kept_of
from clampwright.bench.sign_in import SESSION_COOKIE, covered, state_of
from clampwright.errors import ClampwrightError
from clampwright.store.folder import Folder
from clampwright.store.people import Device, Person, SignedIn, people_of
from clampwright.store.stamp import Stamp
from clampwright.store.writing import Actor, timestamp
from clampwright.web.desk import Desk

WRITTEN_EVERY = 30.0
"""Seconds between two notes in the store that somebody is there."""

RECENT = dt.timedelta(days=1)
"""Sessions and signatures kept at hand; a session lasts less."""

DEVICE_COOKIE = "clampwright-device"
NOBODY = Actor("nobody", "nobody", "session")
"""May do nothing: stands where a later look must first find out whose hand it is."""


@dataclass(frozen=True, slots=True)
class Known:
    """What the store says of people.

    Parameters
    ----------
    people : mapping of str to Person
        By id.
    devices : mapping of bytes to Device
        Enrolled ones, by the hash of their secret.
    rows : mapping of bytes to SignedIn
        Sessions that have not ended, and signatures, by the hash of their token.
    """

    people: Mapping[str, Person] = field(default_factory=dict)
    devices: Mapping[bytes, Device] = field(default_factory=dict)
    rows: Mapping[bytes, SignedIn] = field(default_factory=dict)

    @property
    def any(self) -> bool:
        """Whether people are set up: somebody has a password."""
        return any(one.password for one in self.people.values())


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who asks, as far as cookies tell.

    Parameters
    ----------
    state : str
        ``open``, ``locked`` or ``none``.
    device : Device or None
        The enrolled device it is.
    row : SignedIn or None
        The session.
    person : Person or None
        Whose session it is.
    """

    state: str = "none"
    device: Device | None = None
    row: SignedIn | None = None
    person: Person | None = None

    @property
    def actor(self) -> Actor | None:
        """Whose hand is at work, while the session is open."""
        if self.state != "open" or self.person is None:
            return None
        at_the_terminal = self.row is not None and self.row.how == "terminal"
        how = "terminal" if at_the_terminal else "session"
        return Actor(self.person.id, self.person.role, how)


class Keeper:
    """Looks after who is signed in.

    Parameters
    ----------
    desk : Desk
        The log.
    clock : callable
        Says what time it is.
    hashing : Hashing
        How passwords and PINs are compared.
    sign_in : bool
        Whether everybody must sign in; otherwise who sits here may do everything, named or not.
    """

    def __init__(
        self,
        desk: Desk,
        clock: Callable[[], dt.datetime],
        hashing: Hashing | None = None,
        *,
        sign_in: bool = False,
    ) -> None:
        self.desk, self.sign_in = desk, sign_in
        self.hashing = hashing or Hashing()
        self._clock = clock
        self._turn = threading.Lock()
        self._known, self._stamp = Known(), Stamp()
        self._seen: dict[str, dt.datetime] = {}
        self._written: dict[str, dt.datetime] = {}

    def is_stranger(self, visitor: Visitor) -> bool:
        """Say whether somebody is not signed in where everybody must, on no device of the place.

        Parameters
        ----------
        visitor : Visitor

        Returns
        -------
        bool
        """
        return self.sign_in and visitor.actor is None and visitor.device is None

    def now(self) -> dt.datetime:
        """Say what time it is."""
        return self._clock()

    def known(self) -> Known:
        """Return what the store says of people now."""
        with self._turn:
            stamp = self.desk.stamp()
            if stamp != self._stamp:
                with people_of(Folder(self.desk.place.folder).log) as tables:
                    self._known = (
                        Known()
                        if tables is None
                        else Known(
                            {one.id: one for one in tables.all()},
                            tables.devices_by_secret(),
                            tables.by_tokens(timestamp(self._clock() - RECENT)),
                        )
                    )
                self._stamp = stamp
            return self._known

    def visitor(self, cookies: Mapping[str, str]) -> Visitor:
        """Return who asks.

        Parameters
        ----------
        cookies : mapping of str to str

        Returns
        -------
        Visitor
        """
        if SESSION_COOKIE not in cookies and DEVICE_COOKIE not in cookies:
            return Visitor()
        known = self.known()
        device = known.devices.get(kept_of(cookies.get(DEVICE_COOKIE, "")))
        row = known.rows.get(kept_of(cookies.get(SESSION_COOKIE, "")))
        if row is None or row.act is not None or row.device != (device.id if device else None):
            return Visitor(device=device)
        person = known.people.get(row.person)
        row = replace(row, seen=max(row.seen, self._seen_text(row.id)))
        state = state_of(row, self._clock())
        if state == "ended" or person is None or person.erased:
            return Visitor(device=device)
        return Visitor(state, device, row, person)

    def signer(self, signature: str, act: str, entry: str, visitor: Visitor) -> Actor | None:
        """Return who signed an entry, if a signature is for it and was made on this device."""
        known, kept = self.known(), kept_of(signature)
        row = known.rows.get(kept)
        if row is None:  # of an entry that waited for days on its device
            with people_of(Folder(self.desk.place.folder).log) as tables:
                row = None if tables is None else tables.by_token(kept)
        if row is None or (row.act, row.entry) != (act, entry):
            return None
        if row.device != (visitor.device.id if visitor.device else None):
            return None
        person = known.people.get(row.person)
        if person is None or person.erased:
            return None
        return Actor(person.id, person.role, row.how)

    def claimed(self, person_id: str, session: str, made: str, visitor: Visitor) -> Actor | None:
        """Return who is said to have made an entry on this device while the network was away.

        Parameters
        ----------
        person_id, session : str
            As the device tells them.
        made : str
            By the device's clock.
        visitor : Visitor

        Returns
        -------
        Actor or None
            Marked as not signed at the time, unless a session of this person on this device
            covered it; None where there is no such person.
        """
        person = self.known().people.get(person_id)
        if visitor.device is None or person is None or person.erased:
            return None
        with people_of(Folder(self.desk.place.folder).log) as tables:
            row = None if tables is None else tables.session(session)
        if row is not None:
            row = replace(row, seen=max(row.seen, self._seen_text(row.id)))
            if row.device != visitor.device.id:
                row = None
        signed = "session" if covered(row, person_id, made) else "not at the time"
        return Actor(person.id, person.role, signed)

    def told(self, person_id: str) -> Actor | None:
        """Return who is said to have made an entry that another hand brought.

        Parameters
        ----------
        person_id : str
            As the entry tells.

        Returns
        -------
        Actor or None
            Marked as not signed at the time; None where there is no such person.
        """
        person = self.known().people.get(person_id)
        if person is None or person.erased:
            return None
        return Actor(person.id, person.role, "not at the time")

    def touched(self, visitor: Visitor) -> None:
        """Note that somebody is there."""
        if visitor.row is None or visitor.state != "open":
            return
        now, session = self._clock(), visitor.row.id
        self._seen[session] = now
        last = self._written.get(session)
        if last is not None and (now - last).total_seconds() < WRITTEN_EVERY:
            return
        self._written[session] = now
        # Where another program writes it is noted the next time: nobody waits for this.
        with suppress(ClampwrightError), self.desk.writing() as store:
            store.people.touch(session, timestamp(now))

    def _seen_text(self, session: str) -> str:
        seen = self._seen.get(session)
        return "" if seen is None else timestamp(seen)
