"""The table of kinds, second half: fuses, controls, connectors, valves and hardware."""

from __future__ import annotations

from bench.parts.kind import Kind

_AFTER_PANEL = "Solder only after the panel has been fitted and its nuts are tight."
_ONE_PIN = "Solder one pin, see that it is straight, then the rest."
_FLUX = "Clean the flux off before this goes in: it creeps into contacts."
_PANEL_OR_BOARD = {"board": 5}

FUSES_AND_CONTROLS = (
    Kind(
        name="resettable fuse", letters=("RT", "F", "PTC", "PF"), unit="ampere", height=5,
        heights={"laid flat": 4},
        cautions=(
            "Not flush on the board: it gets warm and swells when it trips, so leave it air.",
            "Between stacked boards it is laid flat: bend it before soldering.",
        ),
    ),
    Kind(
        name="fuse", letters=("F", "FU"), unit="ampere", height=5, heights={"flat": 1}, socketable=True,
        cautions=("Rating and speed must be as listed; never a bigger one.",),
    ),
    Kind(
        name="fuse holder", letters=("XF", "F", "FH"), height=5, heights={"panel": 8},
        cautions=("Clips have a stop at the outer end: fit a dead fuse in them while soldering.",),
    ),
    Kind(
        name="trimmer", letters=("R", "RV", "VR", "P", "TRIM", "TM"), unit="ohm", height=4, joints=3,
        heights={"panel": 8},
        cautions=("Screw on the side that stays reachable. Set it to the middle before it goes in.",),
    ),
    Kind(
        name="potentiometer", letters=("R", "RV", "VR", "P", "POT"), unit="ohm", mount="panel", height=8,
        heights={"board": 7}, joints=3,
        cautions=(_AFTER_PANEL, "Same value, other taper: read the letter. A and B mean different laws.",
        _FLUX),
    ),
    Kind(
        name="slide potentiometer", letters=("R", "RV", "VR", "P"), unit="ohm", mount="panel", height=8,
        heights={"board": 7}, joints=3,
        cautions=(_AFTER_PANEL, _FLUX),
    ),
    Kind(
        name="rotary encoder", letters=("S", "SW", "ENC", "RE"), mount="panel", height=8,
        heights={"board": 7},
        joints=5, cautions=(_AFTER_PANEL, _FLUX),
    ),
    Kind(
        name="toggle switch", letters=("S", "SW"), mount="panel", height=8, heights={"board": 7}, joints=3,
        cautions=(
            _AFTER_PANEL,
            "Its positioning tab may need clipping, or a nut or spacer under the panel.",
            "ON-ON and ON-OFF-ON look the same: feel for the middle before it goes in.",
        ),
    ),
    Kind(
        name="slide switch", letters=("S", "SW"), mount="panel", height=8, heights=_PANEL_OR_BOARD,
        joints=3,
        cautions=(_AFTER_PANEL, "Plastic softens: solder fast and not while it is being moved."),
    ),
    Kind(
        name="rotary switch", letters=("S", "SW"), mount="panel", height=8, heights={"board": 7}, joints=13,
        cautions=("Set the stop ring before the nut goes on.", _AFTER_PANEL),
    ),
    Kind(
        name="push button", letters=("S", "SW", "PB", "BTN"), mount="panel", height=8, heights={"board": 4},
        cautions=("A square one with four legs fits one way; forced a quarter turn it is always closed.",),
    ),
    Kind(
        name="relay", letters=("K", "RY", "RL"), height=7, joints=8,
        orientation="The bar on the case marks the coil's side; it goes to the bar on the board.",
        cautions=("Some coils have a polarity: check + and - on the case.",),
    ),
)

CONNECTORS = (
    Kind(
        name="pin header", letters=("J", "JP", "P", "HDR", "X"), height=5,
        cautions=("Line it up with both boards together before soldering.", _ONE_PIN),
    ),
    Kind(
        name="box header", letters=("J", "P", "CN", "X"), height=5, joints=10,
        orientation="The notch in the wall goes to the notch on the board; the arrow marks pin 1.",
        cautions=("Backwards it turns the supply round and can kill the module: check the key twice.",
        _ONE_PIN),
    ),
    Kind(
        name="pin socket", letters=("J", "P", "X", "CN"), height=5,
        cautions=("Line it up with both boards together before soldering.", _ONE_PIN),
    ),
    Kind(
        name="connector", letters=("J", "P", "CN", "CON", "X"), height=5, heights={"panel": 8},
        orientation="Its lock or open side as printed on the board; check where pin 1 is.",
        cautions=(_ONE_PIN,),
    ),
    Kind(
        name="terminal block", letters=("TB", "J", "X"), height=7,
        orientation="The wire openings face the edge of the board.",
        cautions=("Slide the pieces together before they go in, not after.",),
    ),
    Kind(
        name="jack socket", letters=("J", "JK", "JACK"), mount="panel", height=8, heights={"board": 7},
        joints=3,
        cautions=(_AFTER_PANEL, _FLUX),
    ),
    Kind(
        name="DC socket", letters=("J", "DC"), height=7, heights={"panel": 8}, joints=3,
        orientation="The opening faces the edge. Centre plus or minus: as printed; check the supply too.",
        cautions=("Measure the plug's polarity before it ever goes in.", "Wide tags want more heat."),
    ),
    Kind(
        name="test point", letters=("TP",), height=3, joints=1,
        cautions=("Hold it with pliers, not with fingers: it gets hot at once.",),
    ),
    Kind(
        name="display", letters=("DS", "DISP", "LCD"), height=5, heights={"panel": 8}, joints=10,
        socketable=True,
        orientation="The decimal point is at the bottom; pin 1 as printed on the board.",
        cautions=("Leave the foil on. Fit it at the height the panel wants before soldering.",),
    ),
)

LARGE_PARTS = (
    Kind(
        name="valve", letters=("V", "VT", "TUBE"), mount="board", height=7, joints=0, socketable=True,
        orientation="The gap between the pins, or the key, goes to the gap of its socket.",
        cautions=(
            "High voltage near: no valve in its socket until the supply was measured and discharged.",
            "Push straight and pull straight: twisting breaks the glass.",
        ),
    ),
    Kind(
        name="valve socket", letters=("XV", "VS"), height=7, heights={"chassis": 9}, joints=9,
        orientation="The gap between the contacts as printed. Pins count clockwise seen from below.",
        cautions=("Put a dead valve in while soldering so that the contacts stay in line.",),
    ),
    Kind(
        name="heatsink", letters=("HS",), height=7, joints=0,
        cautions=("See that it touches no track and no other metal.",),
    ),
    Kind(
        name="battery holder", letters=("BT", "BAT"), unit="volt", height=7, heights={"chassis": 9},
        orientation="Red wire or the spring's far end is +: to the + on the board.",
        cautions=("No battery in it while soldering.",),
    ),
    Kind(
        name="loudspeaker", letters=("LS", "SPK"), unit="ohm", mount="chassis", height=9,
        orientation="The + or the red dot at its tags goes to the + of the board.",
        cautions=("Filings and screwdrivers fly to the magnet: keep it covered.",),
    ),
    Kind(
        name="microphone", letters=("MK", "MIC"), height=5, heights={"panel": 8, "cable": 9},
        orientation="Of an electret capsule, the pad joined to the case is the minus.",
        cautions=("Heat ruins the capsule: a second for each joint.",),
    ),
    Kind(
        name="module", letters=("A", "MOD"), height=7, socketable=True,
        orientation="Pin 1 or the socket's side as printed on the board.",
        cautions=("Put it in its pin sockets while they are soldered, then take it out.",),
    ),
)

HARDWARE = (
    Kind(
        name="spacer", mount="board", height=9, joints=0,
        cautions=("Finger-tight until all boards are in line, then tighten.",),
    ),
    Kind(
        name="screw", mount="chassis", height=9, joints=0,
        cautions=("See that its head touches no track.",),
    ),
    Kind(
        name="nut", mount="panel", height=9, joints=0,
        cautions=("Cover the panel with tape: the wrench slips.",),
    ),
    Kind(name="washer", mount="panel", height=9, joints=0),
    Kind(
        name="knob", mount="panel", height=9, joints=0,
        cautions=("Turn the shaft to its stop first, then set the line.",),
    ),
    Kind(
        name="panel", mount="panel", height=9, joints=0,
        cautions=("Bring all parts through their holes before a nut is tightened. Force nothing.",),
    ),
    Kind(
        name="cable", letters=("W",), mount="cable", height=9, joints=0,
        orientation="The coloured edge of a ribbon cable goes to pin 1, mostly the minus rail.",
        cautions=("Check each wire from end to end before it meets a supply.",),
    ),
    Kind(name="hardware", letters=("H", "MP", "HW"), mount="chassis", height=9, joints=0),
)
