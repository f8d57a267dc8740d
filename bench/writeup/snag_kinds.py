"""What kind of snag it was, from the builder's words. Pure.

The kinds follow what goes wrong at a bench (common practice, no source). Words are only words: a snag whose
words fit no kind is `other`; one that names two is taken for the first in the order in which they are looked
for, from the most telling words to the least. The builder's own choice goes before all (`Snagged.kind`).
"""

from __future__ import annotations

import re

KINDS = (
    "wrong place",
    "wrong value",
    "wrong way round",
    "bad joint or bridge",
    "forgotten",
    "damaged",
    "does not fit",
    "documents wrong",
    "other",
)
"""In the order in which a choice offers them."""

_REF = r"[a-z]{1,3}\d+[a-z]?"
_VALUE = (
    r"(\d+[pnuµmkrj]\d*|\d+ ?(p|n|u|µ|m|k|v|ohms?|pf|nf|uf|µf)\b|\d*meg|bc\d+|tl\d+|lm\d+|"
    r"[a-z]{2}\d{3,}|78\w+|79\w+)"
)
_PAPERS = (
    r"(build )?(guide|manual|leaflet|instructions?|documents?|schematic|bom|parts list|"
    r"silk ?-?screen|pdf|drawing|"
    r"picture|photo|list|print|label)"
)
_SOME = r"(a|an|the|one|two|three|some|my|its|his|her)"
_NOT = r"(?:n'?t|never|not|nothing|un)"
_SIGNS: tuple[tuple[str, str], ...] = (
    ("other",
        r"short in the (kit|bag)|(came|come|kit).{0,25}\bshort$|(missing from|not in|in) the (bag|"
        r"box)|ran out of|"
              r"(two|three|one|\d+) \w+ short\b|my finger|myself|too (many|few)\b.*bag|carpet|the fuse blew"),
    ("bad joint or bridge",
        rf"(forgot|missed|{_NOT}|hadn'?t)\W{{0,3}}(been |to |yet )*solder|whisker|sliver|splash|"
        rf"\bbridg(e|es|ed|ing)\b(?! rect)|(hair|blob|ball|bit|drop) (of solder|between|under)|"
        rf"solder between|blob|"
        rf"(cold|dry|bad|dull|gr[ae]y|grainy|cracked|missed|missing|poor|weak|open) (solder )?joint|"
        rf"joint|"
        rf"\bshort(ed|s|ing|ening)?\b (two|between|to|across|from|\+|\d|out|circuit)|shorted|"
        rf"shorting|"
        rf"had not taken|{_NOT} (take|taken|wet|flow|wick|got hot|get hot)|hadn'?t wicked|"
        rf"(too little|not enough|more) (solder|heat)|no solder\b|loose|wiggl|reflow|resolder|"
        rf"touched up|"
                            rf"flux|intermittent|heated (it |them )?again|gr[ae]y and grainy"),
    ("does not fit", r"crooked|skewed|tilted|askew|at an angle|(does|did|do|will|would|can|w[oi])(n'?t| not) "
        r"(fit|go|close|line up|reach|pass)(?! the link)|too (long|short|tall|wide|narrow|high|deep|"
        r"tight|big|large|small|"
        r"thick|fat|stiff)|\brubs?\b|\bfouls?\b|bumps?|touch(es|ed)? (the (panel|case|lid|board)|"
        r"each)|"
        r"stands? (off|proud)|sits? (high|proud|low)|misalign|no room|leans? on|drill (out|open)|"
        r"mm off|spaced|"
        r"hits? the|presses on|too far apart|in the way|collides?|jams?|won'?t (go|close)|shaft and|"
        r"for a [\d.]+ (mm )?(shaft|hole)"),
    ("documents wrong",
        rf"{_PAPERS}('s)?( of \w+)? (is|are|was|were|has|have|had|says?|shows?|calls?|tells?|lacks?|"
        rf"does|do|doesn'?t|"
        rf"and|on|in|disagree|differ|gives?|names?|twice|leaves?|forgets?|omits?|mixes|contradicts?|"
        rf"tell|swaps?)\b|"
        rf"misprint|errat|error in the|diagram|printed\b|(labell?ed|drawn|listed) (wrong|as|{_REF}|"
        rf"twice|the)|(other|older|new|newer|"
                        rf"another) (revision|board|version)|differ\b|(page|step) \d+ "),
    ("damaged",
        r"(lift|tor[en]|tore|peel|ripp|pull|cut)\w*( \w+){0,3} (pad|trace|track|ring)\b|(pad|trace|"
        r"track|ring)s?( \w+){0,3} "
        r"(lift|tor[en]|came (off|up)|peel|gone|rip|broke|cut|off\b)|\b(bent|crack\w*|broken?|"
        r"snapped|melt\w*|scratch\w*|"
        r"burn\w*|scorch\w*|dead|died|fried|blew|blown|overheat\w*|torn|split|chipped|stripped|"
        r"kill\w*|deform\w*|"
                r"smashed|crushed|singed|dented|ruined|destroyed|too hot|cooked|"
                r"(dropped|came|fell|broke) off)\b|dropped the|hole in it|iron touched|and (is|was) gone"),
    ("wrong way round",
        r"wrong way|other way|the wrong (direction|end)|revers|backwards?|back to front|upside down|"
        r"polarity|"
        r"turned (it |round|around|180)|rotated|mirror|\b(180|90)\b ?(°|deg\w*)?( out|$)|flip|"
        r"inverted|"
        r"stripe (at|to)|far end|notch|opposite|(anode|cathode|emitter|collector|plus|minus|red|"
        r"black|\+|-)(?!\w).*"
        r"(anode|cathode|emitter|collector|plus|minus|swapped|exchanged|go)\b.*|plus to|red stripe|"
        r"facing|"
                        r"(pointing|points|looks|look) (at|to)|pin 1\b.*(end|wrong)"),
    ("forgotten",
        rf"forgot\w*|left (out|over|off)|leave out|overlook\w*|skipp?ed|omitted|(never|not|"
        rf"n'?t) (been |yet )?(fitted|fit|put|"
        rf"placed|mounted|installed|stuffed|cut|there|in\b)|never (put|cut)|still (in the bag|"
        rf"missing)|empty (holes?|socket|"
                  rf"place)|(missed|missing) (the|a|diode|resistor|capacitor|wire|\w+ at)|missing from its|"
        rf"no (chip|ic|fuse|jumper|link|spacer|washer)\b|should have gone|did not put|lonely|"
        rf"on the mat|on its tape|{_REF} (is|was) missing|"
                  rf"had not put"),
    ("wrong place",
        rf"(one|two|\d) (pin|hole|row|place|pad|step|position)s? (off|too|over)|off by (one|a|two)|"
        rf"'s (place|holes?|pads?|"
        rf"socket|spot)|(in|into|to|at|on|from) (the |{_REF}'s )?(wrong )?(\w+ )?(holes?|pads?|place|"
        rf"spot|row|position|lug|"
        rf"side|top)( \d| of {_REF}| marked| where|,|$| instead| next)|(in|into|to|at) the wrong|"
        rf"in the socket of|"
        rf"the {_REF} (holes?|spot|pads?|place)|(at|in|into|where) {_REF}( goes| belongs| sits|"
        rf" should)?$|"
                    rf"where {_REF} (goes|belongs|should|sits)|to pad|{_REF} (and|with|for) {_REF}|"
        rf"wrong (side|hole|lug|pin|pad|row|spot|place|terminal)|neighbou?ring|'s socket|"
        rf"two \w+ (traded|swapped|interchanged|exchanged|switched)|"
        rf"(swapped|exchanged|mixed up|traded|crossed) {_REF}|ended up at|instead of the (bottom|"
        rf"top)|belongs on the|next to it"),
    ("wrong value",
        rf"wrong|instead of|in place of|rather than|mix(ed)? ?-?up|confus\w*|mistook|misread|"
        rf"taken for|took .{{1,30}} for|"
        rf"should (be|have|read)|ought to be|belongs?|called for|asked for|stuck in|needs? (to be )?|"
        rf"must be|picked|"
        rf"grabbed|measured {_VALUE}|reads? {_VALUE}|{_VALUE},? (not|for|when|and|but)|is {_VALUE}|"
        rf"not (a )?{_VALUE}|"
                    rf"{_VALUE} .*{_VALUE}|where an? |not a \d|wants?\b|by mistake"),
)  # fmt: skip
_MENDED: tuple[tuple[str, str], ...] = (
    ("bad joint or bridge", r"wick\w*|re-?flow\w*|resolder\w*|touched up|fresh solder|soldered it"),
    ("wrong way round", r"turned? (it |them |both )?(round|over|around)|the right way"),
    ("damaged", r"jumper|wire (from|to|link)|bodge"),
    ("does not fit", r"straighten\w*|pushed (it )?flush|filed|trimmed (it )?(down|off|back)"),
    ("wrong place", r"moved (it |them |the )?|swapped (it|them|back)"),
    ("wrong value", r"right (value|one|part)|exchanged|replaced (it )?(by|with)"),
    ("forgotten", r"fitted (it|them)|put (it|them) in"),
)


def _compiled(signs: tuple[tuple[str, str], ...]) -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((kind, re.compile(rf"(?<!\w)(?:{sign})")) for kind, sign in signs)


_BY_WORDS, _BY_FIX = _compiled(_SIGNS), _compiled(_MENDED)
LONGEST = 2_000
"""Characters of a text that are looked at."""


def kind_of_snag(what: str, part: str = "", fix: str = "") -> str:
    """One of `KINDS`: by what was wrong, else by how it was mended.

    >>> kind_of_snag("D3 sat the wrong way round", "D3")
    'wrong way round'
    >>> kind_of_snag("a hair of solder between two lugs", "J2"), kind_of_snag("R5 reads 4k7, should be 47k")
    ('bad joint or bridge', 'wrong value')
    >>> kind_of_snag("no sound", fix="reflowed pin 3"), kind_of_snag("hums")
    ('bad joint or bridge', 'other')
    """
    for text, signs in ((what[:LONGEST], _BY_WORDS), (fix[:LONGEST], _BY_FIX)):
        said = " ".join(text.lower().replace("’", "'").replace("\u03bc", "\u00b5").split())
        for kind, sign in signs:
            if said and sign.search(said):
                return kind
    return "other"
