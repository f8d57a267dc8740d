"""Kinds of parts: semiconductors and their sockets."""

from __future__ import annotations

from bench.parts.kinds.kind import AXIAL, HOT_GAP, Kind, When

_MAY_HEAT = "If it runs hot, mount it at least 1.5 mm off the board."
_ESD = "Touch earthed metal first: static destroys MOS inputs."
_PINOUT = "Check the pinout of the type you hold: the same case can have a different pin order."
_LEGS = "The legs are in a row, the pads often in a triangle: form the legs to fit first."
_SMD_LEGS = "Marked side up: its legs fit the pads one way only."
_GERMANIUM = When(
    "germanium",
    "Germanium: heat ruins it. While you solder, hold each leg with pliers between joint and body.",
)
_BY_PHOTO = When("photo", "Photodiode markings differ: find the cathode in the data sheet.")
_DIODE_WAYS = (
    When("two-way", ""),
    When("sot", _SMD_LEGS),
    When("melf", "The ring nearer to one end is the cathode."),
    When("smd", "The line on its case is the cathode."),
    _BY_PHOTO,
)
_DIODE_BEND = (
    When("-smd", "Bend the legs away from the body, not at it."),
    When("glass -smd", "Glass cracks when the legs are bent at the body."),
    When("melf", "It rolls: hold it down with tweezers until both ends are soldered."),
)
_TAB_WAYS = (
    When("smd", _SMD_LEGS),
    When("tab", "Tab as printed on the board: the thick line marks it."),
    When("small", "Flat side as printed on the board."),
)
_BY_SINK = When("tab", "If it goes on a heatsink, screw it down first, then solder.")
_TAB_CAUTIONS = (When("small", _LEGS), _BY_SINK)
_PHOTO = r"photo-?(?:diode|trans)|\bbpw\d|\bbph\d|\bl14[cfg]\d"
_TWO_WAY = r"\bdiac\b|\bdb3\b|ke\d+(?:\.\d)?ca\b|smb?j\d+(?:\.\d)?ca\b|bi-?directional"
_DIODE_SHOWS = {
    "photo": _PHOTO,
    "two-way": _TWO_WAY,
    "smd": r"\bsm[abcf]\b",
    "sot": r"\bsot-?\d|\bsc-?\d|\bmmb",
}
_IS_GERMANIUM = r"germanium|\bac1\d\d|\boc\d\d\b|\b2n(?:404|130\d)"

DIODES = (
    Kind(
        name="diode", marked="type", needs_value=True,
        usual_for="D CR VD", letters="V TUBE", also_called="rectifier", sought=410,
        words="diodes?",
        types=r"1N\d{2,4}|BA[VSWX]\d|BA\d|AA\d|OA\d|UF\d|BY\d|1SS\d|FR10\d",
        mount="flat", height=1, heights=AXIAL, joints=2, joints_sure=True, pins="package", drawing="diode",
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=_DIODE_WAYS,
        sometimes=(*_DIODE_BEND, _GERMANIUM),
        shows=_DIODE_SHOWS | {"germanium": _IS_GERMANIUM},
        seconds=34, group="diodes", suspects=("polarity",),
        roles=("semiconductor", "takes a heatsink", "temperature sensed",
        "carries supply", "supply path", "diode range"),
    ),
    Kind(
        name="Zener diode", unit="volt", marked="type", look="diode", needs_value=True,
        usual_for="ZD DZ", letters="VR D CR VD V TUBE", by_unit="VR D CR VD", also_called="zener", sought=290,
        words="zeners?",
        types=r"1N(?:4[67]\d\d|47XX|52[2-8]\d|53[3-8]\d|59[1-5]\d|7[45]\d|9(?:5[7-9]|[6-8]\d))(?!\d)"
        r"|BZ[XVYTD]\d|ZP[DY]\d|MMSZ\d|P[46]KE\d|1[.]?5KE\d|SM[ABC]J\d",
        mount="flat", height=1, heights=AXIAL, joints=2, joints_sure=True, pins="package", drawing="diode",
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=_DIODE_WAYS,
        sometimes=(
            When("glass", "It looks like any small glass diode: read the type under a loupe."),
            *_DIODE_BEND,
            When("hot -smd", HOT_GAP),
        ),
        shows=_DIODE_SHOWS,
        seconds=34, group="diodes", suspects=("polarity",), roles=("runs hot", "diode range"),
    ),
    Kind(
        name="Schottky diode", marked="type", look="diode", needs_value=True,
        letters="D CR VD V TUBE", also_called="schottky", sought=280,
        words="schottky",
        types=r"1N58(?:1[7-9]|2\d)|1N5711|1N6263|BAT\d|SB\d{3}|MBR\d|SR\d{3}|SS1\d|BAS[47]0",
        mount="flat", height=1, heights=AXIAL, joints=2, joints_sure=True, pins="package", drawing="diode",
        orientation="The band on the diode goes to the band on the board: cathode.",
        ways=_DIODE_WAYS,
        sometimes=(
            When("supply", "In the supply, a reversed one cuts off the power or shorts it."),
            *_DIODE_BEND,
        ),
        shows=_DIODE_SHOWS,
        seconds=34, group="diodes", suspects=("polarity",),
        roles=("semiconductor", "carries supply", "supply path", "diode range"),
    ),
    Kind(
        name="bridge rectifier", marked="type",
        usual_for="BR DB", letters="D CR VD V TUBE", also_called="bridge", sought=270,
        words="bridge(?: rectifier)?s?",
        types=r"KB[PUL]\d|GB[UP]\w?\d|W[0O][0-9O]|W10|DB1\d\d|DF\d\d|2W\d|B\d+C\d+|RS20\d|MB\d+[SF]"
        r"|RB15\d",
        height=5, joints=4, joints_sure=True, pins="package", drawing="bridge",
        orientation="The + on the body goes to the + on the board; ~ marks the two AC legs.",
        cautions=("Backwards, it reverses the supply: check + twice.", _MAY_HEAT),
        group="diodes", suspects=("polarity",),
        roles=("semiconductor", "takes a heatsink", "carries supply", "supply path", "always supply path"),
    ),
    Kind(
        name="LED",
        usual_for="LED LD DS", letters="D CR VD V TUBE", also_called="light emitting diode", sought=400,
        words="leds?",
        mount="panel", height=8, heights={"board": 4, "upright": 4}, joints=2, joints_sure=True, pins="led",
        orientation="Short leg and flat side of the rim mark the cathode: to the flat side of the print.",
        ways=(
            When("bright -smd -several-colours",
                 "By the + and - printed beside its pads; without them, by the data sheet."),
            When("wired -photo -several-colours",
                 "Short leg and flat side of the rim mark the cathode: to the minus wire."),
            When("smd",
                 "SMD LED markings differ: find the cathode in the data sheet or with the diode range."),
            _BY_PHOTO,
            When("several-colours",
                 "Flat side and leg lengths as printed; the data sheet says which leg is which colour."),
        ),
        drawing="LED",
        sometimes=(
            When("panel -placed", "Solder only once the panel is fitted, at the right length."),
            When("bright", "It can damage eyes: never look into it, and point it away when power comes on."),
            When("-panel -smd -chassis -cable", "Heat ruins it: two seconds per leg."),
        ),
        shows={
            "photo": _PHOTO,
            "two-way": _TWO_WAY,
            "several-colours": r"\brgb\b|bi-?colou?r|two-?colou?r|dual",
            "bright": r"\b(?:[1-9]\d*|\d+[.,]5) ?w(?:att)?s?\b|\bstar\b|\bcob\b|\blaser\b|\buv-?c?\b"
            "|ultra-?violet",
        },
        seconds=45, group="LEDs", spoken="leds?|lamps?|indicators?", suspects=("polarity",),
        roles=("semiconductor", "fed", "labelled"),
    ),
)  # fmt: skip

TRANSISTORS_AND_CHIPS = (
    Kind(
        name="transistor", marked="type", needs_value=True,
        usual_for="TR Q VT", letters="T V TUBE U IC", also_called="bjt", sought=370,
        words="npn|pnp|transistors?|bjt",
        types=r"2N\d|2S[ABCD]\d|B[CDF]\d|BS[SVXY]\d|TIP\d|MPS\w|MJE?\d|PN\d|KS[AC]\d|S[89]0\d\d"
        r"|A[CFD]1\d\d|OC\d|ZTX\d",
        height=4, heights={"laid flat": 3}, joints=3, joints_sure=True, pins="package", tab="collector",
        orientation="Flat side as printed on the board; with a tab, tab side as printed.",
        ways=(
            When("smd", _SMD_LEGS),
            When("photo",
                 "Find the emitter in the data sheet: clear ones look like LEDs, and markings differ."),
            When("tab", "Tab as printed on the board: the thick line marks it."),
            When("small", "Flat side as printed on the board."),
            When("can", "Its two pins are off centre: it fits one way only."),
            When("small-can", "The tab on its rim, mostly beside the emitter, as printed."),
        ),
        drawing="three legs",
        cautions=(_PINOUT, "NPN and PNP look the same: read the type under a loupe."),
        sometimes=(
            *_TAB_CAUTIONS, _GERMANIUM,
            When("small-can -germanium", "Its can is usually the collector: it touches nothing else."),
        ),
        shows={"photo": _PHOTO, "germanium": _IS_GERMANIUM},
        seconds=38, group="transistors", suspects=("pinout",),
        roles=("semiconductor", "takes a heatsink",
        "temperature sensed", "active", "diode range"),
    ),
    Kind(
        name="JFET", marked="type", needs_value=True,
        letters="T TR Q VT V TUBE U IC", also_called="fet", sought=360,
        words=r"j-?fets?(?![- ]?inputs?)",
        types=r"J1\d\d|J2[0-3]\d|J3[01]\d|MPF10\d|2N5(?:45[7-9]|46[0-5]|48[4-6]|95[0-2])|2N38(?:19|2\d)"
        "|2N4(?:09[1-3]|22[0-4]|33[89]|34[01]|39[1-3]|416|85[6-9]|86[01])|BF(?:24[4-7]|256|86[12])"
        r"|2S[KJ]\d|LSK\d|PN4[34]\d",
        height=4, joints=3, joints_sure=True, pins="package", drawing="three legs",
        orientation="Flat side as printed, if the board is made for this type's pinout.",
        ways=(When("smd", _SMD_LEGS),),
        cautions=(_PINOUT,),
        sometimes=(When("-smd", _LEGS),),
        shows={"photo": _PHOTO},
        seconds=38, group="transistors", suspects=("pinout",),
        roles=("semiconductor", "temperature sensed", "active"),
    ),
    Kind(
        name="MOSFET", marked="type", needs_value=True, letters="T TR Q VT V TUBE U IC", sought=350,
        words="mosfets?|[np]-?mos",
        types=r"BS(?:170|250|107)|2N700\d|VN(?:10|2222)|IR[FL][A-Z]*\d|ZV[NP]\d|BUZ\d|BSS\d|TP0610|FQP\d"
        r"|2SK1058|2SJ162|AO[34]\d{3}|SI23\d\d|DMG\d|NDS\d|(?:FS)?8205A",
        height=4, heights={"laid flat": 3}, joints=3, joints_sure=True, pins="package", tab="drain",
        orientation="Flat side or tab as printed on the board.",
        ways=_TAB_WAYS,
        drawing="three legs",
        cautions=(_ESD, _PINOUT),
        sometimes=_TAB_CAUTIONS,
        shows={"photo": _PHOTO},
        seconds=45, group="transistors", suspects=("pinout",),
        roles=("semiconductor", "takes a heatsink", "temperature sensed", "active"),
    ),
    Kind(
        name="thyristor", marked="type", needs_value=True,
        usual_for="SCR", letters="TH NTC T TR D CR VD Q VT V TUBE U IC", also_called="triac", sought=360,
        words="thyristors?|scr|triacs?",
        types=r"2N506\d|C106|TIC\d|BT1\d\d|MCR100|BTA\d|MAC\d",
        height=4, heights={"laid flat": 3}, joints=3, joints_sure=True, pins="package", tab="MT2 or anode",
        orientation="Flat side or tab as printed on the board.",
        ways=_TAB_WAYS,
        drawing="three legs",
        cautions=(_PINOUT,),
        sometimes=_TAB_CAUTIONS,
        shows={"photo": _PHOTO},
        group="transistors", suspects=("pinout",),
        roles=("semiconductor", "takes a heatsink", "active"),
    ),
    Kind(
        name="voltage regulator", marked="type", needs_value=True,
        usual_for="REG", letters="VR Q U IC A MOD", also_called="regulator", sought=340,
        words="(?:voltage )?regulators?|ldo",
        types=r"[A-Z]{0,3}7[89][LMST]?(?:05|06|08|09|10|12|15|18|24|33|XX)(?!\d)|LM3(?:17|37|38|50)(?!\d)"
        r"|[A-Z]{2,3}1117|LM29(?:31|37|40)|LM108[456]|LP295[01]|MCP170\d|HT7[135]\d\d",
        height=5, heights={"laid flat": 5, "chassis": 7}, joints=3, joints_sure=True, pins="package",
        orientation="Metal tab or flat side as printed; the thick line marks the tab.",
        ways=(
            When("smd", _SMD_LEGS),
            When("tab", "Metal tab as printed: the thick line marks it."),
            When("can", "Its two pins are off centre: it fits one way only."),
            When("small", "Flat side as printed on the board."),
        ),
        drawing="three legs",
        sometimes=(
            When("fixed", "78xx and 79xx have different pinouts: read the number before each one."),
            When("-fixed", _PINOUT),
            _BY_SINK,
        ),
        shows={"photo": _PHOTO},
        seconds=50, group="regulators", suspects=("pinout",),
        roles=("takes a heatsink", "carries supply", "supply path", "always supply path"),
    ),
    Kind(
        name="voltage reference", marked="type", needs_value=True,
        letters="VR D CR VD Q U IC A MOD", also_called="reference", sought=340,
        words="voltage references?",
        hints="references?",
        types=r"TL1?431|LM4?431|LM404[01]|LM385|LM336|LM3[29]9(?!\d)|REF\d\d|LT10(?:04|09|19|21)|LT1236"
        r"|ICL8069|AD58\d|MC1403|ADR\d",
        height=4, joints=3, pins="package", drawing="three legs",
        orientation="Flat side or pin 1 mark as printed on the board.",
        ways=(When("smd", _SMD_LEGS),),
        cautions=(_PINOUT,),
        sometimes=(When("small", "Looks like a small transistor: read the type."),),
        shows={"photo": _PHOTO},
        group="regulators", suspects=("pinout",),
    ),
    Kind(
        name="IC", marked="type", needs_value=True, usual_for="U IC", also_called="integrated circuit, chip",
        types=r"TL[0-9]{2,3}|LM\d|NE\d|CD\d|HEF4|MC1\d|OPA\d|LF\d|CA3|MAX\d|74[A-Z]*\d|4[0-5]\d\d\w*"
        r"|N?E?55[56]|UA?7[0-9]|AD\d|RC4\d",
        height=2, joints=8, pins="chip", socketable=True, drawing="chip",
        orientation="Notch or dot at pin 1, to the notch on the board or its socket.",
        ways=(When("smd", "Dot or bevelled edge at pin 1: to the mark on the board."),),
        cautions=(_ESD,),
        sometimes=(
            When("insert", "It goes in only when all checks before it are met."),
            When("pad-below",
                 "The pad under it is a joint too: solder paste and hot air, or heat from the other side."),
            When("-smd", "Line up all legs before pressing; a leg folded under looks like a bad joint."),
            When("-insert",
                 "Once soldered, it rarely comes out intact: check pin 1 before the first joint."),
        ),
        seconds=40, group="ICs and sockets", suspects=("seating",), roles=("semiconductor", "fed",
        "takes a heatsink", "temperature sensed", "plugged in", "active"),
    ),
    Kind(
        name="IC socket",
        usual_for="XU XIC", letters="U IC A MOD", also_called="dip socket, chip socket", sought=30,
        words=r"(?:dip|dil|ic|chip|turned.pin)[ -]?\d*(?:[ -]?pin)?[ -]?sockets?"
        r"|(?:\d+.pin )?sockets?,? (?:for )?(?:dip|dil|ic)(?:[ -]?\d+)?",
        abroad="ic-?sockel|dil-?fassung|icソケット",
        height=2, joints=8, pins="chip", drawing="chip",
        orientation="The notch of the socket to the notch on the board.",
        cautions=(
            "Solder two opposite corners, check that it sits flat, then do the rest.",
            "Leave the IC out until the checks of the rails are met.",
        ),
        seconds=24, group="ICs and sockets", suspects=(), roles=("socket",),
    ),
    Kind(
        name="optocoupler", marked="type", needs_value=True,
        usual_for="OK OC OPTO ISO", letters="VR Q U IC A MOD", also_called="opto, optoisolator", sought=330,
        words=r"opto\S*|vactrols?|photo-?interrupters?|slotted (?:opto|switch)\S*",
        types=r"VTL5C|NSL-?32|4N[23]\d|6N13\d|PC8\d\d|CNY\d|H11[A-Z]\d|MOC3\d|TLP\d|IL300|K817|LTV\d"
        r"|H21[AB]\d|ITR-?\d|TCST\d|EE-SX",
        height=2, joints=6, pins="optocoupler", socketable=True, drawing="optocoupler",
        orientation="The dot marks pin 1; with four bare legs, LED side as printed.",
        ways=(
            When("slotted",
                 "A mark or letter shows the LED side: to that side of the print."),
        ),
        sometimes=(When("bare", "Mark the LED's plus leg before it goes in."),),
        shows={"slotted": r"slot|interrupt|\bh21|\bitr|\btcst"},
        told={"bare": "vtl|nsl-?32|vactrol|home-?made"},
        group="ICs and sockets", suspects=("seating",),
        roles=("semiconductor", "plugged in", "active"),
    ),
)  # fmt: skip
