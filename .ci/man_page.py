"""Build hook: the man page goes into the wheel as the command line of this very tree describes itself."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ManPage(BuildHookInterface):
    """Writes the page beside the wheel and names it among what goes to `share`."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Before the wheel is made."""
        sys.path.insert(0, self.root)
        from bench.cli import parser
        from bench.cli.man import man_page

        page = Path(self.directory) / "solderside.1"
        page.parent.mkdir(parents=True, exist_ok=True)
        page.write_text(man_page(parser()), encoding="utf-8")
        build_data["shared_data"][str(page)] = "share/man/man1/solderside.1"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Once the wheel is made."""
        (Path(self.directory) / "solderside.1").unlink(missing_ok=True)
