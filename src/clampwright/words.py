"""A sentence for people, kept apart from its values so that it can be shown in any language.

The English template is the catalogue's key. Rooms that compute return `Words`; only the edges
(command line, page, paper) turn them into text, through `clampwright.locale.say`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from string import Formatter
from types import MappingProxyType
from typing import Any


def _nothing() -> Mapping[str, str | int | float | Words]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Words:
    """One sentence: an English template and the values that fill it.

    Parameters
    ----------
    template : str
        English text with ``{named}`` fields in `str.format` syntax.
    values : mapping of str to str, int, float or Words
        What goes into the fields.

    Examples
    --------
    >>> str(words("{torque:.1f} N·m is above {limit:g} N·m", torque=31.04, limit=30))
    '31.0 N·m is above 30 N·m'
    """

    template: str
    values: Mapping[str, str | int | float | Words] = field(default_factory=_nothing, hash=False)

    def __str__(self) -> str:
        return self.fill(self.template)

    def fill(
        self,
        template: str,
        tell: Callable[[Words], str] | None = None,
        write: Callable[[str, tuple[()], Mapping[str, Any]], str] | None = None,
    ) -> str:
        """Put the values into a template (the English one, or its translation).

        Parameters
        ----------
        template : str
        tell : callable, optional
            Turns a sentence inside this one into text; English if not given.
        write : callable, optional
            Fills a template as `string.Formatter.vformat` does, with the figures of another
            language; those of English if not given.

        Returns
        -------
        str
        """
        if not self.values:
            return template
        told = {
            name: (tell or str)(value) if isinstance(value, Words) else value
            for name, value in self.values.items()
        }
        return template.format(**told) if write is None else write(template, (), told)


def words(template: str, /, **values: str | float | Words) -> Words:
    """Make a `Words`; the catalogue is collected from calls of this name.

    Parameters
    ----------
    template : str
        A literal English template; Babel reads it from the source, so it cannot be a variable.
    **values : str, int, float or Words
        What goes into its fields. Numbers are formatted by the template's own format code; a
        sentence inside a sentence is translated with it.

    Returns
    -------
    Words
    """
    return Words(template, MappingProxyType(values))


def as_data(sentence: Words) -> dict[str, object]:
    """Return a sentence as plain data without binary floats, as entries of the log need it.

    Parameters
    ----------
    sentence : Words

    Returns
    -------
    dict
        ``template``, ``values`` (floats become ``{"number": "31.04"}``) and the English ``text``.

    Examples
    --------
    >>> as_data(words("{torque:.1f} N·m", torque=31.04))["values"]
    {'torque': {'number': '31.04'}}
    """
    values = {key: _value_data(value) for key, value in sentence.values.items()}
    return {"template": sentence.template, "text": str(sentence), "values": values}


def _value_data(value: str | float | Words) -> object:
    if isinstance(value, Words):
        return {"words": as_data(value)}
    return {"number": repr(float(value))} if isinstance(value, float) else value


def from_data(data: Mapping[str, Any]) -> Words:
    """Rebuild a sentence from `as_data`.

    Parameters
    ----------
    data : mapping
        With ``template`` and ``values``.

    Returns
    -------
    Words

    Raises
    ------
    ValueError
        When the template asks for more than its values.
    """
    template = str(data["template"])
    if not _plain(template):
        raise ValueError("a sentence's fields may only be names with a short number format")
    values = {key: _value_from(value) for key, value in data["values"].items()}
    return Words(template, MappingProxyType(values))


_FORMAT = re.compile(r"([<>^]?[0+ ]?\d{0,2})?(,)?(\.\d{1,2})?[defg%x]?\Z")


def _plain(template: str) -> bool:
    """Whether a template from a file asks for nothing but its values.

    `str.format` can also reach into objects and pad to any width; a record may come from anybody.
    """
    try:
        parts = list(Formatter().parse(template))
    except ValueError:
        return False
    return all(
        name is None
        or (name.isidentifier() and _FORMAT.match(spec or "") and conversion in {None, "r"})
        for _, name, spec, conversion in parts
    )


def _value_from(value: Any) -> str | int | float | Words:
    if not isinstance(value, Mapping):
        plain: str | int = value
        return plain
    return float(value["number"]) if "number" in value else from_data(value["words"])
