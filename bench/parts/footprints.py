"""What the name of a package or footprint says of a part: pads or leads, which kind, how large; pure.

Names follow IPC-7351B (land patterns on the surface), the KiCad library conventions (F2 and F3), the outlines
of JEDEC and EIA, and the habits of board programs (common practice, from memory). A name that says neither
pads nor leads leaves it open.
"""

from __future__ import annotations

import re
from functools import lru_cache

_LONGEST = 200
_INCHES = {
    "0603": "0201", "1005": "0402", "1608": "0603", "2012": "0805", "2125": "0805", "3216": "1206",
    "3225": "1210", "4516": "1806", "4532": "1812", "5025": "2010", "6332": "2512", "6432": "2512",
}  # fmt: skip
"""Sizes of chips in tenths of a millimetre -> in hundredths of an inch, as the trade calls them (EIA)."""
CHIP = "(?:01005|0201|0402|0603|0805|1008|1206|1210|1806|1808|1812|1825|2010|2220|2225|2512)"
_IPC_CHIP = r"(?:res|cap|ind|led|fus|fer|dio|the?rm)(?:c|cp|sc|cav|caf|cwr|caxe|caxs|m|mp|melf|p)"
_SOLDERED_FLAT = "|".join(
    (
        r"(?<![\w.,])(?:0201|0402|0603|0805|1206|1210|1812|2512)(?:x\d)?(?![\w.,])",
        rf"\b{CHIP} \d{{4}} ?metric|\b\d{{4}} ?metric",
        r"\bsot-?(?!(?:27|32|33|38|54|78|82|93|97|110|112|128|131|141|146|157|186|199|226|399|429)(?!\d))\d{2,3}",
        r"\bsod-?(?:80|87|106|110|123|128|323|523|723|882|923|962)(?!\d)",
        r"\bdo-?(?:21[3-9]|22[01])|\bto-?(?:236|243|252|253|261|263|268|269|277|279)(?!\d)|\bd[23]?pak\b",
        r"\bsc-?(?:59|62|70|7[3-6]|79|82|88|89|90)(?!\d)",
        r"\b\w{0,5}melf|\b[a-z]{0,4}sop(?![a-z])|\b[hpw]?soic|\b[a-z]{0,3}qfp(?![a-z])",
        r"\b(?:[a-z]{0,3}(?:qfn|dfn|lcc|bga|lga)|wlcsp|csp|ml[fp])(?![a-z])|\b(?:[uvwx]|vs|ws|ps)?son-?\d",
        r"\bso[jplnw]?-?(?:n-?|w-?)?(?:4|5|6|8|08|14|16|18|20|24|28|32)(?!\d)[a-z]{0,3}\b|\bsoj",
        r"\bmmb[tfdz]|\bmmsz|\bsm[abc]j\d|\bpowerdi|\beia-?\d{4}|\b[a-e]/\d{4}|\b[cp]+ elec\b|\bsmd can\b",
    )
)
_PADS = "|".join(
    (
        rf"\b(?:[rcldf]|fb|led|chip-?led|[rc]-[a-z]{{2}}[rc]|tant|sm)[- ]?{CHIP}(?![\d.,])",
        r"\b(?:[rcld]|led)-?(?:1005|1608|2012|2125|3216|3225|4532|5025|6332)(?![\d.,])",
        rf"\b{_IPC_CHIP}\d{{2,4}}x\d|\bcap(?:ae|pm|prm)|\b[a-z]{{2,7}}\d{{2,3}}p\d{{2,4}}x\d",
        r"\b(?:sod|sodfl|diomelf|xtal|osc[a-z]{1,2})\d{3,4}x\d|\bd sm[abcf]\b",
    )
)
"""What only the name of a footprint can mean: as values, some of these are types of transistors."""
_ON_THE_SURFACE = re.compile(r"(?<![a-z])(?:sm[dt](?![a-z])|smdip|surface[- ]?mount)")
_SURFACE = {False: re.compile(_SOLDERED_FLAT), True: re.compile(f"{_SOLDERED_FLAT}|{_PADS}")}
_LEADED = re.compile(
    r"(?<![a-z])(?:tht|through[- ]?hole|axial|radial)(?![a-z])|(?<![a-z])(?:cer|[pcs])?di[pl]-?\d"
    r"|(?<![a-z])to-?(?:3|5|18|39|46|52|66|72|92|99|100|126|202|218|220|225|247|251|262|264)(?!\d)"
    r"|(?<![a-z])do-?(?:7|15|27|34|35|41|201|204)(?!\d)|(?<![a-z])capp?r[bdr]\d"
)


@lru_cache(maxsize=4096)
def surface(package: str, value: str = "") -> bool | None:
    """Tell pads on the surface (True) from leads in holes (False) by a package's name; None for neither.

    >>> surface("Capacitor_SMD:C_0805_2012Metric"), surface("R0805"), surface("DIP-8"), surface("")
    (True, True, False, None)
    """
    named, worth = _plain(package), _plain(value)
    if _ON_THE_SURFACE.search(f"{named} {worth}"):
        return True
    if _LEADED.search(named):
        return False
    if _SURFACE[True].search(named) or _SURFACE[False].search(worth):
        return True
    return False if _LEADED.search(worth) else None


def bears_rings(package: str, value: str = "") -> bool:
    """Return whether it is a round body without legs (MELF), which bears rings as a leaded part does.

    >>> bears_rings("R_MELF_MMB-0207"), bears_rings("R0805")
    (True, False)
    """
    return bool(re.search(r"melf|\bmm[abu][- ]?0\d{3}|\bsod-?80|\bdo-?213", _plain(f"{package} {value}")))


_KINDS = (
    ("C", "bipolar electrolytic capacitor", r"\bc elec\b"),
    ("C", "electrolytic capacitor", r"\bcp elec\b|\bcapae|\bsmd can\b"),
    ("C", "tantalum capacitor", r"\beia-?\d{4}|\bcap(?:mp|cp|pm|prm)(?![a-z])|\btant|\b[a-e]/\d{4}"),
    ("C", "tantalum capacitor", rf"\b(?:cp|cpol|cpol-[a-z]{{2}}) ?{CHIP}"),
    ("D", "LED", r"\bled(?![a-z])|\bchip-?led|\bled[cm]"),
    ("R RN RP", "resistor network", r"\br array|\brescax|\brescav|\brescaf"),
    ("R RV VR", "trimmer", r"\bpotentiometer .*(?:trim|\b3(?:006|224|266|296|299|314|362|386)[a-z]?\b)"),
    ("R RV VR", "potentiometer", r"\bpotentiometer\b"),
)
"""Class letters, kind, and the name that means it. A chip that is polarised is a tantalum one."""
_CHIP_OF = re.compile(
    rf"(?<!\d){CHIP}(?!\d)|\b\d{{4}} ?metric|\bcapc[a-z]{{0,2}}\d"
    r"|\bc(?:1005|1608|2012|2125|3216|3225|4532)|:c \d"
)


@lru_cache(maxsize=4096)
def kind_by_footprint(letters: str, package: str, value: str = "") -> str:
    """Return the kind that a footprint's name means for a class letter; empty when it means none.

    Capacitors of a chip's size are ceramic unless their name says that they have a polarity.

    >>> kind_by_footprint("C", "C_0805_2012Metric"), kind_by_footprint("C", "CP_EIA-3216-18")
    ('ceramic capacitor', 'tantalum capacitor')
    """
    named = _plain(f"{package} {value}")
    for meant, kind, words in _KINDS:
        if letters.upper() in meant.split() and re.search(words, named):
            leaded_can = kind == "tantalum capacitor" and surface(package, value) is False
            return "" if leaded_can and "tant" not in named else kind
    sized = letters.upper() == "C" and _CHIP_OF.search(named) and surface(package, value)
    return "ceramic capacitor" if sized and not re.search(r"\bcp\b|\bcpol|polari[sz]ed", named) else ""


_CASES = r"\b((?:TO|SO[TDP]?|SOIC|T?SSOP|MSOP|[DQ]FN|[TL]QFP|DO|SIP)-?[0-9]+(?:-[0-9]+)*)"
_SAID = (
    (re.compile(r"\bSMDIP-?(\d+)", re.IGNORECASE), r"SMD DIP-\1"),
    (re.compile(r"\b(?:DIP|DIL|PDIP)-?([0-9]+)", re.IGNORECASE), r"DIP-\1"),
    (re.compile(r"(?:\b|_)EIA-?(\d{4})(?:-\d+)?.*", re.IGNORECASE), r"EIA-\1"),
    (re.compile(r"\bCAP(?:MP|PM)(\d{4})X.*", re.IGNORECASE), r"EIA-\1"),
    (re.compile(r"\bCP_Elec_([0-9.]+x[0-9.]+).*", re.IGNORECASE), r"SMD can \1 mm"),
    (re.compile(rf"\bLED_({CHIP})_[0-9]{{4}}Metric", re.IGNORECASE), r"LED \1"),
    (re.compile(rf"\bCP_({CHIP})_[0-9]{{4}}Metric", re.IGNORECASE), r"CP \1"),
    (re.compile(rf"\b[A-Z]+_({CHIP})_[0-9]{{4}}Metric", re.IGNORECASE), r"\1"),
    (re.compile(rf"\b(?:[RCL]|[RCL]-[A-Z]{{2}}_?[RCL])({CHIP})[A-Z]?\b"), r"\1"),
    (re.compile(rf"\b(?:CHIP-?)?LED[-_]?({CHIP})\b"), r"LED \1"),
    (re.compile(r"\b[A-Z]+_Axial.*?_P([0-9.]+)mm.*", re.IGNORECASE), r"axial \1 mm"),
    (re.compile(r"\b[A-Z]+_Radial.*?_P([0-9.]+)mm.*", re.IGNORECASE), r"radial \1 mm"),
    (re.compile(r"\bSOT95P\w+?X\d+-3\w?\b", re.IGNORECASE), "SOT-23"),
    (re.compile(r"\bSOT95P\w+?X\d+-([568])\w?\b", re.IGNORECASE), r"SOT-23-\1"),
    (
        re.compile(r"\b(SOIC|[TMS]?SSOP|SOP|[TL]?QFP|QFN|[SD]ON)\d+P\w+?X\d+-(\d+)\w?\b", re.IGNORECASE),
        r"\1-\2",
    ),
    (re.compile(r"\bD_(SM[ABCF])\b.*"), r"\1 (DO-214)"),
    (re.compile(r"\bD_(SOD-\d+|(?:Mini|Micro|Quadro)?MELF)\b.*"), r"\1"),
    (re.compile(rf"{_CASES}-1EP.*"), r"\1 EP"),
    (re.compile(rf"{_CASES}\b.*"), r"\1"),
)
"""Names of footprints, and how the trade says them; EP: a pad under the body."""


def _imperial(named: str) -> str:
    found = re.match(rf"(?!cap[mc]p){_IPC_CHIP}(\d{{4}})x", named)
    size = _INCHES.get(found[1], "") if found else ""
    return f"LED {size}" if size and named.startswith("led") else size


@lru_cache(maxsize=4096)
def package_said(footprint: str) -> str:
    """A footprint's name as the trade says the package; a name with no known form stays as it is.

    >>> package_said("DIP-8_W7.62mm"), package_said("R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal")
    ('DIP-8', 'axial 10.16 mm')
    >>> package_said("C_0603_1608Metric"), package_said("TO-92_Inline"), package_said("Jack_3.5mm_Own")
    ('0603', 'TO-92', 'Jack 3.5mm Own')
    >>> package_said("RESC1608X55N"), package_said("Package_SO:SOIC-8_3.9x4.9mm_P1.27mm"), package_said("R0805")
    ('0603', 'SOIC-8', '0805')
    """
    name = footprint.rpartition(":")[2]
    spaced = name.replace("_", " ").strip()
    said = _imperial(name.casefold()) or next(
        (found.expand(words)
         for pattern, words in _SAID if (found := pattern.search(name) or pattern.search(spaced))), spaced,
    )  # fmt: skip
    return f"{said} SMD" if surface(footprint) and surface(said) is None else said


_SIZES = (
    (r"0201", 0.2), (r"0402", 0.5), (r"0603", 1.3), (r"0805", 2.5), (r"1206", 5.1), (r"1210", 8.0),
    (r"sot-?(?:23|323)|mmb[tf]", 7.2), (r"sod-?\d+|\w*melf", 5.0), (r"sot-?89", 18.0), (r"sot-?223", 45.0),
    (r"eia-?3216", 5.1), (r"eia-?3528", 9.8), (r"eia-?6032", 19.2), (r"eia-?7343", 31.4),
    (r"1812", 14.4), (r"2010", 12.5), (r"2512", 20.2), (r"do-?214|sm[abc]\b", 15.0),
    (r"so(?:ic)?-?(?:n-?)?0?8\b|[tm]?ssop", 30.0), (r"so(?:ic)?-?\d|[lt]?qfp|plcc", 60.0),
    (r"to-?252|dpak", 65.0), (r"to-?263|d2pak", 150.0),
)  # fmt: skip
"""Cases on the surface with the area that they take, mm²; the first that is found goes (JEDEC and EIA outlines,
rounded, from memory)."""
_UNSIZED = 25.0


@lru_cache(maxsize=1024)
def area_of(words: str) -> float:
    """Estimate the square millimetres that a surface-mount case takes; a middling one where none is named.

    >>> area_of("R0805") < area_of("SOT-23") < area_of("SOIC-8") < area_of("TO-263")
    True
    """
    said = package_said(words)
    found = (area for case, area in _SIZES if re.search(rf"(?<![a-z0-9]){case}", said, re.IGNORECASE))
    return next(found, _UNSIZED)


def _plain(text: str) -> str:
    return text[:_LONGEST].replace("_", " ").casefold()
