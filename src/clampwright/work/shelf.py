"""The shelf: procedures kept for reuse, each with its source and versions.

A version never changes: what is put on the shelf later under the same name is a new version. The
state of the shelf is a fold of its entries, as that of a job is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from clampwright.errors import Missing, Refused
from clampwright.words import words
from clampwright.work.naming import plain

SHELVED = "procedure_shelved"
CONFIRMED = "procedure_confirmed"
KINDS = (SHELVED, CONFIRMED)
"""Kinds of entries that change the shelf."""

SOURCE_KEYS = ("title", "edition", "page", "date")
"""What a source is told by, in the order in which it is said."""

Entry = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Attached:
    """A photograph or a page that a procedure was taken from.

    Parameters
    ----------
    sha256 : str
        Of the file; its name among the kept papers.
    type : str
        Media type, told from the content.
    name : str
        As the person's device named it.
    size : int
        Bytes.
    """

    sha256: str
    type: str
    name: str
    size: int

    def as_body(self) -> dict[str, Any]:
        """Return plain data for the log."""
        return {"sha256": self.sha256, "type": self.type, "name": self.name, "size": self.size}


@dataclass(frozen=True, slots=True)
class Confirmation:
    """A second person has compared a version with its source.

    Parameters
    ----------
    by : str
        Id of the person.
    at : str
        When, RFC 3339.
    entry : str
        Id of the entry on the log.
    """

    by: str
    at: str
    entry: str


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a procedure, as it was put on the shelf.

    Parameters
    ----------
    procedure : str
        Id of the procedure.
    number : int
        From 1.
    content : mapping
        What is hashed: ``title``, ``text``, ``locale``, ``choice``, ``stages``, ``source`` and
        ``attached``; see the reference of the record format.
    sha256 : str
        Of the content in canonical form.
    by : str
        Id of the person who entered it and answered its questions.
    at : str
        When, RFC 3339.
    entry : str
        Id of the entry on the log.
    confirmed : tuple of Confirmation
        By other people, in the order of the log.
    """

    procedure: str
    number: int
    content: Mapping[str, Any]
    sha256: str
    by: str
    at: str
    entry: str
    confirmed: tuple[Confirmation, ...] = ()

    @property
    def title(self) -> str:
        """What the procedure is for."""
        return str(self.content["title"])

    @property
    def text(self) -> str:
        """The procedure as written."""
        return str(self.content["text"])

    @property
    def locale(self) -> str:
        """Language tag of the text."""
        return str(self.content["locale"])

    @property
    def choice(self) -> int | None:
        """Number of the reading that was chosen; None where the text is plain."""
        chosen = self.content.get("choice")
        return int(chosen["chosen"]) if chosen else None

    @property
    def open_points(self) -> tuple[str, ...]:
        """What the text leaves open, where it was kept so; no job can use it then."""
        return tuple(map(str, self.content.get("open", ())))

    @property
    def source(self) -> Mapping[str, str]:
        """Where it was taken from: ``title``, ``edition``, ``page`` and ``date``."""
        found: Mapping[str, str] = self.content["source"]
        return found

    @property
    def source_line(self) -> str:
        """The source in one line."""
        source = self.source
        return ", ".join(source[key] for key in SOURCE_KEYS if source[key])

    @property
    def attached(self) -> tuple[Attached, ...]:
        """The files that show its source."""
        return tuple(Attached(**one) for one in self.content.get("attached", ()))

    def as_body(self) -> dict[str, Any]:
        """Return it whole as plain data, as an entry that relies on it holds it."""
        return {
            "procedure": self.procedure,
            "version": self.number,
            "sha256": self.sha256,
            "content": dict(self.content),
            "by": self.by,
            "at": self.at,
            "entry": self.entry,
            "confirmed": [
                {"by": one.by, "at": one.at, "entry": one.entry} for one in self.confirmed
            ],
        }


def version_from(body: Mapping[str, Any]) -> Version:
    """Rebuild a version from `Version.as_body`.

    Parameters
    ----------
    body : mapping

    Returns
    -------
    Version
    """
    return Version(
        body["procedure"],
        body["version"],
        body["content"],
        body["sha256"],
        body["by"],
        body["at"],
        body["entry"],
        tuple(Confirmation(**one) for one in body["confirmed"]),
    )


def _none() -> Mapping[str, tuple[Version, ...]]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Shelf:
    """All procedures with all their versions.

    Parameters
    ----------
    procedures : mapping of str to tuple of Version
        By id of the procedure, oldest version first.
    """

    procedures: Mapping[str, tuple[Version, ...]] = field(default_factory=_none)

    @property
    def newest(self) -> tuple[Version, ...]:
        """The newest version of each procedure, by title."""
        found = (versions[-1] for versions in self.procedures.values())
        return tuple(sorted(found, key=lambda one: (plain(one.title), one.procedure)))

    def versions(self, procedure: str) -> tuple[Version, ...]:
        """Return all versions of a procedure, oldest first.

        Raises
        ------
        Missing
            When there is no such procedure.
        """
        found = self.procedures.get(procedure)
        if found is None:
            raise Missing(
                words("there is no procedure {id} on the shelf", id=repr(procedure)),
                needed="shelf",
            )
        return found

    def version(self, procedure: str, number: int, sha256: str | None = None) -> Version:
        """Return one version.

        Parameters
        ----------
        procedure : str
        number : int
            From 1.
        sha256 : str or None
            What its content must hash to, where that was pinned.

        Raises
        ------
        Missing
            When there is no such procedure or version.
        Refused
            When its content is not what was pinned.
        """
        found = self.versions(procedure)
        one = next((one for one in found if one.number == number), None)
        if one is None:
            raise Missing(
                words(
                    "procedure {id} has no version {number} on the shelf; it has {count}",
                    id=procedure,
                    number=number,
                    count=len(found),
                ),
                needed="shelf",
            )
        if sha256 is not None and sha256 != one.sha256:
            raise Refused(
                words(
                    "version {number} of procedure {id} on this shelf is not the one that was "
                    "pinned: its content has another hash",
                    id=procedure,
                    number=number,
                )
            )
        return one

    def find(self, sought: str) -> tuple[Version, ...]:
        """Return the newest versions that hold every word sought.

        Title, source, id and text are searched, whatever the case and the accents.

        Parameters
        ----------
        sought : str

        Returns
        -------
        tuple of Version
        """
        wanted = plain(sought).split()
        return tuple(one for one in self.newest if all(word in _searched(one) for word in wanted))


EMPTY = Shelf()


def pinned_shelf(versions: Iterable[Version]) -> Shelf:
    """Return a shelf that holds only some versions: those that a job has pinned.

    Parameters
    ----------
    versions : iterable of Version

    Returns
    -------
    Shelf
    """
    procedures: dict[str, tuple[Version, ...]] = {}
    for one in versions:
        procedures[one.procedure] = (*procedures.get(one.procedure, ()), one)
    return Shelf(MappingProxyType(procedures))


def _searched(one: Version) -> str:
    return plain(" ".join((one.title, one.procedure, *one.source.values(), one.text)))


def fold_shelf(entries: Iterable[Entry], start: Shelf = EMPTY) -> Shelf:
    """Fold entries of the log into the state of the shelf; other kinds are passed over.

    Parameters
    ----------
    entries : iterable of mapping
        In the order of the log.
    start : Shelf
        State to go on from.

    Returns
    -------
    Shelf
    """
    procedures = dict(start.procedures)
    for entry in entries:
        body = entry["body"]
        if entry["kind"] == SHELVED:
            added = _shelved(entry)
            procedures[added.procedure] = (*procedures.get(added.procedure, ()), added)
        elif entry["kind"] == CONFIRMED and body["procedure"] in procedures:
            procedures[body["procedure"]] = _confirmed(procedures[body["procedure"]], entry)
    return Shelf(MappingProxyType(procedures))


def _shelved(entry: Entry) -> Version:
    body = entry["body"]
    return Version(
        body["procedure"],
        body["version"],
        body["content"],
        body["sha256"],
        body["by"],
        entry["recorded"],
        entry["id"],
    )


def _confirmed(versions: tuple[Version, ...], entry: Entry) -> tuple[Version, ...]:
    body = entry["body"]
    made = Confirmation(body["by"], entry["recorded"], entry["id"])
    return tuple(
        replace(one, confirmed=(*one.confirmed, made))
        if (one.number, one.sha256) == (body["version"], body["sha256"])
        else one
        for one in versions
    )


def check_confirmation(version: Version, sha256: str, by: str) -> None:
    """Refuse a second reading that is none.

    Parameters
    ----------
    version : Version
    sha256 : str
        Hash of the content the person had before them.
    by : str
        Id of the person.

    Raises
    ------
    Refused
        When it is the same person, it was said before, or the content is another one.
    """
    if sha256 != version.sha256:
        raise Refused(
            words(
                "what was read is not version {number} of {id} as it stands on the shelf",
                id=version.procedure,
                number=version.number,
            )
        )
    if by == version.by:
        raise Refused(
            words("the second reader must be another person than the one who entered the procedure")
        )
    if any(one.by == by for one in version.confirmed):
        raise Refused(words("this person has confirmed this version already"))
