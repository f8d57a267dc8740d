"""Words and type numbers that give a kind away. Common practice, from memory.

The order is that of the search: the more telling before the more general.
"""

from __future__ import annotations

import re

_NAMES = (
    ("spacer", r"spacers?|stand-?offs?|pillars?"),
    ("valve socket", r"(?:valve|tube|noval|octal|b9a|b7g) (?:socket|base|holder)s?"),
    ("IC socket", r"(?:dip|dil|ic|chip|turned.pin)[ -]?\d*(?:[ -]?pin)?[ -]?sockets?"
    r"|(?:\d+.pin )?sockets?,? (?:for )?(?:dip|dil|ic)(?:[ -]?\d+)?"),
    ("mains inlet", r"iec(?:[ -]?320)?(?:[ -]?c\d+)?(?: \w+)? (?:inlet|socket|connector)s?|iec[ -]?c\d+"
    r"|c1[48] (?:inlet|socket)s?|(?:mains|power|appliance) inlets?|mains (?:socket|connector)s?"),
    ("fuse holder", r"fuse[ -]?(?:holder|clip)s?|holders? for (?:a )?fuses?"),
    ("battery cell", r"(?!.*(?:holder|clip|snap|box|sled))"
    r"(?=.*(?:\bmah\b|\bcells?\b|\bli-?(?:po|ion)\b|\bprotected\b))"
    r"(?:.*\b(?:1[48][56]\d0|21700|26650|li-?(?:po|ion|fepo4?)|lithium)\b.*)"),
    ("battery holder", r"battery[ -]?(?:holder|clip|snap|box)(?:e?s)?|battery|batteries"
    r"|(?:18650|a?aa|cr20\d\d|pp3|9 ?v|coin cell) (?:\w+ )?(?:holder|clip|snap|box|cell)(?:e?s)?"
    r"|18650|li-?po|li-?ion|lithium cells?"),
    ("heatsink", r"heat[ -]?sinks?"),
    ("knob", r"knobs?"),
    ("washer", r"washers?"),
    ("nut", r"(?:\w*-)?nuts?"),
    ("screw", r"screws?|bolts?"),
    ("panel", r"front panels?|face[ -]?plates?|panels?(?= *$)"),
    ("rotary encoder", r"encoders?"),
    ("DC socket", r"dc[ -]?(?:jack|socket|inlet|power)s?|(?:barrel|power) (?:jack|socket)s?"),
    ("terminal block", r"(?:screw )?terminals?(?: blocks?)?"),
    ("connector", r"jst\S*|molex|(?:mini-?)?din(?:-?\d)?|midi|rca|phono|cinch|bnc|xlr|usb(?:-?[abc])?"
    r"|rj-?\d+|d-?sub"
    r"|banana\w*|binding posts?"),
    ("box header", r"box(?:ed)? headers?|shrouded|idc|keyed header"),
    ("pin socket", r"female (?:pin )?headers?|receptacles?|pin sockets?|socket (?:strip|header)s?"
    r"|header sockets?"),
    ("jack socket", r"jacks?(?: sockets?)?"),
    ("pin header", r"(?:pin )?headers?|pin ?strips?|pinhd\S*|[1-3] ?[x×] ?\d+(?: ?pins?)?"),
    ("cable", r"cables?(?! ties?)|ribbon|cords?"
    r"|(?:hook-?up|stranded|red|black|awg|mm²?) (?:\w+ )?wires?(?! links?| jumpers?)"),
    ("wire link", r"(?:wire )?links?|jumper wires?|wire jumpers?"),
    ("loudspeaker", r"(?:loud)?speakers?|buzzers?|sounders?|piezos?"),
    ("microphone", r"mic|microphones?|electret"),
    ("display", r"displays?|(?:7|seven)[ -]?seg(?:ment)?s?|lcd|oled|nixies?"),
    ("photoresistor", r"ldr|photo[ -]?(?:resistor|cell)s?|light dependent resistors?"),
    ("resettable fuse", r"poly ?(?:fuse|switch)(?:es)?|resettable fuses?|pptc"),
    ("thermistor", r"thermistors?|ntc|tempcos?|silistors?|inrush(?: current)?(?: limiters?)?"),
    ("varistor", r"varistors?|mov|vdr"),
    ("resistor network", r"resistor (?:network|array)s?|sip resistors?"),
    ("slide potentiometer", r"slide pot(?:entiometer)?s?|slider pots?|faders?"),
    ("trimmer capacitor", r"trim(?:mer|ming)? cap(?:acitor)?s?|ctrim"),
    ("variable capacitor", r"variable cap(?:acitor)?s?|tuning cap(?:acitor)?s?|polyvaricon"),
    ("trimmer", r"trim(?:mer|pot|mers|pots)|pre-?sets?"),
    ("potentiometer", r"pot(?:entiometer)?s?"),
    ("ferrite bead", r"(?:ferrite )?beads?|ferrites?(?! (?:rod|bar|aerial))"),
    ("toroid inductor", r"toroid(?:s|al)?(?!.*transformer)|f?t\d{2,3}-\d{1,2}\w?"),
    ("ceramic resonator", r"(?:ceramic )?resonators?|ceramic filters?"),
    ("transformer", r"transformers?|\d+ ?va"),
    ("tantalum capacitor", r"tant(?:alum)?s?"),
    ("bipolar electrolytic capacitor", r"(?:bi-?polar|non-?polar(?:i[sz]ed)?) (?:electro\w*|cap\w*)"),
    ("film capacitor", r"film|mk[pts]\d*|polyester|polyprop\w*|styro\w*|polystyrene|mylar"),
    ("ceramic capacitor", r"ceramics?(?: cap(?:acitor)?s?)?|mlcc|c0g|cog|np[0o]|x[57]r|y5v|z5u"),
    ("electrolytic capacitor", r"electro(?:lytic|s)?|elco|elko"),
    ("bridge rectifier", r"bridge(?: rectifier)?s?"),
    ("Schottky diode", r"schottky"),
    ("Zener diode", r"zeners?"),
    ("push button", r"push[ -]?(?:button|switch)(?:e?s)?"
    r"|(?:foot|stomp)[ -]?switch(?:es)?|buttons?|tact(?:ile)? switch(?:es)?"),
    ("rotary switch", r"rotary switch(?:es)?"),
    ("slide switch", r"slide switch(?:es)?|di[pl][ -]?switch(?:es)?"),
    ("toggle switch", r"toggles?(?: switch(?:es)?)?|rockers?|[s34d]p[sd34]t"),
    ("optocoupler", r"opto\S*|vactrols?|photo-?interrupters?|slotted (?:opto|switch)\S*"),
    ("voltage regulator", r"(?:voltage )?regulators?|ldo"),
    ("voltage reference", r"voltage references?"),
    ("MOSFET", r"mosfets?|[np]-?mos"),
    ("JFET", r"j-?fets?"),
    ("thyristor", r"thyristors?|scr|triacs?"),
    ("transistor", r"npn|pnp|transistors?|bjt"),
    ("crystal", r"crystals?|xtal|quartz"),
    ("inductor", r"inductors?|chokes?|ferrite (?:rod|bar)s?|aerial coils?"),
    ("relay", r"relays?"),
    ("lamp", r"lamps?|bulbs?|neons?"),
    ("valve", r"valves?|tubes?|triodes?|pentodes?"),
    ("LED", r"leds?"),
    ("diode", r"diodes?"),
    ("fuse", r"fuses?"),
    ("module", r"modules?|breakout|sub-?boards?"),
    ("test point", r"test points?"),
    ("connector", r"connectors?|plugs?"),
    ("hardware", r"hardware|(?:cable )?ties?|feet|insulators?|thermal pads?|heat-?shrink|aerials?|antennas?"),
)  # fmt: skip
_HINTS = (
    ("DC socket", r"barrel|dc|2\.[15] ?mm"),
    ("box header", r"box(?:ed)?|shroud|keyed"),
    ("pin socket", r"female|sockets?"),
    ("jack socket", r"6[.,]35 ?mm|1/4\"?|3[.,]5 ?mm|mono|stereo|trs"),
    ("rotary encoder", r"\d+[ -]?detents?|\d+ ?ppr"),
    ("pin header", r"jumpers?|\d{1,2}[ -]?pins?"),
    ("wire link", r"jumpers?|wire|bridge"),
    ("thermistor", r"ptc|kty\S*"),
    ("resettable fuse", r"ptc|resettable"),
    ("resistor network", r"networks?|arrays?|bussed|isolated|si[pl](?:[ -]?\d+)?"),
    ("slide potentiometer", r"slide(?:r)?s?"),
    ("trimmer capacitor", r"trim(?:mer)?s?"),
    ("variable capacitor", r"variable|air"),
    ("trimmer", r"trim|multi-?turn|\d+[ -]?t(?:urns?)?"),
    ("potentiometer", r"9 ?mm|16 ?mm|24 ?mm|rotary|dual|stereo|ganged|panel|shaft"),
    ("film capacitor", r"poly|pet|pp|ps|mica"),
    ("bipolar electrolytic capacitor", r"bi-?polar|non-?polar(?:i[sz]ed)?|bp|np"),
    ("ceramic capacitor", r"cer|[xyz][4-8][a-z]|disc|monolithic"),
    ("electrolytic capacitor", r"alu(?:minium)?|can"),
    ("push button", r"push|momentary|tact(?:ile)?|6x6.*|12x12.*|non-latching|latching"),
    ("rotary switch", r"rotary|\d+[ -]?(?:pole|way|pos(?:ition)?)s?|[1-6]p(?:[4-9]|1[0-2])t"),
    ("slide switch", r"slide(?:r)?"),
    ("voltage reference", r"references?"),
    ("crystal", r"hc-?49\S*"),
    ("fuse holder", r"holders?|clips?"),
    ("heatsink", r"sinks?"),
)  # fmt: skip


WITH_SOCKET = re.compile(
    r"(?:\+|\b(?:with|plus|incl\w*\.?)) *(?:an? )?"
    r"(?:di[pl][ -]?(\d{1,2}) *|(\d{1,2})[ -]?pins? *)?(?:di[pl] |ic )?socket",
    re.IGNORECASE,
)
"""A chip and the socket that comes with it, as in `TL072 + 8 pin socket`; the groups are its pins."""
Book = tuple[tuple[str, re.Pattern[str]], ...]
"""Kinds with what gives them away, in the order of the search; a kind may stand in it twice."""


def _compiled(patterns: tuple[tuple[str, str], ...], before: str, after: str) -> Book:
    return tuple((kind, re.compile(rf"(?<![{before}])(?:{words}){after}")) for kind, words in patterns)


NAMES = _compiled(_NAMES, r"\w.-", r"(?!\w)")
"""What people call them, in lower case."""
HINTS = _compiled(_HINTS, r"\w.-", r"(?!\w)")
"""Words that point to a kind where its class letter has been seen, in lower case."""

_TYPES = (
    ("resettable fuse", r"MF-?(?:S|[A-Z]SMF)\d"),
    ("varistor", r"ERZ-?V|B722\d|JVR-?\d"),
    ("thermistor", r"SCK-?\d|B57\d|KTY\d|NTC-?\d"),
    ("photoresistor", r"GL55\d\d|VT9\d|NORPS|ORP12"),
    ("rotary encoder", r"P?EC1[1-6](?!\d)|EN1[12](?!\d)"),
    ("trimmer", r"32(?:96|66|99)[A-Z]?|33(?:62|86)[A-Z]?|3006P|T93Y|PT1[05](?!\d)"),
    ("ceramic resonator", r"CS[AB]\d|CST[A-Z]|ZT[AT]\d|SFE\d|CF[UW]"),
    ("display", r"IN-?(?:1|2|4|8|12|14|16|18)(?!\d)|ZM1\d{3}"),
    ("lamp", r"NE-?2(?!\d)"),
    ("MOSFET", r"BS(?:170|250|107)|2N700\d|VN(?:10|2222)|IR[FL][A-Z]*\d|ZV[NP]\d|BUZ\d|BSS\d|TP0610|FQP\d"
    r"|2SK1058|2SJ162|AO[34]\d{3}|SI23\d\d|DMG\d|NDS\d|(?:FS)?8205A"),
    ("JFET", r"J1\d\d|J2[0-3]\d|J3[01]\d|MPF10\d|2N5(?:45[7-9]|46[0-5]|48[4-6]|95[0-2])|2N38(?:19|2\d)"
    r"|2N4(?:09[1-3]|22[0-4]|33[89]|34[01]|39[1-3]|416|85[6-9]|86[01])|BF(?:24[4-7]|256|86[12])|2S[KJ]\d"
    r"|LSK\d|PN4[34]\d"),
    ("thyristor", r"2N506\d|C106|TIC\d|BT1\d\d|MCR100|BTA\d|MAC\d"),
    ("voltage regulator", r"[A-Z]{0,3}7[89][LMST]?(?:05|06|08|09|10|12|15|18|24|33|XX)(?!\d)|LM3(?:17|37"
    r"|38|50)(?!\d)"
    r"|[A-Z]{2,3}1117|LM29(?:31|37|40)|LM108[456]|LP295[01]|MCP170\d|HT7[135]\d\d"),
    ("voltage reference", r"TL1?431|LM4?431|LM404[01]|LM385|LM336|LM3[29]9(?!\d)|REF\d\d|LT10(?:04|09|19"
    r"|21)|LT1236"
    r"|ICL8069|AD58\d|MC1403|ADR\d"),
    ("optocoupler", r"VTL5C|NSL-?32|4N[23]\d|6N13\d|PC8\d\d|CNY\d|H11[A-Z]\d|MOC3\d|TLP\d|IL300|K817|LTV\d"
    r"|H21[AB]\d|ITR-?\d|TCST\d|EE-SX"),
    ("bridge rectifier", r"KB[PUL]\d|GB[UP]\w?\d|W[0O][0-9O]|W10|DB1\d\d|DF\d\d|2W\d|B\d+C\d+|RS20\d"
    r"|MB\d+[SF]|RB15\d"),
    ("Schottky diode", r"1N58(?:1[7-9]|2\d)|1N5711|1N6263|BAT\d|SB\d{3}|MBR\d|SR\d{3}|SS1\d|BAS[47]0"),
    ("Zener diode", r"1N(?:4[67]\d\d|47XX|52[2-8]\d|53[3-8]\d|59[1-5]\d|7[45]\d|9(?:5[7-9]|[6-8]\d))(?!\d)"
    r"|BZ[XVYTD]\d|ZP[DY]\d|MMSZ\d|P[46]KE\d|1[.]?5KE\d|SM[ABC]J\d"),
    ("diode", r"1N\d{2,4}|BA[VSWX]\d|BA\d|AA\d|OA\d|UF\d|BY\d|1SS\d|FR10\d"),
    ("transistor", r"2N\d|2S[ABCD]\d|B[CDF]\d|BS[SVXY]\d|TIP\d|MPS\w|MJE?\d|PN\d|KS[AC]\d|S[89]0\d\d"
    r"|A[CFD]1\d\d|OC\d|ZTX\d"),
    ("valve", r"E[ABCFLZ]{1,3}\d\d+|P[CFL]{1,2}\d\d|12A[TUXY]\d|6[A-Z]{1,2}\d|KT\d\d|EF\d\d|E\d\dCC|GZ\d\d"
    r"|5[UYR]\d"),
    ("IC", r"TL[0-9]{2,3}|LM\d|NE\d|CD\d|HEF4|MC1\d|OPA\d|LF\d|CA3|MAX\d|74[A-Z]*\d|4[0-5]\d\d\w*"
    r"|N?E?55[56]|UA?7[0-9]|AD\d|RC4\d"),
)  # fmt: skip
TYPES = _compiled(_TYPES, "A-Z0-9", "")
"""Type numbers, in upper case."""
