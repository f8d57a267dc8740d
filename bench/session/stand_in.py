"""What goes in where a substitute was named: its way round, its cautions, its drawing; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.kit.kit import Board, Kit, PartLine
from bench.log.events import Substituted
from bench.log.progress import Progress
from bench.parts.advice import cautions_about, instead_of, way_round, weaker
from bench.parts.designators import class_letters, shorten
from bench.parts.guessing import guess_kind, worth_alone
from bench.parts.kinds import KINDS, kind_named
from bench.parts.quantity import read_value
from bench.parts.traits import traits_of
from bench.parts.type_numbers import facts
from bench.plan.cautions import SORTS, Caution, sort_of
from bench.plan.plan import Step, part_of
from bench.session.warned import InHand, concern, names_in

_MOST_WORDS = 12
_UNMARKED = "The board marks no + here: find the plus side in the circuit diagram before it goes in."


class _New(Struct, frozen=True, kw_only=True):
    """A substitute, understood."""

    kind: str
    sure: bool
    """False where only the size of its value points to the kind."""
    value: str
    written: str
    """As it was typed, with its ratings."""
    refs: tuple[str, ...]
    """For which parts of the step; empty for all."""


def in_hand(
    step: Step, progress: Progress, said: Sequence[Caution], before: Sequence[Caution]
) -> InHand | None:
    """What goes in at this step in place of what is listed, None where that is nothing else.

    `said` are the cautions that the step would say of the listed part, `before` those said earlier.
    """
    if step.kind not in KINDS:
        return None
    news = [_understood(step, each) for each in concern(step, progress)]
    if not news:
        return None
    last = news[-1]
    if last.sure and not last.refs:
        return _all_replaced(step, last, said, before)
    ways = [step.orientation] if step.orientation else []
    cautions = list(said)
    for new in news:
        who = f"{shorten(new.refs)}, {new.value}" if new.refs else new.value
        way, more = _advice(step, new)
        if not new.sure:
            who = f"If {new.value} is {'an' if new.kind[0] in 'aeioAEIL' else 'a'} {new.kind}"
        if way and way != step.orientation:
            ways.append(f"{who}: {way}")
        known = {each.say for each in (*cautions, *before)}
        cautions += [each for each in more if each.say not in known]
    return InHand(
        part=step,
        ways=tuple(ways),
        cautions=_in_order(cautions),
        cautions_before=tuple(before),
    )


def with_substitutes(kit: Kit, step: Step, progress: Progress) -> Kit | None:
    """The kit as it is built at this step: with what goes in there in place of what it lists.

    None where something else goes in for some of the step's parts only, or of a kind that nobody knows: then a
    reading may be of either.
    """
    news = [_understood(step, each) for each in concern(step, progress)] if step.refs else []
    if not news:
        return kit
    if step.kind not in KINDS or not news[-1].sure or news[-1].refs:
        return None
    places = {part_of(item) for item in step.items}
    boards = [
        replace(
            board, parts=tuple(part for line in board.parts for part in _put_in(line, board, places, news[-1]))
        )
        for board in kit.boards
    ]
    return replace(kit, boards=tuple(boards))


def _put_in(line: PartLine, board: Board, places: Collection[str], new: _New) -> Iterator[PartLine]:
    """A line of the parts list, those of its parts that are replaced in a line of their own."""
    hit = tuple(ref for ref in line.refs if f"{board.name}/{ref}" in places)
    rest = tuple(ref for ref in line.refs if ref not in hit)
    if rest or not hit:
        yield replace(line, refs=rest, quantity=len(rest), positions=(), sides=()) if hit else line
    if hit:
        yield replace(
            line, refs=hit, quantity=len(hit), positions=(), sides=(), value=new.value, kind=new.kind,
            tolerance="", voltage="", marking="",
        )  # fmt: skip


def _all_replaced(step: Step, new: _New, said: Sequence[Caution], before: Sequence[Caution]) -> InHand:
    traits = traits_of(step.kind, step.value, step.package, step.mount)
    listed = {*KINDS[step.kind].all_cautions, *cautions_about(step.kind, step.value, traits)}
    way, more = _advice(step, new)
    theirs, earlier = {each.say for each in more}, {each.say for each in before}
    kept = [each for each in said if each.say not in theirs and (each.sort == "own" or each.say not in listed)]
    now = [each for each in more if each.say not in earlier]
    part = replace(
        step, kind=new.kind, value=new.value, kind_guessed=False, marking="", tolerance="", voltage="",
        package=step.package if new.kind == step.kind else "",
    )  # fmt: skip
    return InHand(
        part=part,
        ways=(way,) if way else (),
        cautions=_in_order([*now, *kept]),
        cautions_before=tuple(each for each in before if each.say in theirs or each.say not in listed),
    )


def _advice(step: Step, new: _New) -> tuple[str, list[Caution]]:
    """Way round and cautions of a substitute."""
    package = step.package if new.kind == step.kind else ""
    traits = traits_of(new.kind, new.value, package, step.mount) | {step.action}
    if not any("after the panel" in said for said in step.cautions):
        traits |= {"placed"}
    way = way_round(new.kind, new.value, traits)
    compared = [Caution(say=say, sort="part") for say in instead_of(step.value, new.kind, new.value)]
    listed = f"{step.value} {step.voltage}".strip()
    compared += [Caution(say=say, sort="hazard") for say in weaker(step.kind, listed, new.written)]
    if way and not step.orientation:
        compared.append(Caution(say=_UNMARKED, sort="polarity"))
    general = KINDS[new.kind].all_cautions
    usual = [
        Caution(say=say, sort=sort_of(say, "kind") if say in general else "part")
        for say in cautions_about(new.kind, new.value, traits)
    ]
    return way, [*compared, *usual]


def _understood(step: Step, each: Substituted) -> _New:
    value = next((word for word in each.instead.split()[:_MOST_WORDS] if facts(word)), each.instead)
    letters = class_letters(step.refs[0]) if step.refs else ""
    kind = _named(each.instead) or guess_kind(letters, each.instead)
    sure = True
    if kind is None or kind == step.kind:
        kind = step.kind
    elif not _named(each.instead) and not read_value(each.instead).type_number:
        if worth_alone(letters, each.instead):
            sure = KINDS[kind].polarised == KINDS[step.kind].polarised
            kind = step.kind if sure else kind
        elif kind == guess_kind(letters, ""):  # nothing but its letter speaks for it
            kind = step.kind
    return _New(kind=kind, sure=sure, value=value, written=each.instead, refs=_refs(step, each))


def _refs(step: Step, each: Substituted) -> tuple[str, ...]:
    """Which of the step's parts are replaced; empty for all of them."""
    if each.items:
        items = {item.removesuffix("#placed") for item in each.items}
        hit = [item.removesuffix("#placed") in items for item in step.items]
    else:
        names = names_in(each.part)
        if step.value.casefold() in names:
            return ()
        hit = [ref.casefold() in names for ref in step.refs]
    if all(hit) or len(step.refs) != len(step.items):
        return ()
    return tuple(ref for ref, meant in zip(step.refs, hit, strict=False) if meant)


def _named(text: str) -> str | None:
    """The kind that one to three of the words name."""
    words = text.split()[:_MOST_WORDS]
    for length in (3, 2, 1):
        for start in range(len(words) - length + 1):
            if found := kind_named(" ".join(words[start : start + length])):
                return found.name
    return None


def _in_order(cautions: Sequence[Caution]) -> tuple[Caution, ...]:
    return tuple(sorted(cautions, key=lambda each: SORTS.index(each.sort)))
