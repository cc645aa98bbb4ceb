"""Sentences of the pages of the shelf and of their scripts."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

SHELF: Mapping[str, Words] = MappingProxyType(
    {
        "procedures": words("Procedures"),
        "shelf_about": words(
            "Written procedures kept for reuse, each with its source and versions. A job names the "
            "exact version it is worked by."
        ),
        "shelf_on": words("This version on the shelf"),
        "shelf_new": words("New procedure"),
        "shelf_word": words("Words of title, source or text"),
        "shelf_find": words("Find"),
        "shelf_none": words("The shelf is empty."),
        "shelf_not_found": words("No procedure holds these words."),
        "shelf_all": words("All procedures"),
        "shelf_version": words("Version"),
        "shelf_newest_not": words("There is a newer version."),
        "shelf_by": words("Entered by"),
        "shelf_compared": words("Compared with its source by"),
        "shelf_open": words("Open, so no job can use it before a new version settles it:"),
        "shelf_compared_not": words("No second person has compared it with its source yet."),
        "shelf_work": words("The work goes by"),
        "shelf_text": words("The text, each figure marked by what it became"),
        "shelf_marks": words("What each mark is"),
        "shelf_settled": words("What was asked, and what was chosen"),
        "shelf_chosen": words("chosen"),
        "shelf_chosen_not": words("not chosen"),
        "shelf_pages": words("The page it was taken from"),
        "shelf_versions": words("Versions"),
        "shelf_changed": words("What changed"),
        "shelf_changed_text": words("The text changed:"),
        "shelf_from_to": words("to"),
        "shelf_make_version": words("Make a new version"),
        "shelf_hash": words("SHA-256 of the content"),
        # a job's open question
        "settle_it": words("Settle it first"),
        "settle_about": words(
            "The procedure of this job can be read in more than one way. Your choice stands in the "
            "record, with the question and all readings."
        ),
        # pasting
        "paste_text": words("The procedure as it is printed"),
        "paste_hint": words("Paste or type it whole: steps, units, notes on oil and new bolts."),
        "paste_language": words("Language of the text"),
        "paste_fastener": words("The fastener, if you know it"),
        "paste_fastener_about": words(
            "Then a question says what each answer would do to it. It is not kept with the "
            "procedure."
        ),
        "paste_thread": words("Thread, such as M10 or 3/8-24 UNF"),
        "paste_strength": words("Strength class"),
        "paste_head": words("Head or nut"),
        "paste_hole": words("Clearance hole"),
        "paste_hole_fine": words("fine"),
        "paste_hole_medium": words("medium"),
        "paste_hole_coarse": words("coarse"),
        "paste_friction": words("Threads and faces are"),
        "paste_unknown": words("not known"),
        "paste_read": words("Read it"),
        "keep": words("Keep it"),
        "keep_title": words("What it is for"),
        "keep_source": words("Taken from: manual, sheet or label"),
        "keep_more": words("Page, edition, date"),
        "keep_edition": words("Edition"),
        "keep_page": words("Page or section"),
        "keep_date": words("Date of the source"),
        "keep_by": words("Your name"),
        "keep_file": words("Photograph or PDF of the page"),
        "keep_it": words("Put it on the shelf"),
        # a version
        "confirm": words("Second reader"),
        "confirm_about": words(
            "Another person than the one who entered it compares text, steps and source."
        ),
        "confirm_it": words("It is as the source has it"),
        "use": words("Use it in a job"),
        "use_title": words("What is done"),
        "use_machine": words("Machine"),
        "use_pattern": words("How the fasteners sit"),
        "use_circle": words("in a circle"),
        "use_row": words("in a row"),
        "use_grid": words("in rows and columns"),
        "use_single": words("one alone"),
        "use_count": words("How many"),
        "use_diameter": words("Pitch circle, mm"),
        "use_pitch": words("From one to the next, mm"),
        "use_rows": words("Rows"),
        "use_columns": words("Columns"),
        "use_pitch_x": words("From one to the next in a row, mm"),
        "use_pitch_y": words("From row to row, mm"),
        "use_harm": words("If this joint fails"),
        "use_rules": words("Your limits for figures stated without any"),
        "use_torque": words("Torque, ± %"),
        "use_angle": words("Angle, ± degrees"),
        "use_begin": words("Begin"),
    }
)
"""Of the templates."""

SHELF_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "reading_it": words("Reading …"),
        "understood": words("What was understood"),
        "certain": words("Certain already"),
        "understood_none": words("No step is certain before this is settled."),
        "the_work": words("The work goes by"),
        "which": words("Step {number}: which one is meant?"),
        "as_it_stands": words("Is it meant as it stands here?"),
        "why_asked": words("This must be settled by you:"),
        "cannot_choose": words(
            "No choice can settle it: the text itself must say it. Look into the source, change "
            "the text, and read it again."
        ),
        "stay_open": words("Keep it as text, with its open point"),
        "stays_open": words(
            "It is kept as text. No job can use it before a new version settles the open point."
        ),
        "chosen": words("You chose: {answer}"),
        "choose_again": words("Choose again"),
        "marks": words("What each mark is"),
        "marked": words("Your text, each figure marked"),
        "too_long": words("The text has {count} characters; at most {limit} are taken."),
        "too_large": words("{name} is larger than {limit} MB."),
        "too_many": words("At most {limit} files are attached to a procedure."),
        "file_kept": words("{name} is kept."),
        "keeping": words("Keeping …"),
        "beginning": words("Beginning …"),
        "settle_first": words("Settle the open question first: nothing is kept before."),
        "read_first": words("Read the text first."),
    }
)
"""Of the scripts; plain fields only."""
