"""The names of people, apart from the log: entries hold random ids, and a name can be erased.

People who sign in stand in a table of the store; who was only ever named, in a file beside it.
"""

from __future__ import annotations

import json
import os
import secrets
import tempfile
from collections.abc import Mapping
from pathlib import Path

from clampwright.errors import BadFile, Missing, Refused
from clampwright.intake import json_of
from clampwright.locale import say
from clampwright.store.folder import Folder
from clampwright.store.people import names_in
from clampwright.words import words

NAMES_FILE = "names.json"
LONGEST_NAME = 100


class Names:
    """Names by id: of the people in the store, and in a file that its owner alone can read.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAMES_FILE
        self._folder = Folder(folder)

    def all(self) -> Mapping[str, str]:
        """Return every name by its id; where it was erased, words that say so.

        Raises
        ------
        BadFile
            When the file is there and is no list of names.
        """
        names, erased = names_in(self._folder.log)
        gone = say(words("a person, name erased"))
        return {**self.in_file(), **names, **dict.fromkeys(erased, gone)}

    def kept(self) -> Mapping[str, str]:
        """Return every name that is still kept, by its id: what a backup takes along."""
        names, erased = names_in(self._folder.log)
        found = {**self.in_file(), **names}
        return {person: name for person, name in found.items() if person not in erased}

    def in_file(self) -> Mapping[str, str]:
        """Return the names of those who were only ever named, by id.

        Raises
        ------
        BadFile
            When the file is there and is no list of names.
        """
        try:
            data = json_of(self.path.read_bytes(), "names", str(self.path))
        except FileNotFoundError:
            return {}
        except (OSError, BadFile) as error:
            raise self._no_names() from error
        if not isinstance(data, dict) or not all(isinstance(one, str) for one in data.values()):
            raise self._no_names()
        return data

    def _no_names(self) -> BadFile:
        return BadFile(
            words("{file} is no list of names as this program writes it", file=str(self.path)),
            file=str(self.path),
        )

    def known(self, name: str) -> str | None:
        """Return the id of a person by name, or None; case and blanks do not matter.

        Parameters
        ----------
        name : str
        """
        wanted = plain(name)
        return next((id_ for id_, one in self.kept().items() if plain(one) == wanted), None)

    def id_of(self, name: str) -> str:
        """Return the id of a person; a new one for a new name.

        Parameters
        ----------
        name : str
            As typed.

        Raises
        ------
        Missing
            When no name is given.
        Refused
            When it is too long, or the file cannot be written.
        """
        checked = checked_name(name)
        known = self.known(checked)
        if known is not None:
            return known
        new = new_person_id()
        self._write({**self.in_file(), new: checked})
        return new

    def forget(self, person: str) -> None:
        """Take a name out of the file; the store may still know it.

        Parameters
        ----------
        person : str
            Id.
        """
        names = self.in_file()
        if person in names:
            self._write({one: name for one, name in names.items() if one != person})

    def _write(self, names: Mapping[str, str]) -> None:
        temporary = ""
        try:
            handle, temporary = tempfile.mkstemp(dir=self.path.parent, prefix=".names")
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(names, file, ensure_ascii=False, indent=1)
                file.flush()
                os.fsync(file.fileno())
            Path(temporary).replace(self.path)
        except OSError as error:
            if temporary:
                Path(temporary).unlink(missing_ok=True)
            raise Refused(
                words(
                    "{file} cannot be written: {problem}",
                    file=str(self.path),
                    problem=str(error.strerror),
                )
            ) from error


def new_person_id() -> str:
    """Return a new random id: it tells nothing of the person."""
    return f"person-{secrets.token_hex(6)}"


def checked_name(name: str) -> str:
    """Return a name without superfluous blanks.

    Raises
    ------
    Missing
        When none is given.
    Refused
        When it is too long.

    Examples
    --------
    >>> checked_name("  A.   Fitter ")
    'A. Fitter'
    """
    found = " ".join(name.split())
    if not found:
        raise Missing(words("say who does this: the name of a person"), needed="name")
    if len(found) > LONGEST_NAME or not found.isprintable():
        raise Refused(words("a name has at most {limit} printable characters", limit=LONGEST_NAME))
    return found


def name_of(names: Mapping[str, str], person: str) -> str:
    """Return a person's name, or words for one whose name is not here (erased, another workshop).

    Parameters
    ----------
    names : mapping of str to str
    person : str
        Id.
    """
    return names.get(person) or say(words("a person whose name is not kept here ({id})", id=person))


def plain(name: str) -> str:
    """Return a name as it is compared: case and blanks do not matter."""
    return " ".join(name.split()).casefold()
