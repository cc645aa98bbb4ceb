"""What installed packages add to the record of a job: put on the log, and told as plain lines."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.proof.ids import uuid7
from clampwright.report.again import Again
from clampwright.report.sections import SECTION_ADDED, added_sections, computed, told_in
from clampwright.report.sections_again import computed_again
from clampwright.store.log import Store
from clampwright.words import words

log = logging.getLogger(__name__)


def add_sections(store: Store, job: str) -> None:
    """Put on the log what installed packages add to the record of a job, where it is new.

    A package that fails is left out, and told of; the record is made without it.

    Parameters
    ----------
    store : Store
        Open for writing.
    job : str
    """
    brought = added_sections().brought
    if not brought:
        return
    entries = list(store.entries(job=job))
    known = told_in(entries)
    fresh = []
    for one in brought:
        try:
            told = computed(one, job, entries)
        except ClampwrightError as error:
            log.warning("%s", error.message)
            continue
        if told is not None and told not in known:
            fresh.append(told)
    if not fresh:
        return
    store.signing_key()  # without the key no record is made, and nothing is put on the log
    for told in fresh:
        store.append(SECTION_ADDED, told.body(), entry_id=str(uuid7()), job=job)


def section_lines(entries: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the sections of a record as plain lines, each with the package it came from.

    Parameters
    ----------
    entries : iterable of mapping

    Yields
    ------
    str
    """
    for told in told_in(entries):
        yield ""
        yield f"== {told.content['title']}"
        yield f"   {say(told.by)}"
        yield from (f"   {line}" for line in told.content.get("lines", ()))
        table = told.content.get("table")
        if table:
            yield from ("   " + "  |  ".join(row) for row in (table["head"], *table["rows"]))


def check_sections(record: bytes, *, again: bool) -> list[Again]:
    """Tell which sections of a record packages have added, and compute them again if asked.

    Parameters
    ----------
    record : bytes
        One that holds.
    again : bool

    Returns
    -------
    list of Again
    """
    content = json.loads(record)
    entries = [row["entry"] for row in content["entries"]]
    entries = [entry for entry in entries if entry["job"] == content["job"]]
    told = told_in(entries)
    if again:
        return [computed_again(one, content["job"], entries) for one in told]
    return [
        Again(
            None,
            words(
                "The section {section} was added by package {package} {version}.",
                section=one.section,
                package=one.package,
                version=one.version,
            ),
        )
        for one in told
    ]
