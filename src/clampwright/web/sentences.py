"""Sentences of the pages and of their scripts, so that they stand in the catalogue like all others.

Templates of `SCRIPT` are filled on the device: plain ``{name}`` fields only, no format codes.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

PAGE: Mapping[str, Words] = MappingProxyType(
    {
        "jobs": words("Jobs"),
        "jobs_none": words("This workshop has no jobs yet: put a job file into its folder jobs."),
        "open_it": words("Begin this job"),
        "open_in_spite": words("Begin in spite of what is to be settled"),
        "to_bench": words("To the bench"),
        "no_figure": words("No figure?"),
        "audit": words("Try the torque"),
        "job_papers": words("Photographs and papers"),
        "handed": words("Between workshops"),
        "apart": words("Take apart"),
        "preparation": words("Before the first pull"),
        "look_at_plan": words("Plan"),
        "record": words("Record"),
        "invented": words("Invented for demonstration: not for any real machine."),
        "maker": words(
            "The manufacturer's information comes first wherever it differs. A verdict tells "
            "what was read of a pull; it never says that a joint is safe."
        ),
        "life": words(
            "Life or limb depends on this joint: follow the manufacturer's information, and let a "
            "second person look."
        ),
        "skip": words("To the content"),
        "places": words("All pages"),
        "places_work": words("Work"),
        "places_tools": words("Tools"),
        "places_reckoning": words("Reckoning"),
        "places_proof": words("Proof"),
        "places_devices": words("Devices"),
        "look": words("Look"),
        "look_system": words("as the device"),
        "look_light": words("day"),
        "look_dark": words("night"),
        "look_strong": words("strongest contrast"),
        "language": words("Language"),
        "language_asked": words("as the device asks"),
        "findings": words("To be settled or known first"),
        "findings_none": words("The check found nothing to ask."),
        "question": words("Ask:"),
        "why_matters": words("Why this matters"),
        "to_expect": words("What to expect"),
        "narrowing": words("What would narrow the clamp load after the last stage most:"),
        "formulas": words("Formulas"),
        "formulas_about": words(
            "Published relations: fill in what you know in any unit, and see the result, its "
            "source and where it holds."
        ),
        "formulas_word": words("A word, such as torque"),
        "formulas_find": words("Find"),
        "formulas_all": words("All formulas"),
        "formula_type": words("The formula"),
        "formula_result": words("Result"),
        "formula_inputs": words("Fill in"),
        "formula_units": words(
            "Each value with its unit, such as 25 kN or 18 ft-lb; decimal point or comma."
        ),
        "formula_parts": words("Or name the parts"),
        "formula_parts_about": words(
            "Dimensions and strengths that the tables know then stand in for empty fields. "
            "Friction never does."
        ),
        "formula_band": words("Band, 5 to 95 %"),
        "formula_u": words("standard uncertainty"),
        "formula_part": words("Adds"),
        "formula_share": words("Of the variance"),
        "formula_doubt": words("How uncertain the inputs are"),
        "formula_doubt_about": words(
            "Standard uncertainties, as a share (10 %) or with a unit. What cannot be negative "
            "varies by factors (log-normally), anything else normally."
        ),
        "formula_together": words(
            "Inputs that go up and down together, as mu_thread,mu_bearing; or with their "
            "correlation, as mu_thread,mu_bearing=0.8; several with ; between"
        ),
        "formula_mark": words("Decimal mark of your numbers"),
        "formula_mark_either": words("either, where it is clear"),
        "formula_mark_point": words("point, as in 12.5"),
        "formula_mark_comma": words("comma, as in 12,5"),
        "formula_show_in": words("Show the result in another unit"),
        "formula_compute": words("Compute"),
        "formula_example": words("Fill in the example"),
        "formula_input": words("Input"),
        "formula_effects": words("What 10 % less or more of one input does to"),
        "formula_rivals": words("Other relations for the same, with these values"),
        "formula_used": words("Values it was computed with"),
        "formula_limits": words("Where it holds, and whose it is"),
        "formula_in_line": words("In one line:"),
        "lines": words("Lines of a device"),
        "lines_about": words(
            "A wrench, a logger or a sensor of your own that sends a line for each sample: say "
            "what stands where, and try it on some lines. Nothing is kept."
        ),
        "lines_form": words("What stands where"),
        "lines_form_about": words(
            "Parts with semicolons between, or a TOML file. A number says which field it is, "
            "counted from 1; a text, such as T=, stands just before the figure; then the unit; a "
            "minus at the end turns the sign. Decimal point and comma are both read."
        ),
        "lines_sample": words("Some lines, as they come"),
        "lines_try": words("Try it"),
        "lines_read": words("Read so"),
        "lines_time": words("Time, s"),
        "lines_torque": words("Torque, N·m"),
        "lines_angle": words("Angle, °"),
        "lines_use": words("When it is right, use it on this computer:"),
        "procedure": words("Procedure as written"),
        "source": words("Source"),
        "source_none": words("source not stated"),
        "while": words("While:"),
        "take": words("Take"),
        "set": words("Set"),
        "setting_card": words("Setting card"),
        "why_tool": words("Why this tool, and why not another"),
        "fits": words("fits"),
        "fits_not": words("does not fit"),
        "reach": words("Reaching the fasteners:"),
        "record_about": words(
            "A record is signed when it is fetched: it shows what was written and by whose key, "
            "not that a reading was true."
        ),
        "record_pdf": words("Paper (PDF)"),
        "record_json": words("To verify (JSON)"),
        "record_txt": words("To read (text)"),
        "back_to_jobs": words("To the jobs"),
        "api_about": words(
            "The addresses a program can use. The full description is OpenAPI, as JSON:"
        ),
        "api": words("API"),
        "no_script": words("The bench needs JavaScript: without it nothing can be taken."),
        "bench": words("Bench"),
        "plan": words("Plan"),
        "readings": words("It can be read as:"),
    }
)
"""Of the templates."""

SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        # where it stands
        "stage_of": words("Stage {stage} of {stages}"),
        "fastener": words("Fastener {number}"),
        "whole_joint": words("The whole joint"),
        "left": words("{here} left in this stage, {all} in all"),
        "next_is": words("Then {list}"),
        "next_one": words("{number} ({place})"),
        "next_last": words("This is the last pull."),
        "take_tool": words("Take: {tool}"),
        "take_hand": words("By hand"),
        "set_to": words("Set: {setting}"),
        "while": words("While: {condition}"),
        "turn_cw": words("clockwise"),
        "turn_ccw": words("counter-clockwise"),
        "left_hand": words("Left-hand thread: the other way from usual."),
        "card": words("Setting card"),
        "aloud": words("Say it aloud"),
        "close": words("Close"),
        # answers
        "clicked_moved": words("Clicked, it moved"),
        "clicked_still": words("Clicked, stood still"),
        "clicked_not": words("No click"),
        "what_read": words("What did you read?"),
        "what_angle": words("Degrees turned"),
        "take_value": words("Take this value"),
        "take_angle": words("Take this angle"),
        "done": words("Done"),
        "waited": words("It was done: go on"),
        "big_keys": words("Keys"),
        "delete_digit": words("Delete last"),
        "mark": words("Decimal mark"),
        "number_needed": words("Type the figure you read, such as 44.5 or 44,5."),
        "unit_of_scale": words("Scale that was read"),
        "records": words("It records. Or: {question}"),
        "simulate": words("Simulated pull"),
        # before a pull
        "prepare_first": words("Before the first pull"),
        "prepare_about": words(
            "Life or limb depends on this joint: {count} points of the preparation list are open."
        ),
        "prepare_more": words("and {count} more"),
        "prepare_list": words("Go through the list"),
        "hold_title": words("Hold: {joint}"),
        "hold_wanted": words("Wanted: {limits}"),
        "hold_misfit": words("{answer} does not fit: put it right, then answer again."),
        "yes": words("Yes"),
        "no": words("No"),
        "prepare_open": words("Preparation: {count} open"),
        # sending
        "sending": words("Kept here. Sending …"),
        "unsent_none": words("All sent"),
        "unsent": words("{count} not sent yet"),
        "send_now": words("Send now"),
        "kept": words("Kept here, will be sent"),
        "kept_why": words("The server does not answer. Nothing is lost; keep this page."),
        "kept_busy": words("The server cannot take it just now: {why}"),
        "not_judged": words("Not judged yet: the verdict of the workshop follows."),
        "here_inside": words("Compared here: inside the limits ({limits})."),
        "here_outside": words("Compared here: outside the limits ({limits}). Look again."),
        "here_not": words("It cannot be compared here."),
        "not_kept": words(
            "This browser keeps nothing between visits: leave the page open until all is sent."
        ),
        "refused": words("Not taken"),
        "refused_kept": words("Put aside, it is kept on the log as an open point."),
        "put_aside": words("Read: put it aside"),
        "aside": words("{count} put aside on this device"),
        "aside_line": words("{what}: {why}"),
        "moved_on": words("Another page or the terminal has gone on. This is the next pull."),
        "away_view": words("The map can be turned when the server answers again."),
        "sent_all": words("All sent. What was kept here is on the log."),
        "offline": words("No answer from the server"),
        # verdict
        "go_on": words("Go on"),
        "again": words("On with this fastener"),
        "enter_again": words("Enter or pull again"),
        "why": words("Why"),
        "what_now": words("What now"),
        "chart": words("The pull as a curve"),
        "chart_time": words("The pull over time"),
        "verdict_of": words("Fastener {number}:"),
        # something happened
        "happened": words("Something happened"),
        "happened_what": words("What happened?"),
        "restart": words("Loosened fully: start it again"),
        "restart_about": words(
            "Fastener {number} begins its stages anew. Its earlier pulls stay on the log, void."
        ),
        "renewed": words("A new fastener was fitted"),
        "accept": words("Go on in spite of it"),
        "accept_about": words("Verdict and reason stay in the record."),
        "other_tool": words("Take another tool"),
        "other_tool_about": words("Fit for this stage:"),
        "reason": words("Reason"),
        "reason_needed": words("Give the reason: it stands in the record."),
        "reason_too_far": words("It went too far"),
        "reason_slipped": words("The socket slipped"),
        "reason_wrong": words("Wrong tool or setting"),
        "reason_interrupted": words("Interrupted, mark lost"),
        "reason_checked": words("Checked by another reading"),
        "reason_responsible": words("The responsible person decided"),
        "reason_other": words("Other reason, in words"),
        "note_it": words("Note it"),
        "restarted": words("Fastener {number} starts its stages again."),
        "nothing_open": words("There is no open verdict to go on from."),
        # live
        "live_torque": words("{torque} {unit}"),
        "live_angle": words("{angle}°"),
        "live_part": words("{percent} % of the goal"),
        "live_age": words("{age} s ago"),
        "live_stale": words("No value for {age} s: not to be trusted"),
        "live_end": words("The pull has ended; it is being judged …"),
        "live_waiting": words("The pull is recorded and kept: {why}"),
        "live_from": words("Live from the wrench"),
        # the map
        "larger_map": words("Map of the joint: show it larger"),
        "turn_map": words("turn"),
        "turn_map_about": words("Turn the map a quarter, to where you stand"),
        "mirror_map": words("mirror"),
        "mirror_map_about": words("Mirror the map, as reached from behind"),
        "map_now": words("now"),
        "map_here": words("kept here"),
        # the end
        "all_done": words("All pulls are done"),
        "all_done_about": words("The record can be made. Close the job when nothing is missing."),
        "close_job": words("Close this job"),
        "closed": words("This job is closed"),
        "to_record": words("To the record"),
        "to_jobs": words("To the jobs"),
        "to_care": words("Put the tools away"),
        "due_about": words("Come back to this job when it has been done."),
        # jobs
        "opening": words("Opening …"),
        "not_possible": words("Not possible: {why}"),
    }
)
"""Of the scripts."""
