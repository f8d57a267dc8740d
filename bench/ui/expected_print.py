"""What stands in print on a part: as the kit says it, else what capacitors usually bear; pure."""

from __future__ import annotations

from bench.parts.printed_values import usual_prints
from bench.ui.text import clean


def marking_words(
    kind: str, value: str, tolerance: str = "", voltage: str = "", marking: str = "", package: str = ""
) -> str:
    """What stands in print on a part, as a phrase; empty when nothing is known.

    All arguments are texts of a kit; `kind` is a name of `parts.kinds.KINDS`. The kit's own marking comes
    first. Without one, capacitors get their usual codes (IEC 60062 and common practice), said to be usual.

    >>> marking_words("ceramic capacitor", "100n", "10 %")
    'usually printed 104 or 104K'
    >>> marking_words("film capacitor", "100n", "5 %", "100 V"), marking_words("IC", "TL072", marking="TL 072")
    ('usually printed 2A104J or 104J', 'printed TL 072')
    """
    if marking.strip():
        return f"printed {clean(marking.strip(), 200)}"
    usual = usual_prints(kind, value, tolerance, voltage, package)
    return f"usually printed {' or '.join(usual)}" if usual else ""
