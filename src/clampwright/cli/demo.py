"""``clampwright demo``: the main job, from written procedure to verified record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop
    from clampwright.demo.run import JobResult, Told


@click.command(
    epilog="Example: clampwright demo --folder demo-workshop --no-serve",
    short_help="Show the main job.",
)
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("demo-workshop"),
    show_default=True,
    help="Where the invented workshop is built.",
)
@click.option(
    "--serve/--no-serve", default=False, help="Serve the pages of the workshop afterwards."
)
@click.option("--pdf/--no-pdf", default=True, show_default=True, help="Make the papers too.")
@click.option("--replace", is_flag=True, help="Begin anew when the folder holds a demonstration.")
@click.option(
    "--seed", type=click.IntRange(min=0), default=4, show_default=True, help="Of the simulated day."
)
@click.option(
    "--fault",
    "faults",
    multiple=True,
    help="joint:stage:fastener:fault, instead of the demonstration's own; 'none' for none.",
)
@click.option("--job", "jobs", multiple=True, help="Only these jobs, in this order.")
@click.option(
    "--drawer",
    is_flag=True,
    help="Go on with the wrenches: checks, a drop, one found off by its laboratory.",
)
@json_option
def command(
    folder: Path,
    seed: int,
    faults: tuple[str, ...],
    jobs: tuple[str, ...],
    *,
    drawer: bool,
    serve: bool,
    pdf: bool,
    replace: bool,
    as_json: bool,
) -> None:
    """Plan, tighten, judge and record four jobs of an invented workshop.

    The pulls are made by a simulated wrench and judged like real ones; a socket slips, a bolt
    yields, and a wrong unit is caught before anything is tightened.
    """
    from clampwright.bench.mechanic import PlannedFault
    from clampwright.demo import run

    planned = (
        run.FAULTS
        if not faults
        else [PlannedFault.parse(text) for text in faults if text != "none"]
    )
    _check_asked(jobs, run.JOBS)
    place = run.build_workshop(folder, replace=replace)
    if not as_json:
        _opening(place)
    results = []
    for job in jobs or run.JOBS:
        if not as_json:
            _heading(job)
        told = _quiet if as_json else _line
        results.append(run.run_job(place, job, seed=seed, faults=planned, told=told, paper=pdf))
    whole = [_verified(result) for result in results]
    if as_json:
        print_json(
            {
                "folder": str(folder),
                "jobs": [_json(r, verified=w) for r, w in zip(results, whole, strict=True)],
            }
        )
    else:
        _summary(results, whole)
    if drawer:
        _look_after(place, as_json=as_json)
    if serve:
        from clampwright.cli.serve import bound
        from clampwright.cli.serve import serve as serve_pages

        serve_pages(place.folder, bound("127.0.0.1", 8123))
    raise SystemExit(DONE if all(whole) else FINDING)


def _look_after(place: Workshop, *, as_json: bool) -> None:
    """Let something happen to the wrenches, and tell what follows from it."""
    from clampwright.demo.drawer_day import look_after
    from clampwright.work.look_back_words import window_lines

    found = look_after(place)
    if as_json:
        return
    _say(words("Then the wrenches: {tool} came back from its laboratory.",
               tool=found.window.tool.title))  # fmt: skip
    for line in window_lines(found.review):
        click.echo(f"  {text_of(line)}")
    _say(
        words(
            "Look at them: clampwright drawer due, drawer checks click-150ft, look-back click-60 "
            "(each with --workshop {folder})",
            folder=str(place.folder),
        )
    )


def _check_asked(jobs: tuple[str, ...], known: tuple[str, ...]) -> None:
    """Refuse a job the demonstration does not have, before anything is built."""
    for job in jobs:
        if job not in known:
            raise click.BadParameter(
                text_of(words("the jobs are {known}", known=", ".join(known))), param_hint="--job"
            )


def _say(sentence: Words) -> None:
    click.echo(text_of(sentence))


def _opening(place: Workshop) -> None:
    from clampwright.demo.run import MISTYPED, check_mistyped

    _say(
        words(
            "An invented workshop in {folder}: every machine and value is made up.",
            folder=str(place.folder),
        )
    )
    click.echo()
    _say(words("First the check of a job typed with a slip ({job}):", job=MISTYPED))
    for finding in check_mistyped(place):
        if finding.severity == "stop" or finding.code == "unit_mix_up":
            click.echo(f"  {text_of(finding.message)}")
            click.echo(f"  => {text_of(finding.question)}")
    _say(words("It is not tightened; the corrected file is used below."))


def _heading(job: str) -> None:
    click.echo()
    click.echo(click.style(job, bold=True))


def _quiet(_told: Told) -> None:
    return


def _line(told: Told) -> None:
    from clampwright.cli.talk import line_of

    click.echo("  " + line_of(told.guidance, told.answer, told.outcome))
    if told.outcome.judgement.verdict != "within":
        for reason in told.outcome.judgement.reasons:
            click.echo(f"        {text_of(reason)}")
        if told.outcome.judgement.next is not None:
            click.echo(f"     => {text_of(told.outcome.judgement.next)}")


def _verified(result: JobResult) -> bool:
    from clampwright.proof.verification import verify

    return result.record is not None and verify(result.record.read_bytes()).ok


def _summary(results: list[JobResult], whole: list[bool]) -> None:
    click.echo()
    _say(words("Done:"))
    for result, verified in zip(results, whole, strict=True):
        faults = sum(told.outcome.judgement.verdict != "within" for told in result.pulls)
        _say(
            words(
                "  {title}: {pulls} pulls, {faults} put right; record {record} {state}",
                title=result.title,
                pulls=len(result.pulls),
                faults=faults,
                record=str(result.record),
                state="verified" if verified else "NOT WHOLE",
            )
        )
        if result.paper is not None:
            _say(words("    on paper: {paper}", paper=str(result.paper)))
        if result.due:
            _say(words("    due later: {what}", what=result.due))
    click.echo()
    _say(words("The manufacturer's information comes first wherever it differs."))


def _json(result: JobResult, *, verified: bool) -> dict[str, object]:
    return {
        "job": result.job,
        "record": str(result.record),
        "paper": str(result.paper) if result.paper else None,
        "verified": verified,
        "due": result.due,
        "pulls": [
            {
                "stage": told.guidance.key.stage,
                "fastener": told.guidance.key.fastener,
                "joint": told.guidance.key.joint,
                "tool": told.answer.tool,
                "verdict": told.outcome.judgement.verdict,
            }
            for told in result.pulls
        ],
    }
