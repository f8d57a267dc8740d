"""The circuit of the invented bell as schematics and netlists, each form after its published description."""

from __future__ import annotations

from collections.abc import Mapping

from tests.support.boards import BELL, FOOTPRINTS, NETS

VALUES = {ref: value for ref, (value, *_) in BELL.items()}


def sheet(values: Mapping[str, str] = VALUES, *, more: str = "", root: bool = True) -> str:
    """A sheet as KiCad 9 writes it; U1 has two units, the sign of a supply is no part."""
    rows = ['(kicad_sch (version 20250114) (generator "eeschema")', '  (lib_symbols (symbol "Device:R"))']
    units = [*((ref, value, 1) for ref, value in values.items()), ("U1", "NE555", 2), ("#PWR01", "GND", 1)]
    for at, (ref, value, unit) in enumerate(units):
        rows.append(
            f'  (symbol (lib_id "Device:X") (at 1 2 0) (unit {unit}) (in_bom yes) (on_board yes) (dnp no)'
            f' (uuid "{at}") (property "Reference" "{ref}" (at 1 2 0)) (property "Value" "{value}")'
            f' (property "Footprint" "own:{FOOTPRINTS.get(ref, "")}"))'
        )
    rows += [more, '  (sheet_instances (path "/" (page "1")))' if root else "", ")"]
    return "\n".join(rows)


def old_sheet(*, sheets: str = "") -> str:
    """A sheet in the text format before version 6."""
    rows = ["EESchema Schematic File Version 4", "$Descr A4 11693 8268", "Sheet 1 1", "$EndDescr", sheets]
    for ref, value in {**VALUES, "#PWR01": "GND"}.items():
        rows += ["$Comp", "L Device:X X", "U 1 1 5A", f'F 0 "{ref}" H 1 2 50  0000 L CNN']
        rows += [f'F 1 "{value}" H 1 2 50', f'F 2 "own:{FOOTPRINTS.get(ref, "")}" H 1 2 50', "$EndComp"]
    return "\n".join([*rows, "$EndSCHEMATC", ""])


def exported() -> str:
    """A netlist as KiCad exports it."""
    comps = "".join(
        f'(comp (ref "{ref}") (value "{value}") (footprint "own:{FOOTPRINTS[ref]}"))'
        for ref, value in VALUES.items()
    )
    nets = "".join(
        f'(net (code "1") (name "{net}")'
        + "".join('(node (ref "{}") (pin "{}"))'.format(*pad.split("-")) for pad in sorted(pads))
        + ")"
        for net, pads in NETS.items()
    )
    return f'(export (version "E") (design (date "1"))\n (components {comps})\n (nets {nets}))\n'


def old_exported() -> str:
    """A netlist in KiCad's text format before version 5."""
    rows = ["( { EESchema Netlist Version 1.1 created  1 }"]
    for ref, value in VALUES.items():
        pins = sorted((pad, net) for net, pads in NETS.items() for pad in pads if pad.startswith(f"{ref}-"))
        rows.append(f" ( /5A/5B {FOOTPRINTS[ref]}  {ref} {value} {{Lib=X}}")
        rows += [f"  (    {pad.split('-')[1]} {net} )" for pad, net in pins]
        rows.append(" )")
    return "\n".join([*rows, ")", "*", ""])


def bracketed() -> str:
    """A netlist with parts in square brackets and nets in round ones (common practice, no source)."""
    parts = "".join(f"[\n{ref}\n{FOOTPRINTS[ref]}\n{value}\n\n\n\n]\n" for ref, value in VALUES.items())
    return parts + "".join(f"(\n{net}\n" + "\n".join(sorted(pads)) + "\n)\n" for net, pads in NETS.items())


def eagle_sheet() -> str:
    """A schematic as EAGLE's XML, after `eagle.dtd`: U1 has the value of its device, a supply no package."""
    drawn = "".join(
        f'<package name="{FOOTPRINTS[ref]}">'
        + "".join(f'<pad name="{at}" x="0" y="0" drill="0.8"/>' for at in range(1, joints + 1))
        + "</package>"
        for ref, (*_, joints) in BELL.items()
        if ref != "R2"
    )
    sets, parts = "", '<part name="GND1" library="own" deviceset="GND" device=""/>'
    for ref, value in VALUES.items():
        own = ref != "U1"
        pads = sorted(pad.split("-")[1] for pads in NETS.values() for pad in pads if pad.startswith(f"{ref}-"))
        connects = "".join(f'<connect gate="G$1" pin="P{pad}" pad="{pad}"/>' for pad in pads)
        name, device = (f"SET{ref}", "X") if own else ("NE*", "555")
        sets += (
            f'<deviceset name="{name}" uservalue="{"yes" if own else "no"}"><devices>'
            f'<device name="{device}" package="{FOOTPRINTS[ref]}"><connects>{connects}</connects></device>'
            "</devices></deviceset>"
        )
        given = f' value="{value}"' if own else ' technology=""'
        parts += f'<part name="{ref}" library="own" deviceset="{name}" device="{device}"{given}/>'
    nets = "".join(
        f'<net name="{net}" class="0"><segment>'
        + "".join('<pinref part="{}" gate="G$1" pin="P{}"/>'.format(*pad.split("-")) for pad in sorted(pads))
        + "</segment></net>"
        for net, pads in NETS.items()
    )
    supply = '<deviceset name="GND"><devices><device name=""></device></devices></deviceset>'
    return (
        '<?xml version="1.0" encoding="utf-8"?><eagle version="9.6.2"><drawing><schematic><libraries>'
        f'<library name="own"><packages>{drawn}</packages><devicesets>{supply}{sets}</devicesets></library>'
        "</libraries>"
        f"<parts>{parts}</parts><sheets><sheet><nets>{nets}</nets></sheet></sheets></schematic></drawing></eagle>"
    )


CONNECTED = {
    "KiCad netlist": exported(), "KiCad netlist, old text": old_exported(), "netlist in brackets": bracketed(),
    "EAGLE schematic": eagle_sheet(),
}  # fmt: skip
CIRCUITS = {"KiCad schematic": sheet(), "KiCad schematic, old text": old_sheet(), **CONNECTED}
