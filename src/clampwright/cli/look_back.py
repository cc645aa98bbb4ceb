"""``clampwright look-back``: which joints a tool that was found off may have spoilt."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option
from clampwright.locale import told

if TYPE_CHECKING:
    from clampwright.bench.look_back import LookedBack
    from clampwright.work.look_back import JointInQuestion


@click.command(
    epilog="Example: clampwright look-back click-60 --workshop demo-workshop",
    short_help="Find the joints a tool found off may have spoilt.",
)
@click.argument("tool")
@click.option(
    "--by",
    type=click.Choice(["days", "uses"]),
    default="days",
    show_default=True,
    help="What the drift goes with: the calendar, or how often the tool was used.",
)
@click.option("--joint", metavar="JOB:JOINT", help="Decide about this joint (or show its pulls).")
@click.option("--decide", type=click.Choice(["fine", "recheck", "redo"]),
              help="With --joint: what is to be done about it.")  # fmt: skip
@click.option("--reason", default="", metavar="TEXT", help="With --decide: why.")
@click.option("--letter", metavar="JOB", help="Write a letter to the owner of the machine.")
@workshop_option
@json_option
def command(tool: str, *, workshop: Path, as_json: bool, **given: Any) -> None:
    """Look back over every pull with TOOL since it was last known to be right.

    Two stories stand side by side: it drifted evenly, or it shifted all at once. The joints are
    sorted by what happens if they fail. Exit status 1 while a joint is not decided.
    """
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.histories import happened_of
    from clampwright.bench.look_back import look_back

    place = Workshop(workshop)
    with open_store(place, write=given["decide"] is not None) as store:
        drawer = drawer_of(place, happened_of(store))
        found = look_back(store, drawer, tool, by=given["by"])
        if given["decide"] is not None:
            _decide(store, found, given)
            found = look_back(store, drawer_of(place, happened_of(store)), tool, by=given["by"])
        name = store.workshop
    open_joints = [one for one in found.review.joints
                   if one.advice != "fine" and found.decided(one) is None]  # fmt: skip
    if as_json:
        print_json(_as_json(found))
    elif given["letter"] is not None:
        _letter(found, given["letter"], name)
        return
    elif given["joint"] is not None:
        _show_joint(found, _joint(found, given["joint"]))
    else:
        _show(found)
    if open_joints:
        raise SystemExit(FINDING)


def _decide(store: Any, found: LookedBack, given: dict[str, Any]) -> None:
    from clampwright.bench.tool_events import decide_joint
    from clampwright.drawer.history import Decision
    from clampwright.errors import Missing
    from clampwright.words import words

    if given["joint"] is None:
        raise Missing(words("--joint is needed here"), "joint")
    pull = _joint(found, given["joint"]).worst.pull
    decision = Decision(
        found.window.found.entry, pull.job, pull.joint, given["decide"], given["reason"]
    )
    decide_joint(store, found.window.tool, decision)


def _joint(found: LookedBack, text: str) -> JointInQuestion:
    from clampwright.errors import Refused
    from clampwright.words import words

    job, _sign, joint = text.partition(":")
    for one in found.joints_of(job):
        if one.worst.pull.joint == joint:
            return one
    raise Refused(words("{text!r}: write it JOB:JOINT, as the list shows it", text=text[:80]))


def _letter(found: LookedBack, job: str, workshop: str) -> None:
    from clampwright.bench.days import today
    from clampwright.work.letter import letter

    joints = found.joints_of(job)
    decided = [found.decided(one) for one in joints]
    said = ["" if one is None else one.decision for one in decided]
    for line in letter(found.window, joints, said, workshop=workshop, today=today()):
        click.echo(text_of(line))
        click.echo()


def _show(found: LookedBack) -> None:
    from clampwright.words import words
    from clampwright.work.look_back import ADVICE_WORDS
    from clampwright.work.look_back_words import pull_words, window_lines

    click.echo(click.style(found.window.tool.title, bold=True))
    for line in window_lines(found.review):
        click.echo(text_of(line))
    for one in found.review.joints:
        pull = one.worst.pull
        click.echo()
        heading = f"{pull.job}:{pull.joint}  {pull.title}"
        click.echo(click.style(heading, bold=True))
        click.echo(
            text_of(
                words(
                    "    harm level {level}, {machine}, {count} pulls",
                    level=pull.harm_level,
                    machine=pull.machine,
                    count=len(one.pulls),
                )
            )
        )
        click.echo(f"    {text_of(pull_words(one.worst))}")
        decided = found.decided(one)
        if decided is None:
            said = words("    advice: {advice}; not decided", advice=ADVICE_WORDS[one.advice])
        else:
            said = words(
                "    decided: {decision} ({reason})",
                decision=ADVICE_WORDS[decided.decision],
                reason=decided.reason,
            )
        click.echo(text_of(said))
    click.echo()
    click.echo(text_of(words("What becomes of each joint is for the responsible person to decide; "
                             "the manufacturer's information comes first.")))  # fmt: skip


def _show_joint(found: LookedBack, joint: JointInQuestion) -> None:
    from clampwright.work.look_back_words import clamp_words, pull_words, window_lines

    click.echo(click.style(joint.worst.pull.title, bold=True))
    for line in window_lines(found.review):
        click.echo(text_of(line))
    for one in joint.pulls:
        click.echo(f"  {told(one.pull.time.date().isoformat())}  {text_of(pull_words(one))}")
        clamp = clamp_words(one)
        if clamp is not None:
            click.echo(f"      {text_of(clamp)}")


def _as_json(found: LookedBack) -> dict[str, Any]:
    window = found.window
    return {
        "tool": window.tool.id,
        "found": window.found.date.isoformat(),
        "start": window.start.isoformat(),
        "sudden": window.sudden.isoformat() if window.sudden else None,
        "by": found.review.by,
        "pulls": found.review.count,
        "outside": found.review.outside,
        "joints": [_joint_json(found, one) for one in found.review.joints],
    }


def _joint_json(found: LookedBack, one: JointInQuestion) -> dict[str, Any]:
    pull, decided = one.worst.pull, found.decided(one)
    return {
        "job": pull.job,
        "joint": pull.joint,
        "title": pull.title,
        "harm_level": pull.harm_level,
        "pulls": len(one.pulls),
        "chance_by_drift": one.worst.drift_chance,
        "chance_by_shift": one.worst.shift_chance,
        "torque_by_drift_Nm": one.worst.drift_torque,
        "torque_by_shift_Nm": one.worst.shift_torque,
        "clamp_by_drift_N": one.worst.clamp(one.worst.drift_torque),
        "clamp_by_shift_N": one.worst.clamp(one.worst.shift_torque),
        "advice": one.advice,
        "decision": None if decided is None else decided.decision,
        "reason": None if decided is None else decided.reason,
    }
