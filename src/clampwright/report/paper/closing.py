"""What a reader must know beside the pulls: questions, cautions, and what the record proves."""

from __future__ import annotations

from typing import Any

from clampwright.report.paper.material import Material
from clampwright.words import Words, from_data, words
from clampwright.work.hands import done_words, hands_of, who_words

CAUTIONS: tuple[Words, ...] = (
    words(
        "The manufacturer's current information comes first. Where this paper differs from it, "
        "follow the manufacturer."
    ),
    words(
        "Torque is only a stand-in for clamp load. A pull within its limits does not show that the "
        "joint is safe, nor that its parts are sound."
    ),
    words(
        "Local law and codes hold. Work whose failure can hurt someone is for people trained and, "
        "where the law asks for it, licensed for it."
    ),
)


def cautions(material: Material) -> list[str]:
    """Return the usual cautions, and those of this job."""
    lines = [material.say(sentence) for sentence in CAUTIONS]
    for joint in material.joints:
        if joint["harm_level"] == 1:
            caution = words(
                "{joint}: life or limb depends on it. Have a second person look at it before use, "
                "and check it again when it is due.",
                joint=joint["title"],
            )
            lines.append(material.say(caution))
    return lines


def findings(material: Material) -> list[dict[str, Any]]:
    """Return what the check of the plan asked or noted before the work."""
    told = material.say
    return [
        {
            "severity": told(_SEVERITIES.get(one.get("severity", ""), words("note"))),
            "message": told(from_data(one["message"])),
            "details": [told(from_data(line)) for line in one.get("details") or ()],
            "question": told(from_data(one["question"])) if one.get("question") else "",
        }
        for one in material.opened.get("findings") or ()
    ]


_SEVERITIES = {
    "stop": words("settle before starting"),
    "ask": words("to be asked"),
    "note": words("note"),
}


def proof(material: Material) -> dict[str, Any]:
    """Return what the record proves, and by whose key."""
    told, found = material.say, material.found
    return {
        "says": [told(sentence) for sentence in PROVES],
        "facts": [
            [told(words("Fingerprint of the key")), found.fingerprint or "–"],
            [told(words("Log")), found.origin or "–"],
            [told(words("Entries in the log")), str(found.size)],
            [told(words("Entries in this record")), str(found.entries)],
            [told(words("SHA-256 of the attached record")), _in_groups(material.sha256)],
            *(
                [told(who_words(hand, {})), ", ".join(told(one) for one in done_words(hand))]
                for hand in hands_of(material.entries.values())
            ),
        ],
        "checkpoint": material.checkpoint,
    }


PROVES: tuple[Words, ...] = (
    words(
        "The record this paper was made from is attached to it as a file. Whoever has it can "
        "check, without this workshop, that nothing in it was altered since it was signed with the "
        "key below."
    ),
    words(
        "It does not prove that a pull was true: only that this is what was written down, and when."
    ),
    words(
        "To check it: save the attached file, run “clampwright verify FILE”, and compare the "
        "fingerprint with the one the workshop gave you in another way."
    ),
)


def _in_groups(digits: str) -> str:
    """Return hexadecimal digits in groups, so that they can be compared by eye and broken."""
    return " ".join(digits[at : at + 8] for at in range(0, len(digits), 8))
