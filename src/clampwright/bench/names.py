"""The names of people, apart from the log: entries hold random ids, and a name can be erased."""

from __future__ import annotations

import json
import os
import secrets
import tempfile
from collections.abc import Mapping
from pathlib import Path

from clampwright.errors import BadFile, Missing, Refused
from clampwright.locale import say
from clampwright.words import words

NAMES_FILE = "names.json"
LONGEST_NAME = 100


class Names:
    """Names by id, in a file beside the log that its owner alone can read.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / NAMES_FILE

    def all(self) -> Mapping[str, str]:
        """Return every name by its id.

        Raises
        ------
        BadFile
            When the file is there and is no list of names.
        """
        try:
            data = json.loads(self.path.read_bytes())
        except FileNotFoundError:
            return {}
        except (OSError, ValueError) as error:
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
        wanted = _plain(name)
        return next((id_ for id_, one in self.all().items() if _plain(one) == wanted), None)

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
        new = f"person-{secrets.token_hex(6)}"
        self._write({**self.all(), new: checked})
        return new

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


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()
