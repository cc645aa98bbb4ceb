"""A section of a record held against its package: computed again, where the package is here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from clampwright.errors import ClampwrightError
from clampwright.report.again import Again
from clampwright.report.sections import Told, added_sections, computed
from clampwright.words import Words, words


def computed_again(told: Told, job: str, entries: Iterable[Mapping[str, Any]]) -> Again:
    """Compute a section of a record again, where its package is installed.

    Parameters
    ----------
    told : Told
    job : str
    entries : iterable of mapping

    Returns
    -------
    Again
    """
    named: dict[str, str | float | Words] = {
        "section": told.section, "package": told.package, "version": told.version
    }  # fmt: skip
    one = added_sections().named(told.section)
    if one is None or (one.package, one.version) != (told.package, told.version):
        return Again(
            None,
            words(
                "The section {section} was added by package {package} {version}, which is not "
                "installed here: what it says is as it was signed, but was not computed again.",
                **named,
            ),
        )
    try:
        same = computed(one, job, entries) == told
    except ClampwrightError as error:
        return Again(False, error.message)
    if same:
        return Again(
            True,
            words("The section {section}: package {package} {version} computes the same again.",
                  **named),
        )  # fmt: skip
    return Again(
        False,
        words(
            "The section {section}: package {package} {version} computes something else from the "
            "same entries.",
            **named,
        ),
    )
