"""One search for a fault: the complaint, the kit's supply, and whether anything may be live. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.progress import Progress
from bench.parts.english import join
from bench.parts.kinds import suspected_of, with_role
from bench.plan.default_checks import rails_of
from bench.suspects.complaint import must_be_off, order_of
from bench.suspects.proximity import NearPart, Proximity
from bench.suspects.suspicion import GROUPS, Suspicion, suspicion
from bench.suspects.symptom import Symptom

CHIPS = suspected_of("seating")
POTS = with_role("pot")
_SCRATCHES = re.compile(r"\b(?:crackl|scratch|rustl|nois)\w*", re.IGNORECASE)


def can_kill(kit: Kit) -> bool:
    """Whether nothing in this kit should be proposed to be measured live."""
    return danger_of(kit).hands_off


class Search:
    """What the lines of one list have in common."""

    def __init__(
        self, kit: Kit, progress: Progress, symptom: Symptom, before_power: tuple[str, ...] = ()
    ) -> None:
        self.kit, self.symptom, self.done = kit, symptom, progress.done
        self.proximity = Proximity(kit, symptom)
        self.complaints = self._complaints()
        """The sorts of complaint, the weightiest first."""
        self.deadly = can_kill(kit)
        self.off_now = must_be_off(self.complaints)
        """Whether the supply goes off at once and stays off."""
        self.before_power = before_power
        """The checks before power that are not met, see `symptom.unmet_before_power`."""
        self.live = symptom.powered and not (self.deadly or self.off_now or kit.passive or before_power)
        """Whether anything may be proposed to be looked at with the supply on."""
        self.batteries = tuple(
            part for part in self.proximity.parts if part.line.kind in ("battery holder", "battery cell")
        )
        self.seated = self._seated()
        """ICs that are in, nearest first."""

    @property
    def groups(self) -> tuple[str, ...]:
        """The groups in the order of looking for this complaint; with no supply to look at, the way leads."""
        ordered = order_of(GROUPS, self.complaints)
        if not self.kit.passive:
            return ordered
        return ("path", *(each for each in ordered if each != "path"))

    @property
    def off(self) -> str:
        """The words that a look with the supply off begins with."""
        if self.kit.passive:
            return "Nothing plugged in."
        if self.deadly:
            return "Supply disconnected, charge gone and measured to be gone."
        return "Battery out." if self.batteries else "Supply off."

    @property
    def rails(self) -> str:
        """The rails in words: `+12 V and -12 V`, `each rail` where the kit states none."""
        return join([rail.name for rail in rails_of(self.kit)])

    @property
    def sockets_empty(self) -> str:
        """What else is out while ohms are read."""
        return ", ICs out" if any(part.line.socket for part in self.seated) else ""

    def has(self, *names: str) -> bool:
        """Whether it is one of these complaints."""
        return bool(set(names) & set(self.complaints))

    def line(
        self, group: str, what: str, why: str, how: str, parts: Iterable[NearPart] = (), *, power: str = "off"
    ) -> Suspicion:
        """A suspicion of this search; `{off}`, `{out}` and `{rails}` in `how` are filled in."""
        off = self.off.removesuffix(".")
        how = how.replace("{off}{out}", f"{off}{self.sockets_empty}.").replace("{off}", self.off)
        how = how.replace("{out}", self.sockets_empty).replace("{rails}", self.rails)
        return suspicion(self.proximity, group, what, why, how, parts, power=power)

    def parts(self, kinds: Iterable[str]) -> tuple[NearPart, ...]:
        """The parts of these kinds that are in: the nearest, or all where a short may be anywhere."""
        wanted = set(kinds)
        if self.off_now and not self.proximity.nets:
            found = [part for part in self.proximity.parts if part.line.kind in wanted]
            near = tuple(sorted(found, key=self.proximity.nearness))
        else:
            near = self.proximity.of_kinds(wanted)
        return tuple(part for part in near if part.item in self.done) or near

    def _complaints(self) -> tuple[str, ...]:
        """Those of the symptom; a rail that reads far off and a knob that crackles are of their own."""
        symptom = self.symptom
        known = symptom.complaints
        turned = any(
            part.line.kind in POTS for part in self.proximity.parts if self.proximity.is_labelled(part)
        )
        if turned and "noise" in known and "scratchy" not in known and _SCRATCHES.search(symptom.words):
            known = ("scratchy", *known)
        if self.proximity.names_rail(symptom.point) and symptom.powered and symptom.read:
            rail = {"missing": "rail", "low": "rail", "high": "overvoltage"}.get(symptom.trouble, "")
            known = (rail, *known) if rail and rail not in known else known
        return known

    def _seated(self) -> tuple[NearPart, ...]:
        """ICs that the log knows as in, nearest first; all of them where it knows of nothing at all."""
        chips = [part for part in self.proximity.parts if part.line.kind in CHIPS]
        chips = (
            sorted(chips, key=self.proximity.nearness) if self.off_now else list(self.proximity.of_kinds(CHIPS))
        )
        return tuple(part for part in chips if part.item in self.done or not self.done)
