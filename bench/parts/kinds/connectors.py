"""Kinds of parts: plugs and sockets, lamps and displays."""

from __future__ import annotations

from bench.parts.kinds.kind import BEHIND_PANEL, BY_MAINS, MAINS, Kind, When

_ONE_PIN = "Solder one pin, check that it is straight, then do the rest."
_EARS = "Volume at zero and phones off your ears when power first comes on."
_STORM = "No outdoor aerial in a thunderstorm; local codes say how to earth and protect one."
_BY_STACK = When("stacked", "Line it up with both boards joined before soldering.")
_AC = "The supply is AC: it has no plus and no minus."
_PHONES = r"head-?phones?|\bphones\b|ear-?phones?"
_AERIAL = r"\baerials?\b|\bantennas?\b"

CONNECTORS = (
    Kind(
        name="pin header",
        usual_for="JP HDR ISP ICSP JTAG SWD", letters="P W X K J CN CON H MP HW",
        also_called="header", sought=140,
        words=r"(?:pin ?)?headers?|pin ?strips?|(?:avr-?)?isp-?\d+|icsp(?:-?\d+)?|pinhd\S*"
        r"|[1-3] ?[x×] ?\d+(?: ?pins?)?",
        hints=r"jumpers?|\d{1,2}[ -]?pins?",
        height=5, joints=2, pins="plug",
        cautions=(_ONE_PIN,),
        sometimes=(_BY_STACK,),
        seconds=40, group="headers", suspects=("fittings",), roles=("passes on", "power plug", "mates"),
    ),
    Kind(
        name="box header",
        letters="P W X K J CN CON JP HDR H MP HW", also_called="shrouded header, idc header", sought=130,
        words="box(?:ed)? headers?|shrouded|idc|keyed header",
        hints="box(?:ed)?|shroud|keyed",
        height=5, joints=10, pins="plug", drawing="box header",
        orientation="The notch in the wall goes to the notch on the board; the arrow marks pin 1.",
        cautions=(
            "Backwards, it reverses the supply and can kill the module: check the key twice.", _ONE_PIN,
        ),
        seconds=36, group="headers", suspects=("fittings",), roles=("passes on", "inlet", "power plug"),
    ),
    Kind(
        name="pin socket", letters="P W X K J CN CON JP HDR H MP HW", also_called="female header", sought=130,
        words="female (?:pin )?headers?|receptacles?|pin sockets?|socket (?:strip|header)s?"
        "|header sockets?",
        hints="female|sockets?",
        height=5, joints=2, pins="plug",
        cautions=(_ONE_PIN,),
        sometimes=(_BY_STACK,),
        seconds=40, group="headers", suspects=("fittings",), roles=("passes on", "mates"),
    ),
    Kind(
        name="connector", usual_for="P J CN CON", letters="X K", sought=120,
        words=r"jst\S*|molex|(?:mini-?)?din(?:-?\d)?|midi|rca|phono|cinch|bnc|xlr|usb(?:-?[abc])?|rj-?\d+"
        r"|d-?sub|banana\w*|binding posts?",
        vague="connectors?|plugs?",
        height=5, heights={"panel": 8}, joints=2, pins="plug", drawing="connector",
        orientation="Latch or open side as printed on the board; check where pin 1 is.",
        ways=(
            When("post", ""),
            When("wired", "Check where pin 1 is, seen from the side that you solder."),
        ),
        sometimes=(
            When("-post -panel -chassis -cable", _ONE_PIN),
            When("post", "On a metal panel, bushes insulate it: check with the meter that it does not touch."),
            When("phones", _EARS),
            When("aerial", _STORM),
        ),
        shows={"post": r"\bposts?\b|\bbinding|\bbanana|\b4 ?mm\b"},
        told={"phones": _PHONES, "aerial": _AERIAL},
        suspects=("fittings",), roles=("carries supply", "through a hole", "passes on", "inlet", "power plug"),
    ),
    Kind(
        name="terminal block",
        usual_for="TB", letters="P X K J CN CON", also_called="screw terminal", sought=110,
        words="(?:screw )?terminals?(?: blocks?)?",
        height=7, joints=2, pins="plug", drawing="terminal block",
        orientation="The wire openings face the edge of the board.",
        ways=(When("wired", ""),),
        sometimes=(
            BY_MAINS,
            When("aerial", _STORM),
            When("pieces", "Slide the pieces together before they go in, not after."),
        ),
        shows={"pieces": r"\b(?:[4-9]|[12]\d)[ -]?(?:way|pole|pin|pos)"},
        told={"aerial": _AERIAL},
        suspects=("fittings",), roles=("carries supply", "passes on", "inlet", "power plug"),
    ),
    Kind(
        name="jack socket", usual_for="JK JACK", letters="P X K J CN CON", also_called="jack", sought=130,
        words="jacks?(?: sockets?)?",
        hints=r'6[.,]35 ?mm|1/4\"?|3[.,]5 ?mm|mono|stereo|trs',
        mount="panel", height=8, heights={"board": 7}, joints=3, pins="jack",
        sometimes=(When("phones", _EARS), *BEHIND_PANEL),
        told={"phones": _PHONES},
        group="jacks", suspects=("fittings",),
        roles=("spoilt by washing", "through a hole", "passes on", "labelled"),
    ),
    Kind(
        name="mains inlet", letters="P X K J CN CON", also_called="iec inlet", sought=30,
        words=r"iec(?:[ -]?320)?(?:[ -]?c\d+)?(?: \w+)? (?:inlet|socket|connector)s?|iec[ -]?c\d+"
        "|c1[48] (?:inlet|socket)s?|(?:mains|power|appliance) inlets?|mains (?:socket|connector)s?",
        mount="chassis", height=9, joints=3, pins="",
        cautions=(MAINS, "Wire live, neutral and earth by the marks at its tags."),
        suspects=(), roles=("through a hole",),
    ),
    Kind(
        name="DC socket", usual_for="DC", letters="P X K J CN CON JK JACK", also_called="dc jack", sought=100,
        words="dc[ -]?(?:jack|socket|inlet|power)s?|(?:barrel|power) (?:jack|socket)s?",
        hints=r"barrel|dc|2\.[15] ?mm",
        height=7, heights={"panel": 8}, joints=3, pins="package", drawing="DC socket",
        orientation="The opening faces the edge. Centre plus or minus: as printed; check the supply too.",
        ways=(
            When("ac wired", _AC),
            When("ac panel", _AC),
            When("ac", "The opening faces the edge. The supply is AC: it has no plus and no minus."),
            When("wired", "Centre plus or minus: find each tag with the meter; check the supply too."),
            When("panel", "Centre plus or minus: as printed; check the supply too."),
        ),
        cautions=("Its wide tags need more heat.",),
        sometimes=(
            When("-ac", "Measure the plug's polarity before you first plug it in."),
            When("ac", "Only an AC supply of the listed voltage: a DC one looks the same."),
        ),
        group="jacks", suspects=("fittings",),
        roles=("spoilt by washing", "carries supply", "through a hole", "inlet", "power plug"),
    ),
    Kind(
        name="test point", usual_for="TP", sought=420,
        words="test points?",
        height=3, joints=1, joints_sure=True, pins="",
        cautions=("Hold it with pliers, not with your fingers: it gets hot at once.",),
        suspects=(),
    ),
    Kind(
        name="lamp", usual_for="LA PL", letters="DS", also_called="bulb", sought=390,
        words="lamps?|bulbs?|neons?",
        types=r"NE-?2(?!\d)",
        mount="panel", height=8, heights={"board": 4}, joints=2, pins="",
        cautions=("Its voltage must be as listed; a neon lamp needs the resistor supplied with it.",),
        sometimes=(
            When("ultraviolet", "Ultraviolet burns eyes and skin: never look at it, never run it uncovered."),
        ),
        shows={"ultraviolet": r"\buv-?[abc]?\b|ultra-?violet|germicid"},
        suspects=(), roles=("through a hole",),
    ),
    Kind(
        name="display", usual_for="DISP LCD", letters="DS V TUBE U IC", sought=160,
        words="displays?|(?:7|seven)[ -]?seg(?:ment)?s?|lcd|oled|nixies?",
        types=r"IN-?(?:1|2|4|8|12|14|16|18)(?!\d)|ZM1\d{3}",
        height=5, heights={"panel": 8}, joints=10, pins="display", socketable=True, drawing="display",
        orientation="The decimal point is at the bottom; pin 1 as printed on the board.",
        ways=(
            When("lcd", "Pin 1 as printed on the board."),
            When("nixie", "The arrow or the wide gap marks one pin: count from it as the guide shows."),
        ),
        sometimes=(
            When("-nixie", "Leave the protective film on until the end."),
            When("panel -placed", "Set it to the height that the panel needs before soldering."),
            When("nixie",
                 "High voltage nearby: after power, hands off until it is discharged and measured."),
        ),
        shows={"lcd": "lcd|oled|tft", "nixie": r"nixie|\bin-?\d|\bzm1"},
        spoken="displays?|digits?|segments?|lcd|oled", suspects=("fittings",),
        roles=("fed", "spoilt by washing"),
    ),
)  # fmt: skip
