"""The table of kinds: semiconductors."""

from __future__ import annotations

from bench.parts.components import AXIAL, HOT_GAP
from bench.parts.kind import Kind, When

_MAY_HEAT = "Where it gets hot, stand it at least 1.5 mm off the board."
_ESD = "Touch earthed metal first; MOS inputs die from static."
_GLASS = "Glass cracks when the legs are bent at the body."
_SINK = "If it gets a heatsink, screw it on first, then solder."
_SMD_BAND = "The line on its case is the cathode; three legs fit one way only."
_SMD_LEGS = "Marked side up: its legs fit the pads one way only."
_LEGS = "The legs are in a row, the pads often in a triangle: form the legs to fit first."
_PINOUT = "Check the pinout of the type you hold: the same case can have another order of legs."
_GERMANIUM = "Germanium: heat ruins it. Hold each leg with pliers, between joint and body, while you solder."
_SMALL_BEND = "Bend the legs away from the body, not at it."

DIODES = (
    Kind(
        name="diode",
        letters=("D", "CR", "VD"),
        mount="flat",
        height=1,
        heights=AXIAL,
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=(
            When("two-way", ""),
            When("smd", _SMD_BAND),
            When("photo", "Photodiodes are marked in their own ways: find the cathode in the data sheet."),
        ),
        sometimes=(
            When("-smd", _SMALL_BEND),
            When("glass -smd", _GLASS),
            When("germanium", _GERMANIUM),
        ),
    ),
    Kind(
        name="Zener diode",
        letters=("VR", "D", "ZD", "DZ"),
        unit="volt",
        mount="flat",
        height=1,
        heights=AXIAL,
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=(
            When("two-way", ""),
            When("smd", _SMD_BAND),
            When("photo", "Photodiodes are marked in their own ways: find the cathode in the data sheet."),
        ),
        sometimes=(
            When("glass", "It looks like any small glass diode: read the type under a loupe."),
            When("-smd", _SMALL_BEND),
            When("glass -smd", _GLASS),
            When("hot -smd", HOT_GAP),
        ),
    ),
    Kind(
        name="Schottky diode",
        letters=("D", "CR", "VD"),
        mount="flat",
        height=1,
        heights=AXIAL,
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=(
            When("two-way", ""),
            When("smd", _SMD_BAND),
            When("photo", "Photodiodes are marked in their own ways: find the cathode in the data sheet."),
        ),
        sometimes=(
            When("supply", "In the supply, a reversed one leaves the board without power or shorts it."),
            When("-smd", _SMALL_BEND),
            When("glass -smd", _GLASS),
        ),
    ),
    Kind(
        name="bridge rectifier",
        letters=("D", "BR", "DB"),
        height=5,
        joints=4,
        orientation="The + on the body goes to the + on the board; ~ marks the two AC legs.",
        cautions=("Backwards it puts the supply the wrong way round: check + twice.", _MAY_HEAT),
    ),
    Kind(
        name="LED",
        letters=("DS", "D", "LED", "LD"),
        mount="panel",
        height=8,
        heights={"board": 4, "upright": 4},
        orientation="Short leg and flat side of the rim: cathode, at the flat side of the print.",
        ways=(
            When(
                "bright -smd -several-colours",
                "The + and the - printed beside its pads; else as its data sheet says.",
            ),
            When(
                "wired -photo -several-colours",
                "Short leg and flat side of the rim: cathode, to the minus wire.",
            ),
            When(
                "smd",
                "The marks of SMD LEDs differ: find the cathode in the data sheet or with the diode range.",
            ),
            When("photo", "Photodiodes are marked in their own ways: find the cathode in the data sheet."),
            When(
                "several-colours",
                "The flat side and the leg lengths as printed: which leg is which colour is in its data sheet.",
            ),
        ),
        sometimes=(
            When("panel -placed", "Solder only after the panel has been fitted, at the right length."),
            When("bright", "It harms eyes: never look into it, and point it away when power comes on."),
            When("-panel -smd -chassis -cable", "Heat ruins it: two seconds for each leg."),
        ),
    ),
)

TRANSISTORS_AND_CHIPS = (
    Kind(
        name="transistor",
        letters=("Q", "TR", "T", "VT"),
        height=4,
        joints=3,
        heights={"laid flat": 3},
        orientation="Flat side as printed on the board; with a tab, the tab's side as printed.",
        ways=(
            When("smd", _SMD_LEGS),
            When(
                "photo",
                "Find the emitter in the data sheet: clear ones look like LEDs, and their marks differ.",
            ),
            When("tab", "Tab as printed on the board: the thick line of the print."),
            When("small", "Flat side as printed on the board."),
        ),
        cautions=(_PINOUT, "NPN and PNP look the same: read the type under a loupe."),
        sometimes=(
            When("small", _LEGS),
            When("tab", _SINK),
            When("germanium", _GERMANIUM),
        ),
    ),
    Kind(
        name="JFET",
        letters=("Q", "TR", "T", "VT"),
        height=4,
        joints=3,
        orientation="Flat side as printed, if the board was made for this type's pinout.",
        ways=(When("smd", _SMD_LEGS),),
        cautions=(_PINOUT,),
        sometimes=(When("-smd", _LEGS),),
    ),
    Kind(
        name="MOSFET",
        letters=("Q", "TR", "T", "VT"),
        height=4,
        joints=3,
        heights={"laid flat": 3},
        orientation="Flat side or tab as printed on the board.",
        ways=(
            When("smd", _SMD_LEGS),
            When("tab", "Tab as printed on the board: the thick line of the print."),
            When("small", "Flat side as printed on the board."),
        ),
        cautions=(_ESD, _PINOUT),
        sometimes=(
            When("small", _LEGS),
            When("tab", _SINK),
        ),
    ),
    Kind(
        name="thyristor",
        letters=("Q", "SCR", "D", "TH"),
        height=4,
        joints=3,
        heights={"laid flat": 3},
        orientation="Flat side or tab as printed on the board.",
        ways=(
            When("smd", _SMD_LEGS),
            When("tab", "Tab as printed on the board: the thick line of the print."),
            When("small", "Flat side as printed on the board."),
        ),
        cautions=(_PINOUT,),
        sometimes=(
            When("small", _LEGS),
            When("tab", _SINK),
        ),
    ),
    Kind(
        name="voltage regulator",
        letters=("U", "VR", "IC", "REG"),
        height=5,
        joints=3,
        heights={"laid flat": 5, "chassis": 7},
        orientation="Metal tab or flat side as printed; the thick line of the print is the tab.",
        ways=(
            When("smd", _SMD_LEGS),
            When("tab", "Metal tab as printed: the thick line of the print."),
            When("small", "Flat side as printed on the board."),
        ),
        sometimes=(
            When("fixed", "78xx and 79xx have different pinouts: read the number before each one."),
            When("-fixed", _PINOUT),
            When("tab", _SINK),
        ),
    ),
    Kind(
        name="voltage reference",
        letters=("U", "VR", "IC", "D"),
        height=4,
        joints=3,
        orientation="Flat side or pin 1 mark as printed on the board.",
        ways=(When("smd", _SMD_LEGS),),
        cautions=(_PINOUT,),
        sometimes=(When("small", "Looks like a small transistor: read the type."),),
    ),
    Kind(
        name="IC",
        letters=("U", "IC"),
        height=2,
        joints=8,
        orientation="Notch or dot at pin 1, to the notch on the board or its socket.",
        cautions=(_ESD,),
        sometimes=(
            When("insert", "It goes in only after the rails were measured at its socket."),
            When("-smd", "Line up all legs before pressing; a leg folded under looks like a bad joint."),
            When(
                "-insert",
                "Soldered in, it does not come out again unharmed: check pin 1 before the first joint.",
            ),
        ),
        socketable=True,
    ),
    Kind(
        name="IC socket",
        letters=("XU", "XIC"),
        height=2,
        joints=8,
        orientation="The notch of the socket to the notch on the board.",
        cautions=(
            "Solder two opposite corners, see that it lies flat, then the rest.",
            "The socket stays empty for now: the chip goes in after the rails were measured.",
        ),
    ),
    Kind(
        name="optocoupler",
        letters=("U", "OK", "OC", "OPTO", "ISO"),
        height=2,
        joints=6,
        orientation="The dot marks pin 1; with four bare legs, the LED's side as printed.",
        ways=(
            When(
                "slotted",
                "The mark or the letter at one side names the LED; that side as printed on the board.",
            ),
        ),
        sometimes=(When("bare", "Mark the LED's plus before it goes in."),),
        socketable=True,
    ),
)
