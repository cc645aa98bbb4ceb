"""Entries of a device carried by hand: read from a file, or from the texts of its codes.

The form is told in ``docs/reference/exchange-file.md``.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.bench.asides import content_hash
from clampwright.errors import BadFile, ClampwrightError
from clampwright.intake import json_of, sized
from clampwright.words import words

FORMAT = "clampwright-entries"
VERSION = 1
_CODE = re.compile(r"CWE1 (\d{1,4})/(\d{1,4}) ([0-9a-f]{8}) ([A-Za-z0-9_-]+)")


@dataclass(frozen=True, slots=True)
class Carried:
    """The queue of a device.

    Parameters
    ----------
    device : str
        Its name.
    entries : tuple of mapping
        Each with ``job``, ``way``, ``id``, ``counter``, ``made``, ``content`` and perhaps ``plan``,
        in the order of the device's counter.
    """

    device: str
    entries: tuple[Mapping[str, Any], ...]


def read_exchange(data: bytes, name: str) -> Carried:
    """Read entries carried by hand.

    Parameters
    ----------
    data : bytes
        A file of entries, or a text with the texts of all its codes, in any order.
    name : str
        Name of the file, for messages.

    Returns
    -------
    Carried

    Raises
    ------
    BadFile
        When it is neither, a code is missing, or something in it was altered.
    """
    try:
        text = sized(data, "exchange", name).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadFile(_NEITHER, file=name) from None
    if not text.lstrip().startswith("{") and _CODE.search(text):
        text = _joined(text, name)
    content = json_of(text, "exchange", name, otherwise=_NEITHER)
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise BadFile(_NEITHER, file=name)
    if content.get("version") != VERSION:
        raise BadFile(words("a newer program wrote this file of entries"), file=name)
    entries = content.get("entries")
    if not isinstance(entries, list) or not isinstance(content.get("device"), str):
        raise BadFile(_NEITHER, file=name)
    rows = [_checked(one, name) for one in entries]
    return Carried(content["device"], tuple(sorted(rows, key=lambda one: int(one["counter"]))))


_NEITHER = words("this is neither a file of entries nor the texts of its codes")
_MEMBERS = {"job": str, "way": str, "id": str, "counter": int, "made": str, "content": dict}


def _checked(one: object, name: str) -> Mapping[str, Any]:
    if not isinstance(one, dict) or any(
        not isinstance(one.get(member), kind) for member, kind in _MEMBERS.items()
    ):
        raise BadFile(words("an entry in it is not whole; nothing was taken"), file=name)
    try:
        found = content_hash(one["job"], one["way"], one["content"])
    except ClampwrightError:
        found = ""
    if found != one.get("sha256", found) or not found:
        raise BadFile(
            words("entry {id} was altered on the way; nothing was taken", id=one["id"]), file=name
        )
    return one


def _joined(text: str, name: str) -> str:
    found = _CODE.findall(text)
    if len({(count, tag) for _at, count, tag, _part in found}) > 1:
        raise BadFile(
            words("these are codes of two different queues: put in one at a time"), file=name
        )
    parts = {int(at): part for at, _count, _tag, part in found}
    count, tag = int(found[0][1]), found[0][2]
    missing = [at for at in range(1, count + 1) if at not in parts]
    if missing:
        raise BadFile(
            words("codes are missing: {which}", which=", ".join(map(str, missing))), file=name
        )
    whole = "".join(parts[at] for at in range(1, count + 1))
    try:
        data = base64.urlsafe_b64decode(whole + "=" * (-len(whole) % 4))
    except binascii.Error:
        data = b""
    if hashlib.sha256(data).hexdigest()[:8] != tag:
        raise BadFile(words("a code was altered on the way; nothing was taken"), file=name)
    return data.decode("utf-8", "replace")
