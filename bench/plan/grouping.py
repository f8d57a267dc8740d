"""From placements to steps: the same part with all its designators together, in handy portions."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any

from msgspec import Struct, structs

from bench.kit.counts import boards_to_solder
from bench.kit.kit import Board, Kit
from bench.parts.advice import cautions_about, way_round
from bench.parts.designators import natural_key, shorten
from bench.parts.footprints import area_of, package_said
from bench.parts.kinds import KINDS, height_for, said_of_kind
from bench.parts.printed_values import surface_mounted
from bench.parts.quantity import read_value
from bench.parts.traits import on_wires
from bench.plan.cautions import sorts_of
from bench.plan.joined import LOOSE, with_clusters
from bench.plan.path import Point, short_path
from bench.plan.placed_part import PlacedPart, Shell, carries_supply, each_side, plugged_in, role_of, shell_of
from bench.plan.plan import Step, part_of
from bench.plan.rules import Rule, Rules, StageCaution, StageRule, any_matches

_KIND_RANK = {name: rank for rank, name in enumerate(KINDS)}


class Site(Struct, frozen=True, kw_only=True):
    """Where in the plan parts are placed."""

    stage: str
    """Name of the stage, as people see it."""
    board: str
    """Empty for the module as a whole."""
    step_size: int
    """Most parts in one step."""
    sections: tuple[str, ...] = ()
    """The kit's sections in order."""
    names_boards: bool = False
    """True where a step has to say which board its parts are on."""
    places: Mapping[str, Point] = {}
    """Where parts sit on their board, in mm, by item; empty where the order is not free."""
    placed: frozenset[str] = frozenset()
    """Items of the parts that an earlier stage has set in their holes."""
    ac_supply: bool = False
    """True where every supply of the kit is alternating current."""
    trims: Mapping[str, str] = {}
    """Designator -> the name of the adjustment that its trimmer makes."""
    errata: tuple[str, ...] = ()
    """What the kit's author found wrong in the papers."""


Rank = tuple[Any, ...]
"""Where a step stands in its stage; steps of equal rank may stand in any order."""
_Ranked = tuple[Rank, tuple[Any, ...], tuple[Any, ...], list[PlacedPart], "_Pieces"]
_Pieces = Sequence[tuple[str, str]]
"""Designator (empty for unlettered hardware) and item of each part."""
_LABEL = re.compile(r"[A-Z0-9+\-/][A-Z0-9+\-/&.]*(?: [A-Z0-9+\-/&.]+)*(?=$|[:;,(]| and )")
"""A note that begins with what is printed beside a control or socket: `FREQ`, `CV 1: an input`."""
_HOW = {
    "place": "Put it in place; do not solder yet.",
    "insert": "All legs straight, all in their holes, then press both ends down evenly.",
    "supply path": "Push it in until it sits firmly at both ends.",
    "valve": "Pins straight and over their holes, then straight down; never by the top of the glass.",
}


def placements_of(kit: Kit) -> tuple[PlacedPart, ...]:
    """What there is to place, board by board in the order of the kit; a part with a socket gives two."""
    several = len(boards_to_solder(kit)) > 1
    shell, boards = shell_of(kit), enumerate(kit.boards)
    return with_clusters(
        [part for number, board in boards for part in _placements_on(board, number, several, shell)]
    )


def _placements_on(board: Board, number: int, several: bool, shell: Shell) -> Iterator[PlacedPart]:
    last: dict[str, int] = {}
    sides: dict[str, int] = {}
    for line, side in each_side(board.parts):
        side_number = sides.setdefault(side, len(sides))
        if line.refs:
            items = tuple([f"{board.name}/{ref}" for ref in line.refs])
        else:
            stem = f"{board.name}/~{line.value or line.kind}~"
            begin = last.get(stem, 0) + 1
            last[stem] = begin + line.quantity - 1
            items = tuple([f"{stem}{n}" for n in range(begin, begin + line.quantity)])
        if line.socket:
            kind = KINDS[line.kind].socket
            yield PlacedPart(
                line=line, board=board.name, board_number=number, items=items, kind=kind, value=line.socket,
                mount="board", height=height_for(kind, "board"), joints=line.socket_joints, is_socket=True,
                several_boards=several, side=side, side_number=side_number,
                supply_path=carries_supply(kind, ""),
            )  # fmt: skip
        yield PlacedPart(
            line=line, board=board.name, board_number=number, items=items, kind=line.kind, value=line.value,
            mount=line.mount, height=line.height, joints=line.joints, socketed=plugged_in(line),
            several_boards=several, side=side, side_number=side_number,
            supply_path=carries_supply(line.kind, line.value), closes_box=line in shell.closes,
            carries_panel=line in shell.carries, wired=on_wires(line.mount, line.note), role=role_of(line),
            surface=surface_mounted(line.kind, line.value, line.package),
        )  # fmt: skip


def part_steps(parts: Sequence[PlacedPart], rule: StageRule, site: Site) -> tuple[tuple[Step, Rank], ...]:
    """The steps that place these parts in a stage with their ranks, in the order the stage asks for.

    No step mixes boards, sides, values or anything else the builder would have to look at twice.
    """
    groups: dict[tuple[Any, ...], list[PlacedPart]] = {}
    by_section = "section" in rule.order or rule.each_section
    for part in parts:
        groups.setdefault((*_identity(part, by_section), _advice(part, rule, site)), []).append(part)
    ranked = [
        (*_rank(alike, pieces := _pieces(alike, _action(alike[0], rule)), rule, site), identity, alike, pieces)
        for identity, alike in groups.items()
    ]
    ranked = _clustered(ranked)
    ranked.sort(key=lambda group: group[:3])
    return tuple(
        (step, rank) for rank, _, _, alike, pieces in ranked for step in _dealt(alike, pieces, rule, site)
    )


def _clustered(ranked: list[_Ranked]) -> list[_Ranked]:
    """The groups with ranks that keep a cluster together, where the last of its parts would stand by itself."""
    leads: dict[int, tuple[Rank, tuple[Any, ...]]] = {}
    for rank, at, _, alike, _ in ranked:
        if alike[0].cluster is not None and alike[0].kind not in LOOSE:
            number = alike[0].cluster.number
            leads[number] = max(leads.get(number, (rank, at)), (rank, at))
    found = []
    for rank, at, identity, alike, pieces in ranked:
        cluster = alike[0].cluster
        lead, begin = leads.get(cluster.number, (rank, at)) if cluster else (rank, at)
        turn = (begin, cluster.number, cluster.order) if cluster else ((), 0, 0)
        found.append(((*lead, *turn), at, identity, alike, pieces))
    return found


def _action(part: PlacedPart, rule: StageRule) -> str:
    """What is done with a part in a stage: fitted when it has no joints of its own, or only came along."""
    came_along = part.cluster is not None and part.kind in LOOSE and not any_matches(rule.takes, part)
    return "fit" if came_along or (rule.action == "solder" and not part.joints) else rule.action


def portions(count: int, step_size: int) -> tuple[int, ...]:
    """How many parts go into each step when none may have more than `step_size`; as even as can be.

    >>> portions(12, 10), portions(21, 10), portions(10, 10)
    ((6, 6), (7, 7, 7), (10,))
    """
    steps = -(-count // step_size)
    least, over = divmod(count, steps)
    return tuple(least + (number < over) for number in range(steps))


def cautions_for(
    part: PlacedPart, stage: Sequence[StageCaution], joined: Sequence[str], advice: Sequence[str]
) -> tuple[str, ...]:
    """The kit's own cautions, what the part is joined to, the stage's, what is usual with it; each once."""
    own = () if part.is_socket else part.line.cautions
    usual = tuple(each.say for each in stage if not each.when or any_matches(each.when, part))
    return unique((*own, *joined, *usual, *advice))


def _advice(part: PlacedPart, rule: StageRule, site: Site) -> tuple[str, ...]:
    """Which way round the part goes, and what is usual to mind with one like it, in this stage."""
    trims = " ".join(site.trims.get(ref, "") for ref in part.line.refs)
    here = {
        rule.action: True,
        "placed": part.items[0] in site.placed,
        "stacked": part.several_boards,
        "ac": site.ac_supply,
    }
    traits = part.traits(trims) | {trait for trait, true in here.items() if true}
    return (way_round(part.kind, part.value, traits), *cautions_about(part.kind, part.value, traits))


def unique(texts: Sequence[str]) -> tuple[str, ...]:
    """The texts without repetitions, whatever their case and spacing; the first spelling stays."""
    kept: dict[str, str] = {}
    for text in texts:
        kept.setdefault(_plain(text), text)
    return tuple(kept.values())


def sections_of(kit: Kit) -> tuple[str, ...]:
    """Sections of a kit in order: those it lists, then those only its parts name."""
    named = (line.section for board in kit.boards for line in board.parts if line.section)
    return unique((*kit.sections, *named))


def _dealt(alike: Sequence[PlacedPart], pieces: _Pieces, rule: StageRule, site: Site) -> Iterator[Step]:
    """The steps that place these parts, each with no more of them than go into one step."""
    sizes = portions(len(pieces), site.step_size)
    if site.places and len(sizes) > 1:
        pieces = _by_neighbourhood(pieces, sizes, site.places)
    whole = _whole(alike, rule, site)
    begin = 0
    for number, size in enumerate(sizes, 1):
        share = pieces[begin : begin + size]
        begin += size
        refs = tuple([ref for ref, _ in share if ref])
        yield structs.replace(
            whole,
            key=share[0][1],
            refs=refs,
            items=tuple([item for _, item in share]),
            joints=whole.joints * size,
            detail=" ".join(filter(None, (whole.detail, _notes(alike, refs), *_errata(site, refs)))),
            portion=number,
            portions=len(sizes),
        )


def _whole(alike: Sequence[PlacedPart], rule: StageRule, site: Site) -> Step:
    """What the steps that place these parts have in common: with the joints of one part, without items."""
    first = _first(alike)
    line = first.line
    joints = 0 if rule.action == "place" else first.joints
    joined = (first.cluster.said,) if first.cluster and first.cluster.said else ()
    way, *advice = _advice(first, rule, site)
    cautions = cautions_for(first, rule.cautions, joined, advice)
    usual = said_of_kind(first.kind)
    alone = [*joined, *(said for said in advice if said not in usual)]
    sorts = sorts_of(cautions, () if first.is_socket else line.cautions, alone, first.kind)
    where = f"Listed under {first.board}." if site.names_boards else ""
    pushed = "valve" if first.kind == "valve" and rule.action == "insert" else rule.action
    how = _HOW.get("supply path" if first.socketed and first.supply_path else pushed, "")
    step = Step(
        key="",
        stage=site.stage,
        board=site.board,
        action=_action(first, rule),
        kind=first.kind,
        value=first.value or first.kind,
        items=(),
        joints=joints,
        orientation=way,
        cautions=cautions,
        caution_sorts=sorts,
        detail=" ".join(filter(None, (where, how))),
        mount=first.mount,
        optional=line.optional,
        joined=first.cluster is not None,
        line=min(part.line.line for part in alike),
    )
    if first.is_socket:
        return step
    return structs.replace(
        step,
        marking=line.marking,
        package=package_said(line.package),
        tolerance=line.tolerance,
        voltage=line.voltage,
        kind_guessed=any(part.line.kind_guessed for part in alike),
    )


def _by_neighbourhood(pieces: _Pieces, sizes: Sequence[int], places: Mapping[str, Point]) -> _Pieces:
    """The parts so that each portion lies together on the board; natural order within a portion."""
    known = [at for at, (_, item) in enumerate(pieces) if part_of(item) in places]
    path = [known[at] for at in short_path([places[part_of(pieces[at][1])] for at in known])]
    path += [at for at in range(len(pieces)) if at not in set(known)]
    dealt: list[tuple[str, str]] = []
    for size in sizes:
        dealt += [pieces[at] for at in sorted(path[len(dealt) : len(dealt) + size])]
    return dealt


def _errata(site: Site, refs: Sequence[str]) -> Iterator[str]:
    """The errata that name one of these parts."""
    for erratum in site.errata:
        if any(re.search(rf"\b{re.escape(ref)}\b", erratum) for ref in refs):
            yield f"Erratum: {erratum}"


def _notes(alike: Sequence[PlacedPart], refs: Sequence[str]) -> str:
    """The kit's notes on these parts; with designators where they differ."""
    here = frozenset(refs)
    noted: dict[str, list[str]] = {}
    for part in alike:
        mine = [ref for ref in part.line.refs if ref in here]
        if not part.is_socket and part.line.note and (mine or not part.line.refs):
            noted.setdefault(part.line.note, []).extend(mine)
    panel = "On the panel: " if alike[0].mount == "panel" and all(map(_LABEL.match, noted)) and noted else ""
    if len(noted) == 1 and len(next(iter(noted.values()))) == len(refs):
        return panel + next(iter(noted))
    said = [(sorted(mine, key=natural_key), note) for note, mine in noted.items()]
    said.sort(key=lambda each: (tuple(map(natural_key, each[0])), each[1]))
    return panel + "; ".join(f"{shorten(mine)}: {note}" if mine else note for mine, note in said)


def _pieces(alike: Sequence[PlacedPart], action: str) -> _Pieces:
    """Designator (or nothing) and item of each part, in natural order."""
    end = ("#socket" if alike[0].is_socket else "") + ("#placed" if action == "place" else "")
    pairs = [
        (ref, item + end)
        for part in alike
        for ref, item in zip(part.line.refs or ("",) * len(part.items), part.items, strict=True)
    ]
    if len(alike) > 1:
        pairs.sort(key=lambda pair: natural_key(pair[1]))
    return pairs


def _first(alike: Sequence[PlacedPart]) -> PlacedPart:
    """The representative: the part with the lowest designator."""
    if len(alike) == 1:
        return alike[0]
    return min(alike, key=lambda part: natural_key((part.line.refs or part.items)[0]))


def _identity(part: PlacedPart, by_section: bool) -> tuple[Any, ...]:
    """What parts have in common that can be placed as one."""
    line = part.line
    section = line.section.casefold() if by_section else ""
    worth = _worth(part.value, part.kind)
    alike = (part.board_number, part.kind, worth, part.joints, line.optional, section, not line.refs)
    if part.is_socket:
        return (*alike, part.side)
    said = map(_plain, (line.tolerance, line.voltage, line.package, line.marking))
    cluster = part.cluster.number if part.cluster else 0
    return (*alike, part.mount, *said, tuple(map(_plain, line.cautions)), cluster, part.side)


@lru_cache(maxsize=4096)
def _worth(value: str, kind: str) -> tuple[int, str, Decimal, str]:
    """What a value is worth, for ordering and for telling that 4k7 and 4.7k are the same.

    Quantities come before texts; the text is what the value says besides the quantity.
    """
    read = read_value(value, KINDS[kind].unit)
    if read.main is None:
        return (1, "", Decimal(0), " ".join(value.split()))
    ratings = ",".join(f"{rating.amount.normalize()}{rating.unit}" for rating in read.ratings)
    tolerance = "" if read.tolerance_percent is None else str(read.tolerance_percent.normalize())
    rest = "|".join((read.type_number, ratings, tolerance, read.taper, read.remark))
    return (0, read.main.unit, read.main.amount, rest)


@lru_cache(maxsize=8192)
def _plain(text: str) -> str:
    return "".join(text.split()).casefold()


def _rank(
    alike: Sequence[PlacedPart], pieces: _Pieces, rule: StageRule, site: Site
) -> tuple[Rank, tuple[Any, ...]]:
    """Where a group stands in its stage: as the stage asks, then by board and kind; and by first designator.

    On one board, all of one side comes before all of the other: turning a board over takes time.
    """
    part = alike[0]
    by_designator = (not pieces[0][0], natural_key(pieces[0][0] or pieces[0][1]))
    ranks: list[Any] = []
    for order in rule.order:
        match order:
            case "kind":
                ranks.append(_kind_rank(part, rule.takes))
            case "value":
                amount = _worth(part.value, part.kind)
                ranks.append((*amount[:3], natural_key(amount[3])))
            case "height":
                ranks.append(part.height)
            case "size":
                ranks.append(area_of(f"{part.line.package} {part.value}"))
            case "section":
                ranks.append(_section_rank(part.line.section, site.sections))
            case _:
                ranks.append(by_designator)
    kind = _KIND_RANK[part.kind]
    if site.board:
        return (part.side_number, *ranks, kind), by_designator
    return (*ranks, part.board_number, part.side_number, kind), by_designator


def _kind_rank(part: PlacedPart, takes: Rules) -> tuple[int, int, int]:
    """As the rule that takes the part lists its kinds; the usual order of kinds where it lists none.

    What came into the stage with a part that it is joined to comes last.
    """
    number, rule = next(
        ((at, rule) for at, rule in enumerate(takes) if rule.matches(part)), (len(takes), Rule())
    )
    kinds = rule.asks.get("kind", (part.kind,))
    return (number, kinds.index(part.kind), _KIND_RANK[part.kind])


def _section_rank(section: str, sections: Sequence[str]) -> int:
    names = [_plain(name) for name in sections]
    return names.index(_plain(section)) if section else len(names)
