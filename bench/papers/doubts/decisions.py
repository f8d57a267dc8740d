"""What a builder can decide about a list: a closed set of decisions, and what each does to the entries."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import assert_never

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.draft import Doubt, GuideCheck, ListPart, Skipped
from bench.papers.lists.vocabulary import not_fitted

ADDED = 1_000
"""Entries that a builder adds are numbered from here within their line."""
BY_HAND, ELSEWHERE = "taken out by hand", "listed elsewhere too"
"""Why an entry is skipped."""


class Key(Struct, frozen=True, kw_only=True):
    """Which entry of a list: the same for the same list, whatever was decided before."""

    line: int
    at: int
    """Number of the entry within its line, from 0."""


class DecisionEntry(Struct, frozen=True, kw_only=True):
    """An entry with its key."""

    key: Key
    part: ListPart


class Amend(Struct, frozen=True, kw_only=True, tag="amend"):
    """Something about one entry is different; None leaves a field as it is."""

    key: Key
    refs: tuple[str, ...] | None = None
    value: str | None = None
    kind: str | None = None
    """A name of `parts.kinds.KINDS`, or empty for a guess."""
    package: str | None = None
    quantity: int | None = None
    fitted: bool | None = None
    optional: bool | None = None


class Remove(Struct, frozen=True, kw_only=True, tag="remove"):
    """An entry is no part of this kit."""

    key: Key


class Strike(Struct, frozen=True, kw_only=True, tag="strike"):
    """Designators of a board stand in one entry only, or in none."""

    board: str
    refs: tuple[str, ...]
    keep: Key | None = None
    """The entry that holds them; one that was left out as a repetition comes back for them."""


class Add(Struct, frozen=True, kw_only=True, tag="add"):
    """A part that was not read: one that is missing in the list, or a line that was skipped."""

    line: int
    refs: tuple[str, ...]
    value: str
    quantity: int = 1
    """Only for parts without designators."""
    board: str = ""
    kind: str = ""
    text: str = ""
    """The skipped line, as `Skipped.text` has it; empty when there is none."""


class Move(Struct, frozen=True, kw_only=True, tag="move"):
    """Entries belong to another board: those of a board from a line on."""

    board: str
    """The board they are on now."""
    to: str
    line: int = 0
    """The first line that moves; 0 for all."""


class Only(Struct, frozen=True, kw_only=True, tag="only"):
    """Of several boards only one is taken."""

    board: str


class Again(Struct, frozen=True, kw_only=True, tag="again"):
    """What was left out as a repetition counts: instead of what it repeats, or beside it."""

    beside: bool
    board: str = ""
    """The board that it is on, when it counts beside what it repeats."""


class TakeChecks(Struct, frozen=True, kw_only=True, tag="checks"):
    """Checks of a guide become checks of the kit."""

    checks: tuple[GuideCheck, ...]


Decision = Amend | Remove | Strike | Add | Move | Only | Again | TakeChecks


class Ruling(Struct, frozen=True, kw_only=True):
    """One answer of the builder; it is taken back as a whole."""

    said: str
    """What was decided, in words, for the screen and the kit file."""
    line: int = 0
    doubt: Doubt | None = None
    """The doubt that it answers."""
    decisions: tuple[Decision, ...] = ()
    """Empty when all stays as it was read."""


class DecisionTable(Struct, kw_only=True):
    """The entries while decisions are carried out."""

    entries: list[DecisionEntry]
    again: list[DecisionEntry]
    skipped: list[Skipped]
    checks: list[GuideCheck] = []
    """Checks of a guide that were taken."""

    def change(self, change: Callable[[DecisionEntry], ListPart | None], why: str = BY_HAND) -> bool:
        """Put what `change` makes of an entry in its place, nothing for None; true when any differs."""
        after = [(entry, change(entry)) for entry in self.entries]
        differs = any(part is not entry.part for entry, part in after)
        for entry, part in after:
            if part is None:
                self.leave_out(entry.part, why)
        self.entries = [DecisionEntry(key=entry.key, part=part) for entry, part in after if part is not None]
        return differs

    def leave_out(self, part: ListPart, why: str) -> None:
        """Note a part that is not in the kit."""
        text = f"{', '.join(part.refs)} {part.value_text}".strip()
        self.skipped.append(Skipped(line=part.line, text=text[:80], why=why))

    def add(self, part: ListPart) -> None:
        """Add an entry behind those of its line."""
        used = [entry.key.at for entry in self.entries if entry.key.line == part.line]
        key = Key(line=part.line, at=max([ADDED - 1, *used]) + 1)
        self.put([DecisionEntry(key=key, part=part)])

    def put(self, more: Iterable[DecisionEntry]) -> None:
        """Put entries where their lines are."""
        self.entries = sorted((*self.entries, *more), key=lambda entry: (entry.key.line, entry.key.at))


def keyed(parts: Iterable[ListPart]) -> list[DecisionEntry]:
    """Entries with their keys."""
    used: dict[int, int] = {}
    entries = []
    for part in parts:
        at = used[part.line] = used.get(part.line, -1) + 1
        entries.append(DecisionEntry(key=Key(line=part.line, at=at), part=part))
    return entries


def carry_out(decision: Decision, table: DecisionTable) -> bool:
    """Change the entries as decided; false when the decision fits nothing (any more)."""
    match decision:
        case Amend():
            return table.change(lambda e: amended(e.part, decision) if e.key == decision.key else e.part)
        case Remove():
            return table.change(lambda e: None if e.key == decision.key else e.part)
        case Strike():
            return _strike(decision, table)
        case Add():
            return _add(decision, table)
        case Move():
            return table.change(
                lambda e: (
                    replace(e.part, board=decision.to)
                    if e.part.board == decision.board and e.part.line >= decision.line
                    else e.part
                )
            )
        case Only():
            return _only(decision, table)
        case Again():
            return _again(decision, table)
        case TakeChecks():
            table.checks += [each for each in decision.checks if each not in table.checks]
            return True
    assert_never(decision)


def _add(decision: Add, table: DecisionTable) -> bool:
    part = ListPart(
        refs=decision.refs, value_text=decision.value, line=decision.line,
        quantity=len(decision.refs) or decision.quantity, board=decision.board, kind=decision.kind,
    )  # fmt: skip
    taken = (decision.line, decision.text)
    table.skipped = [each for each in table.skipped if not decision.text or (each.line, each.text) != taken]
    table.add(part)
    return True


def _only(decision: Only, table: DecisionTable) -> bool:
    if all(entry.part.board != decision.board for entry in table.entries):
        return False
    return table.change(lambda e: e.part if e.part.board == decision.board else None, "on another board")


def amended(part: ListPart, decision: Amend) -> ListPart:
    """The entry with what is different about it."""
    fields: dict[str, object] = {}
    if decision.refs is not None:
        fields |= {"refs": decision.refs, "quantity": len(decision.refs) or part.quantity}
        if part.quantity_text and decision.refs:
            fields["quantity_text"] = part.quantity_text if part.quantity == len(decision.refs) else ""
    if decision.value is not None:
        fields |= {"value_text": decision.value, "understood": ""}
    if decision.kind is not None:
        fields["kind"] = decision.kind
    if decision.package is not None:
        fields["package"] = decision.package
    if decision.quantity is not None:
        fields |= {"quantity": decision.quantity, "quantity_text": ""}
    if decision.optional is not None:
        fields["optional"] = decision.optional
    if decision.fitted is not None:
        fields["fitted"] = decision.fitted
        if decision.fitted and not_fitted(part.value_text) and not any(map(str.isdigit, part.value_text)):
            fields |= {"value_text": "", "understood": ""}
    return replace(part, **fields) if fields else part


def _strike(decision: Strike, table: DecisionTable) -> bool:
    struck = set(decision.refs)

    def without(entry: DecisionEntry) -> ListPart | None:
        part = entry.part
        if entry.key == decision.keep or part.board != decision.board or struck.isdisjoint(part.refs):
            return part
        return _without(part, struck)

    differs = table.change(without, ELSEWHERE if decision.keep else BY_HAND)
    back = next((entry for entry in table.again if entry.key == decision.keep), None)
    if back is not None and all(entry.key != back.key for entry in table.entries):
        refs = tuple(ref for ref in back.part.refs if ref in struck)
        part = replace(back.part, refs=refs, quantity=len(refs), quantity_text="")
        table.put([DecisionEntry(key=back.key, part=part)])
        return True
    return differs


def _without(part: ListPart, struck: set[str]) -> ListPart | None:
    """An entry without some designators, None when none is left; a count that was doubtful stays so."""
    left = tuple(ref for ref in part.refs if ref not in struck)
    if not left:
        return None
    if part.quantity_text and part.quantity != len(part.refs):
        return replace(part, refs=left)
    return replace(part, refs=left, quantity=len(left), quantity_text="")


def _again(decision: Again, table: DecisionTable) -> bool:
    if not table.again:
        return False
    back, table.again = table.again, []
    lines = {(entry.part.line, ELSEWHERE) for entry in back}
    table.skipped = [each for each in table.skipped if (each.line, each.why) not in lines]
    if decision.beside:
        back = [
            DecisionEntry(key=entry.key, part=replace(entry.part, board=decision.board or entry.part.board))
            for entry in back
        ]
    else:
        mine = {ref for entry in back for ref in entry.part.refs}

        table.change(lambda e: e.part if mine.isdisjoint(e.part.refs) else _without(e.part, mine), ELSEWHERE)
    table.put(back)
    return True
