"""The table of kinds: fuses, controls and hardware."""

from __future__ import annotations

from bench.parts.kind import Kind, When

MAINS = "Mains: local rules apply, and the work of somebody licensed where they say so."
AFTER_PANEL = "Solder only after the panel has been fitted and its nuts are tight."
FLUX = "Clean the flux off before this goes in: it creeps into contacts."
_PANEL_OR_BOARD = {"board": 5}

FUSES_AND_CONTROLS = (
    Kind(
        name="resettable fuse",
        letters=("RT", "F", "PTC", "PF"),
        unit="ampere",
        height=5,
        heights={"laid flat": 4},
        cautions=("Not flush on the board: it gets warm and swells when it trips, so leave it air.",),
        sometimes=(When("laid-flat", "Between stacked boards it is laid flat: bend it before soldering."),),
    ),
    Kind(
        name="fuse",
        letters=("F", "FU"),
        unit="ampere",
        height=5,
        heights={"flat": 1},
        socketable=True,
        cautions=("Rating and speed must be as listed; never a bigger one.",),
    ),
    Kind(
        name="fuse holder",
        letters=("XF", "F", "FH"),
        height=5,
        heights={"panel": 8},
        sometimes=(
            When("mains", MAINS),
            When("clips", "Clips have a stop at the outer end: fit a dead fuse in them while soldering."),
            When(
                "-clips -panel -chassis",
                "Fit a dead fuse in it while soldering, so that its contacts stay in line.",
            ),
        ),
    ),
    Kind(
        name="trimmer",
        letters=("R", "RV", "VR", "P", "TRIM", "TM"),
        unit="ohm",
        height=4,
        joints=3,
        heights={"panel": 8},
        sometimes=(
            When("-bias", "Screw on the side that stays reachable. Set it to the middle before it goes in."),
            When("bias", "Screw on the side that stays reachable."),
            When("-bias multi-turn", "The end of many turns cannot be felt: find the middle with the meter."),
            When(
                "bias",
                "Not to the middle: an idle current starts at its least, or what it feeds burns.",
            ),
        ),
    ),
    Kind(
        name="potentiometer",
        letters=("R", "RV", "VR", "P", "POT"),
        unit="ohm",
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=3,
        cautions=("Same value, other taper: read the letter. A and B mean different laws.",),
        sometimes=(
            When("panel -placed", AFTER_PANEL),
            When("-placed", FLUX),
        ),
    ),
    Kind(
        name="slide potentiometer",
        letters=("R", "RV", "VR", "P"),
        unit="ohm",
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=3,
        sometimes=(
            When("panel -placed", AFTER_PANEL),
            When("-placed", FLUX),
        ),
    ),
    Kind(
        name="rotary encoder",
        letters=("S", "SW", "ENC", "RE"),
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=5,
        sometimes=(
            When("panel -placed", AFTER_PANEL),
            When("-placed", FLUX),
        ),
    ),
    Kind(
        name="toggle switch",
        letters=("S", "SW"),
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=3,
        sometimes=(
            When("panel -placed", AFTER_PANEL),
            When("panel -placed", "Its positioning tab may need clipping, or a nut or spacer under the panel."),
            When("mains", MAINS),
            When("changeover", "ON-ON and ON-OFF-ON look the same: feel for the middle before it goes in."),
        ),
    ),
    Kind(
        name="slide switch",
        letters=("S", "SW"),
        mount="panel",
        height=8,
        heights=_PANEL_OR_BOARD,
        joints=3,
        cautions=("Plastic softens: solder fast and not while it is being moved.",),
        sometimes=(When("panel -placed", AFTER_PANEL),),
    ),
    Kind(
        name="rotary switch",
        letters=("S", "SW"),
        mount="panel",
        height=8,
        heights={"board": 7},
        joints=13,
        sometimes=(
            When("panel -placed", "Set the stop ring before the nut goes on."),
            When("panel -placed", AFTER_PANEL),
        ),
    ),
    Kind(
        name="push button",
        letters=("S", "SW", "PB", "BTN"),
        mount="panel",
        height=8,
        heights={"board": 4},
        sometimes=(
            When("panel -placed", AFTER_PANEL),
            When("tact", "Four legs fit one way only: forced in at a right angle, it is always closed."),
        ),
    ),
    Kind(
        name="relay",
        letters=("K", "RY", "RL", "RLY"),
        height=7,
        joints=8,
        orientation="The bar on the case marks the coil's side; it goes to the bar on the board.",
        ways=(When("wired", "Coil and contacts by the numbers or the drawing on its case."),),
        sometimes=(
            When("-reed", "Some coils have a polarity: check + and - on the case."),
            When("reed", "Glass inside: do not bend its legs. With a diode inside, its coil has a plus."),
        ),
    ),
)

HARDWARE = (
    Kind(
        name="spacer",
        mount="board",
        height=9,
        joints=0,
        cautions=("Finger-tight until all boards are in line, then tighten.",),
    ),
    Kind(
        name="screw",
        mount="chassis",
        height=9,
        joints=0,
        cautions=("See that its head touches no track.",),
    ),
    Kind(
        name="nut",
        mount="panel",
        height=9,
        joints=0,
        cautions=("Cover the panel with tape: the wrench slips.",),
    ),
    Kind(name="washer", mount="panel", height=9, joints=0),
    Kind(
        name="knob",
        mount="panel",
        height=9,
        joints=0,
        cautions=("Turn the shaft to its stop first, then set the line.",),
    ),
    Kind(
        name="panel",
        mount="panel",
        height=9,
        joints=0,
        cautions=("Bring all parts through their holes before a nut is tightened. Force nothing.",),
    ),
    Kind(
        name="cable",
        letters=("W",),
        mount="cable",
        height=9,
        joints=0,
        orientation="Each wire to its own pad: follow the colours or numbers of the guide.",
        ways=(When("ribbon", "The coloured edge of a ribbon cable goes to pin 1, mostly the minus rail."),),
        cautions=("Check each wire from end to end before it meets a supply.",),
    ),
    Kind(name="hardware", letters=("H", "MP", "HW", "ANT"), mount="chassis", height=9, joints=0),
)
