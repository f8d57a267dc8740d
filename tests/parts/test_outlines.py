"""Joints of a part against the outline its package is made to.

Each row names the outline and where its number of leads was read:

- JEDEC MO-001, MS-001, MO-015 (DIP), TO-220AB and two-lead TO-220 as in the package tables of NXP
  Semiconductors, seen via nxp.com/packages (SOT27-1, SOT78B, SOT101-1, SOT102-1, SOT117-1, SOT129-1,
  SOT146-4, SOD95); 8 and 16 leads as MS-001, from memory;
- JEDEC MS-012-AA (SOIC), 8 leads: a maker's outline M8.15, seen via dtsheet.com/doc/1663607;
- TO-92 (JEDEC TO-226): Microchip Technology, drawing C04-101, "number of pins 3", seen via
  onlinedocs.microchip.com;
- circular connectors of 3, 5, 6, 7 and 8 contacts: DIN 41524, 45322, 45329, 45326 (now IEC 60130-9):
  Funk-Technik 11/1979, page T 535, seen via an encyclopaedia that quotes it;
- connectors of two rows at 2.54 mm, each contact one termination: IEC 60603-13 (DIN 41651), scope seen via
  standards.iteh.ai; their sizes from memory;
- valve bases B9A, B7G, K8A and others: IEC 60067 (1966), part 1, from memory;
- DO-35, DO-41, TO-126, TO-247, SOT-23 as TO-236, and the metal cans TO-18, TO-39, TO-72, TO-99 and TO-100
  of JEDEC publication 95: from memory.
"""

from __future__ import annotations

import pytest

from bench.parts.pins import joints_for

DIP = {
    8: "MS-001",
    14: "MO-001",
    16: "MS-001",
    18: "MS-001",
    20: "MS-001",
    24: "MO-015",
    28: "MO-015",
    40: "MO-015",
}


@pytest.mark.parametrize("leads", DIP)
@pytest.mark.parametrize("spelling", ["DIP-{}", "DIP{}", "DIL {}", "PDIP-{}", "{}-pin DIP", "{}-DIP"])
def test_dual_in_line_packages_have_as_many_joints_as_leads(leads: int, spelling: str) -> None:
    for kind in ("IC", "IC socket"):
        assert joints_for(kind, spelling.format(leads), "") == leads, DIP[leads]


@pytest.mark.parametrize("leads", [8, 14, 16])
@pytest.mark.parametrize("spelling", ["SOIC-{}", "SO-{}", "SOIC{}", "SO{}", "SOP-{}"])
def test_small_outline_packages_have_as_many_joints_as_leads(leads: int, spelling: str) -> None:
    """JEDEC MS-012: variation AA has 8 leads, AB 14, AC 16 (AB and AC from memory)."""
    assert joints_for("IC", spelling.format(leads), "") == leads


@pytest.mark.parametrize(
    ("kind", "package", "leads"),
    [
        ("transistor", "TO-92", 3), ("JFET", "TO92", 3), ("MOSFET", "TO-220AB", 3), ("transistor", "TO-220", 3),
        ("voltage regulator", "TO-220", 3), ("voltage regulator", "TO-92", 3), ("transistor", "TO-226", 3),
        ("transistor", "TO-18", 3), ("transistor", "TO-39", 3), ("transistor", "TO-72", 4),
        ("IC", "TO-99", 8), ("IC", "TO-100", 10), ("transistor", "SOT-23", 3), ("transistor", "TO-236AB", 3),
        ("voltage regulator", "TO-220-5", 5), ("Schottky diode", "TO-220-2", 2), ("diode", "DO-35", 2),
        ("diode", "DO-41", 2), ("Zener diode", "DO-35", 2), ("transistor", "TO-126", 3),
        ("transistor", "TO-247", 3),
    ],
)  # fmt: skip
def test_cases_of_discrete_parts_have_the_leads_of_their_outline(kind: str, package: str, leads: int) -> None:
    assert joints_for(kind, package, "") == leads


@pytest.mark.parametrize("contacts", [6, 10, 14, 16, 20, 26, 34, 40, 50, 64])
def test_box_headers_have_as_many_joints_as_contacts(contacts: int) -> None:
    for value in (f"{contacts}-pin", f"2x{contacts // 2}", f"2×{contacts // 2}", f"{contacts} way"):
        assert joints_for("box header", "", value) == contacts
        assert joints_for("pin header", value, "") == contacts


@pytest.mark.parametrize("contacts", [3, 5, 6, 7, 8])
def test_circular_connectors_have_a_joint_for_each_contact(contacts: int) -> None:
    for value in (f"DIN {contacts}-pin", f"{contacts} pin DIN", f"DIN {contacts} pole", f"{contacts}-way DIN"):
        assert joints_for("connector", "", value) == contacts


@pytest.mark.parametrize(
    ("base", "pins"),
    [("B9A", 9), ("noval", 9), ("B7G", 7), ("heptal", 7), ("K8A", 8), ("octal", 8), ("B8G", 8), ("loctal", 8),
     ("B8A", 8), ("rimlock", 8), ("B9D", 9), ("magnoval", 9), ("B10B", 10), ("decal", 10), ("B5", 5),
     ("UX4", 4)],
)  # fmt: skip
def test_valve_sockets_have_a_joint_for_each_pin_of_the_base(base: str, pins: int) -> None:
    assert joints_for("valve socket", "", base) == pins
    assert joints_for("valve socket", base, "") == pins
