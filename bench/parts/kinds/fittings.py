"""Kinds of parts: valves and other large parts, batteries, hardware."""

from __future__ import annotations

from bench.parts.kinds.kind import Kind, When

_LITHIUM = r"1[48][56]\d0|21700|26650|li-?ion|li-?po\b|lipo|lifepo|lithium[- ](?:ion|pol|iron)|\b3[.,][267] ?v"
_COIN_CELL = r"\b[cbl]r\d{4}\b|\bcoin\b|\bbutton cell"
_LEAD_ACID = r"lead[- ]?acid|\bsla\b|\bagm\b|\bgel cell"
_CELL_CAUTIONS = (
    When("coin-cell", "Coin cell: out of reach of children; never charge it, never solder to it."),
    When(
        "lead-acid",
        "Lead-acid: a short burns hands and wires, and it gives off explosive gas while it charges.",
    ),
)
_CELLS = {"coin-cell": _COIN_CELL, "lead-acid": _LEAD_ACID}
_LITHIUM_CAUTION = When(
    "lithium", "Lithium cell: never solder to it, never short it, never reverse it; never use a swollen one."
)

LARGE_PARTS = (
    Kind(
        name="valve", needs_value=True, usual_for="V TUBE", letters="VT", also_called="tube", sought=390,
        words="valves?|tubes?|triodes?|pentodes?",
        types=r"E[ABCFLZ]{1,3}\d\d+|P[CFL]{1,2}\d\d|12A[TUXY]\d|6[A-Z]{1,2}\d|KT\d\d(?!\d)|EF\d\d|E\d\dCC"
        r"|GZ\d\d|5[UYR]\d",
        height=7, joints=0, pins="", socketable=True, socket="valve socket", drawing="valve",
        orientation="The gap between the pins, or the key, goes to the gap of its socket.",
        cautions=("Push and pull it straight: twisting breaks the glass.",),
        sometimes=(
            When("insert",
                 "High voltage nearby: no valve goes in until all checks before it are met and it is off and "
                 "discharged."),
            When("-insert",
                 "High voltage nearby: once it has had power, discharge and measure before every touch."),
            When("picture-tube", "Evacuated: it can implode. Glasses on; never lift it by its neck."),
        ),
        shows={"picture-tube": r"\bcrt\b|cathode[- ]ray|(?:picture|oscilloscope) tube|\bdg?\d+-\d\d"
               r"|\b\d[a-z]{1,2}p\d"},
        spoken="valves?|tubes?|heaters?|filaments?", suspects=(), roles=("plugged in", "active"),
    ),
    Kind(
        name="valve socket", usual_for="XV VS", also_called="tube socket", sought=20,
        words="(?:valve|tube|noval|octal|b9a|b7g) (?:socket|base|holder)s?",
        height=7, heights={"chassis": 9}, joints=9, pins="valve_base", drawing="valve",
        orientation="The gap between the contacts as printed. Pins count clockwise seen from below.",
        cautions=("Fit a dead valve while you solder, so that the contacts stay aligned.",),
        spoken="valves?|tubes?|heaters?|filaments?", suspects=(), roles=("socket", "spoilt by washing"),
    ),
    Kind(
        name="heatsink", usual_for="HS", letters="H MP HW", also_called="heat sink", sought=60,
        words="heat[ -]?sinks?",
        hints="sinks?",
        height=7, joints=0, pins="package",
        cautions=("Make sure that it touches no track and no other metal.",),
        suspects=(),
    ),
    Kind(
        name="battery holder", unit="volt", usual_for="BT BAT", also_called="battery", sought=50,
        words=r"battery[ -]?(?:holder|clip|snap|box)(?:e?s)?|battery|batteries|(?:18650|a?aa|cr20\d\d|pp3"
        r"|9 ?v|coin cell) (?:\w+ )?(?:holder|clip|snap|box|cell)(?:e?s)?|18650|li-?po|li-?ion"
        "|lithium cells?",
        height=7, heights={"chassis": 9}, joints=2, pins="", drawing="battery holder",
        orientation="The red wire, or the end without the spring, is +: to the + on the board.",
        cautions=("No battery in it while soldering.",),
        sometimes=(_LITHIUM_CAUTION, *_CELL_CAUTIONS),
        told={"lithium": _LITHIUM} | _CELLS,
        seconds=90, suspects=("fittings",),
        roles=("spoilt by washing", "carries supply", "inlet", "power plug"),
    ),
    Kind(
        name="battery cell", unit="volt", letters="BT BAT", sought=40,
        words=r"(?!.*(?:holder|clip|snap|box|sled))(?=.*(?:\bmah\b|\bcells?\b|\bli-?(?:po|ion)\b"
        r"|\bprotected\b))(?:.*\b(?:1[48][56]\d0|21700|26650|li-?(?:po|ion|fepo4?)|lithium)\b.*)"
        r"|battery cells?(?! *(?:holder|clip|snap|box|sled))",
        mount="chassis", height=9, joints=0, pins="", drawing="battery holder",
        orientation="The flat end is minus; the raised end or the red wire is plus: to the + of its holder.",
        sometimes=(_LITHIUM_CAUTION, *_CELL_CAUTIONS),
        told={"lithium": _LITHIUM} | _CELLS,
        suspects=(), roles=("spoilt by washing",),
    ),
    Kind(
        name="loudspeaker", unit="ohm", usual_for="LS SPK BZ BUZ", also_called="buzzer, speaker", sought=150,
        words="(?:loud)?speakers?|buzzers?|sounders?|piezos?",
        mount="chassis", height=9, joints=2, pins="", drawing="loudspeaker",
        orientation="The + or the red dot at its tags goes to the + of the board.",
        ways=(
            When("buzzer", "The + on its top or the longer leg is the plus."),
            When("piezo", "A bare disc goes either way; with a + on its case, that leg to the + of the board."),
        ),
        sometimes=(
            When("-buzzer -piezo", "The magnet pulls in filings and screwdrivers: keep it covered."),
            When("-buzzer", "Volume at zero and ears away when power first comes on."),
        ),
        shows={"piezo": "piezo", "buzzer": "buzz|sounder"},
        seconds=90, spoken="loudspeakers?|speakers?", suspects=("fittings",), roles=("spoilt by washing",),
    ),
    Kind(
        name="microphone", usual_for="MK MIC", also_called="mic", sought=150,
        words="mic|microphones?|electret",
        height=5, heights={"panel": 8, "cable": 9}, joints=2, pins="", drawing="microphone",
        orientation="On an electret capsule, the pad joined to the case is minus.",
        cautions=("Heat ruins the capsule: one second per joint.",),
        spoken="microphones?|mic", suspects=("fittings",), roles=("spoilt by washing",),
    ),
    Kind(
        name="module", usual_for="A MOD", letters="U IC", sought=410,
        words="modules?|breakout|sub-?boards?",
        height=7, joints=2, pins="plug", socketable=True, socket="pin socket", drawing="module",
        orientation="Pin 1 or the socket side as printed on the board.",
        cautions=("Plug it into its pin sockets while you solder them, then take it out.",),
        sometimes=(
            When("laser", "Laser: it can blind before you blink: never look into it or a reflection of it."),
        ),
        shows={"laser": r"\blaser\b"},
        suspects=("fittings",), roles=("fed", "spoilt by washing", "active"),
    ),
)  # fmt: skip

HARDWARE = (
    Kind(
        name="spacer", letters="H MP HW", also_called="standoff", sought=10,
        words="spacers?|stand-?offs?|pillars?",
        abroad="abstand|distanz|entretoise|separador|スペーサ|铜柱",
        height=9, joints=0, pins="",
        cautions=("Finger-tight until all boards line up, then tighten.",),
        suspects=(), roles=("loose",),
    ),
    Kind(
        name="screw", letters="H MP HW", also_called="bolt", sought=90,
        words="screws?|bolts?",
        abroad=r"schraube|\bvis\b|tornillo|schroe|ねじ|ネジ|螺丝",
        mount="chassis", height=9, joints=0, pins="",
        cautions=("Make sure that its head touches no track.",),
        suspects=(), roles=("loose",),
    ),
    Kind(
        name="nut", letters="H MP HW", sought=80,
        words=r"(?:\w*-)?nuts?",
        abroad=r"\bmuttern?\b|écrou|tuerca|\bmoer|ナット|螺母",
        mount="panel", height=9, joints=0, pins="",
        cautions=("Tape over the panel first: spanners slip.",),
        suspects=(), roles=("loose",),
    ),
    Kind(
        name="washer", letters="H MP HW", sought=70,
        words="washers?",
        abroad="scheibe|rondelle|arandela|ワッシャ",
        mount="panel", height=9, joints=0, pins="",
        suspects=(), roles=("loose",),
    ),
    Kind(
        name="knob", letters="H MP HW", sought=60,
        words="knobs?",
        abroad="knopf|knöpfe|drehknopf|bouton|perilla|つまみ|旋钮",
        mount="panel", height=9, joints=0, pins="",
        cautions=("Turn the shaft to its stop, then set the pointer.",),
        suspects=(), roles=("loose",),
    ),
    Kind(
        name="panel",
        sought=90,
        words="front panels?|face[ -]?plates?|panels?(?= *$)",
        abroad="frontplatte|face avant|パネル",
        mount="panel", height=9, joints=0, pins="",
        cautions=("Get all parts through their holes before you tighten any nut. Force nothing.",),
        suspects=(),
    ),
    Kind(
        name="cable", letters="W", sought=140,
        words="cables?(?! ties?)|ribbon|cords?|(?:hook-?up|stranded|red|black|awg"
        r"|mm²?) (?:\w+ )?wires?(?! links?| jumpers?)",
        abroad=r"\bkabel|câble|ケーブル",
        mount="cable", height=9, joints=0, pins="", drawing="cable",
        orientation="Each wire to its own pad: follow the colours or numbers in the guide.",
        ways=(When("ribbon", "The coloured edge of a ribbon cable goes to pin 1, usually the minus rail."),),
        cautions=("Check each wire end to end before you connect it to a supply.",),
        shows={"ribbon": r"ribbon|flat cable|\bidc\b|\d+(?:-to-\d+)?-pin"},
        suspects=("fittings",), roles=("carries supply", "passes on", "inlet"),
    ),
    Kind(
        name="hardware", usual_for="H MP HW ANT", sought=420,
        vague="hardware|(?:cable )?ties?|feet|insulators?|thermal pads?|heat-?shrink|aerials?|antennas?",
        mount="chassis", height=9, joints=0, pins="",
        suspects=(), roles=("fed", "loose"),
    ),
)  # fmt: skip
