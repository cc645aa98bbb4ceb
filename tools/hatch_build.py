"""The compiled translations are made when the package is built or installed for editing."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

sys.path.insert(0, str(Path(__file__).parent))

from translations import compile_all


class CompiledTranslations(BuildHookInterface):  # type: ignore[type-arg]  # its configuration is of no use here
    """Compiles ``.po`` to ``.mo`` before the files of a wheel are gathered."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002 - given by name
        """Compile what is missing or older than its source."""
        compile_all(Path(self.root) / "src" / "clampwright" / "locale")
