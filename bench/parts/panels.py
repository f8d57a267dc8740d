"""Panels and cases of 19-inch subracks: widths in HP, heights in U. Pure.

1 HP = 5.08 mm, 1 U = 44.45 mm (IEC 60297-3-101:2004, from memory). A panel of n HP is a little narrower
than n times 5.08 mm, so that neighbours do not jam, and by how much differs from width to width and maker to
maker.
"""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, Decimal

from msgspec import Struct

from bench.errors import SoldersideError

HP_MM = Decimal("5.08")
"""Millimetres of one horizontal pitch (IEC 60297)."""
U_MM = Decimal("44.45")
"""Millimetres of one height unit (IEC 60297)."""
MOST_NARROWER = Decimal("0.5")
"""A panel on the grid is at most so many millimetres narrower than its HP; other makers take off 0.34 mm."""
MOST_HP = 1000


class PanelError(SoldersideError):
    """A width or height that is not understood."""


class Slots(Struct, frozen=True, kw_only=True):
    """The room that a panel takes in a row."""

    hp: int
    """Whole HP."""
    on_grid: bool = True
    """False for a width between two steps of the grid: the rest of its last HP stays empty."""


def panel_slots(text: str) -> Slots:
    """Parse the width of a panel to the HP that it takes; raises PanelError.

    >>> panel_slots("12 HP").hp, panel_slots("60.6 mm").hp, panel_slots("60.96 mm").hp, panel_slots("61 mm").hp
    (12, 12, 12, 13)
    >>> panel_slots("30.00 mm") == panel_slots("6 HP")
    True
    """
    number, unit = _measure(text, ("hp", "mm"), "write it like 12 HP or 60.6 mm")
    if unit == "hp":
        hp = int(number.to_integral_value(ROUND_CEILING))
        on_grid = hp == number
    else:
        hp = int((number / HP_MM).to_integral_value(ROUND_CEILING))
        on_grid = hp * HP_MM - number <= MOST_NARROWER
    if not 1 <= hp <= MOST_HP:
        raise PanelError(f"a panel of {text.strip()}", "", f"1 to {MOST_HP} HP can be counted with")
    return Slots(hp=hp, on_grid=on_grid)


def row_hp(text: str) -> int:
    """Parse the inner width of a row to the whole HP that it offers; raises PanelError.

    >>> row_hp("84 HP"), row_hp("426.72 mm"), row_hp("430 mm")
    (84, 84, 84)
    """
    number, unit = _measure(text, ("hp", "mm"), "write it like 84 HP or 426.7 mm")
    hp = int(number if unit == "hp" else (number + Decimal("0.05")) / HP_MM)
    if not 1 <= hp <= MOST_HP:
        raise PanelError(f"a row of {text.strip()}", "", f"1 to {MOST_HP} HP can be counted with")
    return hp


def height_units(text: str) -> int:
    """Parse the height of a panel to the whole U that it needs; raises PanelError.

    >>> height_units("3 U"), height_units("128.5 mm"), height_units("3U"), height_units("39.6 mm")
    (3, 3, 3, 1)
    """
    number, unit = _measure(text, ("u", "mm"), "write it like 3 U or 128.5 mm")
    units = int((number if unit == "u" else number / U_MM).to_integral_value(ROUND_CEILING))
    if not 1 <= units <= 60:
        raise PanelError(f"a height of {text.strip()}", "", "1 U to 60 U can be counted with")
    return units


def millimetres(text: str) -> Decimal:
    """Parse a length to millimetres; raises PanelError.

    >>> millimetres("38 mm"), millimetres("3,8 cm")
    (Decimal('38'), Decimal('38.0'))
    """
    number, unit = _measure(text, ("mm", "cm"), "write it like 38 mm")
    return number * 10 if unit == "cm" else number


def _measure(text: str, units: tuple[str, ...], hint: str) -> tuple[Decimal, str]:
    found = re.fullmatch(r"([0-9]{1,6}(?:[.,][0-9]{1,4})?)\s*([a-z]+)", text.strip().casefold())
    if found is None or found[2] not in units or not Decimal(found[1].replace(",", ".")):
        said = " ".join(text.split())[:40]
        raise PanelError(f"'{said}' is not understood", "", hint)
    return Decimal(found[1].replace(",", ".")), found[2]
