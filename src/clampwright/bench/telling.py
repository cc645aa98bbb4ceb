"""Telling another program what happened: turned on by a person, off until then.

What is to be told is read from the log, so that nothing is missed that was entered while nothing
was being sent. Each message is sent until it was taken, or given up after `WAITS`; of one receiver
one after the other, in the order of the log. A message that was taken just before this program was
killed is sent once more, under the same name.
"""

from __future__ import annotations

import datetime as dt
import re
import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clampwright.bench.acting import require
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.follow_up import known_follow_ups
from clampwright.bench.outbox import (
    MOST_WAITING,
    OUTBOX_FILE,
    Letter,
    Outbox,
    Receiver,
    changing,
    read_outbox,
)
from clampwright.bench.outside import deliver
from clampwright.bench.reach import check_form, place_of, target_of
from clampwright.errors import ClampwrightError, Refused, StoreBusy
from clampwright.proof.ids import uuid7
from clampwright.proof.message import signed_fields
from clampwright.proof.strictjson import canonical
from clampwright.store.lock import WriterLock
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.words import Words, words
from clampwright.work.telling import (
    FOLLOW_UP_DUE,
    TELLING_BEGUN,
    TELLING_ENDED,
    TRIAL,
    chosen,
    message_of,
    message_of_due,
    message_of_trial,
    subjects_of,
)

ACT = "tell_outside"
SECONDS = 10.0
"""For one message, from connecting to the answer; a name is looked up before that."""
WAITS = (10, 60, 300, 1800, 3600, 3 * 3600, 6 * 3600, 12 * 3600, 24 * 3600)
"""Seconds between tries; after the last the letter is given up. Our own choice."""
LARGEST = 20_000
"""Bytes of a message; it has under 1,000."""
AT_ONCE = 50
"""Messages sent in one round, so that a round comes to an end."""
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
Clock = Callable[[], dt.datetime]


@dataclass(frozen=True, slots=True)
class Begun:
    """A receiver that was turned on.

    Parameters
    ----------
    receiver : Receiver
    secret : str
        Hexadecimal; shown this once.
    """

    receiver: Receiver
    secret: str


def begin_telling(
    store: Store,
    folder: Path,
    *,
    name: str,
    url: str,
    about: tuple[str, ...],
    inside: bool = False,
    entry_id: str | None = None,
) -> Begun:
    """Turn a receiver on: from the next entry of the log on it is told.

    Parameters
    ----------
    store : Store
        Open for writing.
    folder : pathlib.Path
        The workshop's.
    name : str
        What people call it.
    url : str
        Where messages go. Only its place (scheme, host, port) is put on the log.
    about : tuple of str
        What is told, see `clampwright.work.telling.subjects`.
    inside : bool
        Whether it is inside the house.
    entry_id : str, optional
        Id of the entry on the log.

    Returns
    -------
    Begun

    Raises
    ------
    Refused
        When the address may not be reached, or the name is taken; nothing is changed.
    Missing
        When nothing, or something unknown, is to be told.
    """
    require(store, ACT)
    if not _NAME.fullmatch(name):
        raise Refused(words("a receiver is named in small letters, figures and -"))
    about = chosen(about)
    check_form(url, inside=inside)
    target_of(url, inside=inside)
    secret, receiver = secrets.token_hex(32), secrets.token_hex(8)
    body = {
        "receiver": receiver,
        "name": name,
        "place": place_of(url),
        "inside": inside,
        "about": list(about),
    }
    # The outbox is taken first: where another program holds it, nothing is put on the log.
    with changing(folder) as outbox:
        if any(one.name == name for one in outbox.receivers):
            raise Refused(words("there is a receiver {name} already; turn it off first", name=name))
        receipt = store.append(TELLING_BEGUN, body, entry_id=entry_id or str(uuid7()))
        made = Receiver(
            id=receiver, name=name, url=url, secret=secret, inside=inside, about=about,
            cursor=receipt.index + 1, due_told=[],
        )  # fmt: skip
        outbox.receivers.append(made)
    return Begun(made, secret)


def end_telling(store: Store, folder: Path, name: str) -> Receiver:
    """Turn a receiver off; what waits for it is dropped, and its secret with it.

    Parameters
    ----------
    store : Store
        Open for writing.
    folder : pathlib.Path
    name : str
        Id or name.

    Returns
    -------
    Receiver

    Raises
    ------
    Missing
        When there is none.
    """
    require(store, ACT)
    with changing(folder) as outbox:
        gone = outbox.receiver(name)
        outbox.receivers.remove(gone)
    body = {"receiver": gone.id, "name": gone.name}
    store.append(TELLING_ENDED, body, entry_id=str(uuid7()))
    return gone


def allowed(folder: Path) -> str:
    """Refuse who may not decide what is told; return the name of the log.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.

    Returns
    -------
    str
    """
    with open_store(Workshop(folder), write=False) as store:
        require(store, ACT)
        return store.origin


def shown(one: Receiver) -> dict[str, Any]:
    """Return what may be shown of a receiver: no secret, and of its address only the place.

    Parameters
    ----------
    one : Receiver

    Returns
    -------
    dict
    """

    def told(letter: Letter) -> dict[str, Any]:
        return {name: getattr(letter, name) for name in ("id", "about", "tries", "problem")}

    return {
        "id": one.id,
        "name": one.name,
        "place": place_of(one.url),
        "inside": one.inside,
        "about": list(one.about),
        "delivered": one.delivered,
        "last": one.last,
        "waiting": [told(letter) for letter in one.waiting],
        "dead": [told(letter) for letter in one.dead],
    }


def send_again(folder: Path, name: str, letter: str = "") -> int:
    """Let letters that were given up wait once more, behind what waits already.

    Parameters
    ----------
    folder : pathlib.Path
    name : str
        Of the receiver.
    letter : str
        Id of one; all of them if empty.

    Returns
    -------
    int
        How many.
    """
    with changing(folder) as outbox:
        one = outbox.receiver(name)
        back = [dead for dead in one.dead if letter in {"", dead.id}]
        if letter and not back:
            raise Refused(words("no letter {letter} was given up", letter=letter))
        one.dead = [dead for dead in one.dead if dead not in back]
        one.waiting += [Letter(id=dead.id, about=dead.about, body=dead.body) for dead in back]
    return len(back)


def send_trial(folder: Path, name: str, workshop: str, now: dt.datetime) -> str:
    """Let a trial message wait, behind what waits already.

    Parameters
    ----------
    folder : pathlib.Path
    name : str
        Of the receiver.
    workshop : str
        Name of the log.
    now : datetime.datetime

    Returns
    -------
    str
        Id of the message.
    """
    with changing(folder) as outbox:
        one = outbox.receiver(name)
        key, time = str(uuid7()), _rfc3339(now)
        made = _letter(TRIAL, message_of_trial(one.id, workshop, key=key, time=time))
        one.waiting.append(made)
    return made.id


@dataclass(frozen=True, slots=True)
class Sent:
    """What became of one try.

    Parameters
    ----------
    receiver : str
        Its name.
    letter : Letter
    problem : Words or None
        None when it was taken.
    """

    receiver: str
    letter: Letter
    problem: Words | None


def tell(folder: Path, clock: Clock, *, now_all: bool = False) -> list[Sent]:
    """Look through the log and send what is due, once; one program at a time.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.
    clock : callable
    now_all : bool
        Do not wait for the next try of what failed.

    Returns
    -------
    list of Sent
        Nothing where no receiver is on, or another program is sending.
    """
    if not (folder / OUTBOX_FILE).is_file() or not read_outbox(folder).receivers:
        return []
    try:
        lock = WriterLock(folder / "telling.sending")
    except StoreBusy:
        return []
    try:
        _collect(folder, clock())
        return list(_send(folder, clock, now_all=now_all))
    finally:
        lock.release()


def _collect(folder: Path, now: dt.datetime) -> None:
    """Take from the log what is to be told, as far as there is room for it."""
    with open_store(Workshop(folder), write=False) as store, changing(folder) as outbox:
        size, due = store.head()[0], None
        for one in outbox.receivers:
            if len(one.waiting) + len(one.dead) >= MOST_WAITING:
                continue
            if one.cursor < size:
                _take(store, one)
            if FOLLOW_UP_DUE in one.about:
                due = list(_due(store, now)) if due is None else due
                _take_due(store, one, due, now)


def _take(store: LogReader, one: Receiver) -> None:
    for entry in store.entries(since=one.cursor):
        if len(one.waiting) >= MOST_WAITING:
            return  # the rest stays on the log
        for about in subjects_of(entry):
            if about in one.about:
                told = {**entry, "index": one.cursor}
                one.waiting.append(_letter(about, message_of(one.id, about, store.origin, told)))
        one.cursor += 1


Due = tuple[str, str, str, str, str]


def _due(store: LogReader, now: dt.datetime) -> Iterator[Due]:
    today = now.astimezone().date()
    for one in known_follow_ups(store):
        if not one.outcome and one.day is not None and one.day <= today:
            yield one.id, one.job, one.joint, one.what, one.day.isoformat()


def _take_due(store: LogReader, one: Receiver, due: list[Due], now: dt.datetime) -> None:
    for follow_up, job, joint, what, day in due:
        if follow_up not in one.due_told and len(one.waiting) < MOST_WAITING:
            body = message_of_due(
                one.id, store.origin, follow_up=follow_up, job=job, joint=joint, what=what,
                day=day, time=_rfc3339(now),
            )  # fmt: skip
            one.waiting.append(_letter(FOLLOW_UP_DUE, body))
            one.due_told.append(follow_up)


def _letter(about: str, message: dict[str, Any]) -> Letter:
    body = canonical(message, max_bytes=LARGEST)
    return Letter(id=message["id"], about=about, body=body.decode())


def _send(folder: Path, clock: Clock, *, now_all: bool) -> Iterator[Sent]:
    """Send the first that waits of each receiver, until none is due or one fails."""
    stopped: set[str] = set()
    for _ in range(AT_ONCE):
        ready = _ready(read_outbox(folder), clock().timestamp(), stopped, now_all=now_all)
        if ready is None:
            return
        one, letter = ready
        problem = _try(one, letter, clock().timestamp())
        with changing(folder) as outbox:
            _note(outbox, one.id, letter.id, problem, clock())
        if problem is not None:
            stopped.add(one.id)
        yield Sent(one.name, letter, problem)


def _ready(
    outbox: Outbox, now: float, stopped: set[str], *, now_all: bool
) -> tuple[Receiver, Letter] | None:
    for one in outbox.receivers:
        if one.id in stopped or not one.waiting:
            continue
        if now_all or one.waiting[0].next <= now:
            return one, one.waiting[0]
    return None


def _try(one: Receiver, letter: Letter, now: float) -> Words | None:
    """Send a letter once; return why it was not taken."""
    body = letter.body.encode()
    fields = signed_fields(
        bytes.fromhex(one.secret), key_id=one.id, url=one.url, body=body, message=letter.id,
        created=int(now),
    )  # fmt: skip
    try:
        status = deliver(target_of(one.url, inside=one.inside), fields, body, seconds=SECONDS)
    except ClampwrightError as error:
        return error.message
    if 200 <= status < 300:
        return None
    if 300 <= status < 400:
        return words("it answered {status}: a redirect is not followed", status=status)
    return words("it answered {status}", status=status)


def _note(
    outbox: Outbox, receiver: str, letter: str, problem: Words | None, now: dt.datetime
) -> None:
    """Write down what became of a try; a receiver may have been turned off meanwhile."""
    for one in outbox.receivers:
        if one.id != receiver or not one.waiting or one.waiting[0].id != letter:
            continue
        head = one.waiting[0]
        if problem is None:
            one.waiting.pop(0)
            one.delivered += 1
            one.last = _rfc3339(now)
            return
        head.problem, head.tries = str(problem), head.tries + 1
        if head.tries > len(WAITS):
            one.dead.append(one.waiting.pop(0))
        else:
            head.next = now.timestamp() + WAITS[head.tries - 1]


def _rfc3339(time: dt.datetime) -> str:
    return time.astimezone(dt.UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
