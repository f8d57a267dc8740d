"""Kinds of parts: resistors, capacitors, coils, crystals."""

from __future__ import annotations

from bench.parts.kinds.kind import Kind, When
from bench.parts.kinds.shared import AXIAL, HOT_GAP

_OF_WIRE = "Count the turns inside the hole. Scrape and tin the wire ends before they go in."
_MAINS_SAFETY = (
    When("class-x", "Class X, across the mains: replace it only with the same class and voltage."),
    When("class-x", "It keeps its charge: the pins of a plug just pulled out can give you a shock."),
    When("class-y", "Class Y, from mains to earth: never put an ordinary capacitor in its place."),
    When("mains-rated -class-x -class-y", "It is rated for mains AC: a DC rating is no substitute."),
)
"""Classes of IEC 60384-14, from memory."""
_KEEPS = "Once powered, it keeps its charge: discharge it through a resistor."

PASSIVES = (
    Kind(
        name="resistor", unit="ohm", percent=5, marked="bands", needs_value=True, usual_for="R",
        sought=225,
        words="(?:film|oxide|composition|wire-?wound|ceramic|cement|carbon) resistors?|resistors?,? .*film",
        mount="flat", height=1, heights=AXIAL, joints=2, joints_sure=True, pins="",
        sometimes=(
            When("-smd -hot", "Colours shift under a lamp: measure before fitting."),
            When("smd -melf", "Read the printed code or measure: SMD resistors have no bands."),
            When("melf", "It rolls: hold it down with tweezers until both ends are soldered."),
            When("hot -smd", HOT_GAP),
        ),
        shows={"wound": "wire-?wound|cement"},
        group="resistors", suspects=("values",), roles=("adjustable", "runs hot"),
    ),
    Kind(
        name="resistor network", unit="ohm", percent=5, needs_value=True,
        usual_for="RN RP RA", letters="R", also_called="resistor array", sought=190,
        words="resistor (?:network|array)s?|sip resistors?",
        hints=r"networks?|arrays?|bussed|isolated|si[pl](?:[ -]?\d+)?",
        height=2, joints=8, pins="package", drawing="network",
        orientation="The dot or bar marks pin 1, the common end: to the square pad or the mark.",
        ways=(When("array", ""),),
        sometimes=(When("-array", "Bussed and isolated networks look the same: read the type."),),
        shows={"array": r"\barray|\barc\b|\b[248]x0\d0\d|\brescax?[vfes]"},
        seconds=32, group="resistors", suspects=("values",),
    ),
    Kind(
        name="thermistor", unit="ohm", percent=10, needs_value=True,
        usual_for="TH NTC", letters="R RT PTC", by_unit="RT PTC", also_called="inrush limiter, tempco",
        sought=180,
        words="thermistors?|ntc|tempcos?|silistors?|inrush(?: current)?(?: limiters?)?",
        hints=r"ptc|kty\S*",
        types=r"SCK-?\d|B57\d|KTY\d|NTC-?\d",
        mount="upright", height=4, heights=AXIAL, joints=2, joints_sure=True, pins="",
        sometimes=(
            When("-inrush", "Some must touch the part they sense: read the kit's note before soldering."),
            When("inrush", "It gets very hot in use: keep its legs long and everything else clear of it."),
            When("inrush",
                 "It carries the supply current: cold resistance and disc size must be as listed."),
        ),
        told={"inrush": r"inrush|\bsck-?\d|\bb572|\bmf72"},
        group="resistors", suspects=("values",), roles=("sold by type",),
    ),
    Kind(
        name="varistor", unit="volt",
        usual_for="MOV VDR", letters="R RV VR V TUBE", by_unit="RV V TUBE", also_called="mov", sought=180,
        words="varistors?|mov|vdr",
        types=r"ERZ-?V|B722\d|JVR-?\d",
        height=4, joints=2, joints_sure=True, pins="",
        cautions=("Often across the mains: exactly the listed voltage, and clear of other parts.",),
        suspects=(), roles=("sold by type",),
    ),
    Kind(
        name="photoresistor", unit="ohm", usual_for="LDR", letters="R", also_called="ldr", sought=170,
        words="ldr|photo[ -]?(?:resistor|cell)s?|light dependent resistors?",
        types=r"GL55\d\d|VT9\d|NORPS|ORP12",
        mount="upright", height=4, heights=AXIAL, joints=2, joints_sure=True, pins="",
        cautions=("Keep the legs long enough for its face to see the light.",),
        suspects=("values",), roles=("sold by type", "spoilt by washing"),
    ),
    Kind(
        name="wire link", usual_for="W LK JW WL", letters="R", also_called="jumper wire, link", sought=150,
        words="(?:wire )?links?|jumper wires?|wire jumpers?",
        hints="jumpers?|wire|bridge",
        mount="flat", height=1, joints=2, joints_sure=True, pins="",
        cautions=("A link that crosses another track needs a sleeve.",),
        seconds=18, suspects=(), roles=("carries supply",),
    ),
    Kind(
        name="ferrite bead", usual_for="E FB", letters="L F FU", also_called="bead", sought=210,
        words="(?:ferrite )?beads?|ferrites?(?! (?:rod|bar|aerial))",
        mount="flat", height=1, heights=AXIAL, joints=2, joints_sure=True, pins="",
        sometimes=(When("-smd", "A bead without leads needs a piece of wire through it."),),
        suspects=(), roles=("sold by type", "carries supply", "supply path"),
    ),
)  # fmt: skip

CAPACITORS_AND_COILS = (
    Kind(
        name="ceramic capacitor", unit="farad", percent=20, marked="code", look="small capacitor",
        needs_value=True,
        letters="C", also_called="ceramic cap", sought=260,
        words="ceramics?(?: cap(?:acitor)?s?)?|mlcc|c0g|cog|np[0o]|x[57]r|y5v|z5u",
        hints="cer|[xyz][4-8][a-z]|disc|monolithic",
        height=3, joints=2, joints_sure=True, pins="",
        sometimes=(
            *_MAINS_SAFETY,
            When("-smd -class-y -class-x", "Read the printed code: 103 and 104 look the same."),
            When("smd", "SMD ceramics are unmarked: take one value out of its tape at a time."),
        ),
        seconds=24, group="small capacitors", suspects=("values",),
    ),
    Kind(
        name="film capacitor", unit="farad", percent=10, marked="code", look="small capacitor",
        needs_value=True,
        letters="C", also_called="film cap, safety capacitor", sought=250,
        words=r"film|mk[pts]\d*|polyester|polyprop\w*|styro\w*|polystyrene|mylar",
        hints="poly|pet|pp|ps|mica",
        height=3, heights={"laid flat": 2, "flat": 3}, joints=2, joints_sure=True, pins="",
        sometimes=(
            *_MAINS_SAFETY,
            When("-smd", "Seat it fully before soldering: pulling tears the legs out of the film."),
            When("keeps-charge", _KEEPS),
        ),
        group="small capacitors", suspects=("values",),
    ),
    Kind(
        name="electrolytic capacitor", unit="farad", percent=20, marked="microfarads", needs_value=True,
        letters="C", also_called="electrolytic, electrolytic cap", sought=260,
        words="electro(?:lytic|s)?|elco|elko",
        hints="alu(?:minium)?|can",
        height=6, heights={"laid flat": 5, "flat": 5}, joints=2, joints_sure=True, pins="", drawing="can",
        orientation="Long leg is +. The stripe on the can marks the minus.",
        ways=(
            When("smd", "The black mark on top of the can is minus; the cut corners of the base are plus."),
            When("axial", "Arrows or stripe point to minus; the end with the groove is usually plus."),
        ),
        cautions=(
            "Some boards mark minus with a line, others plus with a +: check the print.",
            "Reversed, it can burst.",
        ),
        sometimes=(
            When("laid-flat", "Bend the legs before soldering, and watch which one is +."),
            When("keeps-charge", _KEEPS),
            When("farads", "Never short it charged: it gives hundreds of amperes and burns."),
        ),
        seconds=34, group="electrolytics", suspects=("values", "polarity"),
    ),
    Kind(
        name="bipolar electrolytic capacitor", unit="farad", percent=20, marked="microfarads",
        needs_value=True,
        letters="C", also_called="bipolar capacitor", sought=240,
        words=r"(?:bi-?polar|non-?polar(?:i[sz]ed)?) (?:electro\w*|cap\w*)",
        hints="bi-?polar|non-?polar(?:i[sz]ed)?|bp|np",
        height=6, heights={"laid flat": 5, "flat": 5}, joints=2, joints_sure=True, pins="",
        cautions=("Marked BP or NP. Do not put an ordinary electrolytic in its place.",),
        group="electrolytics", suspects=(),
    ),
    Kind(
        name="tantalum capacitor", unit="farad", percent=20, marked="microfarads or code",
        look="small capacitor", needs_value=True,
        letters="C", also_called="tantalum", sought=230,
        words="tant(?:alum)?s?",
        height=4, joints=2, joints_sure=True, pins="", drawing="drop",
        orientation="The + on the body marks the plus leg, usually the longer one.",
        ways=(When("smd", "The bar on the case marks the plus."),),
        cautions=("The stripe marks plus, not minus as on an electrolytic. Reversed, it can catch fire.",),
        shows={"smd": r"\bcase[- ]?[a-ex]\b|\btantalum [a-ex]\b|\b3216|\b3528|\b6032|\b7343"},
        group="electrolytics", suspects=("polarity",),
    ),
    Kind(
        name="trimmer capacitor", unit="farad", usual_for="CT TC CV", letters="C VC", sought=200,
        words="trim(?:mer|ming)? cap(?:acitor)?s?|ctrim",
        hints="trim(?:mer)?s?",
        height=4, joints=2, pins="package",
        cautions=(
            "The terminal joined to the screw goes to ground where the board shows it.",
            "The plastic melts: solder quickly.",
        ),
        spoken="trimmers?|trimpots?", suspects=(),
        roles=("adjustable", "spoilt by washing", "sold sealed too"),
    ),
    Kind(
        name="variable capacitor", unit="farad", usual_for="VC", letters="C CT TC CV", sought=200,
        words="variable cap(?:acitor)?s?|tuning cap(?:acitor)?s?|polyvaricon",
        hints="variable|air",
        mount="panel", height=8, joints=3, pins="package",
        sometimes=(
            When("-plastic-vanes", "Close the vanes fully before you handle it."),
            When("plastic-vanes",
                 "Use only the short screws supplied: a long one reaches in and ruins the plates."),
        ),
        shows={"plastic-vanes": "poly"},
        suspects=(), roles=("adjustable", "spoilt by washing"),
    ),
    Kind(
        name="inductor", unit="henry", percent=20, needs_value=True,
        usual_for="L", letters="E FB", also_called="choke, coil", sought=390,
        words="inductors?|chokes?|ferrite (?:rod|bar)s?|aerial coils?",
        height=5, heights=AXIAL, joints=2, joints_sure=True, pins="coil",
        sometimes=(
            When("axial", "Axial chokes look like resistors: measure; a choke reads close to a short."),
            When("turns", _OF_WIRE),
        ),
        shows={"turns": r"\bturns?\b|\bf?t\d{2,3}-\d"},
        spoken="coils?|chokes?|inductors?", suspects=("values",),
        roles=("adjustable", "carries supply", "supply path"),
    ),
    Kind(
        name="toroid inductor", unit="henry", percent=20, letters="L T", also_called="toroid", sought=210,
        words=r"toroid(?:s|al)?|f?t\d{2,3}-\d{1,2}\w?",
        height=6, joints=2, pins="coil",
        cautions=(_OF_WIRE,),
        seconds=400, spoken="coils?|chokes?|inductors?", suspects=("windings",),
        roles=("sold by type", "carries supply"),
    ),
    Kind(
        name="transformer", usual_for="T", letters="TR VT", sought=205,
        words=r"\w*transform(?:ers?|ator|ateur)|\w*trafos?|\d+ ?va|toroid\w*.*\d ?v|.*\d ?v\b.*toroid\w*|"
        r"\d+-0-\d+ ?v?",
        height=7, heights={"chassis": 9}, joints=6, pins="package", drawing="transformer",
        orientation="The mark, or the side with more pins, as printed. Tell the windings apart with a meter.",
        sometimes=(
            When("mains",
                 "Mains side: local regulations first; if they require a licensed person, leave it to one."),
            When("-mains -signal-coil",
                 "If one side goes to the mains: local regulations and licensed practice come first."),
        ),
        shows={"signal-coil": r"audio|\bif\b|balun|pulse|driver|\d ?[km]hz|\d ?[kr]? ?: ?\d"},
        seconds=120, spoken="transformers?", suspects=("windings",),
        roles=("adjustable", "spoilt by washing", "carries supply", "supply path"),
    ),
    Kind(
        name="crystal", unit="hertz", needs_value=True,
        usual_for="Y XTAL XT X", letters="Q", by_unit="Q", also_called="crystal oscillator", sought=380,
        words="crystals?|xtal|quartz",
        hints=r"hc-?49\S*",
        height=3, joints=2, joints_sure=True, pins="crystal",
        ways=(
            When("oscillator", "The dot or the square corner marks pin 1: to the mark on the board."),
        ),
        sometimes=(
            When("-oscillator -smd", "Mount a metal can slightly off the board, so that it shorts nothing."),
            When("oscillator", "The wrong way round, it dies as soon as it has power: check pin 1 twice."),
        ),
        shows={"oscillator": r"oscillator|\b[tov]c?xo\b|\bdi[lp]-?\d"},
        spoken="crystals?|quartz", suspects=(), roles=("clock",),
    ),
    Kind(
        name="ceramic resonator", unit="hertz", needs_value=True,
        letters="Y XTAL XT X", also_called="resonator", sought=210,
        words="(?:ceramic )?resonators?|ceramic filters?",
        types=r"CS[AB]\d|CST[A-Z]|ZT[AT]\d|SFE\d|CF[UW]",
        height=3, joints=3, pins="package",
        cautions=("The middle leg is ground; it fits either way round.",),
        spoken="crystals?|quartz", suspects=(), roles=("clock",),
    ),
)  # fmt: skip
