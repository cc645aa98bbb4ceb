"""The first page: what was done, what is open, what is due, on what it rests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from clampwright.report.paper.joints import later_stages, map_of
from clampwright.report.paper.material import Material, Plain, clock, keys_of
from clampwright.report.paper.tools import tool_warnings
from clampwright.report.phrases import MARKS, verdict_words
from clampwright.words import Words, words
from clampwright.work.aside import told as aside_told
from clampwright.work.fold import Pull, PullKey
from clampwright.work.unsigned import told as held_words

MOST_LINES = 8
"""So many points of one kind stand on the first page; the rest is counted there."""


def summary(material: Material) -> dict[str, Any]:
    """Return the first page.

    Parameters
    ----------
    material : Material

    Returns
    -------
    dict
    """
    told, shown = material.say, _joint_to_show(material)
    return {
        "facts": [[told(label), value] for label, value in _facts(material)],
        "headline": [told(sentence) for sentence in _headline(material)],
        "settled": not _attention(material),
        "counts": _counts(material),
        "attention": _cut(material, _attention(material)),
        "due": _cut(material, _due(material)),
        "tools": _cut(material, tool_warnings(material)),
        "map": map_of(material, shown),
        "map_alt": told(words("Map of {joint}", joint=shown["title"])),
        "notes": [told(sentence) for sentence in _NOTES],
    }


_NOTES = (
    words(
        "The manufacturer's current information comes first. Where this paper differs from it, "
        "follow the manufacturer."
    ),
    words(
        "The attached record proves that nothing in it was altered since it was signed; it does "
        "not prove that a pull was true."
    ),
)


def _joint_to_show(material: Material) -> Plain:
    """Return the joint whose map stands on the first page: one that is not settled, if any."""
    due = due_keys(material)
    for joint in material.joints:
        keys = (key for stage in joint["stages"] for key in keys_of(joint, stage))
        if not all(key in due or material.state.settled(key) for key in keys):
            return joint
    return material.joints[0]


def _cut(material: Material, sentences: Sequence[Words]) -> list[str]:
    lines = [material.say(sentence) for sentence in sentences[:MOST_LINES]]
    left = len(sentences) - len(lines)
    if left:
        lines.append(material.say(words("… and {count} more, further on.", count=left)))
    return lines


def _facts(material: Material) -> list[tuple[Words, str]]:
    first = next(iter(material.entries.values()))
    return [
        (words("Machine"), str(material.plan["machine"])),
        (words("Job"), str(material.found.job)),
        (words("Opened"), clock(first["recorded"])),
        (words("Last entry"), clock(material.last_time)),
        (
            words("State"),
            material.say(words("closed") if material.state.closed else words("not closed")),
        ),
    ]


def due_keys(material: Material) -> set[PullKey]:
    """Return the pulls that fall due later."""
    return {
        key
        for joint in material.joints
        for stage in later_stages(material, joint)
        for key in keys_of(joint, stage)
    }


def _headline(material: Material) -> list[Words]:
    due = due_keys(material)
    planned = [key for key in material.planned() if key not in due]
    settled = [key for key in planned if material.state.settled(key)]
    accepted = sum(pull.accepted and not pull.voided for pull in material.state.latest.values())
    within = len(settled) - accepted
    sentences = []
    if len(settled) < len(planned):
        sentences.append(
            words(
                "{open} of {count} pulls are not done or not settled.",
                open=len(planned) - len(settled),
                count=len(planned),
            )
        )
    elif accepted == 0:
        sentences.append(words("All {count} pulls are within their limits.", count=len(planned)))
    else:
        sentences.append(
            words(
                "{within} of {count} pulls are within their limits.",
                within=within,
                count=len(planned),
            )
        )
    if accepted:
        sentences.append(
            words("{count} went on by a person's decision in spite of the verdict.", count=accepted)
        )
    if due:
        sentences.append(words("{count} pulls fall due later.", count=len(due)))
    return sentences


def _counts(material: Material) -> list[list[str]]:
    """Count the standing pulls by verdict, then what was undone and what is not done."""
    told, counts = material.say, material.state.count()
    rows = [
        [sign, told(verdict_words(verdict)), str(counts.get(verdict, 0))]
        for verdict, sign in MARKS.items()
    ]
    undone = sum(pull.voided for pull in material.state.pulls)
    open_keys = [k for k in material.planned() if k not in material.state.latest]
    rows.append(["", told(words("undone and started again")), str(undone)])
    rows.append(["", told(words("not done yet")), str(len(open_keys))])
    return rows


def _attention(material: Material) -> list[Words]:
    """Say what a reader must look at: pulls that are not within, and those that are missing."""
    due = due_keys(material)
    standing = [p for p in material.state.latest.values() if p.verdict != "within"]
    sentences = [_odd(material, pull) for pull in standing if not pull.accepted]
    sentences += [_odd(material, pull) for pull in standing if pull.accepted]
    for joint in material.joints:
        for stage in joint["stages"]:
            keys = [k for k in keys_of(joint, stage) if k not in due]
            missing = [k.fastener for k in keys if k not in material.state.latest]
            if missing:
                sentences.append(
                    words(
                        "{joint}, stage {stage} ({text}): not done on fastener {numbers}.",
                        joint=joint["title"],
                        stage=stage["number"],
                        text=stage["text"],
                        numbers=", ".join(str(number) for number in missing),
                    )
                )
    sentences += [aside_told(one) for one in material.state.aside]
    return [*sentences, *(held_words(one, {}) for one in material.state.unsigned if not one.signed)]


def _odd(material: Material, pull: Pull) -> Words:
    values: dict[str, str | float | Words] = {
        "joint": str(material.joint(pull.key.joint)["title"]),
        "stage": pull.key.stage,
        "fastener": pull.key.fastener,
        "verdict": verdict_words(pull.verdict),
        "why": pull.reasons[0] if pull.reasons else "–",
    }
    if pull.accepted:
        return words(
            "{joint}, stage {stage}, fastener {fastener}: {verdict}, accepted by a person: {why}",
            **values,
        )
    return words("{joint}, stage {stage}, fastener {fastener}: {verdict}: {why}", **values)


def _due(material: Material) -> list[Words]:
    return [
        words("{joint}: {what}", joint=joint["title"], what=stage["text"])
        for joint in material.joints
        for stage in later_stages(material, joint)
    ]
