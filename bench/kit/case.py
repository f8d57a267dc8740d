"""A case and its supply, as a builder describes them. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.english import near_or
from bench.parts.panels import PanelError, height_units, millimetres, row_hp
from bench.parts.quantity import QuantityError, parse_quantity

HEADROOM_PERCENT = 20
"""Part of a rail's rating that stays free unless the builder says otherwise (common practice, no source)."""
MOST_ROWS = 40
CASE_KEYS = ("width", "rows", "height", "depth", "rails", "headroom_percent")
"""Keys of the settings' table `[case]`."""
_HINT = "write it like 84 HP, 3 U, 60 mm deep, 2 rows"


class CaseError(SoldersideError):
    """A case or supply that is not understood."""


class CaseRail(Struct, frozen=True, kw_only=True):
    """One rail of the case's supply."""

    name: str
    """As written: `+12 V`."""
    amperes: Decimal
    """What it is rated for."""


class Case(Struct, frozen=True, kw_only=True):
    """What modules go into; anything may be unknown."""

    rows: tuple[int, ...] = ()
    """HP of each row."""
    units: int | None = None
    """Height of each row in U."""
    depth_mm: Decimal | None = None
    """Free depth behind the panel, in mm."""
    rails: tuple[CaseRail, ...] = ()
    headroom_percent: int = HEADROOM_PERCENT
    """Part of each rail's rating that should stay free, in per cent."""

    @property
    def words(self) -> str:
        """The case for people."""
        widths = " + ".join(f"{hp} HP" for hp in self.rows) if len(set(self.rows)) > 1 else ""
        if self.rows and not widths:
            many = f"{len(self.rows)} rows of " if len(self.rows) > 1 else ""
            widths = f"{many}{self.rows[0]} HP"
        depth = f"{self.depth_mm:f} mm deep" if self.depth_mm is not None else ""
        return ", ".join(filter(None, (widths, f"{self.units} U" if self.units else "", depth)))


def parse_case(text: str) -> Case:
    """A case in one line; raises CaseError.

    >>> parse_case("84 HP, 3 U, 60 mm deep, 2 rows").words
    '2 rows of 84 HP, 3 U, 60 mm deep'
    >>> parse_case("84 HP + 60 HP").rows
    (84, 60)
    """
    widths: list[str] = []
    said: dict[str, str] = {}
    for part in filter(None, (part.strip() for part in text.split(","))):
        number = r"([0-9.]+)\s*"
        if found := re.fullmatch(number + r"rows?", part, re.IGNORECASE):
            what, value = "rows", found[1]
        elif found := re.fullmatch(rf"(?:depth\s*)?({number}mm)\s*deep|depth\s*({number}mm)", part, re.I):
            what, value = "depth", found[1] or found[3]
        elif found := re.fullmatch(rf"({number}U)|({number}mm)\s*high|height\s*({number}mm)", part, re.I):
            what, value = "height", found[1] or found[3] or found[5]
        else:
            plain = re.sub(r"\s*\bwide\b|\bwidth\b\s*", "", part, flags=re.IGNORECASE)
            what, value = "width", plain
        if what in said:
            raise CaseError(f"the case says its {what} twice", "", _HINT)
        said[what] = value
        widths += value.split("+") if what == "width" else []
    return _case(widths, said.get("rows", ""), said.get("height", ""), said.get("depth", ""))


def parse_rail(text: str) -> CaseRail:
    """A rail of the supply with its rating; raises CaseError.

    >>> parse_rail("+12 V = 1.2 A")
    CaseRail(name='+12 V', amperes=Decimal('1.2'))
    """
    name, equals, current = text.rpartition("=")
    if not equals or not name.strip():
        raise CaseError(f"'{text.strip()[:40]}' is not a rail", "", "write it like +12 V=1200 mA")
    return _rail(name.strip(), current.strip())


def case_from(table: Mapping[str, object]) -> Case:
    """The case of a settings table `[case]`; raises CaseError."""
    unknown = [key for key in table if key not in CASE_KEYS]
    if unknown:
        raise CaseError(f"unknown setting {unknown[0]!r} of a case", "", near_or(unknown[0], CASE_KEYS))
    rails = table.get("rails", {})
    if not isinstance(rails, Mapping):
        raise CaseError("rails is not a table", "", 'write rails = {"+12 V" = "1200 mA"}')
    headroom = table.get("headroom_percent", HEADROOM_PERCENT)
    if not isinstance(headroom, int) or isinstance(headroom, bool) or not 0 <= headroom < 100:
        raise CaseError("headroom_percent is not a whole number", "", "write a whole number from 0 to 99")
    width = table.get("width", "")
    widths = [str(each) for each in width] if isinstance(width, list) else str(width).split("+")
    texts = [str(table.get(key, "")) for key in ("rows", "height", "depth")]
    case = _case([each for each in widths if each.strip()], *texts)
    return Case(
        rows=case.rows,
        units=case.units,
        depth_mm=case.depth_mm,
        rails=tuple(_rail(str(name), str(current)) for name, current in rails.items()),
        headroom_percent=headroom,
    )


def _case(widths: Sequence[str], rows: str, height: str, depth: str) -> Case:
    try:
        each = tuple(row_hp(width) for width in widths)
        wanted = rows.strip() or "1"
        if wanted not in map(str, range(1, MOST_ROWS + 1)):
            raise CaseError(f"'{wanted[:20]}' rows", "", f"write a number from 1 to {MOST_ROWS}")
        many = int(wanted)
        if many > 1 and len(each) > 1:
            raise CaseError("the case gives both several widths and a number of rows", "", "give one of them")
        if many > 1 and not each:
            raise CaseError("the case has rows, but no width", "", _HINT)
        return Case(
            rows=each * many,
            units=height_units(height) if height.strip() else None,
            depth_mm=millimetres(depth) if depth.strip() else None,
        )
    except PanelError as error:
        raise CaseError(f"the case: {error.what}", "", _HINT) from error


def _rail(name: str, current: str) -> CaseRail:
    try:
        found = parse_quantity(current, "ampere")
    except QuantityError as error:
        raise CaseError(f"the rail {name}: {error.what}", "", "write it like 1200 mA") from error
    if found.unit != "ampere" or found.amount <= 0 or not re.search(r"[A-Za-z]", current):
        raise CaseError(f"the rail {name}: '{current[:40]}' is no current", "", "write it like 1200 mA")
    return CaseRail(name=name, amperes=found.amount)


def rail_key(name: str) -> str:
    """What two spellings of one rail have in common.

    >>> rail_key("+12V") == rail_key("12 V") == rail_key("+ 12.0 v"), rail_key("-12 V") == rail_key("+12 V")
    (True, False)
    """
    plain = "".join(name.split()).casefold().replace("\u2212", "-").lstrip("+")
    found = re.fullmatch(r"(-?)([0-9]+(?:[.,][0-9]+)?)(v.*)", plain)
    if found is None:
        return plain
    return f"{found[1]}{Decimal(found[2].replace(',', '.')).normalize():f}{found[3]}"
