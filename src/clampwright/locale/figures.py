"""Figures and days as a language writes them; files, JSON and what is typed stay as they are.

Code formats a figure by the codes of `str.format`, as English writes it; here its marks are put in
the way of the language: ``1,204.5`` becomes ``1.204,5`` in German and ``1’204.5`` in Switzerland
(Unicode CLDR, through Babel, whose data are shipped with it).
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import lru_cache
from string import Formatter
from typing import Any

from clampwright.locale.choice import ENGLISH, language, spoken

_AS_CODE = frozenset({ENGLISH, "en_US", "en_GB"})
"""They write figures as code does; their start need not load a thing."""
_NUMBER = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_UNIT = (
    r"%|°[CF]?|deg|rad|K|(?:da|[mcdkM])?N(?:·m)?|(?:ft|in)·(?:lbf|ozf)|"
    r"(?:kg|g|lb|oz)f(?:·c?m|/[cm]m²)?|dyn·cm|kip|[kcmµ]?m|in|ft|mi|[GMk]?Pa|N/mm²|kN/mm|bar|[pk]si|[mµ]?s|min|h|[km]?g|lb|oz|[kMG]?B|"
    r"turns?|flats?"
)
_SIGN = r"(?:[<>≤≥≈~±] ?)?[-+−±]?"
_BETWEEN = r"(?:, | – |–| … | to | and | / | × | ± | = )"
_QUANTITIES = re.compile(
    rf"(?:{_SIGN}(?:{_NUMBER})(?: ?(?:{_UNIT}))?{_BETWEEN})*"
    rf"{_SIGN}(?:{_NUMBER}) ?(?:{_UNIT})(?:/°)?"
)
"""Text that is wholly figures with a unit; one alone may be a name (10.9, a strength class)."""
_MARKED = re.compile(_NUMBER)
_DAY = re.compile(r"(\d{4}-\d\d-\d\d)(?:([ T])(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?(Z| UTC|\+00:00)?)?")


@dataclass(frozen=True, slots=True)
class Writing:
    """How a language writes figures and days.

    Parameters
    ----------
    marks : dict of int to str
        What stands for the point and the comma of code.
    percent : str
        What stands for its percent sign.
    locale : babel.Locale or None
        For days; None where they are written as code does.
    """

    marks: dict[int, str]
    percent: str
    locale: Any = None


@lru_cache(maxsize=32)
def writing(tag: str) -> Writing | None:
    """Return how a language writes figures, or None where it does as code does.

    Parameters
    ----------
    tag : str

    Returns
    -------
    Writing or None

    Examples
    --------
    >>> writing("en") is None
    True
    >>> writing("en_ZA").marks[ord(".")]
    ','
    """
    base = tag.replace("-", "_").partition("_")[0]
    if tag in _AS_CODE or base not in spoken():
        return None
    from babel import Locale, UnknownLocaleError  # noqa: PLC0415 - no need of it in English

    try:
        known = Locale.parse(tag.replace("-", "_"))
    except (ValueError, UnknownLocaleError):
        known = Locale.parse(base)
    symbols = known.number_symbols["latn"]
    gap = known.percent_formats[None].pattern.rpartition("0")[2].partition("%")[0]
    marks = {ord("."): symbols["decimal"], ord(","): symbols["group"]}
    return Writing(marks, f"{gap}%", None if base == ENGLISH else known)


def paper_language(tag: str | None = None) -> dict[str, str | None]:
    """Return language and region as a paper states them.

    The region stands there where it settles how figures are written: whoever makes the paper again
    needs to know.

    Parameters
    ----------
    tag : str, optional
        The person's own language if not given.

    Returns
    -------
    dict
        ``lang`` and ``region``.

    Examples
    --------
    >>> paper_language("en_GB")
    {'lang': 'en', 'region': None}
    """
    base, _, region = (tag or language()).replace("-", "_").partition("_")
    told_by_region = writing(f"{base}_{region}") is not None if region else False
    return {"lang": base, "region": region if told_by_region and len(region) == 2 else None}


def chart_locale(tag: str | None = None) -> dict[str, Any]:
    """Return how figures are written, as the configuration of a Vega-Lite chart.

    Parameters
    ----------
    tag : str, optional
        The person's own language if not given.

    Returns
    -------
    dict
        Empty where charts write as code does.
    """
    way = writing(tag or language())
    if way is None:
        return {}
    decimal, group = way.marks[ord(".")], way.marks[ord(",")]
    number = {"decimal": decimal, "thousands": group, "grouping": [3], "currency": ["", ""]}
    return {"locale": {"number": number}}


def figure(value: object, code: str = "", tag: str | None = None) -> str:
    """Return a figure by a format code, with the marks of the language.

    Parameters
    ----------
    value : int, float or Decimal
    code : str
        As for `format`, such as ``.1f`` or ``+.0%``.
    tag : str, optional
        The person's own language if not given.

    Returns
    -------
    str

    Examples
    --------
    >>> figure(1204.5, ",.2f", "en"), figure(0.5, ".2f", "en_ZA")
    ('1,204.50', '0,50')
    """
    text = format(value, code)
    way = writing(tag or language())
    if way is None or isinstance(value, str):
        return text
    return text.translate(way.marks).replace("%", way.percent)


def between(low: float, high: float, code: str = "g", tag: str | None = None) -> str:
    """Return a range as text.

    Parameters
    ----------
    low, high : float
    code : str
        As for `format`.
    tag : str, optional
        The person's own language if not given.

    Returns
    -------
    str

    Examples
    --------
    >>> between(0.08, 0.16, tag="en")
    '0.08 – 0.16'
    """
    return f"{figure(low, code, tag)} – {figure(high, code, tag)}"


def told(text: str, tag: str | None = None) -> str:
    """Return text that is wholly a quantity, several of them, or a day, as the language writes it.

    Any other text stays as it is: it may be a name, a file or what somebody typed.

    Parameters
    ----------
    text : str
        Such as ``31.5 N·m`` or ``2026-11-30``.
    tag : str, optional
        The person's own language if not given.

    Returns
    -------
    str

    Examples
    --------
    >>> told("31.5 – 32.5 N·m", "en_ZA"), told("class 10.9", "en_ZA")
    ('31,5 – 32,5 N·m', 'class 10.9')
    """
    way = writing(tag or language())
    if way is None or not any(sign.isdecimal() for sign in text[:4]):
        return text
    if _QUANTITIES.fullmatch(text):
        return _MARKED.sub(lambda match: match[0].translate(way.marks), text)
    match = _DAY.fullmatch(text) if way.locale is not None else None
    return text if match is None else _day(match, way)


def _day(match: re.Match[str], way: Writing) -> str:
    from babel.dates import format_date  # noqa: PLC0415 - as above

    day, _, time, zone = match.groups()
    try:
        said = format_date(dt.date.fromisoformat(day), "medium", way.locale)
    except ValueError:
        return match[0]  # 2026-13-40 is some other text
    return said if time is None else f"{said}, {time}{' UTC' if zone else ''}"


class Filler(Formatter):
    """Fills templates with the figures of one language.

    Parameters
    ----------
    tag : str
    """

    def __init__(self, tag: str) -> None:
        self._tag = tag

    def format_field(self, value: Any, format_spec: str) -> str:
        """Return one value by its format code."""
        if isinstance(value, str):
            return format(told(value, self._tag), format_spec)
        return figure(value, format_spec, self._tag)
