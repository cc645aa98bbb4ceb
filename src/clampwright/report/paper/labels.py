"""The fixed phrases of the paper; the template has none of its own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.report.paper.material import Material
from clampwright.words import Words, words

LABELS: Mapping[str, Words] = MappingProxyType(
    {
        "kind": words("Record of tightening"),
        "invented": words("Invented for demonstration: not for any real machine."),
        "verdicts": words("Pulls by verdict"),
        "attention": words("Look at this first"),
        "due": words("Due later"),
        "tools_warn": words("Tools that were used and are in doubt"),
        "joint": words("Joint"),
        "map": words("The joint as the record leaves it"),
        "procedure": words("Procedure as written"),
        "source": words("Source"),
        "no_text": words("The stages were entered as a table; there is no written text."),
        "stage": words("Stage"),
        "fastener": words("No."),
        "read": words("Read or felt"),
        "got": words("At the fastener (95 %)"),
        "verdict": words("Verdict"),
        "written": words("At, UTC"),
        "common": words("For all pulls within:"),
        "no_pulls": words("No pull is recorded."),
        "overlay": words(
            "The recorded pulls of this stage that stand, over one another. Broken line with a "
            "number: not within."
        ),
        "single": words(
            "Thick: torque while the fastener turned. Thin: everything that was recorded."
        ),
        "expected": words("What to expect"),
        "tools": words("Tools and calibration"),
        "tool": words("Tool"),
        "scale": words("Scale"),
        "calibration": words("Calibration on the day of the last entry"),
        "no_tools": words("No tool is named in the record."),
        "findings": words("What the check of the plan said before the work"),
        "no_findings": words("The check of the plan had no questions."),
        "cautions": words("Cautions"),
        "proof": words("What this paper proves"),
        "checkpoint": words("Signed state of the log"),
        "attached": words("The record of the job, as it was signed"),
        "page": words("page"),
        "of": words("of"),
        "record": words("record"),
        "replaced": words(
            "Where this paper shows \ufffd it has no letter for what was written; the attached "
            "record has it."
        ),
    }
)


def labels(material: Material) -> dict[str, str]:
    """Return the phrases in the paper's language.

    Parameters
    ----------
    material : Material

    Returns
    -------
    dict of str to str
    """
    return {name: material.say(sentence) for name, sentence in LABELS.items()}
