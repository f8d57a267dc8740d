"""How near each part of a kit is to a symptom: by its nets, names, sections and boards. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from bench.kit.kit import Check, Kit, PartLine
from bench.kit.rails import net_name
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS, with_role
from bench.plan.default_checks import same_place
from bench.suspects.symptom import Symptom, fold, one_line

HERE, NEAR, BEFORE, ELSEWHERE = range(4)
"""Named or on the net; in the same section; earlier in the signal, or the supply; anywhere else."""
POWER_SECTIONS = ("power", "supply", "power supply")
GROUNDS = frozenset(("0v", "gnd", "ground", "agnd", "dgnd"))
"""What hangs on everything narrows nothing."""
LONGEST_LABEL = 24
"""Characters of a note that may be a panel label."""
LINKS = with_role("passes on")
"""What only passes on."""
ACTIVE = with_role("active")
_WORD = re.compile(r"[\w$]+")
_LABELLED = with_role("labelled")
_ALSO_PLAIN = frozenset(("in", "out", "on", "off", "up", "down", "to", "at", "mix", "end"))
"""Labels that are words of any sentence: they count only as written on the panel."""
_SIDES = (
    ("IN", re.compile(r"\binputs?\b", re.IGNORECASE)),
    ("OUT", re.compile(r"\boutputs?\b", re.IGNORECASE)),
)
"""How a label begins, and the word that people say for it."""
_SPOKEN = tuple(
    (re.compile(rf"\b(?:{kind.spoken})\b", re.IGNORECASE), name) for name, kind in KINDS.items() if kind.spoken
)
"""Kinds of parts as a builder names them."""
_SENTENCE = re.compile(r"(?<=[.;!?])\s+")


class NearPart(Struct, frozen=True, kw_only=True):
    """One part with a designator."""

    board: str
    ref: str
    line: PartLine

    @property
    def item(self) -> str:
        """What the log calls it when it is in."""
        return f"{self.board}/{self.ref}"


def parts_of(kit: Kit) -> tuple[NearPart, ...]:
    """Every part that has a designator, board by board."""
    return tuple(
        NearPart(board=board.name, ref=ref, line=line)
        for board in kit.boards
        for line in board.parts
        for ref in line.refs
    )


class Proximity:
    """The parts of a kit around one symptom."""

    def __init__(self, kit: Kit, symptom: Symptom) -> None:
        self.kit = kit
        self.parts = parts_of(kit)
        said = one_line(f"{symptom.words} {symptom.point}")
        about = one_line(symptom.about)
        self.nets = self._nets(symptom, said) or self._nets_in(f"{said} {about}")
        named, probed = self._named_in(said), self._named_in(about)
        labels = self._labelled_in(said)
        self._labelled = set(labels)
        labelled = self._labelled or (set() if named else self._kinds_in(said))
        on_net = {part.item for part in self.parts if self.nets & {net_name(net) for net in part.line.nets}}
        self._here = on_net | named | probed | labelled
        self._told = self._told_with(labels) | self._wired_to(named | labelled)
        wide = named | labelled | (set() if on_net else probed)
        power = set(POWER_SECTIONS)
        sections = self._sections_of(self._told) - power
        sections |= self._sections_of(wide) | self._sections_in(said)
        if self.nets and not on_net:
            sections |= power.intersection(self._sections)
        self._boards_said = self._boards_in(said)
        self.known = bool(self._here or sections or self._boards_said)
        """False when nothing tells one part of the kit from another."""
        self._earlier = self._before(sections) | self._sections_of(on_net) | power
        labels_of_all = {part.item for part in self.parts if labels and _label(part)}
        self._other_labels = labels_of_all - self._here - self._told
        self._sections_near, self._narrow = sections, bool(sections or on_net or self._told)
        self._boards_near = self._boards_said | {part.board for part in self.parts if part.item in self._here}
        self._nearness = {part.item: self._how_near(part) for part in self.parts}

    def nearness(self, part: NearPart) -> int:
        """`HERE`, `NEAR`, `BEFORE` or `ELSEWHERE`; `HERE` for all when nothing is known."""
        return self._nearness[part.item]

    def is_labelled(self, part: NearPart) -> bool:
        """Whether the symptom names a part by its label on the panel."""
        return part.item in self._labelled

    def of_items(self, items: Iterable[str]) -> tuple[NearPart, ...]:
        """The parts that items of the log stand for, sockets and parts only set in place included."""
        wanted = {item.partition("#")[0] for item in items}
        return tuple(part for part in self.parts if part.item in wanted)

    def typed(self, text: str) -> tuple[NearPart, ...]:
        """The parts of the kit that a typed text names by designator."""
        named = self._named_in(text)
        return tuple(part for part in self.parts if part.item in named)

    def nearest(self, parts: Sequence[NearPart]) -> tuple[NearPart, ...]:
        """The nearest of these parts: those here and near, else those before, else all; nearest first."""
        ranked = sorted(parts, key=self.nearness)
        for most in (NEAR, BEFORE):
            close = tuple(part for part in ranked if self.nearness(part) <= most)
            if close:
                return close
        return tuple(ranked)

    def of_kinds(self, kinds: Iterable[str]) -> tuple[NearPart, ...]:
        """The nearest parts of these kinds."""
        wanted = set(kinds)
        return self.nearest([part for part in self.parts if part.line.kind in wanted])

    def board_nearness(self, board: str) -> int:
        """How near the nearest part of a board is; `HERE` for the module as a whole."""
        return min((self.nearness(part) for part in self.parts if part.board == board), default=HERE)

    def way(self, *, before: bool) -> tuple[NearPart, ...]:
        """The parts that the signal runs through around the symptom, nearest first.

        With `before`, or where only sockets and knobs are near, the active parts that come before them in the
        signal count as well; without it those that come after them, unless the kit's text tells the way. All
        active parts when the symptom names nothing.
        """
        parts = [
            part
            for part in sorted(self.parts, key=self.nearness)
            if fold(part.line.section) not in POWER_SECTIONS and part.line.joints + part.line.socket_joints
        ]
        if not self.known:
            return tuple(part for part in parts if part.line.kind in ACTIVE)
        near = [part for part in parts if self.nearness(part) <= NEAR]
        if not before and any(part.line.mount != "panel" and part.line.kind not in LINKS for part in near):
            return (*near, *(part for part in parts if part.line.kind in ACTIVE and self._is_after(part)))
        earlier = [part for part in parts if self.nearness(part) == BEFORE and part.line.kind in ACTIVE]
        return (*near, *earlier)

    def _is_after(self, part: NearPart) -> bool:
        """Whether a part comes after what is near in the signal, where nothing else tells the way."""
        sections = self._sections
        near = [sections.index(each) for each in self._sections_near if each in sections]
        section = fold(part.line.section)
        return bool(near and section and not self._told) and sections.index(section) > max(near)

    def on_supply(self, part: NearPart) -> bool:
        """Whether a part belongs to the supply: by its section, or by a net of the symptom."""
        return fold(part.line.section) in POWER_SECTIONS or self.on_named_net(part)

    def on_named_net(self, part: NearPart) -> bool:
        """Whether a part hangs on a net that the symptom names."""
        return bool(self.nets & {net_name(net) for net in part.line.nets})

    def names_rail(self, text: str) -> bool:
        """Whether a text names one of the kit's supply rails."""
        return any(_pattern(rail.name).search(text) for rail in self.kit.supply if rail.name.strip())

    # -- what a text names ----------------------------------------------------------------------
    def _nets(self, symptom: Symptom, said: str) -> frozenset[str]:
        """Nets that the kit gives the check; else those that the symptom names."""
        given = {net_name(net) for check in _checks_at(self.kit, symptom.point) for net in check.nets}
        return frozenset(given - GROUNDS) or self._nets_in(said)

    def _nets_in(self, text: str) -> frozenset[str]:
        names = {rail.name for rail in self.kit.supply}
        names |= {net for part in self.parts for net in part.line.nets}
        names |= {net for point in self.kit.hold_points for check in point.checks for net in check.nets}
        found = set()
        for name in sorted(names, key=len, reverse=True):
            pattern = _pattern(name)
            if pattern.search(text):
                found.add(net_name(name))
                text = pattern.sub(" ", text)
        return frozenset(found - GROUNDS)

    def _named_in(self, text: str) -> set[str]:
        words = set(_WORD.findall(text))
        folded = {word.casefold() for word in words}
        return {
            part.item
            for part in self.parts
            if part.ref in words or (part.ref.casefold() in folded and any(map(str.isdigit, part.ref)))
        }

    def _labelled_in(self, text: str) -> dict[str, str]:
        """The parts whose label on the panel a text says, with the label."""
        shown = {part.item: label for part in self.parts if (label := _label(part))}
        found = {item: label for item, label in shown.items() if _says_label(text, label)}
        return found or {
            item: label
            for start, word in _SIDES
            for item, label in shown.items()
            if label.startswith(start) and word.search(text)
        }

    def _kinds_in(self, text: str) -> set[str]:
        kinds = {kind for pattern, kind in _SPOKEN if pattern.search(text)}
        return {part.item for part in self.parts if part.line.kind in kinds}

    def _told_with(self, labels: Mapping[str, str]) -> set[str]:
        """The parts that the kit's own text names together with a label of the panel."""
        found: set[str] = set()
        for label in set(labels.values()):
            for sentence in self._sentences:
                if _as_label(label).search(sentence):
                    found |= self._named_in(sentence)
            for part in self.parts:
                own = " ".join((*part.line.cautions, part.line.section, *part.line.nets))
                if _as_label(label).search(own):
                    found.add(part.item)
        return found - set(labels)

    @property
    def _sentences(self) -> Iterator[str]:
        texts = [*self.kit.notes]
        texts += [f"{each.where}: {each.how}" for hold in self.kit.hold_points for each in hold.checks]
        texts += [f"{each.name} {each.trimmer}: {each.target}; {each.how}" for each in self.kit.trims]
        for text in texts:
            yield from _SENTENCE.split(one_line(text)) if len(text) > 2 * LONGEST_LABEL * 4 else (text,)

    def _wired_to(self, items: set[str]) -> set[str]:
        """What hangs on the same nets as these parts, and so on, by nets that are no supply and no ground."""
        supply = {net_name(rail.name) for rail in self.kit.supply} | GROUNDS
        nets = {p.item: {net_name(net) for net in p.line.nets} - supply for p in self.parts}
        reached, fresh = set(items), set(items)
        while fresh:
            live = {net for item in fresh for net in nets[item]}
            fresh = {item for item, own in nets.items() if own & live} - reached
            reached |= fresh
        return reached - items

    @cached_property
    def _sections(self) -> tuple[str, ...]:
        listed = [*self.kit.sections, *(part.line.section for part in self.parts)]
        return tuple(dict.fromkeys(folded for each in listed if (folded := fold(each))))

    def _sections_of(self, items: set[str]) -> set[str]:
        return {section for part in self.parts if part.item in items and (section := fold(part.line.section))}

    def _sections_in(self, text: str) -> set[str]:
        return {section for section in self._sections if _phrase(section).search(text)}

    def _boards_in(self, text: str) -> set[str]:
        if len(self.kit.boards) < 2:
            return set()
        names = (board.name for board in self.kit.boards)
        return {name for name in names if name and _phrase(f"{name} board").search(text)}

    def _before(self, sections: set[str]) -> set[str]:
        places = [place for place, section in enumerate(self._sections) if section in sections]
        return set(self._sections[: max(places)]) if places else set()

    def _how_near(self, part: NearPart) -> int:
        if part.item in self._here or not self.known:
            return HERE
        section = fold(part.line.section)
        if section in self._sections_near or part.item in self._told:
            return BEFORE if part.item in self._other_labels else NEAR
        if not self._narrow and part.board in (self._boards_said if section else self._boards_near):
            return NEAR
        if section:
            return BEFORE if section in self._earlier else ELSEWHERE
        return BEFORE if part.board in self._boards_near or not self._boards_near else ELSEWHERE


def place_words(parts: Sequence[NearPart], kit: Kit) -> str:
    """Parts by board as people write them: `main: R1-R3; control: R7`; one board alone is not named."""
    boards: dict[str, list[str]] = {}
    for part in parts:
        boards.setdefault(part.board, []).append(part.ref)
    if len(kit.boards) == 1:
        return shorten([ref for refs in boards.values() for ref in refs])
    return "; ".join(f"{board}: {shorten(refs)}" for board, refs in boards.items())


def _checks_at(kit: Kit, point: str) -> Iterator[Check]:
    wanted = same_place(point)
    return (
        check
        for hold in kit.hold_points
        for check in hold.checks
        if point and same_place(check.where) == wanted
    )


def _label(part: NearPart) -> str:
    label = part.line.note.partition(":")[0].strip()
    shown = part.line.mount == "panel" or part.line.kind in _LABELLED
    return label if shown and 1 < len(label) <= LONGEST_LABEL else ""


def _says_label(text: str, label: str) -> bool:
    plain = label.casefold() in _ALSO_PLAIN
    return (_as_label(label) if plain else _phrase(label)).search(text) is not None


def _as_label(label: str) -> re.Pattern[str]:
    """The label as it is written on the panel, not as the start or the end of a longer one in words."""
    return re.compile(rf"(?<!\w){re.escape(one_line(label))}(?![\w/])", 0 if label.isupper() else re.IGNORECASE)


def _phrase(phrase: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(one_line(phrase))}(?!\w)", re.IGNORECASE)


def _pattern(name: str) -> re.Pattern[str]:
    """A net's name however it is spaced, and not as the end or the start of a longer one."""
    signs = [r"[-\u2212]" if char in "-\u2212" else re.escape(char) for char in name if not char.isspace()]
    spaced = r"\s*".join(signs)
    return re.compile(rf"(?<![\w+.\-\u2212]){spaced}(?!\w)", re.IGNORECASE)
