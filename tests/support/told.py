"""What the program says of a set of cases, held against what it said when somebody last read it through.

Cases and answers stand in `told/NAME.txt` beside the test, one to a line: `CASE -> ANSWER`. What differs was
changed by accident or on purpose: then `SOLDERSIDE_TELL=1 pytest FILE` writes the answers anew, also to cases
that were added as `CASE -> `, and the difference is to be read through.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from difflib import unified_diff
from pathlib import Path


def held(test: str, name: str, tell: Callable[[str], str], cases: Iterable[str] = ()) -> None:
    """Fail with what is told otherwise; `test` is the test's `__file__`, `cases` those that it knows itself."""
    file = Path(test).parent / "told" / f"{name}.txt"
    told = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    asked = list(cases) or [line.partition(" -> ")[0] for line in told]
    tells = [f"{case} -> {tell(case)}" for case in asked]
    if os.environ.get("SOLDERSIDE_TELL"):
        file.write_text("\n".join([*tells, ""]), encoding="utf-8")
    else:
        assert tells == told, "\n".join(unified_diff(told, tells, "told", "tells", lineterm="", n=0))
