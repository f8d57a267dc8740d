"""The table of kinds, first half: passive parts and semiconductors."""

from __future__ import annotations

from bench.parts.kind import Kind

_AXIAL = {"flat": 1, "upright": 4}
_BENT_CAN = {"laid flat": 5, "flat": 5}
_FLAT_METER = "Colours deceive under a lamp: measure it before it goes in."
_HOT_GAP = "A part that gets hot stands a little off the board."
_ESD = "Touch earthed metal first; MOS inputs die from static."
_LEGS = "Legs come in line, pads often form a triangle: straighten and gather the legs first."
_PINOUT = "Check the pinout of the type you hold: same shape, other legs."
_SMALL_BEND = "Bend the legs away from the body, not at it."

PASSIVES = (
    Kind(
        name="resistor",
        letters=("R",),
        unit="ohm",
        mount="flat",
        height=1,
        heights=_AXIAL,
        cautions=(_FLAT_METER,),
    ),
    Kind(
        name="resistor network",
        letters=("RN", "RP", "RA"),
        unit="ohm",
        height=2,
        joints=8,
        orientation="The dot or bar marks pin 1, the common end; it goes to the square pad or the mark.",
        cautions=("Bussed and isolated networks look the same: read the type.",),
    ),
    Kind(
        name="thermistor",
        letters=("RT", "TH", "NTC", "PTC"),
        unit="ohm",
        mount="upright",
        height=4,
        heights=_AXIAL,
        cautions=("Some must touch the part they sense: read the kit's note before soldering.",),
    ),
    Kind(
        name="varistor",
        letters=("RV", "MOV", "VDR"),
        unit="volt",
        height=4,
        cautions=("Often across the mains: the right voltage and a clear distance matter.",),
    ),
    Kind(
        name="photoresistor",
        letters=("LDR",),
        unit="ohm",
        mount="upright",
        height=4,
        heights=_AXIAL,
        cautions=("Keep the legs long enough for its face to see the light.",),
    ),
    Kind(
        name="wire link",
        letters=("W", "LK", "JW", "WL"),
        mount="flat",
        height=1,
        cautions=("A link that crosses another track needs a sleeve.",),
    ),
    Kind(
        name="ferrite bead",
        letters=("E", "FB"),
        mount="flat",
        height=1,
        heights=_AXIAL,
        cautions=("A bead without leads needs a piece of wire through it.",),
    ),
)

CAPACITORS_AND_COILS = (
    Kind(
        name="ceramic capacitor",
        letters=("C",),
        unit="farad",
        height=3,
        cautions=("Read the printed code, not the size: 103 and 104 look the same.",),
    ),
    Kind(
        name="film capacitor",
        letters=("C",),
        unit="farad",
        height=3,
        heights={"laid flat": 2, "flat": 3},
        cautions=("Seat it before soldering: pulled legs tear out of the film.",),
    ),
    Kind(
        name="electrolytic capacitor",
        letters=("C",),
        unit="farad",
        height=6,
        heights=_BENT_CAN,
        orientation="Long leg is +. The stripe on the can marks the minus.",
        cautions=(
            "On many boards the printed line marks the minus, on others a + the plus: check the print.",
            "Put in backwards it can burst.",
            "Bent over: bend the legs before soldering and mind the + leg.",
            "Once powered, a big one keeps its charge: drain it through a resistor.",
        ),
    ),
    Kind(
        name="bipolar electrolytic capacitor",
        letters=("C",),
        unit="farad",
        height=6,
        heights=_BENT_CAN,
        cautions=("Marked BP or NP. Do not swap it for an ordinary electrolytic.",),
    ),
    Kind(
        name="tantalum capacitor",
        letters=("C",),
        unit="farad",
        height=4,
        orientation="The + on the body marks the plus leg, mostly the longer one.",
        cautions=("The mark is the plus, not the minus as on cans. Backwards it burns.",),
    ),
    Kind(
        name="trimmer capacitor",
        letters=("CT", "TC", "CV"),
        unit="farad",
        height=4,
        cautions=(
            "The adjusting screw's side goes to ground where the board shows it.",
            "Plastic melts: solder fast.",
        ),
    ),
    Kind(
        name="variable capacitor",
        letters=("VC", "CV"),
        unit="farad",
        mount="panel",
        height=8,
        joints=3,
        cautions=("Turn the vanes fully in before handling it.",),
    ),
    Kind(
        name="inductor",
        letters=("L",),
        unit="henry",
        height=5,
        heights=_AXIAL,
        cautions=("Axial chokes look like resistors: measure, a choke is nearly a short.",),
    ),
    Kind(
        name="toroid inductor",
        letters=("L",),
        unit="henry",
        height=6,
        cautions=("Count turns inside the hole. Scrape and tin the wire ends before they go in.",),
    ),
    Kind(
        name="transformer",
        letters=("T", "TR"),
        height=7,
        heights={"chassis": 9},
        joints=6,
        orientation="The mark or the side with more pins as printed. Tell windings apart with a meter.",
        cautions=("Mains side: local rules apply, and the work of somebody licensed where they say so.",),
    ),
    Kind(
        name="crystal",
        letters=("Y", "X", "XTAL", "XT", "Q"),
        unit="hertz",
        height=3,
        cautions=("Keep a metal can a little off the board so that it shorts nothing.",),
    ),
    Kind(
        name="ceramic resonator",
        letters=("Y", "X"),
        unit="hertz",
        height=3,
        joints=3,
        cautions=("The middle leg is ground; it goes in either way round.",),
    ),
)

DIODES = (
    Kind(
        name="diode",
        letters=("D", "CR", "VD"),
        mount="flat",
        height=1,
        heights=_AXIAL,
        orientation="The stripe on the diode goes to the stripe on the board: cathode.",
        cautions=(_SMALL_BEND, "Glass diodes crack when bent at the glass."),
    ),
    Kind(
        name="Zener diode",
        letters=("VR", "D", "ZD", "DZ"),
        unit="volt",
        mount="flat",
        height=1,
        heights=_AXIAL,
        orientation="The stripe on the diode goes to the stripe on the board: cathode.",
        cautions=("Looks like any small glass diode: read the type under a loupe.", _SMALL_BEND),
    ),
    Kind(
        name="Schottky diode",
        letters=("D", "CR", "VD"),
        mount="flat",
        height=1,
        heights=_AXIAL,
        orientation="The stripe on the diode goes to the stripe on the board: cathode.",
        cautions=("A supply's protection diode put in backwards leaves the board dead.", _SMALL_BEND),
    ),
    Kind(
        name="bridge rectifier",
        letters=("D", "BR", "DB"),
        height=5,
        joints=4,
        orientation="The + on the body goes to the + on the board; ~ marks the two AC legs.",
        cautions=("Backwards it puts the supply the wrong way round: check + twice.", _HOT_GAP),
    ),
    Kind(
        name="LED",
        letters=("DS", "D", "LED", "LD"),
        mount="panel",
        height=8,
        heights={"board": 4, "upright": 4},
        orientation="Short leg and flat side of the rim: cathode, at the flat side of the print.",
        cautions=("Through a panel: solder only after the panel has been fitted, at the right length.",),
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
        cautions=(_LEGS, _PINOUT, "NPN and PNP look the same: read the type under a loupe."),
    ),
    Kind(
        name="JFET",
        letters=("Q", "TR", "T", "VT"),
        height=4,
        joints=3,
        orientation="Flat side as printed, if the board was made for this type's pinout.",
        cautions=(_PINOUT, _LEGS),
    ),
    Kind(
        name="MOSFET",
        letters=("Q", "TR", "T", "VT"),
        height=4,
        joints=3,
        heights={"laid flat": 3},
        orientation="Flat side or tab as printed on the board.",
        cautions=(_ESD, _PINOUT, _LEGS),
    ),
    Kind(
        name="thyristor",
        letters=("Q", "SCR", "D", "TH"),
        height=4,
        joints=3,
        heights={"laid flat": 3},
        orientation="Flat side or tab as printed on the board.",
        cautions=(_PINOUT, "The tab is often connected to a leg: keep it off other metal."),
    ),
    Kind(
        name="voltage regulator",
        letters=("U", "VR", "IC", "REG"),
        height=5,
        joints=3,
        heights={"laid flat": 5, "chassis": 7},
        orientation="Metal tab or flat side as printed; the thick line of the print is the tab.",
        cautions=(
            "78xx and 79xx have different pinouts: read the number before each one.",
            "Screw it to its heatsink first, solder afterwards.",
            "The tab of a 79xx is its input, not ground: insulate it.",
        ),
    ),
    Kind(
        name="voltage reference",
        letters=("U", "VR", "IC", "D"),
        height=4,
        joints=3,
        orientation="Flat side or pin 1 mark as printed on the board.",
        cautions=("Looks like a small transistor: read the type.", _PINOUT),
    ),
    Kind(
        name="IC",
        letters=("U", "IC"),
        height=2,
        joints=8,
        socketable=True,
        orientation="Notch or dot at pin 1, to the notch on the board or its socket.",
        cautions=(
            "The chip stays out until the rails were measured at its socket.",
            _ESD,
            "Line up all legs before pressing; a leg folded under looks like a bad joint.",
        ),
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
        socketable=True,
        orientation="The dot marks pin 1; with four bare legs, the LED's side as printed.",
        cautions=("Home-made or with long legs: mark the LED's plus before it goes in.",),
    ),
)
