"""Worked examples that need more than one relation, by name; inputs in the library's own units.

Every case takes the inputs that its row of a sheet gives and returns a number, or several by name.
Whatever a named thread or bolt brings along and the case does not need is passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import clampwright.validation.cases.guides as guides_cases
import clampwright.validation.cases.interaction as interaction_cases
import clampwright.validation.cases.joint as joint_cases
import clampwright.validation.cases.readings as readings_cases
import clampwright.validation.cases.scatter as scatter_cases
import clampwright.validation.cases.textbook as textbook_cases
import clampwright.validation.cases.tools as tools_cases
import clampwright.validation.cases.turning as turning_cases

MODULES = (
    joint_cases,
    turning_cases,
    interaction_cases,
    scatter_cases,
    textbook_cases,
    guides_cases,
    tools_cases,
    readings_cases,
)

CASES: Mapping[str, Callable[..., Any]] = {
    name: function
    for module in MODULES
    for name, function in vars(module).items()
    if callable(function)
    and getattr(function, "__module__", "") == module.__name__
    and not name.startswith("_")
}
