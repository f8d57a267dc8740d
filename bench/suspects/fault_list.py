"""Where to look for a fault, in order: power and joints first where they fit, an IC last. Pure.

What is usual in any build stands here and in `supplied`; what belongs to one sort of complaint in `particular`
and `adjusters`; what this build's own log points to in `ownlog`. The ways to look are common practice, no
source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bench.kit.kit import Kit
from bench.log.events import SuspicionSettled
from bench.log.progress import Progress
from bench.parts.kinds import suspected_of
from bench.parts.kinds.kind import Suspect
from bench.plan.plan import Plan
from bench.suspects.by_complaint import particular
from bench.suspects.from_log import from_log
from bench.suspects.proximity import BEFORE, NEAR
from bench.suspects.search import Search
from bench.suspects.supply import back_to_power, power_lines
from bench.suspects.suspicion import Suspicion, in_order, quote
from bench.suspects.symptom import Symptom, unmet_before_power


def suspicions(
    kit: Kit, plan: Plan, progress: Progress, symptom: Symptom, meter: Mapping[str, object] | None = None
) -> tuple[Suspicion, ...]:
    """What to look into, in order; never empty, never with an IC but at the end.

    `meter` describes the builder's meter as the settings do.
    """
    search = Search(kit, progress, symptom, unmet_before_power(plan, progress, meter))
    own = from_log(search.proximity, plan, progress, symptom, meter or {}, live=search.live)
    return in_order([*own, *power_lines(search), *particular(search), *_usual(search)], search.groups)


def settled(progress: Progress, symptom: Symptom) -> dict[str, SuspicionSettled]:
    """What was settled while looking for the cause of a symptom: the latest word on each suspicion."""
    return {each.suspicion: each for each in progress.suspicions if each.symptom == symptom.words}


def _usual(search: Search) -> Iterator[Suspicion]:
    """What is usual in any build, narrowed to the parts around the symptom."""
    yield from _joints(search)
    yield from _parts(search)
    yield from _documents(search)
    yield from back_to_power(search)
    yield from _chips(search)


def _joints(search: Search) -> Iterator[Suspicion]:
    proximity = search.proximity
    close = [part for part in proximity.parts if proximity.known and proximity.nearness(part) <= NEAR]
    soldered = [part for part in close if part.line.joints or part.line.socket_joints]
    found = {
        "forgotten": search.line(
            "joints", "a forgotten joint",
            "The commonest fault of all, and looking again does not find it.",
            "{off} Count: every pad with a lead in it against every pad with solder, part by part.", soldered,
        ),
        "bad": search.line(
            "joints", "a cold or cracked joint",
            "It looks soldered but conducts nothing, or only now and then.",
            "{off} Loupe and slanting light: dull, balled, or with a ring round the lead. Heat the "
            "doubtful ones again with a little flux.", soldered,
        ),
        "bridge": search.line(
            "joints", "a bridge or a clipping", "A hair of solder between two pads is enough.",
            "{off} Hold the board against the light, brush it, look under sockets and between "
            "boards; then the ohms range between neighbouring pads.", soldered,
        ),
    }  # fmt: skip
    bridge_first = search.off_now or search.symptom.trouble == "short" or search.has("stuck", "loud")
    first = ("bridge", "bad", "forgotten") if bridge_first else ("forgotten", "bad", "bridge")
    if search.has("intermittent", "stops", "noise"):
        first = ("bad", "forgotten", "bridge")
    yield from (found[each] for each in first)


def _parts(search: Search) -> Iterator[Suspicion]:
    for suspect, group, what, why, how in _PARTS:
        parts = search.parts(suspected_of(suspect))
        if parts:
            yield search.line(group, what, why, how, parts)
    if search.seated:
        yield search.line(
            "seating", "an IC turned round, in another's socket, or with a leg beside its hole",
            "A leg folded under looks like a bad joint.",
            "{off} Notch to notch and type by type against the print, then along both rows of "
            "legs; take a doubtful one out, straighten it, push it in again.", search.seated,
        )  # fmt: skip


def _documents(search: Search) -> Iterator[Suspicion]:
    proximity, kit = search.proximity, search.kit
    for text in kit.errata:
        named = proximity.typed(text)
        close = [part for part in named if proximity.nearness(part) <= BEFORE]
        very = proximity.known and any(proximity.nearness(part) <= NEAR for part in named)
        yield search.line(
            "left open" if very else "documents", f"maker's erratum {quote(text)}",
            "The maker's own correction: was it made?" if close or not named else "It is elsewhere.",
            "{off} Read it in full and look at the parts it is about.", named,
        )  # fmt: skip
    revision = f" This list is for revision {kit.revision}." if kit.revision else ""
    yield search.line(
        "documents", "the documents are wrong, or for another revision",
        "Drawings get swapped and lists go out of date.",
        "The revision printed on each board against that of the list."
        f"{revision} Ask the maker: there is a text for that here.",
    )  # fmt: skip


def _chips(search: Search) -> Iterator[Suspicion]:
    """The IC itself; after a short, `back_to_power` tells which one it is."""
    again = search.off_now and not search.deadly and search.symptom.powered
    if not search.seated or (again and any(part.line.socket for part in search.seated)):
        return
    how = (
        "{off} Swap it with one of the same type in this kit: if the fault moves along, it is the IC. "
        "One soldered in stays in until its supply and inputs are known to be right."
        if search.live
        else "{off} A new one of the same type, and only when everything around it is known to be right."
    )
    yield search.line(
        "ICs", "only when all else is ruled out: a broken IC",
        "Builders blame it first, and it is almost never the IC.", how, search.seated,
    )  # fmt: skip


_PARTS: tuple[tuple[Suspect, str, str, str, str], ...] = (
    (
        "windings", "fittings", "a winding that is open or swapped",
        "Its legs look alike, and enamel that was not scraped off is no joint.",
        "{off} Each winding from end to end against the list; from one winding to the other, and to the core, "
        "nothing.",
    ),
    (
        "values", "values", "a wrong value, or a part in another's place",
        "Look-alikes get swapped, and a part is easily soldered one hole off.",
        "{off}{out} Bands, code and meter against the list, one by one. In circuit a resistor reads "
        "right or low, never high.",
    ),
    (
        "polarity", "polarity", "a diode or a capacitor the wrong way round",
        "Each has a plus and a minus, and neighbours may face opposite ways.",
        "{off} Each band, stripe and plus against the print, never against the neighbour: the stripe of an "
        "electrolytic is minus, the mark of a tantalum is plus. Replace any that has been powered backwards.",
    ),
    (
        "pinout", "pinout", "a transistor or regulator with another pinout, or turned round",
        "Same case, different pinout: 78 and 79 types, maker by maker, and every substitute.",
        "{off} Type under the loupe against the list, pinout in its datasheet against the board, flat side as "
        "printed.",
    ),
    (
        "fittings", "fittings", "a header one pin off, a panel part torn loose",
        "A nut that turns the part tears its joints; a header sits on the wrong side or one row off.",
        "{off} Rows fully in and none over; then move each part gently and measure from its leg to the next "
        "part.",
    ),
)  # fmt: skip
"""What is suspected (`Kind.suspects`), group, headline, why, how."""
