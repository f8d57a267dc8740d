"""The table of kinds: connectors, valves and other large parts."""

from __future__ import annotations

from bench.parts.fittings import AFTER_PANEL, FLUX, MAINS
from bench.parts.kind import Kind, When

_ONE_PIN = "Solder one pin, see that it is straight, then the rest."
_EARS = "Volume at zero and phones off your ears when power first comes on."
_STORM = "No outdoor aerial on it in a thunderstorm; local codes say how one is earthed and protected."
_AC = "The supply is AC: it has no plus and no minus."
_STACK = "Line it up with both boards together before soldering."

CONNECTORS = (
    Kind(
        name="pin header",
        letters=("J", "JP", "P", "HDR", "X"),
        height=5,
        cautions=(_ONE_PIN,),
        sometimes=(When("stacked", _STACK),),
    ),
    Kind(
        name="box header",
        letters=("J", "P", "CN", "X"),
        height=5,
        joints=10,
        orientation="The notch in the wall goes to the notch on the board; the arrow marks pin 1.",
        cautions=(
            "Backwards it turns the supply round and can kill the module: check the key twice.",
            _ONE_PIN,
        ),
    ),
    Kind(
        name="pin socket",
        letters=("J", "P", "X", "CN"),
        height=5,
        cautions=(_ONE_PIN,),
        sometimes=(When("stacked", _STACK),),
    ),
    Kind(
        name="connector",
        letters=("J", "P", "CN", "CON", "X"),
        height=5,
        heights={"panel": 8},
        orientation="Its lock or open side as printed on the board; check where pin 1 is.",
        ways=(
            When("post", ""),
            When("wired", "Check where pin 1 is, from the side that its wires are soldered to."),
        ),
        sometimes=(
            When("-post -panel -chassis -cable", _ONE_PIN),
            When("post", "Metal panel: its bushes keep it off; measure that it does not touch."),
            When("phones", _EARS),
            When("aerial", _STORM),
        ),
    ),
    Kind(
        name="terminal block",
        letters=("TB", "J", "X"),
        height=7,
        orientation="The wire openings face the edge of the board.",
        ways=(When("wired", ""),),
        sometimes=(
            When("mains", MAINS),
            When("aerial", _STORM),
            When("pieces", "Slide the pieces together before they go in, not after."),
        ),
    ),
    Kind(
        name="jack socket",
        letters=("J", "JK", "JACK"),
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=3,
        sometimes=(
            When("phones", _EARS),
            When("panel -placed", AFTER_PANEL),
            When("-placed", FLUX),
        ),
    ),
    Kind(
        name="mains inlet",
        letters=("J",),
        mount="chassis",
        height=9,
        joints=3,
        cautions=(
            MAINS,
            "Live, neutral and earth go by the marks at its tags.",
        ),
    ),
    Kind(
        name="DC socket",
        letters=("J", "DC"),
        height=7,
        heights={"panel": 8},
        joints=3,
        orientation="The opening faces the edge. Centre plus or minus: as printed; check the supply too.",
        ways=(
            When("ac wired", _AC),
            When("ac panel", _AC),
            When("ac", f"The opening faces the edge. {_AC}"),
            When("wired", "Centre plus or minus: find each tag with the meter; check the supply too."),
            When("panel", "Centre plus or minus: as printed; check the supply too."),
        ),
        cautions=("Wide tags want more heat.",),
        sometimes=(
            When("-ac", "Measure the plug's polarity before it ever goes in."),
            When("ac", "Only an AC supply of the listed voltage: a DC one looks the same."),
        ),
    ),
    Kind(
        name="test point",
        letters=("TP",),
        height=3,
        joints=1,
        cautions=("Hold it with pliers, not with fingers: it gets hot at once.",),
    ),
    Kind(
        name="lamp",
        letters=("DS", "LA", "PL"),
        mount="panel",
        height=8,
        heights={"board": 4},
        cautions=("Its voltage must be as listed; a neon lamp needs the resistor that the kit gives it.",),
    ),
    Kind(
        name="display",
        letters=("DS", "DISP", "LCD"),
        height=5,
        heights={"panel": 8},
        joints=10,
        orientation="The decimal point is at the bottom; pin 1 as printed on the board.",
        ways=(
            When("lcd", "Pin 1 as printed on the board."),
            When("nixie", "The arrow or the wide gap marks one pin: count from it as the guide shows."),
        ),
        sometimes=(
            When("-nixie", "Leave the foil on until the end."),
            When("panel -placed", "Fit it at the height the panel wants before soldering."),
            When(
                "nixie",
                "High voltage near: no hand near it once the kit has had power, until it was discharged.",
            ),
        ),
        socketable=True,
    ),
)

LARGE_PARTS = (
    Kind(
        name="valve",
        letters=("V", "VT", "TUBE"),
        mount="board",
        height=7,
        joints=0,
        socketable=True,
        orientation="The gap between the pins, or the key, goes to the gap of its socket.",
        cautions=("Push straight and pull straight: twisting breaks the glass.",),
        sometimes=(
            When(
                "insert", "High voltage near: no valve goes in before the supply was measured and discharged."
            ),
            When(
                "-insert", "High voltage near: once there was power, discharge and measure before every touch."
            ),
        ),
    ),
    Kind(
        name="valve socket",
        letters=("XV", "VS"),
        height=7,
        heights={"chassis": 9},
        joints=9,
        orientation="The gap between the contacts as printed. Pins count clockwise seen from below.",
        cautions=("Put a dead valve in while soldering so that the contacts stay in line.",),
    ),
    Kind(
        name="heatsink",
        letters=("HS",),
        height=7,
        joints=0,
        cautions=("See that it touches no track and no other metal.",),
    ),
    Kind(
        name="battery holder",
        letters=("BT", "BAT"),
        unit="volt",
        height=7,
        heights={"chassis": 9},
        orientation="Red wire or the spring's far end is +: to the + on the board.",
        cautions=("No battery in it while soldering.",),
        sometimes=(
            When(
                "lithium",
                "Lithium cell: never solder to it, never short it, never fit it reversed; no swollen one.",
            ),
        ),
    ),
    Kind(
        name="battery cell",
        letters=("BT", "BAT"),
        unit="volt",
        mount="chassis",
        height=9,
        joints=0,
        orientation="The flat end is the minus, the nipple or the red wire the plus: + to the + of its holder.",
        sometimes=(
            When(
                "lithium",
                "Lithium cell: never solder to it, never short it, never fit it reversed; no swollen one.",
            ),
        ),
    ),
    Kind(
        name="loudspeaker",
        letters=("LS", "SPK", "BZ", "BUZ"),
        unit="ohm",
        mount="chassis",
        height=9,
        orientation="The + or the red dot at its tags goes to the + of the board.",
        ways=(
            When("buzzer", "The + on its top or the longer leg is the plus."),
            When("piezo", "A bare disc goes either way; with a + on its case, that leg to the + of the board."),
        ),
        sometimes=(
            When("-buzzer -piezo", "Filings and screwdrivers fly to the magnet: keep it covered."),
            When("-buzzer", "Volume at zero and ears away when power first comes on."),
        ),
    ),
    Kind(
        name="microphone",
        letters=("MK", "MIC"),
        height=5,
        heights={"panel": 8, "cable": 9},
        orientation="Of an electret capsule, the pad joined to the case is the minus.",
        cautions=("Heat ruins the capsule: a second for each joint.",),
    ),
    Kind(
        name="module",
        letters=("A", "MOD"),
        height=7,
        socketable=True,
        orientation="Pin 1 or the socket's side as printed on the board.",
        cautions=("Put it in its pin sockets while they are soldered, then take it out.",),
    ),
)
