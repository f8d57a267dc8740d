"""Sentences and patterns that records of several families share."""

from __future__ import annotations

from bench.parts.kinds.kind import When

AXIAL = {"flat": 1, "upright": 4}
"""Height classes of parts with a leg at each end."""
HOT_GAP = "It gets hot: mount it at least 1.5 mm off the board."
"""IPC-A-610F for parts that give off heat, seen via a copy of the standard."""
MAINS = "Mains: local regulations come first; if they require a licensed person, leave it to one."
BY_MAINS = When("mains", MAINS)
ON_PANEL = When("panel -placed", "Solder only once the panel is fitted and its nuts are tight.")
BEHIND_PANEL = (
    ON_PANEL,
    When("-placed", "Clean off the flux before this goes in: it creeps into contacts."),
)
IDLE_CURRENT = (
    r"\bbias(?:ing)?\b|\b(?:idle|idling|quiescent|standing|cathode|collector) current\b|\bruhestrom\b"
)
"""How an author says, in lower case, that a trimmer or an adjustment sets the current of an output stage."""
