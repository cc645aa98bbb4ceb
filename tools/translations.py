"""Translations beside the catalogue template: brought up to date, looked through, compiled.

A translation (``.po``) is kept sorted, without places and line numbers, so that the same sentences
always give the same bytes and two people's work on it can be put together. Nothing is guessed: a
sentence that is new stands there empty, and one that is gone is taken out.
"""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from string import Formatter

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.plurals import get_plural
from babel.messages.pofile import read_po, write_po

LOCALE = Path(__file__).parents[1] / "src" / "clampwright" / "locale"
NAME = "clampwright.po"
_HEADER = """\
msgid ""
msgstr ""
"Language: {language}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: {plural}\\n"

"""
_NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands in compiled files for the day they were made: the same sentences give the same bytes."""


def translations(folder: Path = LOCALE) -> list[Path]:
    """Return the translations there are."""
    return sorted(folder.glob(f"*/LC_MESSAGES/{NAME}"))


def language_of(file: Path) -> str:
    """Return the language of a translation, by its folder: ``de``."""
    return file.parts[-3]


def read(file: Path) -> Catalog:
    """Return a translation."""
    with file.open("rb") as stream:
        return read_po(stream, locale=language_of(file), charset="utf-8", abort_invalid=True)


def sentences(catalogue: Catalog) -> Iterator[tuple[str, str, bool]]:
    """Give every sentence with its translation, and whether that is marked as unsure."""
    for message in catalogue:
        if message.id:
            yield str(message.id), str(message.string or ""), message.fuzzy


def begin(language: str, folder: Path = LOCALE) -> Path:
    """Begin a translation; one that is there is left as it is."""
    file = folder / language / "LC_MESSAGES" / NAME
    plural = get_plural(language).plural_forms
    if not file.exists():
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(_HEADER.format(language=language, plural=plural), encoding="utf-8")
    return file


def updated(file: Path, template: Catalog, *, empty: bool = True) -> bytes:
    """Return a translation with the template's sentences, those that are gone left out.

    A translation marked as unsure (fuzzy) is taken back to nothing, so that English stands there.

    Parameters
    ----------
    file : pathlib.Path
    template : Catalog
    empty : bool
        Whether sentences without a translation stand there too, empty, for the translator.
    """
    known = {said: told for said, told, unsure in sentences(read(file)) if not unsure}
    fresh = Catalog(locale=language_of(file), fuzzy=False)
    for message in template:
        said = str(message.id)
        if said and (empty or known.get(said)):
            fresh.add(said, known.get(said, ""))
    out = io.BytesIO()
    write_po(out, fresh, omit_header=True, sort_output=True, width=100)
    header = _HEADER.format(
        language=language_of(file), plural=get_plural(language_of(file)).plural_forms
    )
    return header.encode() + out.getvalue()


def compiled(file: Path) -> bytes:
    """Return a translation as `gettext` reads it."""
    catalogue = read(file)
    catalogue.creation_date = catalogue.revision_date = _NO_DAY
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def fields(template: str) -> list[tuple[str, str, str]]:
    """Return the fields of a sentence, each with its conversion and its format code.

    Raises
    ------
    ValueError
        When a brace stands alone.

    Examples
    --------
    >>> fields("{torque:.1f} N·m at {place!r}")
    [('place', 'r', ''), ('torque', '', '.1f')]
    """
    parts = Formatter().parse(template)
    return sorted((name, how or "", code or "") for _, name, code, how in parts if name is not None)


def faults(catalogue: Catalog) -> list[str]:
    """Return what is wrong with translations that are there, a line each."""
    found = []
    for said, told, _unsure in sentences(catalogue):
        if not told:
            continue
        wanted = fields(said)
        try:
            there = fields(told)
        except ValueError as error:
            found.append(f"{told!r}: {error}")
            continue
        if [one[:2] for one in there] != [one[:2] for one in wanted]:
            found.append(f"{said!r}: fields {_names(wanted)} became {_names(there)}")
        elif there != wanted:
            found.append(f"{said!r}: format codes {_codes(wanted)} became {_codes(there)}")
        if _edges(said) != _edges(told):
            found.append(f"{said!r}: begins or ends with other blanks or line breaks")
    return found


def untranslated(catalogue: Catalog) -> list[str]:
    """Return the sentences that have no translation, or an unsure one."""
    return [said for said, told, unsure in sentences(catalogue) if not told or unsure]


def _names(found: list[tuple[str, str, str]]) -> str:
    return ", ".join(f"{name}!{how}" if how else name for name, how, _ in found) or "none"


def _codes(found: list[tuple[str, str, str]]) -> str:
    return ", ".join(f"{name}:{code}" for name, _, code in found)


def _edges(text: str) -> tuple[str, str]:
    inner = text.strip()
    return (text, "") if not inner else (text[: text.index(inner)], text[len(text.rstrip()) :])


def compile_all(folder: Path = LOCALE) -> list[Path]:
    """Compile every translation whose compiled form is missing or older; return those made."""
    made = []
    for file in sorted(folder.glob("*/LC_MESSAGES/*.po")):
        target = file.with_suffix(".mo")
        if not target.exists() or target.stat().st_mtime_ns < file.stat().st_mtime_ns:
            _write(target, compiled(file))
            made.append(target)
    return made


def _write(target: Path, data: bytes) -> None:
    """Write beside the target and rename: another process may be reading it."""
    handle, beside = tempfile.mkstemp(dir=target.parent, suffix=".part")
    with os.fdopen(handle, "wb") as stream:
        stream.write(data)
    Path(beside).chmod(0o644)
    Path(beside).replace(target)


if __name__ == "__main__":
    for file in compile_all():
        print(file.relative_to(LOCALE))
