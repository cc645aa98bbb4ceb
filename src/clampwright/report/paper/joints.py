"""One joint on paper: its map, its procedure as written, and every pull."""

from __future__ import annotations

from typing import Any

from clampwright.report.fasteners import State
from clampwright.report.jointmap import joint_map
from clampwright.report.paper.curves import Curves
from clampwright.report.paper.expected import by_joint, expected_lines
from clampwright.report.paper.material import Material, Plain, keys_of
from clampwright.report.paper.pulls import clamp_words, common_reasons, limits_words, one_day, row
from clampwright.report.phrases import HARM, verdict_words
from clampwright.report.prepared import told_of
from clampwright.report.svg import PAPER
from clampwright.report.view import Turning
from clampwright.words import Words, words
from clampwright.work.fold import Pull
from clampwright.work.job import NO_CLAMP_LOAD
from clampwright.work.likeness import odd_ones
from clampwright.work.provenance import provenance, shelved_for
from clampwright.work.sequence import WHOLE_JOINT

Section = dict[str, Any]


def joint_section(material: Material, joint: Plain, curves: Curves) -> Section:
    """Return everything about a joint.

    Parameters
    ----------
    material : Material
    joint : mapping
        As the plan has it.
    curves : Curves
        Recorded pulls.

    Returns
    -------
    dict
    """
    told = material.say
    return {
        "title": joint["title"],
        "facts": [[told(label), told(value)] for label, value in _facts(material, joint)],
        "map": map_of(material, joint),
        "map_alt": told(words("Map of {joint}", joint=joint["title"])),
        "procedure": _procedure(material, joint),
        "expected": [
            {"title": told(title), "svg": svg}
            for title, svg in by_joint(curves.expected, joint["id"])
        ],
        "expected_lines": [told(line) for line in expected_lines(material, joint["id"])],
        "told": [
            {"title": told(title), "lines": [told(line) for line in lines]}
            for title, lines in told_of(joint["id"], material.state)
        ],
        "stages": [_stage(material, joint, stage, curves) for stage in joint["stages"]],
    }


def _procedure(material: Material, joint: Plain) -> Section:
    """Return the procedure as written, where it is from, and what a person settled in it."""
    given, told = material.table(joint["id"]).procedure, material.say
    version = shelved_for(material.opened, joint["id"])
    text, choice = given.text, given.choice
    if version is not None:
        content = version["content"]
        text = content["text"]
        choice = content["choice"]["chosen"] if content["choice"] else None
    several = words(
        "The text can be read in more than one way; a person chose reading {number}.",
        number=choice or 0,
    )
    return {
        "source": joint.get("source") or told(words("The source is not stated.")),
        "text": text.strip(),
        "choice": told(several) if choice is not None else "",
        "settled": [told(line) for line in provenance(material.opened, joint["id"], {})],
    }


def _facts(material: Material, joint: Plain) -> list[tuple[Words, Words | str]]:
    table = material.table(joint["id"])
    facts: list[tuple[Words, Words | str]] = [
        (words("Fasteners"), str(joint["fasteners"])),
        (words("If it fails"), HARM[joint["harm_level"]]),
    ]
    if joint.get("thread"):
        left = words("{thread}, left-hand", thread=joint["thread"])
        facts.append((words("Thread"), left if table.left_hand else str(joint["thread"])))
    if joint.get("strength"):
        facts.append((words("Strength class"), str(joint["strength"])))
    friction = joint.get("friction") or words("not stated")
    facts.append((words("Surface"), friction))
    if without := NO_CLAMP_LOAD.get(table.kind):
        facts.append((words("Clamp load"), without))
    if table.space:
        facts.append((words("Reach"), table.space))
    return facts


def map_of(material: Material, joint: Plain) -> str:
    """Draw a joint as the record leaves it."""
    table = material.table(joint["id"])
    layout = table.layout.build()
    states, marks = {}, {}
    for number in layout.numbers:
        states[number], mark = _state(material, joint, number)
        if mark is not None:
            marks[number] = mark
    return joint_map(
        layout,
        states=states,
        marks=marks,
        turning=Turning(left_hand=table.left_hand),
        look=PAPER,
        language=material.language,
    )


def _state(material: Material, joint: Plain, fastener: int) -> tuple[State, Words | None]:
    """Return how far a fastener has come, leaving out what is only due later."""
    due = {stage["number"] for stage in later_stages(material, joint)}
    keys = [
        key
        for stage in joint["stages"]
        if stage["number"] not in due
        for key in keys_of(joint, stage)
        if key.fastener == fastener
    ]
    latest = material.state.latest
    unsettled = [latest[key] for key in keys if key in latest and not latest[key].settled]
    if unsettled:
        return "doubtful", verdict_words(unsettled[-1].verdict)
    if any(key not in latest for key in keys):
        return "todo", words("open")
    if any(latest[key].accepted for key in keys):
        return "done", words("accepted")
    return "done", None


def later_stages(material: Material, joint: Plain) -> list[Plain]:
    """Return the stages that fall due later: from the first wait on that is not settled."""
    stages: list[Plain] = list(joint["stages"])
    for place, stage in enumerate(stages):
        waits = stage["stage"]["kind"] == "wait" or stage["stage"].get("check") == "re_check"
        if waits and not all(material.state.settled(key) for key in keys_of(joint, stage)):
            return stages[place:]
    return []


def _stage(material: Material, joint: Plain, stage: Plain, curves: Curves) -> Section:
    told = material.say
    pulls = material.pulls(joint["id"], stage["number"])
    common = common_reasons(pulls)
    day = one_day(material, pulls)
    about = (
        limits_words(stage["limits"]),
        clamp_words(stage.get("clamp")),
        words("Done on {day}.", day=day) if day else None,
        *odd_ones(material.state, joint["id"], stage["number"]),
    )
    due = stage["number"] in {one["number"] for one in later_stages(material, joint)}
    missing = [k.fastener for k in keys_of(joint, stage) if k not in material.state.latest]
    chart = curves.of_stage(joint["id"], stage["number"])
    return {
        "number": str(stage["number"]),
        "text": stage["text"],
        "about": [
            line
            for line in (
                *(told(sentence) for sentence in about if sentence),
                _order(material, stage),
                _tool(material, stage),
            )
            if line
        ],
        "common": [told(reason) for reason in common],
        "rows": [
            row(material, pull, common=common, tool=stage.get("tool"), day=day) for pull in pulls
        ],
        "open": _open(material, missing, due=due),
        "chart": chart,
        "charts": [
            {"title": told(_title(pull)), "svg": curves.of_pull(pull.entry)}
            for pull in pulls
            if curves.of_pull(pull.entry)
        ],
        "lost": [told(sentence) for sentence in curves.lost(joint["id"], stage["number"])],
    }


def _title(pull: Pull) -> Words:
    return words(
        "Stage {stage}, fastener {fastener}", stage=pull.key.stage, fastener=pull.key.fastener
    )


def _order(material: Material, stage: Plain) -> str:
    if len(stage["order"]) < 2 or stage["stage"]["kind"] in WHOLE_JOINT:
        return ""
    order = "-".join(str(number) for number in stage["order"])
    match stage["order_from"]:
        case "procedure":
            sentence = words("Order {order}, as the procedure gives it.", order=order)
        case "maker":
            sentence = words("Order {order}, as entered for this joint.", order=order)
        case _:
            sentence = words("Order {order}: the general one, for none is given.", order=order)
    return material.say(sentence)


def _tool(material: Material, stage: Plain) -> str:
    names = {one["tool"]: one["name"] for one in stage["tools"]}
    if stage["tool"] is None:
        return ""
    name, setting = str(names.get(stage["tool"], stage["tool"])), stage["setting"]
    if setting is None:
        return material.say(words("Planned with: {tool}", tool=name))
    return material.say(
        words(
            "Planned with: {tool}, set to {value} {unit} ({how})",
            tool=name,
            value=setting["value"],
            unit=setting["unit"],
            how=setting["text"],
        )
    )


def _open(material: Material, missing: list[int], *, due: bool) -> str:
    if not missing:
        return ""
    if due:
        return material.say(words("Due later."))
    if missing == [0]:
        return material.say(words("Not done yet."))
    numbers = ", ".join(str(number) for number in missing)
    return material.say(words("Not done yet: fastener {numbers}.", numbers=numbers))
