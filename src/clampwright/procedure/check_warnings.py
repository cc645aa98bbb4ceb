"""What the cautions of a reading mean, in plain words, and what would settle each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from clampwright.procedure.check_finding import Finding, Severity
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Caution:
    """One code of caution.

    Parameters
    ----------
    severity : str
        How serious it is while nobody chose between readings.
    message : Words
    question : Words or None
    """

    severity: Severity
    message: Words
    question: Words | None = None


CAUTIONS: MappingProxyType[str, Caution] = MappingProxyType(
    {
        "dual_unit_mismatch": Caution(
            "note",
            words("the two figures given for one torque differ by more than their rounding"),
            words("Which of the two is the maker's own, and which was converted?"),
        ),
        "lbs_without_length": Caution(
            "ask",
            words("a torque is given in pounds with no length: foot-pounds or inch-pounds"),
            words("What does the heading of the manual's column say?"),
        ),
        "missing_unit": Caution(
            "ask", words("a figure has no unit"), words("Which unit does the manual use?")
        ),
        "wrong_unit": Caution(
            "ask",
            words("a figure has a unit that does not belong to it"),
            words("Which unit is meant?"),
        ),
        "number_format": Caution(
            "note",
            words(
                "a mark in a number was taken by the custom of the language: decimal or thousand"
            ),
            words("Is the figure the right size?"),
        ),
        "implausible_value": Caution(
            "ask",
            words("a figure is far out of the ordinary"),
            words("Is it copied rightly, with its decimal mark?"),
        ),
        "ocr_suspect": Caution(
            "ask",
            words("a figure looks as if a scanner had misread it (letter for digit, lost sign)"),
            words("What does the printed page show?"),
        ),
        "range_reversed": Caution(
            "note",
            words("a range is written from high to low and was turned round"),
            words("Are both figures right?"),
        ),
        "cumulative_or_further": Caution(
            "ask",
            words("angles follow each other: each one further, or in total from the torque"),
            words("Does the manual say further, or in total?"),
        ),
        "sign_unclear": Caution(
            "ask",
            words("a sign before a figure can mean a tolerance or a further turn"),
            words("Which is meant?"),
        ),
        "limit_only": Caution(
            "note",
            words("the text gives a limit, not a figure to aim at"),
            words("Does the manual give the figure itself elsewhere?"),
        ),
        "no_value": Caution(
            "ask",
            words("a step asks for tightening and gives no figure"),
            words("Where does the manual give it?"),
        ),
        "conflicting_instructions": Caution(
            "ask", words("two instructions contradict each other"), words("Which one holds?")
        ),
        "variant_choice": Caution(
            "ask",
            words("the text has figures for several variants"),
            words("Which variant is on the bench?"),
        ),
        "intermediate_values_not_stated": Caution(
            "ask",
            words("the text asks for several steps and gives the figure of the last only"),
            words("Does the manual give the steps between?"),
        ),
        "order_in_figure": Caution(
            "note", words("the order is shown in a figure that is not part of the text")
        ),
        "order_needs_reference": Caution(
            "note",
            words("the order refers to another place, such as the order of removal"),
            words("What is that order?"),
        ),
        "do_not_back_off": Caution(
            "note",
            words(
                "do not back off: when this joint is overdone, turning back does not mend it; read "
                "what the manual wants renewed"
            ),
        ),
        "left_hand_thread": Caution("note", words("left-hand thread: it tightens anticlockwise")),
        "add_running_torque": Caution(
            "note",
            words("measure the running torque of each nut, and add it once to the figure"),
        ),
        "force_without_radius": Caution(
            "ask",
            words("a force is given without the length it pulls at: that is no torque"),
            words("At which distance from the fastener does the manual measure it?"),
        ),
        "unsupported_step": Caution(
            "note",
            words("a step of the text has no torque, angle or stretch: do it as it stands there"),
        ),
        "unsafe_method": Caution(
            "ask",
            words("the text describes a method that can hurt somebody or spoil the fastener"),
            words("Is there another way in the manual? Ask somebody licensed for this work"),
        ),
        "unexpected_text": Caution(
            "note",
            words("part of the text has nothing to do with tightening; it changed nothing"),
            words("Was the right page copied?"),
        ),
    }
)
"""By code of the reader's warning."""


def warning_findings(warnings: Sequence[str], *, chosen: bool = False) -> Iterator[Finding]:
    """Yield the cautions of a reading.

    Parameters
    ----------
    warnings : sequence of str
        Codes of a reading.
    chosen : bool
        A person chose between the readings: what was to be asked is then only noted.

    Yields
    ------
    Finding
    """
    for code in warnings:
        caution = CAUTIONS.get(code) or Caution(
            "ask", words("the reader warns of {code!r}", code=code), words("What is meant by it?")
        )
        yield Finding(
            "reading_warning",
            "note" if chosen else caution.severity,
            None,
            caution.message,
            question=caution.question,
            source=f"reading of the text: {code}",
        )
