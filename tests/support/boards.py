"""One invented board, the control board of a bell that announces the interval, in each format that is read.

Written by hand after the published descriptions of the formats. The board is 60 mm by 40 mm; the formats have
their y downwards (KiCad) or upwards (EAGLE), and each has its own origin.
"""

from __future__ import annotations

import itertools

BELL = {
    "R1": ("10k", "front", 10.0, 30.0, 2), "R2": ("10k", "front", 10.0, 20.0, 2),
    "C1": ("100n", "back", 30.0, 25.0, 2), "U1": ("NE555", "front", 40.0, 20.0, 8),
}  # fmt: skip
"""Designator -> value, side, centre of its pads in mm from the lower left corner, joints."""
NETS = {"GND": {"R2-2", "C1-2", "U1-1"}, "+9V": {"R1-1", "U1-8"}}


def _net_of(ref: str, pad: str) -> str:
    return next((net for net, pads in NETS.items() if f"{ref}-{pad}" in pads), "")


def _pads(ref: str) -> list[tuple[str, float, float]]:
    """Pads in the part's own frame, y upwards; the origin of a part is its first pad."""
    if ref == "U1":
        return [(str(i + 1), 0.0, -2.54 * i) for i in range(4)] + [
            (str(8 - i), 7.62, -2.54 * i) for i in range(4)
        ]
    return [("1", 0.0, 0.0), ("2", 7.62, 0.0)]


def _origin(ref: str) -> tuple[float, float]:
    """Where the first pad is, so that the middle of the pads is where the table says; turned by 90 degrees."""
    _, side, x, y, _ = BELL[ref]
    pads = _pads(ref)
    xs, ys = [pad[1] for pad in pads], [pad[2] for pad in pads]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    right, up = -middle[1], middle[0]  # turned by 90 degrees, counter-clockwise
    return x + (right if side == "back" else -right), y - up


_AXIAL = "R_Axial_DIN0207_P7.62mm"
FOOTPRINTS = {"R1": _AXIAL, "R2": _AXIAL, "C1": "C_Disc_P7.62mm", "U1": "DIP-8"}


def kicad(version: int) -> str:
    """The board as KiCad writes it: 20171130 is version 5, 20240108 version 8."""
    new = version >= 20200101
    numbers = {net: at for at, net in enumerate(NETS, 1)}
    rows = [f"(kicad_pcb (version {version}) (host pcbnew 5.1)", "  (general (thickness 1.6))"]
    rows += [f'  (net {at} "{net}")' for net, at in numbers.items()]
    for ref, (value, side, *_) in BELL.items():
        x, y = _origin(ref)
        layer = "B.Cu" if side == "back" else "F.Cu"
        rows.append(f'  ({"footprint" if new else "module"} "own:{FOOTPRINTS[ref]}" (layer "{layer}")')
        rows.append(f"    (at {100 + x} {90 - y} 90)")
        if version >= 20231014:
            rows += [f'    (property "Reference" "{ref}")', f'    (property "Value" "{value}")']
        else:
            rows += [f"    (fp_text reference {ref} (at 0 0))", f'    (fp_text value "{value}" (at 0 0))']
        for pad, right, up in _pads(ref):
            net = _net_of(ref, pad)
            of_net = f' (net {numbers[net]} "{net}")' if net else ""
            # on the back the frame is seen from behind: what lies to the right there lies to the left here
            across = (right, up) if side == "back" else (right, -up)
            rows.append(
                f'    (pad "{pad}" thru_hole circle (at {across[0]} {across[1]} 90) (layers *.Cu){of_net})'
            )
        rows.append("  )")
    rows.append('  (footprint "own:Hole" (layer "F.Cu") (at 103 53) (fp_text reference H1 (at 0 0)))')
    corners = ((100, 50), (160, 50), (160, 90), (100, 90), (100, 50))
    for (ax, ay), (bx, by) in itertools.pairwise(corners):
        rows.append(f'  (gr_line (start {ax} {ay}) (end {bx} {by}) (layer "Edge.Cuts"))')
    rows += ["  (segment (start 1 2) (end 3 4) (width 0.25) (layer F.Cu) (net 1))", ")"]
    return "\n".join(rows)


def legacy_kicad() -> str:
    """The board in KiCad's text format of before 2013, in tenths of a mil."""

    def units(mm: float) -> int:
        return round(mm / 0.00254)

    rows = ["PCBNEW-BoardModule-V1", "$GENERAL", "Units deci-mils", "$EndGENERAL"]
    for ref, (value, side, *_) in BELL.items():
        x, y = _origin(ref)
        layer = 0 if side == "back" else 15
        rows += [f"$MODULE {FOOTPRINTS[ref]}", f"Po {units(100 + x)} {units(90 - y)} 900 {layer} 0 0 ~~"]
        rows += [f'T0 0 0 600 600 0 120 N V 21 N "{ref}"', f'T1 0 0 600 600 0 120 N V 21 N "{value}"']
        for pad, right, up in _pads(ref):
            up = -up if side == "back" else up
            rows += ["$PAD", f'Sh "{pad}" C 600 600 0 0 900', "Dr 320 0 0", "At STD N 00E0FFFF"]
            rows += [f'Ne 1 "{_net_of(ref, pad)}"', f"Po {units(right)} {units(-up)}", "$EndPAD"]
        rows.append(f"$EndMODULE {FOOTPRINTS[ref]}")
    corners = ((100, 50), (160, 50), (160, 90), (100, 90), (100, 50))
    for (ax, ay), (bx, by) in itertools.pairwise(corners):
        rows += ["$DRAWSEGMENT", f"Po 0 {units(ax)} {units(ay)} {units(bx)} {units(by)} 150", "De 28 0 900 0 0"]
        rows.append("$EndDRAWSEGMENT")
    return "\n".join([*rows, "$EndBOARD", ""])


def eagle() -> str:
    """The board as EAGLE's XML."""
    packages = {FOOTPRINTS[ref]: _pads(ref) for ref in BELL}
    drawn = "".join(
        f'<package name="{name}">'
        + "".join(f'<pad name="{pad}" x="{right}" y="{up}" drill="0.8"/>' for pad, right, up in pads)
        + "</package>"
        for name, pads in packages.items()
    )
    elements = ""
    for ref, (value, side, *_) in BELL.items():
        x, y = _origin(ref)
        turn = "MR90" if side == "back" else "R90"
        elements += (
            f'<element name="{ref}" library="own" package="{FOOTPRINTS[ref]}" value="{value}" '
            f'x="{5 + x}" y="{7 + y}" rot="{turn}"/>\n'
        )
    signals = "".join(
        f'<signal name="{net}">'
        + "".join('<contactref element="{}" pad="{}"/>'.format(*pad.split("-")) for pad in sorted(pads))
        + "</signal>"
        for net, pads in NETS.items()
    )
    corners = ((5, 7), (65, 7), (65, 47), (5, 47), (5, 7))
    edge = "".join(
        f'<wire x1="{ax}" y1="{ay}" x2="{bx}" y2="{by}" width="0.1" layer="20"/>'
        for (ax, ay), (bx, by) in itertools.pairwise(corners)
    )
    return (
        '<?xml version="1.0" encoding="utf-8"?>\n<!DOCTYPE eagle SYSTEM "eagle.dtd">\n<eagle version="9.6.2">'
        f'<drawing><board><plain>{edge}</plain><libraries><library name="own"><packages>{drawn}</packages>'
        f"</library></libraries><elements>{elements}</elements><signals>{signals}</signals></board></drawing></eagle>"
    )


def netlist(*, metric: bool = False) -> str:
    """The same board as an IPC-D-356 netlist, in ten-thousandths of an inch or thousandths of a mm."""
    unit = 0.001 if metric else 0.00254
    rows = ["C  Interval bell", "P  JOB   bell", f"P  UNITS CUST {int(metric)}", "P  NNAME1          +9V"]
    edge = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]
    corners = [f"X{round(x / unit):+07d}Y{round(y / unit):+07d}" for x, y in edge]
    rows.append(f"389{'BOARD_EDGE':14}   {''.join(corners)}")
    for ref, (_, side, _, _, _) in BELL.items():
        x, y = _origin(ref)
        for pad, right, up in _pads(ref):
            dx, dy = (up if side == "back" else -up), right  # turned by 90 degrees
            net = {"+9V": "NNAME1", "": "N/C"}.get(_net_of(ref, pad), _net_of(ref, pad))
            flat = ref == "C1"
            hole = "     " if flat else "D0315"
            access = "A02" if side == "back" else "A01"
            place = f"X{round((x + dx) / unit):+07d}Y{round((y + dy) / unit):+07d}"
            code, reached = ("327", access) if flat else ("317", "A00")
            rows.append(f"{code}{net:14}   {ref:6}-{pad:4} {hole}P{reached}{place}X0630Y0630R000S0")
    rows.append(f"317{'GND':14}   {'VIA':6}-{'':4} D0157PA00X+000100Y+000100X0315Y0000R000S3")
    return "\n".join([*rows, "999", ""])


FORMATS = {
    "KiCad 5": kicad(20171130), "KiCad 6": kicad(20211014), "KiCad 8": kicad(20240108),
    "KiCad, old text": legacy_kicad(), "EAGLE": eagle(),
}  # fmt: skip
