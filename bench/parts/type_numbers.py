"""Type numbers that sit in the same case and do something else, or have their legs in another order.

The tables hold common through-hole parts. Orders of legs are those of the usual data sheets, seen with the
print towards you and the legs down, left to right; some makers differ, so the data sheet at hand decides.
"""

from __future__ import annotations

import re

from msgspec import Struct


class TypeFacts(Struct, frozen=True, kw_only=True):
    """What matters about a type number when parts are mixed up."""

    base: str
    """The type without maker's prefix and package letters: `BC547`, `7805`, `TL072`."""
    role: str
    """`NPN`, `positive regulator`, `op-amp`."""
    case: str
    """The usual case: `TO-92`, `TO-220`, `DIP-8`, `small glass`."""
    legs: str = ""
    """Letters of the legs in order, empty when not known or when makers differ."""
    family: str = ""
    """What it shares with its sisters: `TL07`; empty without sisters."""
    count: int = 1
    """How many of its kind are in one case."""
    detail: str = ""
    """What tells sisters apart: the output voltage."""
    tab: str = ""
    """What the metal tab is joined to, `insulated` when to nothing; empty without a tab."""


def _small(role: str, legs: str, *bases: str) -> dict[str, TypeFacts]:
    """Types in the small half-round case."""
    return {base: TypeFacts(base=base, role=role, case="TO-92", legs=legs) for base in bases}


def _metal(role: str, legs: str, tab: str, case: str, *bases: str) -> dict[str, TypeFacts]:
    """Types with a metal tab."""
    return {base: TypeFacts(base=base, role=role, case=case, legs=legs, tab=tab) for base in bases}


def _amplifiers(role: str, family: str, **by_count: str) -> dict[str, TypeFacts]:
    """Single, dual and quad of one family."""
    found = {}
    for word, base in by_count.items():
        count, case = {"single": (1, "DIP-8"), "dual": (2, "DIP-8"), "quad": (4, "DIP-14")}[word]
        found[base] = TypeFacts(base=base, role=role, case=case, family=family, count=count)
    return found


def _glass(role: str, *bases: str) -> dict[str, TypeFacts]:
    """Diodes in the small glass case."""
    return {base: TypeFacts(base=base, role=role, case="small glass") for base in bases}


def _black(role: str, *bases: str) -> dict[str, TypeFacts]:
    """Diodes in the black plastic case with axial leads."""
    return {base: TypeFacts(base=base, role=role, case="DO-41") for base in bases}


_POWER_MOSFETS = (
    "IRF510 IRF520 IRF530 IRF540 IRF630 IRF640 IRF740 IRF840 IRFZ24 IRFZ34 IRFZ44 IRLZ34 IRLZ44 IRL540"
)

TYPES: dict[str, TypeFacts] = {
    **_small("NPN", "CBE", "BC546", "BC547", "BC548", "BC549", "BC550", "BC337", "BC338", "BC237", "BC517"),
    **_small("PNP", "CBE", "BC556", "BC557", "BC558", "BC559", "BC560", "BC327", "BC328", "BC307", "BC516"),
    **_small("NPN", "ECB", "BC635", "BC637", "BC639", "2SC1815", "2SC945", "KSC1845"),
    **_small("PNP", "ECB", "BC636", "BC638", "BC640", "2SA1015", "2SA733", "KSA992"),
    **_small("NPN", "EBC", "2N3904", "2N4401", "2N5088", "2N5089", "2N5551", "MPSA06", "MPSA42", "PN2222"),
    **_small("NPN", "EBC", "S8050", "SS8050", "S9013", "S9014", "S9018", "MPSA18", "MPSA13"),
    **_small("PNP", "EBC", "2N3906", "2N4403", "2N5087", "2N5401", "MPSA56", "MPSA92", "PN2907"),
    **_small("PNP", "EBC", "S8550", "SS8550", "S9012", "S9015"),
    **_small("NPN", "", "2N2222"),
    **_small("PNP", "", "2N2907"),
    **_small("N-channel MOSFET", "SGD", "2N7000"),
    **_small("N-channel MOSFET", "DGS", "BS170", "ZVN2106", "ZVN3306"),
    **_small("P-channel MOSFET", "DGS", "BS250", "ZVP2106", "ZVP3306"),
    **_small("N-channel JFET", "DSG", "J111", "J112", "J113", "J201", "MPF102", "2N5457", "2N5458", "2N5459"),
    **_small("N-channel JFET", "DSG", "2N5484", "2N5485", "2N5486"),
    **_small("P-channel JFET", "DSG", "J174", "J175", "J176", "J177"),
    **_small("N-channel JFET", "DGS", "BF244", "2N3819"),
    **_small("N-channel JFET", "GSD", "BF245", "BF256"),
    **_small("voltage reference", "RAK", "TL431"),
    **_small("voltage reference", "-KA", "LM4040", "LM385", "LM329"),
    **_small("thyristor", "KGA", "2N5060", "2N5061", "2N5062", "MCR100"),
    **_metal("NPN", "ECB", "collector", "TO-126", "BD135", "BD137", "BD139"),
    **_metal("PNP", "ECB", "collector", "TO-126", "BD136", "BD138", "BD140"),
    **_metal("NPN", "BCE", "collector", "TO-220", "TIP29", "TIP31", "TIP41", "BD241", "BD243", "TIP3055"),
    **_metal("PNP", "BCE", "collector", "TO-220", "TIP30", "TIP32", "TIP42", "BD242", "BD244", "TIP2955"),
    **_metal("NPN Darlington", "BCE", "collector", "TO-220", "TIP110", "TIP120", "TIP121", "TIP122"),
    **_metal("PNP Darlington", "BCE", "collector", "TO-220", "TIP115", "TIP125", "TIP126", "TIP127"),
    **_metal("N-channel MOSFET", "GDS", "drain", "TO-220", *_POWER_MOSFETS.split()),
    **_metal("N-channel MOSFET", "GSD", "source", "TO-3P", "2SK1058"),
    **_metal("P-channel MOSFET", "GSD", "source", "TO-3P", "2SJ162"),
    **_metal("P-channel MOSFET", "GDS", "drain", "TO-220", "IRF9510", "IRF9520", "IRF9530", "IRF9540"),
    **_metal("triac", "12G", "MT2", "TO-220", "BT136", "BT137", "BT138", "BT139", "TIC206", "TIC216", "TIC226"),
    **_metal("triac", "12G", "insulated", "TO-220", "BTA06", "BTA08", "BTA12", "BTA16"),
    **_metal("thyristor", "KAG", "anode", "TO-220", "TIC106", "TIC116", "TIC126", "BT151", "BT152"),
    **_metal("positive regulator", "IGO", "ground", "TO-220", "LM2940", "LM2937"),
    **_amplifiers("op-amp", "TL06", single="TL061", dual="TL062", quad="TL064"),
    **_amplifiers("op-amp", "TL07", single="TL071", dual="TL072", quad="TL074"),
    **_amplifiers("op-amp", "TL08", single="TL081", dual="TL082", quad="TL084"),
    **_amplifiers("op-amp", "LF35", single="LF351", dual="LF353", quad="LF347"),
    **_amplifiers("op-amp", "NE553", single="NE5534", dual="NE5532"),
    **_amplifiers("op-amp", "OPA134", single="OPA134", dual="OPA2134", quad="OPA4134"),
    **_amplifiers("op-amp", "LM358", dual="LM358", quad="LM324"),
    **_amplifiers("op-amp", "", single="LM741", dual="RC4558"),
    **_amplifiers("comparator", "LM393", single="LM311", dual="LM393", quad="LM339"),
    "NE555": TypeFacts(base="NE555", role="timer", case="DIP-8", family="555"),
    "NE556": TypeFacts(base="NE556", role="timer", case="DIP-14", family="555", count=2),
    **_glass("signal diode", "1N4148", "1N914", "1N4448"),
    **_glass("germanium diode", "1N34", "1N60", "AA119", "OA91"),
    **_glass("Schottky diode", "BAT41", "BAT42", "BAT43", "BAT46", "BAT48", "BAT85"),
    **_black("rectifier", "1N4001", "1N4002", "1N4003", "1N4004", "1N4005", "1N4006", "1N4007"),
    **_black("fast rectifier", "UF4001", "UF4002", "UF4004", "UF4007"),
    **_black("Schottky diode", "1N5817", "1N5818", "1N5819"),
}
"""By base; from memory and common practice, except where a test names a source. `-` is a leg without function.

Makers of the LM4040 differ; of others that are known to differ (2N2222, LM337L) no legs are given."""

_FIXED = re.compile(r"(?:[A-Z]{1,4})?(78|79)([LMST]?)(0[2-9]|1[0-8]|2[04])(?!\d).*")
_ADJUSTABLE = re.compile(r"LM(317|337|338|350)(L?).*")
_LOW_DROP = re.compile(r"[A-Z]{1,3}(1117|1084|1085|1086).*")
_ZENER = re.compile(r"(?:BZX(?:55|79|83|85)|BZY88|1N(?:52[2-8]\d|47[2-6]\d)).*")
_GAIN_GROUP = re.compile(r"(?<=\d\d\d)-(?:6|10|16|25|40)$")
_LEG_WORDS = {
    "regulator": {"I": "input", "G": "ground", "O": "output", "A": "adjust"},
    "reference": {"R": "reference", "A": "anode", "K": "cathode", "N": "adjust", "-": "not used"},
    "thyristor": {"K": "cathode", "A": "anode", "G": "gate"},
    "triac": {"1": "MT1", "2": "MT2", "G": "gate"},
    "FET": {"D": "drain", "S": "source", "G": "gate"},
    "": {"C": "collector", "B": "base", "E": "emitter"},
}
_COUNTS = {1: "single", 2: "dual", 4: "quad"}
_SMALL_REGULATOR_LEGS = {"78": "OGI", "79": "GIO"}
_LARGE_REGULATOR_LEGS = {"78": "IGO", "79": "GIO"}


def facts(type_number: str) -> TypeFacts | None:
    """Look up a type number; None when it is not known.

    >>> facts("BC547B").legs, facts("LM7905CT").role, facts("tl072cp").count
    ('CBE', 'negative regulator', 2)
    """
    written = _GAIN_GROUP.sub("", re.sub(r"[\s_]+", "", type_number.upper()))
    plain, head = written.replace("-", ""), written.partition("-")[0]
    if found := _FIXED.fullmatch(plain):
        sign = "positive" if found[1] == "78" else "negative"
        small = found[2] == "L"
        return TypeFacts(
            base="".join(found.groups()),
            role=f"{sign} regulator",
            case="TO-92" if small else "TO-220",
            legs=(_SMALL_REGULATOR_LEGS if small else _LARGE_REGULATOR_LEGS)[found[1]],
            family="regulator",
            detail=f"{int(found[3])} V",
            tab="" if small else {"78": "ground", "79": "input"}[found[1]],
        )
    if found := _ADJUSTABLE.fullmatch(plain):
        negative = found[1] == "337"
        return TypeFacts(
            base=f"LM{found[1]}{found[2]}",
            role="negative regulator" if negative else "positive regulator",
            case="TO-92" if found[2] else "TO-220",
            legs=("" if found[2] else "AIO") if negative else "AOI",
            family="regulator",
            detail="adjustable",
            tab="" if found[2] else "input" if negative else "output",
        )
    if found := _LOW_DROP.fullmatch(plain):
        fixed = re.search(r"\d[.]\d|-?(?:33|50|18|25|12)$", written.partition(found[1])[2]) is not None
        return TypeFacts(
            base=f"LM{found[1]}",
            role="positive regulator",
            case="SOT-223" if found[1] == "1117" else "TO-220",
            legs="GOI" if fixed else "AOI",
            family="regulator",
            detail="fixed" if fixed else "adjustable",
            tab="output",
        )
    if _ZENER.fullmatch(plain):
        large = plain.startswith(("1N47", "BZX85"))
        return TypeFacts(base=plain, role="Zener diode", case="larger glass" if large else "small glass")
    return _base(plain) or _base(head)


def _base(plain: str) -> TypeFacts | None:
    """What is known of a type without its last letters."""
    while plain:
        if plain in TYPES:
            return TYPES[plain]
        if not plain[-1].isalpha():
            return None
        plain = plain[:-1]
    return None


def leg_words(known: TypeFacts) -> tuple[str, ...]:
    """Return the pin order in words; empty when not known.

    >>> leg_words(facts("LM337T"))
    ('adjust', 'input', 'output')
    """
    words = next(words for role, words in _LEG_WORDS.items() if role in known.role)
    return tuple(words[leg] for leg in known.legs)


def mistaken(a: TypeFacts, b: TypeFacts) -> tuple[int, str] | None:
    """Rank (1 worst, 4 least) how easily two types are mixed up, with the reason; None when not, or the same.

    >>> mistaken(facts("2N3904"), facts("2N3906"))
    (1, 'NPN and PNP in the same case')
    >>> mistaken(facts("LM7812"), facts("LM7912"))
    (1, 'positive regulator and negative regulator: pin order IGO and GIO')
    """
    if a.base == b.base:
        return None
    if a.family == b.family == "regulator":
        return _mistaken_regulators(a, b)
    if a.family and a.family == b.family:
        counts = f"{_COUNTS[a.count]} and {_COUNTS[b.count]} {a.role}"
        return (1, f"{counts} in the same case") if a.case == b.case else (3, f"{counts}, close in name")
    if a.case != b.case:
        return None
    if a.case == "TO-92" and a.legs and b.legs and sorted(a.legs) == sorted(b.legs) and a.legs != b.legs:
        roles = a.role if a.role == b.role else f"{a.role} and {b.role}"
        return 1, f"{roles}, different pin order: {a.legs} and {b.legs}"
    if a.role != b.role:
        return 1 if a.case == "TO-92" else 2, f"{a.role} and {b.role} in the same case"
    if a.case in ("small glass", "larger glass") and a.role == "Zener diode":
        return 2, "Zener diodes in the same glass case"
    if a.count != b.count:
        return 1, f"{_COUNTS[a.count]} and {_COUNTS[b.count]} {a.role} in the same case"
    return 4, f"both {a.role} in the same case; only the print tells them apart"


def _mistaken_regulators(a: TypeFacts, b: TypeFacts) -> tuple[int, str]:
    """Rank and reason for two regulators."""
    if a.role != b.role:
        return 1, f"{a.role} and {b.role}: pin order {a.legs} and {b.legs}"
    if a.case == b.case:
        return 2, f"regulators in the same case for {a.detail} and {b.detail}"
    return 3, f"regulators close in name, legs {a.legs} and {b.legs}"
