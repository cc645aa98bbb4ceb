"""``clampwright happened``, and ! and u in ``clampwright tighten``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop
from clampwright.cli import group


@pytest.fixture
def job(workshop: Workshop) -> Path:
    return workshop.jobs / "propeller-coupling.toml"


def run(*arguments: str, typed: str = "") -> Result:
    return CliRunner().invoke(group, arguments, input=typed)


def listed(job: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run("happened", str(job), "--json").output)
    return found


def test_led_by_questions_noted_settled_and_gone_on(job: Path) -> None:
    led = "146\n!\n1\n4\n2\n\nd\nq\n"  # a pull; a slip, at fastener 4, after its signal; loosened
    done = run("tighten", str(job), typed=led)
    assert "At fastener 4? Enter, or the number of another" in done.output
    assert "Trade practice: Back this fastener off fully" in done.output
    assert "Source: FAA AC 43.13-1B, para 7-40" in done.output
    assert "Loosen fastener 4 fully" in done.output
    assert done.exit_code == 1, "pulls are open"
    found = listed(job)
    assert [one["told"][0] for one in found["happenings"]] == [
        "The socket slipped, at fastener 4 of stage 1", "Loosened fully? Done",
    ]  # fmt: skip
    assert found["open"] == []


def test_what_is_open_holds_and_its_status_is_1(job: Path) -> None:
    noted = run("happened", str(job), "too_far", "--json")
    assert noted.exit_code == 1
    found = json.loads(noted.output)
    assert [(one["due"], one["fasteners"]) for one in found["open"]] == [
        ("loosen", [1]), ("maker_whole", []),
    ]  # fmt: skip
    held = run("tighten", str(job), typed="hm\nd\n2\n2 sheet 7\n144\nq\n")
    assert "type d when it is done" in held.output
    assert "say where the maker's information says so" in held.output
    assert ">> WITHIN" in held.output
    assert run("happened", str(job)).exit_code == 0


def test_thinking_better_of_it_notes_nothing(job: Path) -> None:
    for typed in ("!\n\nq\n", "!\n1\n\n2\nno\nq\n", "!\n1\n", "! slip reached=\nq\n", "u\nq\n"):
        assert run("tighten", str(job), typed=typed).exit_code == 1
    assert listed(job)["happenings"] == []
    for what, why in (
        (("slip", "reached"), "write it as name=answer"),
        (("slip", "fastener=x", "reached=no"), "no number of a fastener"),
        (("slip", "reached=no", "--joint", "coupling", "--stage", "9"), "no pull"),
    ):
        done = run("happened", str(job), *what)
        assert why in str(done.exception or "") + done.output, what
    assert listed(job)["happenings"] == []


def test_taking_back_needs_a_reason_and_something_to_take(job: Path) -> None:
    done = run("happened", str(job), "--take-back", "no")
    assert "nothing to take back" in str(done.exception)
    done = run("tighten", str(job), typed="146\nu\nu wrong line\nq\n")
    assert "say why, such as" in done.output
    assert (
        "Taken back: the pull of fastener 1 at stage 1: within. It stays on the log." in done.output
    )
    assert listed(job)["last"] is None


def test_a_program_is_told_what_is_open_and_answers(job: Path) -> None:
    typed = (
        "! strip felt=thread\nd\nmaker swarf in the hole\n\nswarf in the hole\nrepaired page 3\nq\n"
    )
    done = run("tighten", str(job), "--json", typed=typed)
    told = [json.loads(line) for line in done.output.splitlines() if line.startswith("{")]
    dues = [one["due"]["due"] for one in told if "due" in one]
    assert dues[0] == "loosen"
    assert {"maker_thread", "look"} <= set(dues)
