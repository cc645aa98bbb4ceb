"""The talk at the terminal: shows the pull, takes what was read, answers with the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.answers import Given, Leave, parse_answer
from clampwright.cli.check import SEVERITY_WORDS
from clampwright.cli.holds import answer_holds
from clampwright.cli.output import print_json, read_file, text_of
from clampwright.cli.put_away import first_lines, put_away
from clampwright.cli.way_answers import mark_lines
from clampwright.errors import ClampwrightError
from clampwright.report.phrases import verdict_words
from clampwright.words import Words, from_data, words

if TYPE_CHECKING:
    from clampwright.bench.mechanic import Answer
    from clampwright.bench.session import Outcome, Session
    from clampwright.work.guide import Guidance

RULE = "─" * 60
_GO_ON = words("p the list, y REASON without it, q leave, or ? for help:")
_ON_HELP = (
    words("p          go through the points that are open, one by one"),
    words("y REASON   go on without them; the reason stands in the record"),
    words("q          leave; nothing is lost"),
)


class Talk:
    """One person at the terminal with one job.

    Parameters
    ----------
    session : Session
    as_json : bool
        Answer with one JSON object a line instead of text.
    """

    def __init__(self, session: Session, *, as_json: bool) -> None:
        self.session, self.as_json = session, as_json
        self.tool: str | None = None
        self._told_of: set[tuple[str, ...]] = set()
        self._in_hand: set[str] = set()
        self._start = 0.0

    def run(self) -> None:
        """Guide until all is done or the person leaves."""
        self._opening()
        if not self._agreed():
            return
        shown: object = None
        while True:
            if not self._nothing_open():
                self._left()
                return
            guidance = self.session.next(self.tool)
            if guidance is None:
                break
            if not self._prepared(guidance):
                self._left()
                return
            now = (len(self.session.state.pulls), guidance.key, self.tool, self._start)
            if now != shown or self.as_json:
                self._show(guidance)
            shown = now
            try:
                line = input(self._prompt(guidance))
            except (EOFError, KeyboardInterrupt):
                self._left()
                return
            try:
                if not self._handle(guidance, line):
                    self._reminded()
                    return
            except ClampwrightError as error:
                self._say(error.message)
        self._closing(ask=True)

    def _nothing_open(self) -> bool:
        """Ask what comes before the next pull; False when the person leaves."""
        from clampwright.cli.happened_talk import answer_dues

        if not answer_holds(self.session, as_json=self.as_json):
            return False
        if not self.session.state.dues:
            return True
        guidance = self.session.next(self.tool)
        joint = guidance.key.joint if guidance is not None else None
        return answer_dues(self.session, joint, as_json=self.as_json)

    def _left(self) -> None:
        self._say(words("Left here; nothing is lost. Start again to go on."))
        self._reminded()

    def _reminded(self) -> None:
        if not self.as_json:
            put_away(self.session, ask=False)

    def _prepared(self, guidance: Guidance) -> bool:
        """Say what of the preparation list is open; False when the person leaves.

        Where life or limb depends on the joint, the work goes on only when the list is settled or
        a reason is given.
        """
        from clampwright.bench.preparing import open_points
        from clampwright.work.preparation import must_be_settled

        key = guidance.key
        if self.as_json:  # a program is told with each pull, and asks its own people
            return True
        while points := open_points(self.session, key):
            names = (key.joint, *(point.name for point in points))
            if names not in self._told_of:
                self._tell_open(guidance, names[1:])
                self._told_of.add(names)
            if not must_be_settled(guidance.joint):
                return True
            try:
                line = input(text_of(_GO_ON) + " ")
            except (EOFError, KeyboardInterrupt):
                return False
            if line.strip().casefold() in {"q", "quit"}:
                return False
            self._settled(guidance, line.strip())
        return True

    def _open(self, guidance: Guidance) -> list[str]:
        from clampwright.bench.preparing import open_points

        return [point.name for point in open_points(self.session, guidance.key)]

    def _settled(self, guidance: Guidance, line: str) -> None:
        """Go through the list, or note why the work goes on without it."""
        from clampwright.bench.preparing import pass_over
        from clampwright.cli.prepare import go_through

        letter, _, rest = line.partition(" ")
        if letter.casefold() == "p":
            go_through(self.session, guidance.joint.id)
        elif letter.casefold() == "y":
            try:
                pass_over(self.session, guidance.key, rest)
            except ClampwrightError as error:
                self._say(error.message)
        else:
            for sentence in _ON_HELP:
                self._say(sentence)

    def _tell_open(self, guidance: Guidance, names: tuple[str, ...]) -> None:
        self._say(
            words(
                "Preparation of {joint}, {count} points open (p goes through them): {names}",
                joint=guidance.joint.title,
                count=len(names),
                names=", ".join(name.replace("_", " ") for name in names),
            )
        )

    def _agreed(self) -> bool:
        """Ask before the first pull of a job that the check would stop."""
        stops = any(finding["severity"] == "stop" for finding in self.session.findings)
        if self.as_json or not stops or self.session.state.pulls:
            return True
        self._say(words("Something above is to be settled before starting."))
        try:
            answer = input(text_of(words("Type go to start in spite of it: ")))
        except (EOFError, KeyboardInterrupt):
            return False
        return answer.strip().casefold() == "go"

    def rehearse(self, *, seed: int, faults: Iterable[str]) -> None:
        """Let the simulated mechanic do the job and show every pull."""
        from clampwright.bench.mechanic import PlannedFault, SimulatedMechanic
        from clampwright.bench.rehearsal import rehearse

        planned = [PlannedFault.parse(text) for text in faults]
        mechanic = SimulatedMechanic(self.session.plan, seed=seed, faults=planned)
        self._opening()
        rehearse(self.session, mechanic, self._told)
        self._closing()

    def _told(self, guidance: Guidance, answer: Answer, outcome: Outcome) -> None:
        if self.as_json:
            self._verdict(guidance, outcome)
            return
        click.echo(line_of(guidance, answer, outcome))
        if outcome.judgement.verdict != "within":
            self._reasons(outcome)

    def _opening(self) -> None:
        job = self.session.job
        if self.as_json:
            return
        click.echo(click.style(job.title, bold=True))
        click.echo(job.machine)
        if job.invented:
            self._say(words("Invented for demonstration: not for any real machine."))
        if any(joint.harm_level == 1 for joint in job.joints):
            self._say(
                words(
                    "Life or limb depends on this joint: follow the manufacturer's information, "
                    "and let a second person look."
                )
            )
        findings = self.session.findings
        if findings:
            self._say(words("What the check has to say of this job:"))
            for finding in findings:
                where = f"{finding['joint']}: " if finding.get("joint") else ""
                severity = text_of(SEVERITY_WORDS[finding["severity"]])
                told = f"{where}{text_of(from_data(finding['message']))}"
                click.echo(f"  - {severity} {told}")

    def _closing(self, *, ask: bool = False) -> None:
        if self.as_json:
            return
        due = self.session.next()
        counts = self.session.state.count()
        total = ", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items()))
        self._say(words("Pulls as they stand: {total}", total=total or "none"))
        if due is not None and due.planned.stage.kind == "wait":
            self._say(words("Due: {what}; then go on with this job.", what=text_of(due.target)))
        put_away(self.session, ask=ask)

    def _show(self, guidance: Guidance) -> None:
        if self.as_json:
            print_json({**guidance_json(guidance), "preparation_open": self._open(guidance)})
            return
        already = self.session.state.turned_already(guidance.key)
        drawn = mark_lines(guidance, self._start, already)
        for line in [*guidance_lines(guidance), *drawn, *first_lines(guidance, self._in_hand)]:
            click.echo(line)

    def _prompt(self, guidance: Guidance) -> str:
        return "" if self.as_json else text_of(question(guidance)) + " "

    def _handle(self, guidance: Guidance, line: str) -> bool:
        """Do what was typed; False when the person leaves."""
        answer = parse_answer(line, guidance, self.session)
        if isinstance(answer, Leave):
            return False
        if isinstance(answer, tuple):
            for sentence in answer:
                self._say(sentence)
            return True
        if answer.tool is not None:
            self.tool = answer.tool
        if answer.start is not None:
            self._start = answer.start
        if answer.reading is None and answer.trace is None:
            return True
        self._take(guidance, answer)
        return True

    def _take(self, guidance: Guidance, answer: Given) -> None:
        tool = guidance.choice.tool.id if guidance.choice else None
        reading = answer.reading
        if reading is None:
            path = str(answer.trace)
            reading = self.session.trace_reading(
                guidance.key, read_file(path), Path(path).name, tool or ""
            )
        outcome = self.session.take(guidance.key, reading, tool_id=tool)
        self._verdict(guidance, outcome)

    def _verdict(self, guidance: Guidance, outcome: Outcome) -> None:
        if self.as_json:
            print_json(outcome_json(guidance, outcome))
            return
        click.echo()
        verdict = text_of(verdict_words(outcome.judgement.verdict))
        click.echo(click.style(f">> {verdict.upper()}", bold=True))
        self._reasons(outcome)

    def _reasons(self, outcome: Outcome) -> None:
        for reason in outcome.judgement.reasons:
            click.echo(f"   {text_of(reason)}")
        if outcome.judgement.next is not None:
            click.echo(f"   => {text_of(outcome.judgement.next)}")

    def _say(self, sentence: Words) -> None:
        if self.as_json:
            print_json({"say": text_of(sentence)})
        else:
            click.echo(text_of(sentence))


def guidance_lines(guidance: Guidance) -> list[str]:
    """Return what the person must see, the target on a line of its own."""
    from clampwright.cli.plan import setting_text
    from clampwright.work.describe import describe, tool_name

    planned, choice = guidance.planned, guidance.choice
    lines = [
        "",
        RULE,
        text_of(
            words(
                "{joint} · stage {number}: {stage}",
                joint=guidance.joint.title,
                number=planned.number,
                stage=text_of(describe(planned.stage)),
            )
        ),
    ]
    if guidance.key.fastener:
        lines.append(
            text_of(
                words(
                    "Fastener {number} ({place}), {direction}",
                    number=guidance.key.fastener,
                    place=text_of(guidance.place),
                    direction=text_of(turning(guidance)),
                )
            )
        )
    if choice is not None:
        lines.append(text_of(words("Take: {tool}", tool=tool_name(choice))))
        if choice.setting is not None:
            lines.append(text_of(words("Set:  {setting}", setting=setting_text(choice))))
    elif planned.choices:
        lines.append(text_of(words("No tool of the drawer fits this stage:")))
        lines += [f"   {tool_name(one)}: {text_of(one.blockers[0])}" for one in planned.choices[:4]]
    if guidance.joint.space:
        lines.append(text_of(words("Reach: {space}", space=guidance.joint.space)))
    if planned.stage.condition:
        lines.append(text_of(words("While: {condition}", condition=planned.stage.condition)))
    lines += [
        *last_lines(guidance),
        "",
        *aim_lines(guidance),
        "",
        text_of(
            words(
                "{here} left in this stage, {all} in all",
                here=guidance.left_in_stage,
                all=guidance.left,
            )
        ),
    ]
    return lines


def aim_lines(guidance: Guidance) -> list[str]:
    """Say what to pull to: what the tool must show, and what the fastener gets by it."""
    choice = guidance.choice
    target = text_of(guidance.target)
    if choice is None or choice.setting is None:
        return [click.style(f"      {target}", bold=True)]
    shown = choice.tool.scale(choice.setting.scale_unit).text(choice.setting.value)
    lines = [click.style(f"      {shown}", bold=True)]
    if shown != target:
        lines.append(text_of(words("      = {target} at the fastener", target=target)))
    return lines


def last_lines(guidance: Guidance) -> list[str]:
    """Say what became of the last pull here, when it did not come right."""
    last = guidance.last
    if last is None:
        return []
    told = words("Last pull here: {verdict}.", verdict=verdict_words(last.verdict))
    lines = [click.style(text_of(told), bold=True)]
    if last.next is not None:
        lines.append(f"   => {text_of(last.next)}")
    if last.blocks:
        lines.append(text_of(words("x REASON when it was loosened, or y REASON to go on.")))
    return lines


def turning(guidance: Guidance) -> Words:
    """Say which way to turn."""
    from clampwright.work.plan import direction_of

    if direction_of(guidance.planned.stage, guidance.joint) == "cw":
        return words("clockwise")
    return words("counter-clockwise")


def question(guidance: Guidance) -> Words:
    """Ask for what this stage and this tool give."""
    choice = guidance.choice
    kind = choice.tool.kind if choice else ""
    if guidance.planned.limits.quantity == "angle":
        return words("Degrees turned, m 2 5 for marks, g 92 for a dial, or ? for help:")
    if guidance.planned.limits.quantity == "none":
        return words("d when done, or ? for help:")
    if guidance.planned.limits.quantity == "stretch":
        return words("Stretch in mm, l FREE to TIGHT for lengths, or ? for help:")
    if kind == "click":
        return words("c it clicked after moving, s it stood still, n no click, or ? for help:")
    if choice is None or (choice.setting is None and len(choice.tool.scales) != 1):
        return words("What did you read, with its unit? t FILE for a trace, or ? for help:")
    unit = choice.setting.scale_unit if choice.setting else choice.tool.scales[0].unit
    return words("What did you read, in {unit}? t FILE for a trace, or ? for help:", unit=unit)


def line_of(guidance: Guidance, answer: Answer, outcome: Outcome) -> str:
    """Return one line for one pull, for a rehearsal that runs by itself."""
    number = guidance.key.fastener
    return (
        f"{guidance.joint.id:<10} {guidance.planned.number:>2}  "
        f"{'-' if number == 0 else number:>3}  {text_of(guidance.target):<22} "
        f"{answer.tool or '-':<14} {outcome.judgement.verdict}"
    )


def guidance_json(guidance: Guidance) -> dict[str, object]:
    """Return the next pull as plain data."""
    setting = guidance.choice.setting if guidance.choice else None
    return {
        "pull": {
            "joint": guidance.key.joint,
            "stage": guidance.key.stage,
            "fastener": guidance.key.fastener,
        },
        "place": text_of(guidance.place),
        "target": text_of(guidance.target),
        "tool": guidance.choice.tool.id if guidance.choice else None,
        "tool_kind": guidance.choice.tool.kind if guidance.choice else None,
        "setting": None
        if setting is None
        else {"value": setting.value, "unit": setting.scale_unit, "text": text_of(setting.words)},
        "left_in_stage": guidance.left_in_stage,
        "left": guidance.left,
    }


def outcome_json(guidance: Guidance, outcome: Outcome) -> dict[str, object]:
    """Return a verdict as plain data."""
    return {
        "pull": {
            "joint": guidance.key.joint,
            "stage": guidance.key.stage,
            "fastener": guidance.key.fastener,
        },
        "entry": outcome.receipt.id,
        "verdict": outcome.judgement.verdict,
        "reasons": [text_of(reason) for reason in outcome.judgement.reasons],
        "next": text_of(outcome.judgement.next),
    }
