"""Sentences of the pages that use the drawer: choosing, covering, entering, looking over."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

DRAWER_WORK: Mapping[str, Words] = MappingProxyType(
    {
        "dw_choose": words("Which wrench for a torque"),
        "dw_coverage": words("What the drawer covers"),
        "dw_by_feel": words("Wrench or feel"),
        "dw_look_over": words("Before buying, borrowing, pulling"),
        "dw_keep": words("Calibrate or replace"),
        "dw_new": words("Enter a tool"),
        "dw_ask": words("Show"),
        "dw_torque": words("Torque with its unit, such as 45 N·m"),
        "dw_within": words("Limits either way, percent (may stay empty)"),
        "dw_harm": words("If the joint fails"),
        "dw_harm_1": words("life or limb depends on it"),
        "dw_harm_2": words("the machine breaks down"),
        "dw_harm_3": words("it is an annoyance"),
        "dw_direction": words("The fastener turns"),
        "dw_cw": words("clockwise"),
        "dw_ccw": words("anticlockwise"),
        "dw_card": words("Setting card"),
        "dw_aloud": words("Say it aloud"),
        "dw_fits": words("fits"),
        "dw_fits_not": words("does not fit"),
        "dw_covered": words("covered"),
        "dw_gaps": words("Covered badly or not at all"),
        "dw_no_gaps": words("Every stage of every job is covered well."),
        "dw_all": words("All stages that need a tool"),
        "dw_overlaps": words("Wrenches that do nearly the same"),
        "dw_best_addition": words("The best single addition"),
        "dw_stage": words("Stage"),
        "dw_how": words("How"),
        "dw_left_out": words("Job files left out"),
        "dw_feel_about": words(
            "Torque by feel is no shame where nothing but annoyance follows. This sort says where "
            "it is, and where it is not; it rests on common practice."
        ),
        "dw_feel_sort": words("Joints by harm"),
        "dw_feel_jobs": words("The joints of this workshop"),
        "dw_feel_limits": words("Limits of this rule"),
        "dw_feel_stated": words("the procedure gives a torque or an angle"),
        "dw_feel_yield": words("it is pulled to yield, or by an angle"),
        "dw_feel_soft": words("thread in aluminium, magnesium or plastic"),
        "dw_feel_gasket": words("a soft gasket or seal lies between"),
        "dw_feel_diameter": words("Thread diameter, mm (may stay empty)"),
        "dw_moment": words("The wrench is"),
        "dw_moment_new": words("new: is it the right one?"),
        "dw_moment_used": words("used, and offered to me"),
        "dw_moment_borrowed": words("borrowed"),
        "dw_moment_job": words("mine, and the job begins: one minute"),
        "dw_kind": words("Kind"),
        "dw_kind_any": words("any"),
        "dw_tool": words("Tool"),
        "dw_tick": words("Tick what you looked at and found right."),
        "dw_note": words("Remark (may stay empty)"),
        "dw_keep_check": words("Put the check on the log"),
        "dw_keep_about": words(
            "All figures are yours, in your own currency. Plain arithmetic, no interest."
        ),
        "dw_calibration": words("One calibration costs"),
        "dw_new_costs": words("A new wrench with certificate costs"),
        "dw_repair": words("Repair needed first"),
        "dw_chance": words("Chance that it comes back unfit, 0 to 1"),
        "dw_every": words("Months from one calibration to the next"),
        "dw_old_lasts": words("Years the old one will serve"),
        "dw_new_lasts": words("Years a new one will serve"),
        "dw_new_about": words(
            "Seven fields are enough for a wrench; a bar or ratchet needs the first three. Copy "
            "what stands on the tool. What you do not know stays empty."
        ),
        "dw_title": words("What you call it"),
        "dw_drive": words("Its square"),
        "dw_unit": words("Unit engraved on its scale"),
        "dw_low": words("Lowest main mark"),
        "dw_high": words("Highest main mark"),
        "dw_main_step": words("From main mark to main mark (of a display: its smallest step)"),
        "dw_more": words("More, if you know it"),
        "dw_fine_step": words("One mark of the sleeve, or one fine mark"),
        "dw_both": words("works both ways"),
        "dw_step_deg": words("Smallest step of angle it shows, degrees"),
        "dw_length": words("From the square to the grip mark, mm"),
        "dw_serial": words("Serial number"),
        "dw_put_in": words("Put it into the drawer"),
        "dw_paper": words("Keep a photograph or certificate"),
        "dw_paper_about": words(
            "What counts is the content of the file. A photograph is made small enough on this "
            "device; a certificate above 200,000 bytes goes in by the command drawer attach."
        ),
        "dw_paper_kind": words("It is"),
        "dw_photograph": words("a photograph"),
        "dw_certificate": words("a certificate"),
        "dw_paper_file": words("File"),
        "dw_paper_keep": words("Keep it"),
        "dw_take_other": words("Take another tool for this stage"),
        "dw_reason": words("Reason, for the record"),
        "dw_take_it": words("Take it"),
        "dw_taken": words("Taken against the plan:"),
        "dw_read_back": words("Let a second person read the scale"),
        "dw_read_about": words(
            "Hide the card. They read by themselves what stands on the wrench, and enter it."
        ),
        "dw_read": words("What stands on the scale"),
        "dw_read_unit": words("In which unit"),
        "dw_compare": words("Compare"),
        "dw_choose_tool": words("Tool"),
    }
)
"""Of the templates of these pages."""
