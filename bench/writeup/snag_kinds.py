"""What kind of snag it was, from the builder's words. Pure.

The kinds follow what goes wrong at a bench (common practice, no source). Words are only words: a snag whose
words fit no kind is `other`, and one that names two is taken for the first in the order below, which goes from
the most telling words to the least.
"""

from __future__ import annotations

import re

KINDS = (
    "documents wrong",
    "damaged pad",
    "bridge",
    "bad joint",
    "wrong way round",
    "missing part",
    "wrong place",
    "wrong value",
    "damaged part",
    "poor fit",
    "other",
)
"""Kinds in the order in which they are looked for."""

_SIGNS = {
    "documents wrong": r"guide|manual|leaflet|instructions?|silk ?-?screen|schematic|errat(um|a)|documents?|"
    r"misprint(ed)?|(printed|labell?ed|drawn|listed) (wrong|as)|parts list|build notes",
    "damaged pad": r"(pads?|traces?|tracks?|rings?)\b.{0,25}\b(lift\w*|tor[en]|came off|peel\w*|damag\w*|"
    r"burn\w*|gone|rip\w*|broke\w*|cut)|"
    r"(lift\w*|tor[en]|tore|damag\w*|burn\w*|peel\w*|ripp\w*|broke\w*) (a |the )?(pads?|traces?|tracks?)",
    "bridge": r"bridg\w*|(hair|blob|ball|whisker|splash) of solder|solder (between|across)|"
    r"short(ed|s)? (between|to|across)|whisker",
    "bad joint": r"(cold|dry|bad|dull|grainy|cracked|missed|missing|forgotten|poor|weak) (solder )?joints?|"
    r"missed (a|one|two|three|some|\d+) (joint|pin|leg|pad)s?|(not|never|un) ?-?soldered|"
    r"forgot\w* to solder|no solder|joints? (was|were|is|are)? ?"
    r"(cold|dry|dull|cracked|missing|bad|open)|did not (take|wet|flow)|too little solder|loose",
    "wrong way round": r"wrong way|other way (round|up)|reversed|backwards?|back to front|upside down|polarity|"
    r"turned round|(in|fitted|sat|soldered|went) the wrong way|rotated|mirrored|180 ?(°|degrees)|"
    r"(wrong|other) side|stripe to the wrong|pin 1|"
    r"(anode and cathode|cathode and anode|emitter and collector|collector and emitter|plus and minus|"
    r"\+ and -|legs?|leads|wires) (are |were |got )?swapped|swapped (the )?(legs|leads|anode|cathode|polarity)",
    "wrong place": r"(one|two|\d) (pin|hole|row|place|pad|step)s? off|"
    r"off by (one|a|two)( (pin|hole|row|place|pad)s?)?|"
    r"(in|into|to) (the )?(holes?|pads?|place) of [a-z]{1,3}\d+|"
    r"(in|into|at) [a-z]{1,3}\d+'s (place|holes?|pads?)|"
    r"(in|into|to|at|on) the wrong (hole|pad|place|row|pin|socket|header|board|lug|terminal)s?|"
    r"swapped places|wired to the wrong \w+",
    "missing part": r"missing (from|in)|(is|was|are|were|screw|nut|part|knob) missing|not in the bag|"
    r"(got|was|were|is|are) lost|only (one|two|\d+)( \w+)? in the bag|"
    r"(one|two|three|\d+)( \w+)? (short|too few)|"
    r"short of|not supplied|did not come|was not (there|sent|in)|ran out",
    "wrong value": r"wrong|belong(s|ed)? (to|in|at)|[a-z]{1,2}\d+ (got|has|had) (a |an |the )?\d|"
    r"instead of|in place of|mix(ed)? ?-?up|swap\w*|confus\w*|mistook|mistaken|misplac\w*|"
    r"misread|taken for|took .{1,30} for|should (be|have been)|in (the )?place of \d\w*",
    "damaged part": r"(bent|crack\w*|broke\w*|snapped|melt\w*|scratch\w*|"
    r"burn\w*(?! (my|himself|herself))|scorch\w*|dead|died|fried|blew|"
    r"overheat\w*|torn|split|chipped|dropped off|came off|fell off)",
    "poor fit": r"crooked|skewed|tilted|askew|not (flush|straight|level|square)|"
    r"does(n't| not) fit|did(n't| not) fit|"
    r"(would|will) not (fit|go)|too (long|short|tall|wide|high|deep|tight|big|large|small|thick)|rubs?|"
    r"touch(es|ed) the (panel|case|lid|board)|stands? (off|proud)|sits? (high|proud|low)|misaligned|no room",
}
_MENDED = {
    "bridge": r"wicked? (away|off|the bridge)",
    "bad joint": r"re-?flow\w*|resolder\w*|touched up|fresh solder|soldered it",
    "wrong way round": r"turned? (it |them |both )?(round|over|around)|the right way",
    "damaged pad": r"jumper|wire (from|to|link)|bodge",
    "poor fit": r"straighten\w*|pushed (it )?flush|filed|trimmed (it )?(down|off|back)",
    "wrong place": r"moved (it |them )?(to|into|over|one)",
    "wrong value": r"right (value|one|part)|swapped (it|them|back)|exchanged|replaced (it )?(by|with)",
}


def _compiled(signs: dict[str, str]) -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((kind, re.compile(rf"\b(?:{signs[kind]})\b")) for kind in KINDS if kind in signs)


_BY_WORDS, _BY_FIX = _compiled(_SIGNS), _compiled(_MENDED)
LONGEST = 2_000
"""Characters of a text that are looked at."""


def kind_of_snag(what: str, part: str = "", fix: str = "") -> str:
    """One of `KINDS`: by what was wrong and the part it concerns, else by how it was mended.

    >>> kind_of_snag("D3 sat the wrong way round", "D3")
    'wrong way round'
    >>> kind_of_snag("a hair of solder between two lugs", "J2"), kind_of_snag("R5 reads 4k7, should be 47k")
    ('bridge', 'wrong value')
    >>> kind_of_snag("no sound", fix="reflowed pin 3"), kind_of_snag("hums")
    ('bad joint', 'other')
    """
    for text, signs in ((f"{what[:LONGEST]} {part[:LONGEST]}", _BY_WORDS), (fix[:LONGEST], _BY_FIX)):
        said = " ".join(text.lower().split())
        for kind, sign in signs:
            if said and sign.search(said):
                return kind
    return "other"
