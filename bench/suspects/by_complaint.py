"""Lines for one sort of complaint: what sets it, what it runs through, what is known to cause it. Pure.

The causes are those that TM 11-4000 and the ARRL Handbook's chapter on troubleshooting name first for the
symptom (from memory); where they name none it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from bench.measure.tuning.thermal_drift import WAIT, compensation
from bench.parts.kinds import in_family, measured_in, with_role
from bench.suspects.adjusters import adjustment_lines
from bench.suspects.proximity import BEFORE, HERE, NEAR, NearPart
from bench.suspects.search import CHIPS, POTS, Search
from bench.suspects.suspicion import Suspicion, sentence
from bench.suspects.symptom import fold

ELECTROLYTICS = in_family("electrolytics")
CAPACITORS = in_family("small capacitors", "electrolytics")
COILS = (*measured_in("henry"), "transformer", "variable capacitor", "trimmer capacitor")
CLOCKS = with_role("clock")
JACKS = ("jack socket", "connector", "cable")


class _Known(Struct, frozen=True):
    """A known cause of some complaints."""

    of: tuple[str, ...]
    group: str
    kinds: tuple[str, ...]
    """The kit needs a part of these; empty for no part in particular."""
    what: str
    why: str
    off: str = ""
    """How to look with the supply off; empty when that is no way."""
    on: str = ""
    """How to look with it on, where that is allowed."""


_KNOWN = (
    _Known(
        ("scratchy",), "fittings", POTS, "the pot itself, or direct voltage across it",
        "Direct current through the track makes a good pot crackle.",
        "{off} Ohms from wiper to end while you turn: they change without a jump. Then its legs, and the "
        "capacitor before it.",
        "Volts from each end of the pot to 0 V, nothing plugged in: more than a few millivolts come through a "
        "leaky or reversed capacitor. If there is none, the track is dirty.",
    ),
    _Known(
        ("button", "no effect"), "fittings", (*in_family("switches"), "rotary encoder"),
        "the contacts of a button or a switch",
        "Contacts bounce, and four legs also fit a quarter turn round.",
        "{off} Continuity across the contacts: open, closed, open, without a flicker. A button with four legs "
        "has two pairs that are always joined. Then the resistor and the capacitor beside it that keep it "
        "from bouncing.",
    ),
    _Known(
        ("relay",), "fittings", in_family("relays"), "the contacts of the relay, and what is wired to them",
        "A click proves the coil and nothing else.",
        "{off} The rest contact is closed, the working contact open; then the wires at both, and the load by "
        "itself. Across the coil, the diode's band to plus. The coil's volts against the supply: a 12 V coil "
        "on 5 V does not pull in.",
    ),
    _Known(
        ("display",), "fittings", in_family("displays"), "a pin of the display, or its type",
        "One segment is one pin; all of them dark is the common pin, the contrast or the type.",
        "{off} Row and notch against the print, each pin's joint, its resistor; common anode or common "
        "cathode as the list asks. Same segment dark in every digit: its line. One digit dark: its own pin.",
    ),
    _Known(
        ("lamp",), "polarity", in_family("LEDs"), "an LED the wrong way round, or its resistor",
        "An LED lights one way round only, and too big a resistor leaves it dark.",
        "{off} Flat side and short leg to the print's flat side. The diode range lights most of them faintly, "
        "one way round. Then the value of the resistor in series.",
    ),
    _Known(
        ("clock", "pitch", "controller", "radio", "dead", "silent"), "values", CLOCKS,
        "crystal or resonator, and its two capacitors",
        "A wrong value or a cracked crystal runs at another rate, or not at all.",
        "{off} The figure on the can against the list, its legs soldered, nothing shorted under the can, both "
        "small capacitors of the right code.",
    ),
    _Known(
        ("clock", "drift", "pitch"), "values", in_family("small capacitors"),
        "a timing capacitor of the wrong value or type",
        "It sets the rate, and a ceramic one of the wrong class drifts with temperature.",
        "{off} Code and type against the list: C0G or film where the list says so. Flux left beside it leaks: "
        "wipe it off.",
    ),
    _Known(
        ("controller",), "seating", CHIPS,
        "the controller: turned round, held in reset, or without its program",
        "It runs only with supply, reset and clock right, and only the program that is in it.",
        "{off} Notch to notch, every leg in. Is its program in, and for this clock?",
        "Its supply pins first, then its reset pin at the level for running, then the clock. Is its program "
        "in, and for this clock?",
    ),
    _Known(
        ("hum",), "power", ELECTROLYTICS, "ripple on the rails",
        "A smoothing capacitor that is not connected or the wrong way round lets it hum at twice the mains "
        "frequency.",
        "{off} Smoothing capacitors: plus and minus, both joints, value.",
        "AC volts from {rails} to 0 V: a few millivolts at most. On a battery it should fall silent.",
    ),
    _Known(
        ("hum", "noise", "radio"), "fittings", JACKS, "0 V at the sockets, and the screen of the cables",
        "An input without its 0 V hums, and more when a hand comes near.",
        "{off} Sleeve of each socket to 0 V: under 1 ohm. Tip and sleeve not swapped; screens joined at one "
        "end. Try another cable.",
    ),
    _Known(
        ("oscillation", "noise", "stuck"), "values", CAPACITORS,
        "a capacitor that keeps a stage stable is missing or wrong",
        "Without the capacitor at its supply pins, or the small one across its feedback, an amplifier "
        "whistles.",
        "{off} Each of them against the list: there, right code, both joints. Wires of input and output "
        "apart, and short.",
    ),
    _Known(
        ("offset", "scratchy"), "polarity", CAPACITORS, "a coupling capacitor that leaks or is reversed",
        "It is there to keep direct voltage out.",
        "{off} The capacitor before the point where it shows: plus to the higher voltage, no bridge under it.",
    ),
    _Known(
        ("offset", "distortion", "symmetry"), "power", (), "one rail that is missing or too low",
        "With one of its rails gone an amplifier sits at the other one, and what it puts out is cut on one "
        "side.",
        "",
        "{rails} to 0 V at the very pins of the stage that is wrong.",
    ),
    _Known(
        ("loud", "quiet", "tone", "distortion"), "values", ("resistor", *POTS),
        "a resistor that sets a gain, ten times off",
        "Gain is the ratio of two resistors, and one wrong band changes it tenfold.",
        "{off}{out} The pair that sets the gain, and the pots against the list, with the meter: B10k and "
        "B100k look alike.",
    ),
    _Known(
        ("tone",), "values", CAPACITORS, "a capacitor that shapes the tone, ten times off",
        "103 and 104 look alike; one takes the bass away, the other the treble.",
        "{off} Codes against the list, one by one.",
    ),
    _Known(
        ("radio",), "path", (*COILS, *CLOCKS), "coils, their wire ends, and what tunes them",
        "Enamel that was not scraped off is no joint, and one and the same station everywhere means that the "
        "tuning does not tune.",
        "{off} Each winding from end to end: next to nothing. Turns counted inside the core, wound the way "
        "the list says; the tuning part's leg joined to the coil it tunes. Aerial and earth connected.",
    ),
    _Known(
        ("silent", "distortion", "quiet", "noise"), "fittings", in_family("loudspeakers", "microphones"),
        "the loudspeaker or microphone itself",
        "It is quickly tested on its own.",
        "{off} Across a loudspeaker the ohms range clicks and reads a little under its stated ohms; a "
        "microphone against another one, plus and minus as printed.",
    ),
    _Known(
        ("silent", "no effect", "channel", "intermittent", "data", "noise"), "fittings", JACKS,
        "a plug half in, a socket's switching contact, the cable",
        "A switched socket cuts the signal off, and cables break inside their plugs.",
        "{off} Tip of the socket to its track; its switching contact opens when a plug goes in. Then another "
        "cable, plugged fully in.",
    ),
    _Known(
        ("intermittent", "stops"), "joints", (), "what moves it: tap, press, bend",
        "A contact that comes and goes shows when it is moved.",
        "{off} Continuity along the path that fails while you bend the board a little, press each part with a "
        "wooden stick and move each cable.",
        "Tap and press each part and plug with a wooden stick, bend the board a little: where it answers, "
        "look closely. Then supply off, and remake that joint.",
    ),
    _Known(
        ("stops",), "warmth", ("voltage regulator", "transistor", "MOSFET", "IC", *ELECTROLYTICS),
        "a part that gives up when it is warm",
        "What works cold and fails warm has a part or a joint that opens with heat.",
        "{off} Let it cool, and note after how long it stops. Tab and heatsink screwed tight, with thermal "
        "paste; then the joints of whatever was warmest.",
        "Run it until it stops. Cool one part at a time with a little freezer spray, one that does not "
        "burn; the one that brings it back is it. Hands off what is hot.",
    ),
    _Known(
        ("battery",), "power", (), "the current drawn, on and off",
        "A battery that is soon flat has a load that should not be there.",
        "{off} Ohms across the clip, switch on and switch off: open when off.",
        "A meter in series with the battery: the current against what the maker states, and none when it is "
        "switched off.",
    ),
    _Known(
        ("stuck",), "fittings", (*in_family("switches", "relays"), *POTS),
        "a contact that is always closed, a pot always at maximum",
        "Something may simply be telling it to stay on.",
        "{off} Each contact open and closed by the meter; each pot's middle leg against its ends.",
    ),
)  # fmt: skip


_NO_SIGNAL = ("lamp", "battery", "heater", "setting", "mechanical", "display", "controller", "dead")
"""Complaints of something through which no signal runs."""
_HALVED = ("silent", "channel", "quiet", "distortion", "noise", "oscillation")
"""Complaints whose signal is followed from end to end although the symptom names no part."""


def particular(search: Search) -> Iterator[Suspicion]:
    """Everything that is known of these complaints."""
    yield from _passive_way(search)
    if not search.off_now:
        for each in _KNOWN:
            yield from _known(search, each)
        yield from _warmth(search)
        yield from _way(search)
        yield from adjustment_lines(search)
    yield from _valves(search)


def _known(search: Search, each: _Known) -> Iterator[Suspicion]:
    if not search.has(*each.of) or (search.kit.passive and each.group == "power"):
        return
    if each.of == ("battery",) and not search.batteries:
        return
    parts = search.parts(each.kinds)
    if each.group == "fittings" and search.proximity.known:
        parts = tuple(part for part in parts if search.proximity.nearness(part) <= NEAR)
    how = each.on if each.on and search.live else each.off
    if how and (parts or not each.kinds):
        power = "on" if how == each.on else "off"
        yield search.line(each.group, each.what, each.why, how[:1].upper() + how[1:], parts, power=power)


# -- the way of the signal ---------------------------------------------------------------------------
def _passive_way(search: Search) -> Iterator[Suspicion]:
    if not search.kit.passive:
        return
    proximity = search.proximity
    way = [
        part for part in sorted(proximity.parts, key=proximity.nearness) if proximity.nearness(part) <= BEFORE
    ]
    yield search.line(
        "path", "continuity from end to end", "It takes no power, so the meter alone finds the fault.",
        "{off} Socket by socket with the continuity range: tip to tip and sleeve to sleeve under 1 ohm, tip to "
        "sleeve not. Through a pot it changes smoothly as you turn. Where it stops is the fault.",
        [part for part in way or proximity.parts if part.line.joints],
    )  # fmt: skip


def _way(search: Search) -> Iterator[Suspicion]:
    """The circuit around the symptom, and how to halve it."""
    before = search.has("silent", "quiet", "distortion", "noise", "tone", "hum", "offset", "symmetry", "stuck")
    way = search.proximity.way(before=before)
    followed = search.has(*_HALVED) or (search.proximity.known and not search.has(*_NO_SIGNAL))
    if search.kit.passive or not way or not followed:
        return
    if search.has("channel"):
        what, why = "the same points in the channel that works", "Each channel is a reference for the other."
        on = (
            "Point by point, the channel that works and the one that does not: the first point where they "
            "differ is it."
        )
        off = "{off}{out} Ohms to 0 V at the same points of both channels, until they differ."
    else:
        what, why = (
            f"the circuit in between{_sections(search, way)}",
            "Each test in the middle halves what is left.",
        )
        on = (
            "A signal in, then look for it (audio probe, oscilloscope or AC volts) in the middle of this path. "
            "If it is there, the fault comes after; if not, before. Halve what is left until one stage remains."
        )
        off = "{off}{out} Joint by joint along this path with the continuity range, and each value on it."
    yield search.line("path", what, why, on if search.live else off, way, power="on" if search.live else "off")


def _sections(search: Search, way: tuple[NearPart, ...]) -> str:
    there = {fold(part.line.section) for part in way}
    named = [each for each in search.kit.sections if fold(each) in there]
    return f": {', '.join(named)}" if named else ""


# -- warmth ------------------------------------------------------------------------------------------
def _warmth(search: Search) -> Iterator[Suspicion]:
    if not search.has("drift") or search.kit.passive:
        return
    if search.live:
        yield search.line(
            "warmth", "not warm yet", "Everything drifts until it is warm, and again in a draught.",
            f"{WAIT}; then read twice, ten minutes apart, with nothing turned in between.", power="on",
        )  # fmt: skip
    follower = compensation(search.kit)
    named = [part for part in search.proximity.parts if follower and part.ref == follower[0]]
    named = named or [part for part in search.proximity.parts if part.line.kind == "thermistor"]
    touched = [
        each for part in named for caution in part.line.cautions for each in search.proximity.typed(caution)
    ]
    if named:
        said = " ".join(map(sentence, named[0].line.cautions))
        yield search.line(
            "warmth", "thermal contact of the temperature compensation",
            "It follows the temperature of its partners only where it touches them.",
            "{off} Body against body, a drop of thermal paste between, no gap, and not beside anything "
            "that gets "
            f"warm. {'The kit says: ' + said if said else ''}",
            dict.fromkeys((*named, *touched)),
        )  # fmt: skip


# -- valves ------------------------------------------------------------------------------------------
def _valves(search: Search) -> Iterator[Suspicion]:
    kinds = ("valve", "valve socket")
    valves = [part for part in search.proximity.parts if part.line.kind in kinds]
    if not valves or search.kit.passive:
        return
    near = [
        part for part in valves if search.proximity.nearness(part) <= (NEAR if search.proximity.known else HERE)
    ]
    opening = "Does it glow? Then supply off, the valve cold" if search.live else "{off} The valve cold"
    heater = search.has("heater", "dead", "silent")
    how = (
        f"{opening}: the right type in each socket, pins straight, pushed fully "
        f"in{'; across its heater pins a few ohms, with the valve out of its socket' if heater else ''}. "
        "Contacts of the socket bright and gripping, each of its joints. Then another of the same type."
    )
    why = "A valve wears out and its socket's contacts loosen, and nothing is easier to change."
    yield search.line(
        "valves", "valve, heater and socket", why, how, near or valves, power="on" if search.live else "off"
    )
