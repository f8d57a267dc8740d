"""How a column is called, and the words for what it can hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bench.errors import SoldersideError

NOTHING = "other"
"""The role of a column that says nothing about the parts."""
AS_FOUND = ""
"""No role settled: what stands in the column decides, list by list."""
ROLE_WORDS: dict[str, str] = {
    "ref": "designators", "value": "values", "quantity": "counts", "description": "descriptions",
    "package": "packages", "note": "notes", "kind": "kinds", "board": "boards", "section": "sections",
    "tolerance": "tolerances", "voltage": "voltages", "marking": "markings",
    "order number": "order numbers", NOTHING: "nothing", AS_FOUND: "as found",
}  # fmt: skip
"""The roles that a person can give to a column, with the word for what it then holds."""
_OTHER_WORDS = {
    "designator": "ref", "refs": "ref", "count": "quantity", "qty": "quantity", "footprint": "package",
    "none": NOTHING, "ignore": NOTHING,
}  # fmt: skip


def heading_key(text: str) -> str:
    """A heading as it is compared: without regard to case and spaces.

    >>> heading_key(" Part  Name ")
    'part name'
    """
    return " ".join(text.casefold().split())


def heading_at(header: Sequence[str], at: int) -> str:
    """The heading of the column at an index, from 0; `column 3` where it has none.

    >>> heading_at(("Ref", ""), 0), heading_at(("Ref", ""), 1)
    ('Ref', 'column 2')
    """
    return " ".join((header[at] if at < len(header) else "").split()) or f"column {at + 1}"


def role_named(word: str) -> str:
    """The role that a person's word stands for; raises SoldersideError for any other word.

    >>> role_named("Designators"), role_named("value"), role_named("nothing")
    ('ref', 'value', 'other')
    """
    plain = heading_key(word)
    for role, name in ROLE_WORDS.items():
        if plain and plain in (role, name, name.removesuffix("s")):
            return role
    if plain in _OTHER_WORDS:
        return _OTHER_WORDS[plain]
    known = ", ".join(ROLE_WORDS.values())
    raise SoldersideError(f"a column cannot hold {word!r}", "", f"it can hold: {known}")


def settled_roles(known: Mapping[str, str] | None) -> dict[str, str]:
    """Heading -> role as `decide` wants them, whatever case and spaces the headings have."""
    return {heading_key(heading): role for heading, role in (known or {}).items() if role != AS_FOUND}
