"""The record of a job on paper: PDF/A-3b with the record itself attached.

The same bytes from the same record and recordings: the time in the file is that of the record's
last entry, fonts are shipped, and nothing of the machine it is made on gets in.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from clampwright import __version__
from clampwright.errors import Refused
from clampwright.locale import in_its_language, paper_language
from clampwright.locale import language as language_of_the_person
from clampwright.report import child
from clampwright.report.glyphs import all_showable
from clampwright.report.paper import closing
from clampwright.report.paper.curves import draw_curves
from clampwright.report.paper.joints import joint_section
from clampwright.report.paper.labels import labels
from clampwright.report.paper.material import Material, open_record
from clampwright.report.paper.sections import sections
from clampwright.report.paper.summary import summary
from clampwright.report.paper.tools import tool_rows
from clampwright.words import words


@in_its_language
def record_pdf(
    record: bytes, traces: Mapping[str, bytes] | None = None, *, language: str | None = None
) -> bytes:
    """Set the record of a job as a paper.

    Parameters
    ----------
    record : bytes
        As made by `clampwright.proof.record.build`; it is attached to the paper unchanged.
    traces : mapping of str to bytes, optional
        Recorded pulls by their SHA-256; those not given are named as missing.
    language : str, optional
        Language tag of the paper; the person's own if not given.

    Returns
    -------
    bytes
        PDF/A-3b.

    Raises
    ------
    Refused
        When the record does not hold, a recording is not the one it names, or the paper could not
        be made within the limits of time and memory.
    BadFile
        When a recording is not a trace.
    """
    try:
        material = open_record(record, language or language_of_the_person())
        data = json.dumps(content(material, traces or {}), ensure_ascii=False)
    except (LookupError, TypeError, ValueError) as error:
        # The record holds, so its entries were signed like this: another version wrote them.
        raise Refused(
            words(
                "the record holds entries this version cannot put on paper ({problem})",
                problem=f"{type(error).__name__}: {error}",
            )
        ) from error
    inputs = {"data": data, "record": record.decode("utf-8")}
    return child.run("paper", {"inputs": inputs, "time": material.last_time})


def content(material: Material, traces: Mapping[str, bytes]) -> dict[str, Any]:
    """Return everything that stands on the paper, as texts and drawings.

    Parameters
    ----------
    material : Material
    traces : mapping of str to bytes

    Returns
    -------
    dict
        What the template is given.
    """
    curves = draw_curves(material, traces)
    written = {
        **paper_language(material.language),
        "version": __version__,
        "labels": labels(material),
        "title": str(material.plan["title"]),
        "file": f"{material.found.job}.json",
        "invented": bool(material.plan["invented"]),
        "summary": summary(material),
        "joints": [joint_section(material, joint, curves) for joint in material.joints],
        "tools": tool_rows(material),
        "sections": sections(material),
        "findings": closing.findings(material),
        "cautions": closing.cautions(material),
        "proof": closing.proof(material),
    }
    shown: dict[str, Any] = all_showable(written)
    if shown != written:
        shown["summary"]["notes"].append(shown["labels"]["replaced"])
    return shown
