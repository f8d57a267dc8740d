"""Words that people put beside a print to say what part it is on: `103 trimmer`, `choke 101K`; pure."""

from __future__ import annotations

import re

from bench.parts.kinds import in_family, marked_by, with_role
from bench.parts.meaning import CAPACITORS, INDUCTORS, POTENTIOMETERS

_CERAMIC = ("ceramic capacitor",)
_FILM = ("film capacitor",)
_ELECTROLYTIC = marked_by("microfarads")
_DIODES = in_family("diodes")
_TRANSISTORS = in_family("transistors")
_WORDS: dict[str, tuple[str, ...]] = {
    "resistor": ("resistor", "resistor network"), "res": ("resistor",),
    "trimmer": ("trimmer",), "trimpot": ("trimmer",), "preset": ("trimmer",), "multiturn": ("trimmer",),
    "pot": POTENTIOMETERS, "potentiometer": POTENTIOMETERS,
    "network": ("resistor network",), "array": ("resistor network",), "sip": ("resistor network",),
    "sil": ("resistor network",),
    "capacitor": CAPACITORS, "cap": CAPACITORS, "condenser": CAPACITORS,
    "ceramic": _CERAMIC, "disc": _CERAMIC, "disk": _CERAMIC, "mono": _CERAMIC, "monolithic": _CERAMIC,
    "mlcc": _CERAMIC, "dipped": ("ceramic capacitor", "tantalum capacitor"),
    "film": _FILM, "polyester": _FILM, "mylar": _FILM, "polypropylene": _FILM, "box": _FILM,
    "styroflex": _FILM, "polystyrene": _FILM,
    "electrolytic": _ELECTROLYTIC, "elko": _ELECTROLYTIC,
    "tantalum": ("tantalum capacitor",), "tant": ("tantalum capacitor",),
    "inductor": INDUCTORS, "choke": INDUCTORS, "coil": INDUCTORS,
    "crystal": ("crystal",), "quartz": ("crystal",), "resonator": ("ceramic resonator",),
    "fuse": with_role("fuse"), "polyfuse": ("resettable fuse",), "ptc": ("resettable fuse",),
    "varistor": ("varistor",), "mov": ("varistor",), "vdr": ("varistor",),
    "thermistor": ("thermistor",), "ntc": ("thermistor",),
    "zener": ("Zener diode",), "diode": _DIODES, "rectifier": _DIODES, "bridge": _DIODES[3:],
    "transistor": _TRANSISTORS, "fet": _TRANSISTORS[1:], "jfet": ("JFET",), "mosfet": ("MOSFET",),
    "regulator": ("voltage regulator",), "ic": ("IC",), "chip": ("IC",), "opamp": ("IC",),
}  # fmt: skip
_FILLERS = {"on", "the", "with", "part", "band", "bands", "single", "one", "code", "marked", "axial",
            "radial", "wirewound", "only", "gap"}  # fmt: skip


def set_apart(text: str) -> tuple[str, tuple[str, ...]]:
    """Split a print from the words that name its part; no kinds where there are no such words.

    >>> set_apart("103 on a trimmer"), set_apart("104J")
    (('103', ('trimmer',)), ('104J', ()))
    """
    words = [re.sub(r"(?i)^(si[pl])-?\d{1,2}$", r"\1", word) for word in text.split()]
    named = [_WORDS[word] for word in (each.casefold().strip(",;:") for each in words) if word in _WORDS]
    bare = [each for each in words if not _is_spare(each)]
    if not bare or len(bare) == len(words):
        return text, ()
    kinds = next(iter(sorted(named, key=len)), ())
    return " ".join(bare), kinds


def _is_spare(word: str) -> bool:
    """Whether a word names a kind or says nothing; a capital A is the law of a potentiometer."""
    plain = word.casefold().strip(",;:")
    return plain in _WORDS or plain in _FILLERS or word in ("a", "an")
