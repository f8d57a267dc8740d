"""Where to look for a fault, in order: power and joints first, an IC last. Pure.

The order and the ways to look are common practice among builders, no source; what this build's own log points
to is in `ownlog`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from bench.build.circle import BEFORE, NEAR, Circle, Part
from bench.build.ownlog import from_log
from bench.build.suspicion import Suspicion, in_order, quote, suspicion
from bench.build.symptom import Symptom
from bench.kit.danger import danger_of, high_rail
from bench.kit.model import Kit
from bench.log.events import SuspicionSettled
from bench.log.progress import Progress
from bench.plan.model import Plan

INLETS = ("box header", "DC socket", "battery holder", "terminal block", "connector", "cable")
ON_THE_WAY = (
    "fuse", "resettable fuse", "fuse holder", "diode", "Schottky diode", "bridge rectifier", "ferrite bead",
    "inductor", "voltage regulator", "toggle switch", "slide switch",
)  # fmt: skip
MEASURABLE = (
    "resistor", "resistor network", "thermistor", "ceramic capacitor", "film capacitor", "inductor",
    "electrolytic capacitor", "trimmer", "potentiometer",
)  # fmt: skip
TWO_LEGGED = (
    "diode", "Zener diode", "Schottky diode", "bridge rectifier", "LED", "electrolytic capacitor",
    "tantalum capacitor",
)  # fmt: skip
THREE_LEGGED = ("transistor", "JFET", "MOSFET", "thyristor", "voltage regulator", "voltage reference")
CHIPS = ("IC", "optocoupler")
FITTINGS = (
    "pin header", "box header", "pin socket", "connector", "terminal block", "jack socket", "DC socket",
    "potentiometer", "slide potentiometer", "rotary encoder", "toggle switch", "slide switch",
    "rotary switch", "push button", "relay", "display", "module", "loudspeaker", "microphone",
)  # fmt: skip


def suspicions(
    kit: Kit, plan: Plan, progress: Progress, symptom: Symptom, meter: Mapping[str, object] | None = None
) -> tuple[Suspicion, ...]:
    """What to look into, in order; never empty, never with an IC but at the end.

    `meter` describes the builder's meter as the settings do.
    """
    circle = Circle(kit, symptom)
    usual = _Usual(circle, progress, symptom)
    return in_order([*from_log(circle, plan, progress, symptom, meter or {}), *usual.all()])


def settled(progress: Progress, symptom: Symptom) -> dict[str, SuspicionSettled]:
    """What was settled while looking for the cause of a symptom: the latest word on each suspicion."""
    return {each.suspicion: each for each in progress.suspicions if each.symptom == symptom.words}


def can_kill(kit: Kit) -> bool:
    """Whether nothing in this kit should be proposed to be measured live."""
    return danger_of(kit).deadly or any(map(high_rail, kit.supply))


class _Usual:
    """What is usual in any build, narrowed to the parts around the symptom."""

    def __init__(self, circle: Circle, progress: Progress, symptom: Symptom) -> None:
        self.circle, self.kit, self.done = circle, circle.kit, progress.done
        self.trouble = symptom.trouble
        self.live = symptom.powered and not can_kill(circle.kit)
        self.dangerous = can_kill(circle.kit)

    def all(self) -> Iterator[Suspicion]:
        """Each of them for which the kit has a part."""
        yield from self._power()
        yield from self._joints()
        yield from self._parts()
        yield from self._documents()
        yield from self._chips()

    def _of(
        self, group: str, what: str, why: str, how: str, parts: Iterable[Part] = ()
    ) -> Suspicion:  # fmt: skip
        return suspicion(self.circle, group, what, why, how, parts)

    def _in_place(self, parts: tuple[Part, ...]) -> tuple[Part, ...]:
        """Those that the log knows as in; all of them where it knows of none."""
        return tuple(part for part in parts if part.item in self.done) or parts

    def _seated(self) -> tuple[Part, ...]:
        """ICs that the log knows as in, nearest first; all of them where it knows of nothing at all."""
        return tuple(part for part in self.circle.of_kinds(CHIPS) if part.item in self.done or not self.done)

    # -- power and joints -----------------------------------------------------------------------
    def _power(self) -> Iterator[Suspicion]:
        plugs = [part for part in self.circle.parts if part.line.kind in INLETS]
        inlets = [part for part in plugs if self.circle.on_supply(part)] or plugs
        why = "Most of what seems broken has no power, or not on every rail."
        if self.dangerous:
            how = (
                "Plug out, charge gone and measured to be gone. This kit carries what can kill: nothing is "
                "measured live on the word of this list. Local rules and a licensed person come first."
            )
            yield self._of("power", "supply, fuse and cable", why, how, inlets)
        elif self.live:
            how = _LIVE.get(self.trouble, _LIVE[""])
            yield self._of("power", "supply and cable", why, how, inlets)
        else:
            why = "A supply still plugged in, charge left over or an IC still in its socket spoils the reading."
            how = (
                "Supply unplugged, what the check asks for out, probes touched together first. Wait until the "
                "reading stands, then swap the probes and read once more."
            )
            yield self._of("power", "the measurement itself", why, how)
        on_way = [
            part for part in self.circle.parts if part.line.kind in ON_THE_WAY and self.circle.on_supply(part)
        ]
        if on_way:
            how = (
                "To 0 V, before and after each of them: a diode takes 0.2 V to 0.7 V, a fuse next to nothing, "
                "a regulator gives what its type says."
                if self.live
                else "Supply off: from end to end with the continuity range, a diode in both directions."
            )
            nearest = self.circle.nearest(on_way)
            yield self._of("power", "what the supply runs through", "Each of them can stop it.", how, nearest)

    def _joints(self) -> Iterator[Suspicion]:
        close = [p for p in self.circle.parts if self.circle.known and self.circle.nearness(p) <= NEAR]
        soldered = [part for part in close if part.line.joints or part.line.socket_joints]
        press = (
            "Press each part gently with a wooden stick while it is on and watch whether anything changes. "
            if self.live
            else ""
        )
        found = {
            "forgotten": self._of(
                "joints",
                "a forgotten joint",
                "The commonest fault of all, and looking again does not find it.",
                "Count: every pad with a lead in it against every pad with solder, part by part.",
                soldered,
            ),
            "bad": self._of(
                "joints",
                "a cold or cracked joint",
                "It looks soldered and carries nothing, or only now and then.",
                f"Loupe and slanting light: dull, balled, or with a ring round the lead. {press}"
                "Supply off, then heat the doubtful ones again with a little flux.",
                soldered,
            ),
            "bridge": self._of(
                "joints",
                "a bridge or a clipping",
                "A hair of solder between two pads is enough.",
                "Supply off. Hold the board against the light, brush it, look under sockets and between "
                "boards; then the ohms range between neighbouring pads.",
                soldered,
            ),
        }
        first = ("bridge", "bad", "forgotten") if self.trouble == "short" else ("forgotten", "bad", "bridge")
        yield from (found[each] for each in first)

    # -- parts ----------------------------------------------------------------------------------
    def _parts(self) -> Iterator[Suspicion]:
        for group, kinds, what, why, how in _PARTS:
            parts = self._in_place(self.circle.of_kinds(kinds))
            if parts:
                yield self._of(group, what, why, how, parts)
        seated = self._seated()
        if seated:
            yield self._of(
                "seating",
                "an IC turned round, in another's socket, or with a leg beside its hole",
                "A leg folded under looks like a bad joint.",
                "Supply off. Notch to notch and type by type against the print, then along both rows of legs; "
                "take a doubtful one out, straighten it, push it in again.",
                seated,
            )

    def _documents(self) -> Iterator[Suspicion]:
        for text in self.kit.errata:
            named = self.circle.typed(text)
            close = [part for part in named if self.circle.nearness(part) <= BEFORE]
            yield self._of(
                "documents",
                f"maker's erratum {quote(text)}",
                "The maker's own correction: was it followed?" if close or not named else "It is elsewhere.",
                "Read it in full and look at the parts it is about.",
                named,
            )
        revision = f" This list is for revision {self.kit.revision}." if self.kit.revision else ""
        yield self._of(
            "documents",
            "the documents are wrong, or for another revision",
            "Prints get swapped and lists go out of date.",
            f"The revision printed on each board against that of the list.{revision} Ask the maker: there is a "
            "text for that here.",
        )

    def _chips(self) -> Iterator[Suspicion]:
        chips = self._seated()
        if chips:
            yield self._of(
                "ICs",
                "only when all else is ruled out: a broken IC",
                "Builders blame it first, and it is almost never the IC.",
                "Supply off. Change places with one of the same type in this kit: if the fault moves along, it "
                "is the IC. One soldered in stays in until its supply and inputs are known to be right.",
                chips,
            )


_LIVE = {
    "": (
        "At the supply, then where the cable enters the board, then at the supply pins of each IC, always to "
        "0 V: where it gets lost is the fault. Then the current against what the maker states, and the cable: "
        "stripe and pin 1 at both ends."
    ),
    "short": (
        "Switch off first. Cable by stripe and pin 1 at both ends; supply unplugged, each rail to 0 V with the "
        "ohms range. On again only with the current limited."
    ),
    "missing": (
        "At the supply, then where the cable enters the board, then at the supply pins of each IC, always to "
        "0 V: where it gets lost is the fault. A supply at its current limit gives no volts either: a short."
    ),
    "reversed": (
        "The size is right and the sign is wrong. Switch off; look at the probes, then at the cable: stripe "
        "and pin 1 at both ends, both rails at the supply."
    ),
}
_PARTS = (
    (
        "values", MEASURABLE, "a wrong value, or a part in another's place",
        "Look-alikes change places, and a step is easily soldered one hole off.",
        "Supply off, ICs out: bands, code and meter against the list, one by one. In circuit a resistor reads "
        "right or low, never high.",
    ),
    (
        "polarity", TWO_LEGGED, "a diode or a capacitor the wrong way round",
        "Each of them has a plus and a minus, and neighbours may point opposite ways.",
        "Each band, stripe and plus against the print, never against the neighbour: the stripe of an "
        "electrolytic is minus, the mark of a tantalum is plus. One powered backwards is replaced.",
    ),
    (
        "pinout", THREE_LEGGED, "a transistor or regulator with another pinout, or turned round",
        "Same case, other legs: 78 and 79 types, maker by maker, and every substitute.",
        "Type under the loupe against the list, pinout in its datasheet against the board, flat side as "
        "printed.",
    ),
    (
        "fittings", FITTINGS, "a header one pin off, a panel part torn loose",
        "A nut that turns the part tears its joints; a header sits on the wrong side or one row off.",
        "Rows fully in and none over; then move each part gently and measure from its leg to the next part.",
    ),
)  # fmt: skip
"""Group, kinds, headline, why, how."""
