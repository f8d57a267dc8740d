"""What a type number says by its system alone, and the numbers of Zener diodes and bridge rectifiers; pure.

JEDEC numbers (1N, 2N, 4N), JIS C 7012 (2SA to 2SK) and Pro Electron (BC, BD, BZX) say what a part is; the rest
are prefixes of families of ICs: common practice, no source. `type_numbers` knows single types better and comes
first.
"""

from __future__ import annotations

import re
from decimal import Decimal

from bench.parts.quantity import Quantity, show
from bench.parts.type_numbers import TypeFacts

_E24_FROM_3V3 = """
3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1 10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47
51 56 62 68 75 82 91 100
"""
_FROM_1N5221 = """
2.4 2.5 2.7 2.8 3 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6 6.2 6.8 7.5 8.2 8.7 9.1 10 11 12 13 14 15 16 17 18
19 20 22 24 25 27 28 30 33 36 39 43 47 51 56 60 62 68 75 82 87 91 100 110 120 130 140 150 160 170
180 190 200
"""
_FROM_1N746 = "3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1 10 12"
JEDEC_ZENERS: dict[str, Decimal] = {
    **{f"1N{4728 + at}": Decimal(volts) for at, volts in enumerate(_E24_FROM_3V3.split())},
    **{f"1N{5221 + at}": Decimal(volts) for at, volts in enumerate(_FROM_1N5221.split())},
    **{f"1N{746 + at}": Decimal(volts) for at, volts in enumerate(_FROM_1N746.split())},
}
"""Volts of registered Zener diodes: 1N4728 to 1N4764 (1 W), 1N5221 to 1N5281 (0.5 W), 1N746 to 1N759."""

_ZENER = re.compile(
    r"(?:BZ[DTVXY]\d{2}-?|ZPD ?|ZY|ZPY ?|ZTE ?|ZD ?|UZ ?)?[BC]?(\d{1,3})(?:V(\d)|[.](\d))(?:[WPA]|RL)?|"
    r"BZ[DTVXY]\d{2}-?[BC](\d{1,3})|C(\d{2})|ZPD ?(\d{1,2})|ZPY ?(\d{1,3})",
    re.ASCII,
)

_HUNDREDS = {"005": 50, "01": 100, "02": 200, "04": 400, "06": 600, "08": 800, "10": 1000, "12": 1200}
_BRIDGES = (
    (re.compile(r"W(005|01|02|04|06|08|10)[MGL]?"), "1.5", "round"),
    (re.compile(r"(?P<amps>2)W(005|01|02|04|06|08|10)[MG]?"), "", "round"),
    (
        re.compile(
            r"(?:KBPC|MB|BR|GSIB|KBJ|GBJ)(?P<amps>6|8|10|15|25|35|50)(005|01|02|04|06|08|10|12)[A-Z]{0,2}"
        ),
        "",
        "",
    ),
    (
        re.compile(
            r"(?:KBPC|BR|RS|KBP|KBL|KBU|GBL|GBU|GBP|TS|GBJ|KBJ)(?P<amps>[1-9])(005|01|02|04|06|08|10)[A-Z]?"
        ),
        "",
        "",
    ),
    (re.compile(r"(?:KBL)(005|01|02|04|06|08|10)"), "4", ""),
    (re.compile(r"(?:KBP)(005|01|02|04|06|08|10)[MG]?"), "1.5", ""),
    (re.compile(r"DF(005|01|02|04|06|08|10)[MS]?"), "1", "DIP-4"),
)
_NUMBERED = re.compile(r"(?:DB|RB|RS)(1|2|4|6|15)(?:0|(?<=15))([1-7])[A-Z]?")
_LETTERED = re.compile(r"(?:GBU|KBU|GBL|KBL|GBJ|KBJ|GBP|KBP)(\d{1,2})([ABDGJKM])")
_LETTERS = {"A": 50, "B": 100, "D": 200, "G": 400, "J": 600, "K": 800, "M": 1000}
_SMALL = re.compile(r"MB([12468]|10)[SMF]")
_NUMBERED_VOLTS = (50, 100, 200, 400, 600, 800, 1000)
_EUROPEAN_BRIDGE = re.compile(r"B(40|80|125|250|380|500)C(\d{3,5}?)(?:[-/]?\d{4}|[A-Z]{1,2})?")


def _kin(role: str, case: str, numbers: str) -> dict[str, TypeFacts]:
    return {number: TypeFacts(base=number, role=role, case=case) for number in numbers.split()}


KIN: dict[str, TypeFacts] = {
    **_kin("NPN", "TO-92", "S8050 SS8050 S9011 S9013 S9014 S9018 BC182 BC183 BC184 BC237 BC238 BC239 2SC2240"
           " 2SC2458 2SC1740 2SC3198 2SC2001 2N2369 MPSA13 MPSA14 MPSA18 2SD667 KSC945 KSC1815"),
    **_kin("PNP", "TO-92", "S8550 SS8550 S9012 S9015 BC212 BC213 BC214 BC307 BC308 BC309 2SA970 2SA1048 2SA992"
           " 2SB647 MPSA63 MPSA64 KSA733 KSA1015"),
    **_kin("NPN", "TO-18", "BC107 BC108 BC109 2N2222A"),
    **_kin("PNP", "TO-18", "BC177 BC178 BC179"),
    **_kin("NPN", "TO-39", "2N3053 2N1711 2N2219 BC140 BC141"),
    **_kin("PNP", "TO-39", "2N2905 BC160 BC161"),
    **_kin("NPN", "TO-126", "BD135 BD137 BD139 MJE340 2SD882"),
    **_kin("PNP", "TO-126", "BD136 BD138 BD140 MJE350 2SB772"),
    **_kin("NPN", "TO-220", "TIP29 TIP31 TIP41 MJE3055 BD241 BD243 2SD313"),
    **_kin("PNP", "TO-220", "TIP30 TIP32 TIP42 MJE2955 BD242 BD244"),
    **_kin("NPN Darlington", "TO-220", "TIP120 TIP121 TIP122 TIP110 BDX53"),
    **_kin("PNP Darlington", "TO-220", "TIP125 TIP126 TIP127 TIP115 BDX54"),
    **_kin("NPN", "TO-3", "2N3055 MJ15003 MJ15024 MJ802"),
    **_kin("PNP", "TO-3", "MJ2955 MJ15004 MJ15025 MJ4502"),
    **_kin("PNP germanium", "TO-1", "AC125 AC126 AC128 AC188"),
    **_kin("PNP germanium", "small glass", "OC44 OC71 OC75 OC81"),
    **_kin("PNP germanium", "TO-5", "2N1305 2N404"),
    **_kin("NPN germanium", "TO-1", "AC127 AC187"),
    **_kin("N-channel JFET", "TO-92", "MPF102 J310 J309 J304 PN4393 2SK30 2SK117 2SK170 2SK184 2SK246 2SK369"
           " 2SK68 BF244 BF247 2N5484 2N5485 2N5486 2N4393"),
    **_kin("P-channel JFET", "TO-92", "J174 J175 J176 J177 2N5460 2N5461 2N5462 2SJ74 2SJ103"),
    **_kin("P-channel MOSFET", "TO-92", "BS250 VP0106"),
    **_kin("N-channel MOSFET", "TO-220", "BUZ11 BUZ71 RFP30N06LE"),
    **_kin("thyristor", "TO-126", "C106"),
    **_kin("thyristor", "TO-92", "BT149 MCR100 2N5060 2N5061 2N5064 BRX49"),
    **_kin("unijunction transistor", "TO-18", "2N2646 2N2647"),
    **_kin("programmable unijunction transistor", "TO-92", "2N6027 2N6028"),
    **_kin("dual op-amp", "DIP-8", "4558 4556 4559 4560 4580 LM1458 MC1458 OP275 LM833 AD712 LT1057 LM4562"),
    **_kin("op-amp", "DIP-8", "741 CA3140 CA3130 OP07 OP27 OP37 LM301 LF356 LF357 LM318 NE5534 AD711"),
    **_kin("transconductance amplifier", "DIP-8", "CA3080 LM3080"),
    **_kin("dual transconductance amplifier", "DIP-16", "LM13700 LM13600 NE5517"),
    **_kin("audio amplifier", "DIP-8", "LM386 TDA2822 TDA7052"),
    **_kin("audio amplifier", "TO-220-5", "TDA2003 TDA2030 TDA2050"),
    **_kin("timer", "DIP-8", "555 7555 LM555 ICM7555 TLC555 LMC555 SA555 SE555"),
    **_kin("dual timer", "DIP-14", "556 LM556 ICM7556 TLC556"),
    **_kin("voltage converter", "DIP-8", "ICL7660 MAX1044 TC7660 LT1054"),
    **_kin("voltage reference", "TO-92", "LM4040 LM336 LM385 LM329 TL432"),
    **_kin("temperature sensor", "TO-92", "LM35 DS18B20 TMP36"),
    **_kin("optocoupler", "DIP-6", "4N25 4N26 4N27 4N28 4N32 4N33 4N35 4N36 4N37 CNY17"
           " MOC3021 MOC3041 MOC3063 H11F1"),
    **_kin("optocoupler", "DIP-8", "6N135 6N136 6N137 6N138 6N139"),
    **_kin("optocoupler", "DIP-4", "PC817 PC123 EL817 LTV817 TLP521"),
    **_kin("Schottky diode", "axial", "1N5820 1N5821 1N5822 SB140 SB160 SB540 SB560 SR560"),
    **_kin("Schottky diode", "TO-220", "MBR1045"),
    **_kin("rectifier", "axial", "1N5400 1N5401 1N5402 1N5404 1N5406 1N5407 1N5408 BY127 BY133 6A10 RL207"),
    **_kin("fast rectifier", "axial", "1N4933 1N4937 BA159 FR107 FR207 HER108 HER208 BYV26 BYW96"),
    **_kin("signal diode", "small glass", "BAX13 BAW62 BAV21 BAV20 1SS133 1N4151 1N4154 1S1588"),
    **_kin("germanium diode", "small glass", "1N270 OA47 OA81 OA90 OA95 AA112 AA113 AA118 D9E"),
    **_kin("low-dropout regulator", "TO-220", "LM1117 LM2940 LD1117 LM1085 LT1086"),
    **_kin("low-dropout regulator", "TO-92", "LP2950 MCP1702"),
}  # fmt: skip
"""More types; legs are left to the data sheet. From memory and common practice."""

_SYSTEMS: tuple[tuple[str, str, str], ...] = (
    (r"1N\d{2,4}[A-Z]?", "diode", ""),
    (r"2N\d{3,4}[A-Z]*", "transistor", ""),
    (r"3N\d{2,4}", "MOSFET", ""),
    (r"2SA\d{2,4}[A-Z]*", "PNP transistor", ""),
    (r"2SB\d{2,4}[A-Z]*", "PNP transistor", ""),
    (r"2SC\d{2,4}[A-Z]*", "NPN transistor", ""),
    (r"2SD\d{2,4}[A-Z]*", "NPN transistor", ""),
    (r"2SJ\d{2,4}[A-Z]*", "P-channel FET", ""),
    (r"2SK\d{2,4}[A-Z]*", "N-channel FET", ""),
    (r"1S{1,2}\d{2,4}[A-Z]*", "diode", ""),
    (r"[AB]C[A-Z]?\d{2,3}[A-Z]?(?:-\d{2})?", "small-signal transistor", ""),
    (r"[AB]D[A-Z]?\d{2,3}[A-Z]?(?:-\d{2})?", "power transistor", ""),
    (r"[AB]F[A-Z]?\d{2,3}[A-Z]?", "transistor for radio frequencies", ""),
    (r"BAT\d{2,3}[A-Z]*", "Schottky diode", ""),
    (r"[AB]A[A-Z]?\d{2,3}[A-Z]?", "signal diode", ""),
    (r"BB\d{3}[A-Z]?", "variable-capacitance diode", ""),
    (r"BY[A-Z]?\d{2,3}[A-Z]?", "rectifier", ""),
    (r"BT[A-Z]?\d{2,3}.*", "thyristor or triac", ""),
    (r"BU[A-Z]?\d{2,4}.*", "power transistor", ""),
    (r"IRF[DPRU]?9\d{2,3}N?", "P-channel MOSFET", "TO-220"),
    (r"IRFZ\d{2}[A-Z]*|IRF[DPRU]?\d{3,4}[A-Z]*|IRL[ZDU]?\d{2,4}[A-Z]*", "N-channel MOSFET", "TO-220"),
    (r"(?:MPS|PN|KSC|KSA|KSP|MJ|MJE|TIP)-?[A-Z]?\d{2,5}[A-Z]*", "transistor", ""),
    (r"(?:CD|HEF|HCF|MC1|TC|TC4|K)?4[05]\d{2}[A-Z]*", "CMOS logic", ""),
    (r"(?:SN|MM|DM|MC|CD|PC)?(?:54|74)(?:HCT|HC|LS|ALS|ACT|AC|AHCT|AHC|S|F|C|L)?\d{2,4}[A-Z]*", "logic", ""),
    (r"12A[TUVXY]7\w*|6[A-Z]{1,2}[4-9](?:G|GT|GC|GB|WA?)?|5(?:U4|Y3|AR4|V4)\w*|GZ3\d|KT\d{2}"
     r"|[DEPU](?:CC|CF|CH|CL|F|L|ABC|BC|M|Z|Y)\d{2,3}[A-Z]{0,2}", "valve", ""),
    (r"VTL5C\d|NSL-?32\w*", "optocoupler with a photoresistor", ""),
    (r"ATMEGA\d+.*|ATTINY\d+.*|PIC1\d[A-Z]+\d+.*|AT89[A-Z]\d+.*|STM8.*", "microcontroller", ""),
    (r"CNY\d+.*|MOC\d{4}.*|4N\d{2}|6N\d{3}|TLP\d{3,4}.*|PC8\d\d.*|H11[A-Z]\d.*|TIL1\d\d", "optocoupler", ""),
    (r"(?:LM|TL|TLC|NE|SE|SA|UA|MC|OPA|OP|AD|LF|CA|LT|LTC|ICL|ICM|XR|SSM|TDA|TBA|TCA|TA|LA|AN|BA|HA|KA|NJM|JRC|RC|"
     r"UPC|ULN|UDN|MAX|PT|TPA|THAT|INA|DRV|L|M|MN|CEM|AS|V|CXA|SAA|SL|U|UC|DS|24C|24LC|MCP|REF|VCA|DG|ADG|LMC|TLE|"
     r"PCF|PCM|SN|MM|S)-?\d{3,5}[A-Z]*(?:-?\d{1,2})?", "IC", ""),
)  # fmt: skip
_READ = tuple((re.compile(pattern), role, case) for pattern, role, case in _SYSTEMS)


def family(type_number: str) -> TypeFacts | None:
    """Decode a type number that `type_numbers.facts` does not know by its numbering system, or None.

    >>> family("BD139-16").role, family("2SC9999").role, family("CD4017BE").role
    ('NPN', 'NPN transistor', 'CMOS logic')
    """
    plain = re.sub(r"[\s_]+", "", type_number.upper()).replace("µ", "U").replace("Μ", "U")
    for candidate in _shorter(plain):
        if candidate in KIN:
            return KIN[candidate]
    if " " in type_number.strip():
        return None
    for pattern, role, case in _READ:
        if pattern.fullmatch(plain):
            return TypeFacts(base=_base(plain, role), role=role, case=case)
    return None


def _base(plain: str, role: str) -> str:
    """The number without the letters of its maker, where it is logic, and without those of its package."""
    if role.endswith("logic"):
        core = re.search(r"(?:54|74)[A-Z]*\d{2,4}|4[05]\d\d", plain)
        return core[0] if core else plain
    return re.sub(r"(?<=\d)[A-Z]{1,3}$", "", plain)


def _shorter(plain: str) -> list[str]:
    """The number as it is, without its group behind a dash, and without the letters at its end."""
    found = [plain, plain.partition("-")[0]]
    bare = found[-1]
    for prefix in ("JRC", "NJM", "RC", "UA", "LM", "MC", "KIA", "HA"):
        if bare.startswith(prefix) and bare[len(prefix) : len(prefix) + 2] in ("45", "74"):
            found.append(bare[len(prefix) :])
    for each in tuple(found):
        while each and each[-1].isalpha():
            each = each[:-1]
            found.append(each)
    return found


def zener_volts(text: str) -> Quantity | None:
    """Decode the print of a Zener diode to volts: `C5V1`, `BZX79-C12`, `1N4733A`; None for anything else.

    >>> zener_volts("BZX55C5V1").amount, zener_volts("1N4733A").amount, zener_volts("5.1")
    (Decimal('5.1'), Decimal('5.1'), None)
    """
    plain = re.sub(r"\s+", "", text.upper())
    registered = JEDEC_ZENERS.get(re.sub(r"[A-D]?$", "", plain))
    if registered is not None:
        return Quantity(amount=registered, unit="volt")
    found = _ZENER.fullmatch(plain)
    if not found or re.fullmatch(r"[BC]?\d+\.\d[A-Z]*", plain):
        return None
    whole, point, dot, *others = found.groups()
    number = f"{whole}.{point or dot}" if whole else next(filter(None, others))
    amount = Decimal(number)
    return Quantity(amount=amount, unit="volt") if Decimal("1.8") <= amount <= 200 else None


def bridge(text: str) -> str:
    """Decode the print of a bridge rectifier to words, empty for anything else.

    >>> bridge("KBP206"), bridge("W04M"), bridge("B40C1500")
    ('600 V 2 A bridge rectifier', '400 V 1.5 A bridge rectifier', '40 V AC 1.5 A bridge rectifier')
    """
    plain = re.sub(r"[\s/]+", "", text.upper())
    if found := _EUROPEAN_BRIDGE.fullmatch(plain):
        amps = show(Quantity(amount=Decimal(found[2]).scaleb(-3), unit="ampere"))
        return f"{found[1]} V AC {amps} bridge rectifier"
    if found := _NUMBERED.fullmatch(plain):
        amps = "1.5" if found[1] == "15" else found[1]
        return f"{_NUMBERED_VOLTS[int(found[2]) - 1]} V {amps} A bridge rectifier"
    if found := _LETTERED.fullmatch(plain):
        return f"{_LETTERS[found[2]]} V {found[1]} A bridge rectifier"
    if found := _SMALL.fullmatch(plain):
        return f"{int(found[1]) * 100} V 0.5 A bridge rectifier"
    for pattern, amps_of_all, _ in _BRIDGES:
        if found := pattern.fullmatch(plain):
            stated = found.groupdict().get("amps") or amps_of_all
            return f"{_HUNDREDS[found.groups()[-1]]} V {stated} A bridge rectifier"
    return ""
