"""Sentences of the pages of practice."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

WHAT_IF_FIELDS: Mapping[str, Words] = MappingProxyType(
    {
        "circle": words("Fasteners on a circle: how many"),
        "diameter": words("Diameter of the circle"),
        "row": words("Or in a row: how many"),
        "grid": words("Or in rows and columns, such as 2x5"),
        "pitch": words("Between neighbours"),
        "pitch_across": words("Between the rows"),
        "points": words("Or anywhere, in mm: 0,0; 80,0; 40,60"),
        "thread": words("Thread, such as M10"),
        "strength": words("Strength class, such as 8.8"),
        "head": words("Head or nut turned, such as ISO 4014/4017"),
        "hole": words("Clearance hole: fine, medium or coarse"),
        "grip": words("Grip: what is clamped, under the head"),
        "friction": words("Friction: a condition such as oiled"),
        "torque": words("Torque, or snug torque where an angle follows"),
        "angle": words("Then turned by, degrees"),
        "order": words("Order, such as 1,4,2,3"),
        "shares": words("Passes in percent, such as 30,60,100"),
        "wrench": words("The wrench may be off by ± percent"),
        "thickness": words("Thickness of flange, strip or cover"),
        "width": words("Width of a ring or strip"),
        "modulus": words("Modulus of the flange"),
        "gasket_modulus": words("Modulus of the gasket"),
        "gasket_thickness": words("Thickness of the gasket"),
        "flanges": words("Flanges that bend: 1 or 2"),
        "beyond": words("How far the cover reaches beyond the outer fasteners"),
        "if_friction": words("Changed: friction"),
        "if_torque": words("Changed: torque"),
        "if_angle": words("Changed: turned by, degrees"),
        "if_order": words("Changed: order"),
        "if_shares": words("Changed: passes in percent"),
        "if_wrench": words("Changed: the wrench is off by ± percent"),
    }
)
"""Fields of a question "what would happen if", as they are called in messages too."""

PRACTICE: Mapping[str, Words] = MappingProxyType(
    {
        "practice": words("Practice"),
        "practice_train": words("Train how far off you are by feel"),
        "practice_about": words(
            "Train the feel, and see what friction, angle and order do to the clamp load. Nothing "
            "here enters the log of the workshop, and no record of a job knows of it."
        ),
        "practice_lessons": words("Lessons"),
        "practice_free": words("One more"),
        "practice_feel": words("Pull by hand"),
        "practice_feel_about": words(
            "Pull to what you think is a torque, then read the beam. See how far off you are."
        ),
        "practice_aim": words("Torque to aim at, in any unit"),
        "practice_begin": words("Begin"),
        "practice_clamp": words("Estimate a clamp load"),
        "practice_fault": words("Find a fault"),
        "practice_what_if": words("What would happen if"),
        "practice_who": words("Class and learner"),
        "practice_who_about": words(
            "Give both and answers are kept for the class. A number or a nick-word will do; no "
            "name is needed. Leave both empty to practise without keeping anything."
        ),
        "practice_class": words("Class, such as evening-2026"),
        "practice_learner": words("Number or nick-word"),
        "practice_as": words("Go on as this learner"),
        "practice_classes": words("Classes"),
        "practice_no_class": words("No class has answered anything yet."),
        "practice_classes_hidden": words("Sign in to see the classes and what they have done."),
        "practice_sheet": words("Sheet to hand out (PDF)"),
        "practice_broken": words("This lesson cannot be taken:"),
        "practice_exercises": words("Exercises"),
        "practice_wall": words("For the wall"),
        "practice_wall_off": words("Back to the ordinary page"),
        "practice_answer": words("That is my answer"),
        "practice_again": words("Another try"),
        "practice_next": words("Next exercise"),
        "practice_go_on": words("Change something else"),
        "practice_back": words("Back to the lesson"),
        "practice_other": words("Another one"),
        "practice_result": words("What came of it"),
        "practice_points": words("of 100 points"),
        "practice_caution": words(
            "Practise on a joint that is meant for it, in a vice that holds, with a sound tool. "
            "Never on a machine that is to be used."
        ),
        "practice_reached": words("Torque you reached, with its unit"),
        "practice_length": words("Length of the wrench, square to grip (may stay empty)"),
        "practice_posture": words("How you stood"),
        "practice_no_posture": words("not noted"),
        "practice_low": words("9 of 10 such fasteners lie above"),
        "practice_high": words("and below"),
        "practice_interval_about": words(
            "Say what you believe. Too narrow costs points where fasteners fall outside, too wide "
            "costs them for saying little: on average nobody does better than with an honest "
            "interval."
        ),
        "practice_said": words("What is it?"),
        "practice_program": words("What the program reads from the curve"),
        "practice_trace": words("Torque over the angle the fastener turned"),
        "practice_foresee": words("What do you expect? Which fastener, which way, how much?"),
        "practice_you_said": words("You expected:"),
        "practice_bias": words("On average"),
        "practice_scatter": words("Scatter from pull to pull"),
        "practice_tries": words("Tries"),
        "practice_your_tries": words("Your tries so far"),
        "practice_against": words("Would it do?"),
        "practice_stage": words("Stage"),
        "practice_inside": words("Tries inside"),
        "practice_chance": words("Chance of the next pull"),
        "practice_by_length": words("By length of the wrench"),
        "practice_by_posture": words("By posture"),
        "practice_apart": words("Against the row with most tries"),
        "practice_download": words("Take the results along"),
        "practice_csv": words("Table (CSV)"),
        "practice_json": words("JSON"),
        "practice_learners": words("Learners"),
        "practice_faults_right": words("Faults found"),
        "practice_estimates": words("Estimates, points"),
        "practice_held": words("Intervals held"),
        "practice_foreseen": words("Foreseen"),
        "practice_of_class": words("Tries of the class"),
        "practice_nothing": words("Nobody of this class has answered anything yet."),
        "practice_erase": words(
            "To erase a class or one learner: clampwright practice forget CLASS --learner NAME."
        ),
        "practice_planned": words("as planned"),
        "practice_changed": words("with the change"),
        "practice_what_if_about": words(
            "A joint as it is planned, and the same with something changed. What is left empty "
            "under “changed” stays as planned. The address holds the whole question: pass it on."
        ),
        "practice_places": words("Where the fasteners are"),
        "practice_fastener": words("The fastener"),
        "practice_plan": words("As planned"),
        "practice_change": words("What would happen if …"),
        "practice_soft": words("What lies between them (leave empty for hard faces)"),
        "practice_look": words("Look what happens"),
        "practice_paper": words("Paper (PDF)"),
        "practice_example": words("Fill in an example"),
        "practice_each": words("Every fastener"),
        "practice_taken_so": words("Taken so"),
        "practice_conditions": words("Conditions of friction"),
    }
)

PRACTICE_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "live_highest": words("highest {value}"),
        "peak_age": words("{age} s old"),
        "live_take": words("Take the highest"),
        "peak_stale": words("too old to be taken"),
    }
)
"""Sentences of the script that shows a live value."""

KEPT: Mapping[str, Words] = MappingProxyType(
    {
        "new": words("Kept for the class."),
        "known": words("This answer was kept before."),
        "nobody": words("Not kept: no class and learner are given."),
    }
)
"""What became of an answer."""
