"""Which surface to reckon with: the job's, else the text's; and whether the two contradict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampwright.procedure.check_finding import Finding
from clampwright.procedure.check_tables import Lubricant, lubricants
from clampwright.standards import FrictionCondition
from clampwright.standards import friction as friction_named
from clampwright.words import words


def lubricant_of(lubrication: Sequence[str]) -> Lubricant | None:
    """Return what a procedure's statements on lubrication mean for friction.

    Parameters
    ----------
    lubrication : sequence of str
        Codes of a reading. A sealant or an oiled gasket says nothing about friction.

    Returns
    -------
    Lubricant or None

    Examples
    --------
    >>> lubricant_of(("oil_threads", "oil_underhead")).condition
    'oiled'
    >>> lubricant_of(("sealant",)) is None
    True
    """
    stated = set(lubrication)
    return next((row for row in lubricants() if row.stated <= stated), None)


def condition_of(
    friction: FrictionCondition | None, lubrication: Sequence[str]
) -> FrictionCondition | None:
    """Return the friction condition to reckon with: the job's own, else the text's, else none.

    Parameters
    ----------
    friction : FrictionCondition or None
    lubrication : sequence of str

    Returns
    -------
    FrictionCondition or None
    """
    meant = lubricant_of(lubrication)
    if friction is not None or meant is None:
        return friction
    return friction_named(meant.condition)


def surface_findings(
    friction: FrictionCondition | None, lubrication: Sequence[str]
) -> Iterator[Finding]:
    """Yield what the surface gives to ask.

    Parameters
    ----------
    friction : FrictionCondition or None
        Stated with the job.
    lubrication : sequence of str
        Stated in the text.

    Yields
    ------
    Finding
    """
    meant = lubricant_of(lubrication)
    if len(_kinds(lubrication)) > 1:
        yield _two_kinds(lubrication)
    if friction is None:
        yield _not_stated() if meant is None else _from_text(meant)
    elif meant is not None and friction.name not in meant.agrees and _names_a_surface(friction):
        yield _contradiction(friction, meant)


def _kinds(lubrication: Sequence[str]) -> set[str]:
    return {
        row.condition.partition("_")[0] for row in lubricants() if row.stated & set(lubrication)
    }


def _names_a_surface(friction: FrictionCondition) -> bool:
    return not friction.name.startswith("class_")  # a friction class may be any lubricant


def _not_stated() -> Finding:
    return Finding(
        "no_surface_condition",
        "ask",
        None,
        words("neither the procedure nor the job says whether threads and faces are dry or oiled"),
        question=words(
            "Dry, as delivered, oiled on the threads, oiled under the head too, paste, thread "
            "locker? Look for a note at the head of the manual's chapter"
        ),
        source="dry or oiled is part of the torque value; general manuals contradict each other "
        "(FAA AC 43.13-1B; US Army TM 9-254, TB 9-3950-253-13&P, TM 5-3810-294-34)",
    )


def _from_text(meant: Lubricant) -> Finding:
    condition = friction_named(meant.condition)
    return Finding(
        "surface_from_text",
        "note",
        None,
        words(
            "the job names no friction; the text means: {title} ({low:.2f} to {high:.2f})",
            title=condition.title,
            low=condition.low,
            high=condition.high,
        ),
        question=words('Write friction = "{name}" for this joint if so', name=condition.name),
        numbers={"friction_low": (condition.low, ""), "friction_high": (condition.high, "")},
        source=f"{meant.source}; {condition.source}",
    )


def _contradiction(friction: FrictionCondition, meant: Lubricant) -> Finding:
    text = friction_named(meant.condition)
    return Finding(
        "surface_contradicts_text",
        "ask",
        None,
        words(
            "the job says: {job} ({job_low:.2f} to {job_high:.2f}); the text says: {text} "
            "({text_low:.2f} to {text_high:.2f})",
            job=friction.title,
            job_low=friction.low,
            job_high=friction.high,
            text=text.title,
            text_low=text.low,
            text_high=text.high,
        ),
        question=words("Which one is true at the bench?"),
        numbers={
            "friction_low": (friction.low, ""),
            "friction_high": (friction.high, ""),
            "text_friction_low": (text.low, ""),
            "text_friction_high": (text.high, ""),
        },
        source=f"{meant.source}; {text.source}",
    )


def _two_kinds(lubrication: Sequence[str]) -> Finding:
    return Finding(
        "several_lubricants",
        "ask",
        None,
        words(
            "the text names several surface conditions: {names}",
            names=", ".join(name.replace("_", " ") for name in lubrication),
        ),
        question=words("Which fasteners get which? Make them joints of their own if they differ"),
        source="common practice, no source: one part can have oiled and sealed holes",
    )
