"""Sentences of the drawer's pages."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.drawer.cross_check import SAME_DEVICE
from clampwright.words import Words, words

DRAWER: Mapping[str, Words] = MappingProxyType(
    {
        "drawer": words("Drawer"),
        "drawer_about": words(
            "What you pull with, and how far to trust it today. The drawer file describes the "
            "tools; what happens to them stands in the log."
        ),
        "drawer_back": words("To the drawer"),
        "tool_is": words("What it is"),
        "tool_kind": words("Kind"),
        "tool_drive": words("Square"),
        "tool_scales": words("Scales"),
        "tool_standing": words("Calibration"),
        # what happened to a tool
        "tool_today": words("Today"),
        "tool_uses": words("Uses"),
        "tool_due": words("Due"),
        "tool_history": words("What happened to it"),
        "tool_history_none": words("Nothing is on the log yet."),
        "tool_report": words("Report (PDF)"),
        "tool_look_back": words("Look back over its pulls"),
        "tool_happened": words("Something happened to it"),
        "tool_happened_what": words("What happened"),
        "tool_happened_when": words("When"),
        "tool_happened_note": words("In your own words"),
        "tool_happened_count": words("How many uses, if it was used without the program"),
        "tool_happened_high": words("of them near its largest torque"),
        "tool_keep": words("Put it on the log"),
        "tool_enter": words("Enter a calibration from its certificate"),
        "tool_enter_about": words(
            "One line for each point: what was set = what the device measured, such as 60 = 62.1; "
            "or the deviation, such as 60 = -3.4 %. Write cw or ccw behind it where it works both "
            "ways."
        ),
        "tool_found": words("As found, before any adjustment"),
        "tool_left": words("As left, if it was adjusted"),
        "tool_unit": words("Unit of the points"),
        "tool_uncertainty": words("Expanded uncertainty, percent"),
        "tool_k": words("Coverage factor k"),
        "tool_months": words("Valid for, months"),
        "tool_certificate": words("Number of the certificate"),
        "tool_by": words("Who calibrated"),
        "tool_compare": words("Check it against a trusted tool"),
        "tool_compare_about": words(
            "Pull both on the same thing, five times at about one torque; one line for each pull: "
            "what this tool showed = what the trusted one showed, such as 40 = 40.3."
        ),
        "tool_trusted": words("Trusted tool"),
        "tool_pairs": words("Pairs"),
        "tool_direction": words("Direction"),
        "tool_same_device": words(
            "Both were calibrated on the same device (counts as a correlation of {half:g}: our own "
            "choice, no source)",
            half=SAME_DEVICE,
        ),
        "tool_checks": words("Its checks over time"),
        "tool_calibrate": words("Calibrate it here"),
        # performing a calibration
        "cal_steps": words("The sequence"),
        "cal_source": words("Where it comes from:"),
        "cal_reference": words("What it is compared with"),
        "cal_device": words("Test device of the drawer"),
        "cal_device_none": words("another device, or a hung weight"),
        "cal_uncertainty": words("Its expanded uncertainty, percent"),
        "cal_weight": words("Or a hung weight and a lever: then write masses in kg as readings"),
        "cal_lever": words("Lever, from the square to where it hangs, mm"),
        "cal_latitude": words("Latitude of the place, degrees"),
        "cal_height": words("Height above the sea, m"),
        "cal_carrier": words("What hangs besides, kg"),
        "cal_readings": words("Readings, with spaces between"),
        "cal_rule": words("Decision rule"),
        "cal_rule_simple": words("simple: the uncertainty is not looked at"),
        "cal_rule_guarded": words("guarded: with a guard band of two standard uncertainties"),
        "cal_rule_probability": words("probability: at least 95 % sure"),
        "cal_not_accredited": words("What comes out is no accredited certificate."),
        # when
        "due": words("Due"),
        "due_about": words(
            "By the calendar, by uses, by uses near the largest torque, by drift, and after what "
            "happened: the earliest counts."
        ),
        "due_calendar": words("Calendar file with reminders"),
        # looking back
        "back_decide": words("What is to be done"),
        "back_fine": words("leave it"),
        "back_recheck": words("check it again"),
        "back_redo": words("do it again"),
        "back_reason": words("Why"),
        "back_keep": words("Decide"),
        "back_letter": words("Letter to the owner"),
        "back_none": words("No pull with it lies in the window."),
        "back_maker": words(
            "What becomes of a joint is for the responsible person to decide; the manufacturer's "
            "information comes first."
        ),
        "back_pulls": words("All its pulls"),
        # care
        "care": words("Put the tools away"),
        "care_about": words("What the tools of this job want before they go back into the drawer."),
        "care_done": words("Done"),
        "care_ticked": words("done today"),
        "care_none": words("No tool of this job asks for anything."),
        "care_to_job": words("To the job"),
        # people
        "study": words("Two people, one tool"),
        "study_about": words(
            "Two people read the same parts with the same tool, each part at least twice. One line "
            "for each reading: person, part, trial, value."
        ),
        "study_readings": words("Readings"),
        "study_do": words("Evaluate"),
    }
)
"""Of the drawer's templates."""
