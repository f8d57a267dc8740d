"""The table of kinds: passive parts."""

from __future__ import annotations

from bench.parts.kind import Kind, When

AXIAL = {"flat": 1, "upright": 4}
_BENT_CAN = {"laid flat": 5, "flat": 5}
_FLAT_METER = "Colours shift under a lamp: measure before fitting."
HOT_GAP = "It gets hot: stand it at least 1.5 mm off the board."
"""IPC-A-610F for parts that give off heat, seen via a copy of the standard."""
_MAINS_SAFETY = (
    When("class-x", "Class X, across the mains: replace it only with the same class and voltage."),
    When("class-x", "It keeps its charge: the pins of a plug just pulled can give a shock."),
    When("class-y", "Class Y, from mains to earth: never put an ordinary capacitor in its place."),
    When("mains-rated -class-x -class-y", "Its rating is for mains AC: a DC rating is not the same."),
)
"""Classes of IEC 60384-14, from memory."""

OF_WIRE = "Count turns inside the hole. Scrape and tin the wire ends before they go in."

PASSIVES = (
    Kind(
        name="resistor",
        letters=("R",),
        unit="ohm",
        mount="flat",
        height=1,
        heights=AXIAL,
        sometimes=(
            When("-smd -hot", _FLAT_METER),
            When("smd", "Read the printed code or measure: SMD resistors have no bands."),
            When("hot -smd", HOT_GAP),
        ),
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
        heights=AXIAL,
        sometimes=(
            When("-inrush", "Some must touch the part they sense: read the kit's note before soldering."),
            When("inrush", "It gets very hot in use: leave its legs long, and nothing close to it."),
            When(
                "inrush",
                "It carries the supply's current: its cold resistance and disc size must be as listed.",
            ),
        ),
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
        heights=AXIAL,
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
        heights=AXIAL,
        sometimes=(When("-smd", "A bead without leads needs a piece of wire through it."),),
    ),
)

CAPACITORS_AND_COILS = (
    Kind(
        name="ceramic capacitor",
        letters=("C",),
        unit="farad",
        height=3,
        sometimes=(
            *_MAINS_SAFETY,
            When("-smd -class-y -class-x", "Read the printed code, not the size: 103 and 104 look the same."),
            When("smd", "SMD ceramics carry no print: one value out of its tape at a time."),
        ),
    ),
    Kind(
        name="film capacitor",
        letters=("C",),
        unit="farad",
        height=3,
        heights={"laid flat": 2, "flat": 3},
        sometimes=(
            *_MAINS_SAFETY,
            When("-smd", "Seat it before soldering: pulled legs tear out of the film."),
        ),
    ),
    Kind(
        name="electrolytic capacitor",
        letters=("C",),
        unit="farad",
        height=6,
        heights=_BENT_CAN,
        orientation="Long leg is +. The stripe on the can marks the minus.",
        ways=(
            When(
                "smd",
                "Black mark on top of the can: minus. Cut corners of its base: plus.",
            ),
            When(
                "axial",
                "Arrows or stripe point to minus; the end with the groove is mostly plus.",
            ),
        ),
        cautions=(
            "Some boards mark minus with a line, others plus with a +: check the print.",
            "Put in backwards it can burst.",
        ),
        sometimes=(
            When("laid-flat", "Bend the legs before soldering, and watch which one is +."),
            When(
                "keeps-charge",
                "Once powered it keeps its charge: drain it through a resistor.",
            ),
        ),
    ),
    Kind(
        name="bipolar electrolytic capacitor",
        letters=("C",),
        unit="farad",
        height=6,
        heights=_BENT_CAN,
        cautions=("Marked BP or NP. Do not put an ordinary electrolytic in its place.",),
    ),
    Kind(
        name="tantalum capacitor",
        letters=("C",),
        unit="farad",
        height=4,
        orientation="The + on the body marks the plus leg, mostly the longer one.",
        ways=(When("smd", "The bar on the case marks the plus."),),
        cautions=("The mark is the plus, not the minus as on cans. Reversed, it can catch fire.",),
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
        sometimes=(
            When("-plastic-vanes", "Turn the vanes fully in before handling it."),
            When(
                "plastic-vanes",
                "Use the short screws that came with it: a long one reaches in and ruins the plates.",
            ),
        ),
    ),
    Kind(
        name="inductor",
        letters=("L",),
        unit="henry",
        height=5,
        heights=AXIAL,
        sometimes=(
            When("axial", "Axial chokes look like resistors: measure, a choke is nearly a short."),
            When("turns", OF_WIRE),
        ),
    ),
    Kind(
        name="toroid inductor",
        letters=("L",),
        unit="henry",
        height=6,
        cautions=(OF_WIRE,),
    ),
    Kind(
        name="transformer",
        letters=("T", "TR"),
        height=7,
        heights={"chassis": 9},
        joints=6,
        orientation="The mark or the side with more pins as printed. Tell windings apart with a meter.",
        sometimes=(
            When(
                "mains", "Mains side: local rules apply, and the work of somebody licensed where they say so."
            ),
            When(
                "-mains -signal-coil", "If a side goes to the mains: local rules apply, and licensed practice."
            ),
        ),
    ),
    Kind(
        name="crystal",
        letters=("Y", "X", "XTAL", "XT", "Q"),
        unit="hertz",
        height=3,
        ways=(
            When("oscillator", "The dot or the square corner marks pin 1; it goes to the mark on the board."),
        ),
        sometimes=(
            When("-oscillator -smd", "Keep a metal can a little off the board so that it shorts nothing."),
            When("oscillator", "Put in the wrong way round it dies at the first power: check pin 1 twice."),
        ),
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
