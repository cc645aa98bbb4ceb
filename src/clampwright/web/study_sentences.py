"""Sentences of the pages on which a person studies passes and tests friction."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

PASS_FIELDS: Mapping[str, Words] = MappingProxyType(
    {
        "circle": words("Fasteners on a circle, how many"),
        "diameter": words("Diameter of the circle"),
        "row": words("Fasteners in a row, how many"),
        "grid": words("Rows and columns of a grid, as 2x5"),
        "pitch": words("Distance between neighbours of a row"),
        "pitch_across": words("Distance between the rows of a grid"),
        "points": words("Or their places in mm, as 0,0; 80,0; 40,60"),
        "thickness": words("Thickness of flange, strip or cover"),
        "width": words("Width of flange ring or strip"),
        "beyond": words("How far strip or cover reach beyond the outermost fasteners"),
        "modulus": words("Young's modulus of the flange"),
        "gasket_modulus": words("Modulus of the gasket, unloading"),
        "gasket_thickness": words("Thickness of the gasket"),
        "flanges": words("Flanges: 1 on a rigid part, or 2 equal ones"),
        "resilience": words("Resilience of a fastener and what is pressed under its head, mm/N"),
        "target": words("Clamp load aimed at"),
        "shares": words("Shares of it pass by pass, in percent, as 30,60,100"),
        "order": words("An order of yours, as 1,4,2,3"),
        "scatter": words("Scatter between fasteners, percent"),
        "u_clamp": words("Standard uncertainty of one measured clamp load"),
        "measured": words("Clamp loads measured after each pull, as a table"),
        "matrix": words("The interaction matrix as a table"),
    }
)
"""Fields of the page of passes, as they are called in messages too."""

FRICTION_FIELDS: Mapping[str, Words] = MappingProxyType(
    {
        "thread": words("Thread tested, such as M10"),
        "bolt": words("Bolt standard, such as ISO 4014"),
        "hole": words("Clearance hole"),
        "bearing": words("Or the effective diameter of the sliding face"),
        "prevailing": words("Prevailing torque as measured, if it was"),
        "scatter": words("Scatter between fasteners in percent, with fewer than 3 tested"),
        "save": words("Name to keep it under, such as bench-paste"),
        "title": words("What the condition is, in words"),
        "by": words("Who made the test"),
        "date": words("Day of the test, as 2026-05-01"),
    }
)

STUDY: Mapping[str, Words] = MappingProxyType(
    {
        "passes": words("Orders and passes"),
        "passes_about": words(
            "Tightening one fastener takes clamp load from its neighbours. Fill in what you know: "
            "the geometry, or clamp loads measured after each pull. Lengths, stresses and forces "
            "take any unit."
        ),
        "passes_where": words("Where the fasteners are"),
        "passes_between": words("What lies between them"),
        "passes_aim": words("What is aimed at"),
        "passes_measured": words("Or what you measured"),
        "passes_compare": words("Compare"),
        "passes_closing": words("One more pass at the end, by number"),
        "passes_example": words("Fill in an example"),
        "passes_orders": words("Orders compared, best first"),
        "passes_order": words("Order"),
        "passes_evenness": words("Smallest over largest, pass by pass"),
        "passes_least": words("Loosest, of target"),
        "passes_slack": words("Gone slack"),
        "passes_chart": words(
            "Clamp load of every fastener after each pull. Figure: the fastener pulled; broken "
            "line: what each pull aims at."
        ),
        "passes_settings": words("To end with all equal, tighten to, in turn, kN"),
        "passes_paper": words("Paper to take to the machine (PDF)"),
        "passes_right": words(
            "From geometry, what one fastener does to another is right to about half of it; clamp "
            "loads measured after each pull are better."
        ),
        "friction_page": words("Test your own friction"),
        "friction_about": words(
            "Tighten fasteners in a load cell or load washer and write down torque and clamp load "
            "on the way up. The test gives nut factor and friction, each with its uncertainty, and "
            "says when the line is not straight."
        ),
        "friction_table": words("Table with units in its header"),
        "friction_table_about": words(
            "Columns torque and clamp; thread torque and fastener are taken too. Copy it out of "
            "your table, with tabs, semicolons or commas between."
        ),
        "friction_parts": words("What was tested"),
        "friction_keep": words("Keep it for job files"),
        "friction_keep_about": words(
            "Leave the name empty to look only. A name once kept is not changed, for jobs rely on "
            "it."
        ),
        "friction_evaluate": words("Evaluate"),
        "friction_result": words("What the test says"),
        "friction_straight": words("The line is straight."),
        "friction_reach": words(
            "± is the standard uncertainty of the line; other lots of lubricant and parts differ "
            "more."
        ),
        "friction_chart": words("Torque over clamp load, with the line through each fastener"),
        "friction_conditions": words("Conditions that job files can name"),
        "friction_own": words("Of this workshop"),
        "friction_tables": words("Of the tables"),
    }
)
