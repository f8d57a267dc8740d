"""What kind of snag it was, guessed from the builder's words. Pure.

The kinds follow what goes wrong at a bench (common practice, no source). Each cue in a text speaks for one
kind, with a weight; the kind with the most wins, and without a cue it is `other`. The builder's own choice goes
before all (`Snagged.kind`).
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

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

LONGEST = 2_000
"""Characters of a text that are looked at."""

_SIGNS = r"""
DOC 0:
    ((build(ing)?|parts?|wiring|assembly|circuit) )?(guides?|manual|leaflet|instructions?|documents?|docs?|
    documentation|schematics?|bom|list|silk ?-?screen|silk|pdf|drawing|diagrams?|pictures?|photos?|label|
    print|layout|sheet|plan|legend|overlay|website|page \d+|step \d+|markings?|pinout)( of \w+)?
NOT 0:
    (do|does|did|is|was|were|are|had|has|have|wo|ca|would|could|should)nt | not | never | cannot | didn t
VAL 0:
    \d+[.,]?\d*(p|n|u|µ|m|k|r|v|w|meg)\d*f?h? | [abc]?\d+[.,]?\d* ?(pf?|nf?|uf|µf|u|µ|k|kohms?|m|meg|ohms?|
    v|volts?|[munµ]h|watts?|[mk]hz|ma)(?!m) | \d?[a-z]{1,4}\d{3,5}[a-z]* | (78|79)l?\d\d | [46]\d{3} |
    (ecc|el|ef)\d\d | 10[1-6] | pnp | npn | log | lin | linear | audio | [abc] taper | silicon | germanium |
    schottky | \d+ (?=(not|instead|should))
REF 0:
    (r|c|d|q|u|ic|t|tr|j|sw|rv|vr|l|led|x|y|w|v|cn|k|p|con|fb|zd|op|pot)\d{1,3}[a-z]?
"""
"""What stands for itself in a cue: papers, denials, values and types, designators."""

_WORDS = {
    "two": r"(\w+ ){0,2}",
    "few": r"(\S+ ){0,4}",
    "spot": r"(holes?|spot|place|pads?|positions?|sockets?|slot|footprint|location)",
    "lug": r"(lug|pin|pad|tag|terminal|hole|row|side|tab|eyelet|contact|position)s?",
    "pole": r"(anode|cathode|plus|minus|positive|negative|emitter|collector|base|"
    r"drain|gate|red|black|input|output|hot|ground|\+|-)",
    "half": r"(pad|trace|track|ring|via|plating|barrel|copper)s?",
}
"""What stands in brackets in a cue."""

_CUES = r"""
wrong place 4:
    where (the )?REF | REF <spot> | <spot> (of|for|marked) REF |
    (swap\w*|exchang\w*|mixed up|interchang\w*|traded|crossed|switched) <two>REF | REF (and|with|
    &) <two>REF (are |were |got )?(swap|exchang|mixed|interchang|trad|cross|switch|the wrong) |
    chang\w+ places | transpos | vice versa | each others? (place|hole|socket|pad|spot|position) | (one|two|
    \d|a) (pin|hole|row|place|pad|step|position|column|slot|pitch)s? (off|over|too far|out|left|right|up|
    down) | wrong (\w+ )?(<lug>|<spot>|board|jack|channel|end of the board)\b | VAL (\w+ )?socket |
    (row|hole|step|position) too | \bis where | where (the )?(?!VAL)\w+ \w+ (should|goes|belongs)
wrong place 3:
    (went|put|sits?|sitting|goes|solder\w*|plugged|fitted|wired|install\w*|got|mounted|stuck|stuffed|placed|
    ended up|REF|VAL|its) <two>(in|into|at|to|for|on) (the )?REF | off by (one|two|a (pin|hole|row)) |
    by one (pin|hole|row) | (neighbou?ring|adjacent|next) <two>(<spot>|<lug>) | <spot> next | shift(ed)?\b |
    ended up (at|in|on) | next door | (in|into|on|to|at) (\S+ ){1,4}instead |
    <lug>( \w+)?,? (but|NOT|instead|should|rather) |
    (belongs?|should (be|go|sit)) (on|in|at|to) (the )?<two><lug> | (instead of|rather than) (the )?(<lug>|
    top|bottom|left|right|front|back|outer|inner|middle) | trad(ed|ing)
wrong place 2:
    (in|into|on|to|at|from) the <two>(<spot>|<lug>)\b |
    (solder|component|copper|other|back|top|bottom) side | belongs (on|in|at)
wrong place 2:
    swap | exchang | cross-?wired | interchang | mixed up
wrong value 4:
    VAL.{0,30}\b(instead|in place|rather|NOT|for|where|should|must|needs?|wants?|ought|belongs?|called|
    asked|but|when|specified|among|from|with)\b.{0,25}VAL | factor of | (ten|10|100) times too |
    times the value | decimal | decade off | (fitted|put|installed|used|measure[sd]|reads|took|got|soldered|
    stuffed|in there|went in|is in)\b.*DOC (says?|calls?|wants?|asks?|lists?|shows?|has)
wrong value 3:
    VAL.*VAL | wrong (\w+ )?(values?|resistors?|cap(acitor)?s?|parts?|one|ics?|chips?|transistors?|diodes?|
    pots?|potentiometer|zener|type|rating|crystal|valve|tube|inductor|choke|coil|fuse|led|regulator|opamp|
    op amp|colou?r|taper|bag|VAL) | \d+ .*should (have|be) \d | VAL? .*(was wanted|is wanted) |
    where an? .* (needed|required|wanted|listed|specified) | taken for | colou?r (code|bands?|rings?) |
    misread | mistook | multiplier | band for | for REF value
wrong value 2:
    mix(ed|ing)? ?-?up | confus | grabbed | picked | took .{1,25} (for|instead|NOT) |
    should (be|have been|read) | ought to be | values?\b | instead of |
    (needs?|wants? an?|called for|asked for|needed|required|specified)\b | by mistake | measures? VAL |
    reads? VAL
wrong value 1:
    VAL
wrong value -6:
    ^(the |my )?DOC\b
wrong way round 4:
    backwards? | revers | upside ?-?down | back.to.front | wrong (direction|orientation|end\b|polarity) |
    polari[sz]?\w+ | rotat\w+ | wrong way | way (a?round|about) | other way | 180 | mirror | flip |
    inverted | wrong round | head ?first
wrong way round 3:
    turned (it |them )?(a?round|90|over) | \b90\b | (legs|leads) (swap|exchang|cross)
wrong way round 5:
    <pole> ?/ ?<pole> | <pole> <two>(and|in|to|on|into|where|at|went|with|/) <two>(<pole>|ground|gnd) |
    <pole> <few>(swap|exchang|cross|revers|mixed)
wrong way round 5:
    (notch|dot|stripe|band|pin (1|one)|flat|dimple|tab|arrow|mark|flat side) .*(wrong|far|opposite|other|
    bottom|toward|top|facing|should)
wrong way round 3:
    (facing|pointing|points?|looks?|faces?) (the |at |to |away)
wrong way round 1:
    opposite | swapped | orient | phase
bad joint or bridge 5:
    too much solder | (forgot|missed|NOT|without)( \w+)?( been| yet| got| get| to| any| really| fully|
     properly)* (re)?(solder(?! (in|REF))|stick|wet|flow|taken?\b|wick|hot\b|make contact) | un-?soldered |
    un-?wetted | missed .*joints? | (no|enough|little|more|bad|poor|missing|cold|dry|starved) (of )?(solder|
    heat(?! ?-?sink)|joint)
bad joint or bridge 4:
    (?<!cut the )bridg(e|es|ed|ing)\b(?! rect) | whisker | sliver | splash | blobs? |
    (ball|hair|drop|bit|speck|crumb|thread) of solder | solder (ball|between|across|under|bead) |
    stray strand | through solder | \bshort(ed|s|ing|ening)\b |
    short (between|to|across|from|on|circuit|under|at) |
    between (two |adjacent |the )?(pins|pads|legs|lugs) | (cold|dry|dull|gr[ae]y|grainy|cracked|weak|open|
    disturbed|ugly|lumpy|bad|iffy|dodgy|poor) (solder |looking )?(joint|connection|contact)
bad joint or bridge 3:
    re-?flow | re-?solder | re-?heat | touched up | heated (it|them|again|up) | no (contact|connection) |
    intermittent | joints?\b | enamel | crackl\w* when | wiggl | pin \S+ (open|floating) | solder wick |
    grainy
bad joint or bridge 3:
    flux
bad joint or bridge 2:
    \bloose\b | contact | only (touching|tacked|held) | pressed? (it|the|on) | \btouch | short\b(?! in|en)
forgotten 4:
    forg[eo]t | NOT solder (in|REF) | slipped through | undone | left (\w+ ){0,3}(out|off)\b | leave out |
    overlook | skip+ed | omitted | NOT (been |yet |even )*(fitted|put|plac|mount|install|insert|stuff|
    connect|populat|add|there\b|cut|done|in\b|wir|slid|plug|do\b|hook)(?! from) |
    NOT fit (a|any|both|the (?!hole|case|panel|board|lid)) | un-?(populated|fitted|connected|stuffed)
forgotten 3:
    \bmiss(ed|ing)\b | left ?over | spare .*end | (still|yet) (\w+ )?(in|on|loose)\b |
    (still|found) .*(bag|mat|desk|tape|bench|box|foam|table|tray|packet) | empty | no (chip|ic|fuse|jumper|
    link|spacer|washer|nut|heat ?-?sink|wire|tube|valve|REF|insulator|mica|shim|knob|resistor|cap)\b |
    should have gone | lonely | remembered | left (on|in) the |
    no .* (fitted|mounted|connected|installed|in place) | REF (was |is )?empty | still open |
    on the (mat|bench|desk|floor) (when|at|after)
forgotten 2:
    altogether | completely | after i (had )?closed
damaged 5:
    (lift|tor[en]|tore|peel|rip|pull|cut(ting)?\b|scratch|drill)\w* .*<half>\b |
    <half> .*(lift|tor[en]|came|peel|gone|rip|broke|cut|off\b|up\b|burn) | fried | melt | scorch | singe |
    charr | toast | cooked | explod | shatter | snap+ed | delamin
damaged 3:
    crack(ed|s)?\b | brok(e|en)\b | breaks?\b | scratch(?!y) | smok | bulg | leaked | folded | knocked |
    burn(t|ed|ing)?\b | dead | died | blew | blown | overheat | chipped | stripp | kill | deform | smash |
    crush | dent(ed)?\b | ruin | destroy | damag | bent | bend | torn | split | popped | nick(ed)?\b |
    gouge | too hot | (dropped|came|fell) off | hole in it | and (is|was) gone | wrecked | static | esd |
    pierced | lift(ed|ing)\b | blister | cut (through|into) | frayed | kaput
does not fit 4:
    too (proud|tall|long|short|wide|big|large|thick|fat|high|low|deep|narrow|tight|small|stiff|close|
    far apart|loose) | NOT (quite |really |even )*(fit|go (in|on|through|thru|over|between|into|past)|close|
    reach|pass|line|align|sit|clear|seat|slide|shut|match the hole|screw) | crooked | skew | tilt | askew |
    at an angle | wonky | lopsided | slanted | NOT (flat|flush|level|straight|square) | no (room|space) |
    clearance | misalign | stands? (off|proud) | sits? (high|proud|low|skew|off) | spac(ed|ing)\b |
    drill(ed)? (out|open) | stays open | (same|more) (space|room) | (touch(es|ing)?|hits?) REF
does not fit 3:
    \brub(s|bing)?\b | foul | bump | collid | \bjam | \bhits?\b | touch(es|ing)? (the|each|a) |
    presse?s? (on|against) | leans? | clash | interfer | scrap(e|ing) | stick(s|ing)? out | in the way |
    pitch | filed?\b | ream | barely | \bwider | taller | shorter | overlap | blocks?
does not fit 2:
    \bmm\b | inch | shaft | footprint
does not fit 1:
    panel | case\b | lid\b | enclosure | knob | standoff | spacer | hole
documents wrong 5:
    misprint | typo | errat | mislabel | (error|mistake) in | DOC.* (and|vs|but|while) (the )?DOC |
    NOT in (the )?DOC | DOC (\w+ ){0,3}(NOT|contradict|disagree|differ|lacks?|omits?|forgets?|leaves?|
    forgot|skips?|mixes|swaps?|twice|wrong|outdated)
documents wrong 4:
    DOC (on the board |on pcb )?(\w+ )?(say|show|list|call|tell|give|has|have|is|are|was|were|name|ask|want|
    put|mention|draw|print) | (swap|mix|mirror|wrong|revers|differ|flip)\w* (on|in) the DOC |
    (board|pcb) (says|shows|labels|calls) |
    (wrong|mistaken|old|outdated) (\w+ ){0,4}(in|on|printed) (the )?(DOC)? |
    REF (is )?(labell?ed|printed|marked|listed|drawn|shown) (as|REF|twice|VAL) |
    printed (twice|wrong|the wrong|REF|backwards) | (printed|drawn|listed|labell?ed|shown) for
documents wrong 4:
    DOC .*(mirror|mix|swap|wrong|flip|upside|revers|missing|differ|contradict|different) |
    (no|wrong|missing) (\w+ )?(marks?|DOC)\b
documents wrong 3:
    ^(the |my |on |in |kits? )*DOC\b
documents wrong 2:
    (old|older|another|different|other|previous|newer|wrong) (revision|version|board|rev)\b | labell?ed |
    printed | DOC (\w+ )*DOC
documents wrong 1:
    DOC
other 12:
    (missing|short|too (few|many)|only|lacking|absent|wrong part\w*|extra) (\w+ ){0,2}(in|from|of) (the|
    my) (kit|bag|box|packet|parcel) |
    (kit|bag|parcel|packet) (came|had|has|was|is|with|only|contained|arrived) | came (with|without) |
    (ran|run) out of | out of solder | finger | thumb | (my|own) (hand|skin|sleeve) | carpet | lost count |
    (battery|batteries) (was|is|were|flat|empty|dead|died|ran|gave) | fuse (\w+ )?(blew|blow) |
    \w+ short in | tip (is|was|wore|gone) | irons? tip | iron (would|wo|is|was|does|did|NOT)
nothing 2:
    no idea | dont know | not sure why | oscillat | hums?\b | buzz | whistl | drift | distort | howl |
    noise | noisy | no sound | quiet | took ages | squeal | hiss | trips | crackl
"""
"""Kind and weight, then the cues, apart by ` | `; `nothing` are symptoms, which speak for none."""

_MENDED = r"""
bad joint or bridge 1:
    wick | re-?flow | re-?solder | touched up | fresh solder | soldered it
wrong way round 1:
    turned? (it |them |both )?(a?round|over) | the right way
damaged 1:
    jumper | wire (from|to|link) | bodge
does not fit 1:
    straighten | pushed (it )?flush | filed | trimmed (it )?(down|off|back)
wrong place 1:
    moved (it |them |the )? | swapped (it|them|back)
wrong value 1:
    right (value|one|part) | exchanged | replaced (it )?(by|with)
forgotten 1:
    fitted (it|them) | put (it|them) in
"""


def _read(table: str) -> list[tuple[str, int, str]]:
    """The rows of a table of cues: kind, weight, pattern."""
    table = re.sub(r"(?<= \|)\n +", " ", table)
    rows = re.findall(r"^(\w[\w ]*?) (-?\d+):\n +(.*)$", re.sub(r"\|\n +", "|", table), re.MULTILINE)
    return [(kind, int(weight), cues.replace(" | ", "|")) for kind, weight, cues in rows]


_Cues = list[tuple[str, int, re.Pattern[str]]]


@cache
def _compiled(table: str) -> _Cues:
    told = []
    for kind, weight, cues in _read(table):
        named = re.sub(r"<([a-z]+)>", lambda found: f"(?:{_WORDS[found[1]]})", cues)
        told.append((kind, weight, re.compile(rf"(?<!\w)(?:{named})")))
    return told


@cache
def _signs() -> re.Pattern[str]:
    words = (rf"(?P<{name}>(?<![\w.])(?:{words})(?!\w))" for name, _, words in _read(_SIGNS))
    return re.compile("|".join(words))


def kind_of_snag(what: str, part: str = "", fix: str = "") -> str:
    """One of `KINDS`: by what was wrong, else by how it was mended.

    >>> kind_of_snag("D3 sat the wrong way round", "D3")
    'wrong way round'
    >>> kind_of_snag("a hair of solder between two lugs", "J2"), kind_of_snag("R5 reads 4k7, should be 47k")
    ('bad joint or bridge', 'wrong value')
    >>> kind_of_snag("no sound", fix="reflowed pin 3"), kind_of_snag("hums")
    ('bad joint or bridge', 'other')
    """
    return _likeliest(what, _CUES) or _likeliest(fix, _MENDED) or "other"


def _likeliest(text: str, table: str) -> str:
    """The kind for which most cues speak, the first of `KINDS` among equals; empty without one."""
    said = " ".join(re.sub("[’']", "", text[:LONGEST].lower()).replace("\u03bc", "\u00b5").split())
    said = _signs().sub(lambda found: str(found.lastgroup), said)
    spoken: Counter[str] = Counter()
    for kind, weight, cue in _compiled(table):
        if cue.search(said):
            spoken[kind] += weight
    likeliest = max((*KINDS, "nothing"), key=lambda kind: spoken[kind])
    return likeliest if spoken[likeliest] > 0 and likeliest != "nothing" else ""
