"""Signing in with a password, unlocking an enrolled device with a PIN, signing one entry.

A wrong try is counted in the store before it is answered, so that neither a restart nor many
requests at once give a try for nothing. On an enrolled device the names stand on tiles, and what
is wrong is said plainly; elsewhere an answer does not tell whether a name exists.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.names import plain
from clampwright.bench.passwords import Hashing, kept_of, new_secret
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.store.log import Store
from clampwright.store.people import Device, Person, SignedIn
from clampwright.store.writing import timestamp
from clampwright.words import Words, words
from clampwright.work.people_rules import Lockout, figure, is_idle, is_over
from clampwright.work.roles import acts, refuse_unless

SESSION_COOKIE = "clampwright-session"
"""Under which name a browser, or a program, sends the token of a session."""


class TurnedAway(Refused):
    """A try to sign in that was not taken.

    Parameters
    ----------
    message : Words
    wait : int
        Seconds until the next try is looked at; 0 for at once.
    """

    def __init__(self, message: Words, wait: int = 0) -> None:
        super().__init__(message)
        self.wait = wait


@dataclass(frozen=True, slots=True)
class Opened:
    """What a device is handed.

    Parameters
    ----------
    token : str
        For its cookie; only its hash is kept.
    row : SignedIn
    person : Person
    """

    token: str
    row: SignedIn
    person: Person


def password_subject(name: str) -> str:
    """Return under what wrong passwords for a name are counted, whether anybody bears it or not."""
    return f"password:{hashlib.sha256(plain(name).encode()).hexdigest()[:32]}"


def password_subject_at(name: str, place: str) -> str:
    """Return under what wrong passwords for a name are counted that were tried from one place."""
    return f"{password_subject(name)}:{hashlib.sha256(place.encode()).hexdigest()[:16]}"


def pin_subject(person: str) -> str:
    """Return under what wrong PINs of a person are counted, on whichever device."""
    return f"pin:{person}"


def right_password(
    store: Store, hashing: Hashing, name: str, password: str, *, place: str
) -> Person:
    """Return the person of a name whose password it is.

    Parameters
    ----------
    store : Store
        Open for writing.
    hashing : Hashing
    name, password : str
    place : str
        Where it is tried from (a device or an address), for the lockout.

    Returns
    -------
    Person

    Raises
    ------
    TurnedAway
        The same for a wrong name and a wrong password.
    """
    person = store.people.named(plain(name))
    kept = person.password if person else None
    wrong = words("the name or the password is wrong")
    _password_tried(store, hashing, name, place=place, secrets_=(kept, password), wrong=wrong)
    if person is None or kept is None:
        raise TurnedAway(wrong)
    if hashing.is_old(kept):
        store.people.change(person.id, password=hashing.of(password))
    return person


def sign_in(
    store: Store,
    hashing: Hashing,
    name: str,
    password: str,
    *,
    place: str,
    device: Device | None = None,
) -> Opened:
    """Begin a session with name and password.

    Parameters
    ----------
    store, hashing, name, password, place
        As for `right_password`.
    device : Device, optional
        The enrolled device it is done on.

    Returns
    -------
    Opened

    Raises
    ------
    TurnedAway
        As `right_password`.
    """
    person = right_password(store, hashing, name, password, place=place)
    return begin(store, person, "password", device)


def unlock(store: Store, hashing: Hashing, person_id: str, pin: str, device: Device) -> Opened:
    """Begin a session with a PIN, on a device that was enrolled with a password.

    Parameters
    ----------
    store : Store
        Open for writing.
    hashing : Hashing
    person_id, pin : str
    device : Device

    Returns
    -------
    Opened

    Raises
    ------
    TurnedAway
        Says plainly why: the names stand on tiles here.
    """
    person = _right_pin(store, hashing, person_id, pin, device)
    return begin(store, person, "pin", device)


def sign(
    store: Store,
    hashing: Hashing,
    person_id: str,
    secret: str,
    *,
    act: str,
    entry: str,
    device: Device | None,
    place: str,
) -> Opened:
    """Sign one entry in the moment it is made.

    With the PIN; on a device that is not enrolled, with the password.

    Parameters
    ----------
    store : Store
        Open for writing.
    hashing : Hashing
    person_id, secret : str
    act : str
        What is done.
    entry : str
        Id of the entry it is good for, and for no other.
    device : Device or None
    place : str
        As for `sign_in`.

    Returns
    -------
    Opened

    Raises
    ------
    TurnedAway
        When PIN or password is wrong.
    Refused
        When the person's role may not do it.
    """
    if act not in acts():
        raise Refused(words("there is nothing of the name {act} to sign", act=act))
    if device is not None:
        person = _right_pin(store, hashing, person_id, secret, device)
    else:
        person = _known(store, person_id)
        wrong = words("the password is wrong")
        given = (person.password, secret)
        called = person.name or ""
        _password_tried(store, hashing, called, place=place, secrets_=given, wrong=wrong)
    refuse_unless(person.role, act)
    return _kept(store, person, "password" if device is None else "pin", device, (act, entry))


def prove(store: Store, hashing: Hashing, person_id: str, secret: str, *, place: str) -> None:
    """Check that it is the person itself that changes an own password or PIN.

    A session that was left open may be anybody's who walks by, and a PIN signs.

    Parameters
    ----------
    store : Store
        Open for writing.
    hashing : Hashing
    person_id : str
    secret : str
        The password the person has now, or the PIN where there is no password.
    place : str
        As for `sign_in`.

    Raises
    ------
    TurnedAway
        When it is wrong.
    """
    person = _known(store, person_id)
    if person.password is not None:
        wrong = words("the password you have now is wrong")
        given, called = (person.password, secret), person.name or ""
        _password_tried(store, hashing, called, place=place, secrets_=given, wrong=wrong)
    elif person.pin is not None:
        wrong, pin = words("the PIN you have now is wrong"), person.pin
        rules = _rules(pin_subject(person_id), place)
        _tried(store, rules, lambda: hashing.matches(pin, secret), lambda _: wrong)
    # Else named at the terminal, whose user is trusted.


@contextmanager
def at_the_terminal(folder: Path) -> Iterator[str]:
    """Hold a session for a program on this machine, by the person that ``--as`` names.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's; whoever can write there is trusted.

    Yields
    ------
    str
        The token; it is ended when the block is left.

    Raises
    ------
    Missing
        When nobody was named.
    """
    with open_store(Workshop(folder)) as store:
        person = store.people.get(store.actor.person) if store.actor else None
        if person is None:
            raise Missing(
                words("say who does this: --as NAME, before the command"), needed="person"
            )
        opened = begin(store, person, "terminal", None)
    try:
        yield opened.token
    finally:
        with suppress(ClampwrightError), open_store(Workshop(folder)) as store:
            store.people.end(timestamp(store.now()), session=opened.row.id)


def enrol(store: Store, person: Person, name: str) -> tuple[Device, str]:
    """Enrol a device; who does it has just given a password.

    Parameters
    ----------
    store : Store
        Open for writing.
    person : Person
    name : str
        What the device is called, such as "tablet at bay 2".

    Returns
    -------
    Device, str
        And the secret for its cookie.

    Raises
    ------
    Refused
        When the person may not, or the name will not do.
    """
    refuse_unless(person.role, "enrol_device")
    called = " ".join(name.split())
    if not called or len(called) > 60 or not called.isprintable():
        raise Refused(words("say what the device is called, in at most 60 characters"))
    device = Device(
        f"device-{secrets.token_hex(6)}", called, timestamp(store.now()), person.id, None
    )
    secret = new_secret()
    store.people.enrol(device, kept_of(secret))
    return device, secret


def state_of(row: SignedIn, now: dt.datetime) -> str:
    """Say how a session stands.

    Parameters
    ----------
    row : SignedIn
    now : datetime.datetime

    Returns
    -------
    str
        ``open``, ``locked`` (the PIN opens it) or ``ended``.
    """
    if row.ended is not None or is_over(_time(row.started), now):
        return "ended"
    return "locked" if is_idle(_time(row.seen), now) else "open"


def covered(row: SignedIn | None, person: str, made: str) -> bool:
    """Say whether a session covered the moment in which an entry was made on its device.

    Parameters
    ----------
    row : SignedIn or None
    person : str
        Who is said to have made it.
    made : str
        RFC 3339, by the device's clock.

    Returns
    -------
    bool
    """
    if row is None or row.person != person:
        return False
    idle = dt.timedelta(seconds=figure("session", "idle_s"))
    end = _time(row.seen) + idle
    if row.ended is not None:
        end = min(end, _time(row.ended))
    return _time(row.started) <= _time(made) <= end


def _time(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text)


def _known(store: Store, person_id: str) -> Person:
    person = store.people.get(person_id)
    if person is None or person.erased:
        raise TurnedAway(words("there is no such person here any more"))
    return person


def _right_pin(store: Store, hashing: Hashing, person_id: str, pin: str, device: Device) -> Person:
    person = _known(store, person_id)
    if person.pin is None:
        raise TurnedAway(
            words(
                "{name} has no PIN yet: sign in with the password and choose one",
                name=person.name or "",
            )
        )
    kept = person.pin
    _tried(
        store,
        _rules(pin_subject(person_id), f"device:{device.id}"),
        lambda: hashing.matches(kept, pin),
        _wrong_pin,
    )
    return person


def _wrong_pin(left: int) -> Words:
    if left > 0:
        return words("the PIN is wrong; tries left before a wait: {left}", left=left)
    return words("the PIN is wrong; the next try is taken after a wait")


def _password_tried(
    store: Store,
    hashing: Hashing,
    name: str,
    *,
    place: str,
    secrets_: tuple[str | None, str],
    wrong: Words,
) -> None:
    """Count a try at a name's password; strangers elsewhere do not lock the name out here."""
    rules = _rules(password_subject_at(name, place), place)
    if not place.startswith("device:"):  # a device was enrolled with a password: it is no stranger
        rules[password_subject(name)] = Lockout.of("name_lockout")
    _tried(store, rules, lambda: hashing.matches(*secrets_), lambda _: wrong)


def _rules(subject: str, place: str) -> dict[str, Lockout]:
    return {subject: Lockout.of("lockout"), place: Lockout.of("device_lockout")}


def _tried(
    store: Store,
    rules: Mapping[str, Lockout],
    is_right: Callable[[], bool],
    wrong: Callable[[int], Words],
) -> None:
    """Count a try, look whether it is right, and count it back if so.

    The first of the rules is the person's own: what is said of tries left, and what a right one
    clears.
    """
    now, subject = store.now(), next(iter(rules))
    before = {one: _counted(store, one, rule, now) for one, rule in rules.items()}
    store.people.count({one: number + 1 for one, number in before.items()}, timestamp(now))
    if not is_right():
        raise TurnedAway(wrong(rules[subject].free_tries - before[subject] - 1))
    # A right one clears the person; what others tried wrongly, here or elsewhere, still counts.
    store.people.count({**before, subject: 0}, timestamp(now))


def _counted(store: Store, subject: str, rule: Lockout, now: dt.datetime) -> int:
    failures, last = store.people.tries(subject)
    when = None if last is None else _time(last)
    left = rule.left(rule.counted(failures, when, now), when, now)
    if left:
        raise TurnedAway(
            words("too many wrong tries: the next one is taken in {wait}", wait=_wait(left)), left
        )
    return rule.counted(failures, when, now)


def _wait(seconds: int) -> Words:
    if seconds < 120:
        return words("{count} seconds", count=seconds)
    return words("{count} minutes", count=-(-seconds // 60))


def begin(store: Store, person: Person, how: str, device: Device | None) -> Opened:
    """Begin the session of a person who has just shown who it is.

    Parameters
    ----------
    store : Store
        Open for writing.
    person : Person
    how : str
        ``password`` or ``pin``.
    device : Device or None

    Returns
    -------
    Opened
    """
    now = store.now()
    old = dt.timedelta(seconds=figure("lockout", "forgotten_after_s"))
    store.people.tidy(timestamp(now - old))
    if device is not None:  # one at a time: who taps takes over
        for row in store.people.sessions():
            if row.device == device.id and row.ended is None:
                idle = dt.timedelta(seconds=figure("session", "idle_s"))
                store.people.end(timestamp(min(now, _time(row.seen) + idle)), session=row.id)
    return _kept(store, person, how, device, None)


def _kept(
    store: Store, person: Person, how: str, device: Device | None, signs: tuple[str, str] | None
) -> Opened:
    now = timestamp(store.now())
    act, entry = signs or (None, None)
    name = f"{'signature' if signs else 'session'}-{secrets.token_hex(8)}"
    row = SignedIn(name, person.id, device.id if device else None, how, act, entry, now, now, None)
    token = new_secret()
    store.people.sign_in(row, kept_of(token))
    return Opened(token, row, person)
