"""What the program says of a set of cases, held against what it said when somebody last read it through.

A test puts its cases into lines; they stand in `told/NAME.txt` beside it. What differs was changed by accident
or on purpose: then `SOLDERSIDE_TELL=1 pytest FILE` writes them anew, and the difference is to be read through.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from difflib import unified_diff
from pathlib import Path


def held(test: str, name: str, lines: Iterable[str]) -> None:
    """Fail with the lines that are told otherwise; `test` is the test's `__file__`."""
    file = Path(test).parent / "told" / f"{name}.txt"
    tells = list(lines)
    if os.environ.get("SOLDERSIDE_TELL"):
        file.write_text("\n".join([*tells, ""]), encoding="utf-8")
    told = file.read_text(encoding="utf-8").splitlines()
    assert tells == told, "\n".join(unified_diff(told, tells, "told", "tells", lineterm="", n=0))
