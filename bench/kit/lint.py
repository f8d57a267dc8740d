"""What is worth saying about a kit that can be built as it is: contradictions, gaps and guesses."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from decimal import Decimal
from operator import attrgetter

from bench.errors import Fault
from bench.kit.danger import UNISOLATED, danger_of
from bench.kit.fields import counted, quoted
from bench.kit.kit import Board, Kit, PartLine
from bench.kit.quantities import EXAMPLES
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS, in_family, with_role
from bench.parts.quantity import letter_code, read_value, show
from bench.parts.resistances import coded_resistances
from bench.parts.series import series_of

_MEASURED = ("ohm", "farad", "henry")
_WORTH = re.compile(r"[0-9]{1,3}(?:[.,][0-9]+)?\s?(?:[kMR][0-9]?|[pnuµ]F?|[kM]?(?:ohms?|Ω)|[mun]H)")
"""Ohms, farads and henries as nobody writes a type number."""
_NUMBERED = re.compile(r"([^\W\d_]+\$?)([0-9]{1,6})[A-Za-z]?")
_BEFORE_POWER = "before power"
_MEASURED_PLACE = re.compile(r"[A-Z]{1,4}[0-9]+|.* (?:and|to) 0 ?V")
"""Places that a meter is held to, rather than things to look at."""


Remark = tuple[int, str, str]
"""Line (0 for the whole file), what, hint."""


def kit_remarks(kit: Kit) -> tuple[Fault, ...]:
    """Doubts about a sound kit, in the order of its lines; remarks about the whole file come first."""
    found = [remark for part in _PARTS for remark in part(kit)]
    return tuple(
        Fault(what=what, where=f"{kit.file}:{line}" if line else kit.file, hint=hint)
        for line, what, hint in sorted(found, key=lambda remark: remark[0])
    )


def _lines(kit: Kit) -> Iterator[tuple[Board, PartLine]]:
    return ((board, part) for board in kit.boards for part in board.parts)


def _name(part: PartLine) -> str:
    """How a message names a parts line."""
    return shorten(part.refs) if part.refs else quoted(part.value or part.kind)


def _guesses(kit: Kit) -> Iterator[Remark]:
    kinds = Counter(part.kind for _, part in _lines(kit) if part.kind_guessed)
    if kinds:
        each = ", ".join(f"{kind} {times}" for kind, times in kinds.most_common())
        lines = counted(kinds.total(), "line")
        what = f"the kind was guessed in {lines}: {each}"
        yield 0, what, "look at the plan, and give `kind:` where it is wrong"
    for _, part in _lines(kit):
        if part.joints_guessed:
            joints = part.socket_joints if part.socket else part.joints
            what = f"the number of joints was guessed for {_name(part)}, {part.kind}: {joints}"
            yield part.line, what, "give `joints:` or `package:`"


def _gaps(kit: Kit) -> Iterator[Remark]:
    """Numbers left out: on one board, and not used on another."""
    everywhere = {ref for _, part in _lines(kit) for ref in part.refs}
    everywhere |= {ref for board in kit.boards for ref in board.not_fitted}
    used_anywhere = {(found[1], int(found[2])) for ref in everywhere if (found := _NUMBERED.fullmatch(ref))}
    for board in kit.boards:
        numbers: dict[str, set[int]] = defaultdict(set)
        for part in board.parts:
            for ref in part.refs:
                if found := _NUMBERED.fullmatch(ref):
                    numbers[found[1]].add(int(found[2]))
        for letters, used in numbers.items():
            if max(used) - min(used) >= 2 * len(used):
                continue  # numbered by blocks: R101, R201
            missing = [n for n in range(min(used), max(used)) if (letters, n) not in used_anywhere]
            if missing:
                names = shorten([f"{letters}{number}" for number in missing])
                what = f"no {names} on board {quoted(board.name)}, though the numbers around are there"
                yield board.line, what, "left out on purpose, or is a line missing?"


_CODE = re.compile(r"[0-9]{4}[BCDFGJ]?|[0-9]{2}[A-FHSXYZ]")
"""Four figures, with a tolerance letter or without (IEC 60062), or EIA-96 without its R, which means ohm."""


def _values(kit: Kit) -> Iterator[Remark]:
    for _, part in _lines(kit):
        unit = "" if part.kind in with_role("sold by type") else KINDS[part.kind].unit
        if part.kind in with_role("semiconductor") and _WORTH.fullmatch(part.value.strip()):
            what = f"{_name(part)}, {part.kind}, has the value {quoted(part.value)}"
            yield part.line, what, "is the kind right?"
        if unit not in _MEASURED or not part.value:
            continue
        read = read_value(part.value, unit)
        main, beside = read.main, read.remark.split()
        if part.kind == "resistor" and (meant := _code_meant(part.value.strip().upper())):
            yield part.line, f"the value {quoted(part.value)} of {_name(part)} looks like a code", meant
        elif main is None:
            what = f"the value {quoted(part.value)} of {_name(part)} is not understood"
            yield part.line, what, f"write it like {EXAMPLES[unit]}, the rest under `note`"
        elif beside and re.fullmatch(rf"[0-9.,]+ +{re.escape(beside[0])}\b.*", part.value.strip()):
            what = f"{quoted(beside[0])} in the value {quoted(part.value)} of {_name(part)} is no unit"
            yield part.line, what, f"it is taken as {show(main)}; write it like {EXAMPLES[unit]}"
        elif main.unit != unit:
            what = f"{_name(part)}, {part.kind}, has a value in {main.unit}: {quoted(part.value)}"
            yield part.line, what, "is the kind right?"


def _code_meant(code: str) -> str:
    """What to write where a value in ohms is the code printed on the part, such as `1002F`; else empty."""
    taken = code.isdecimal() and series_of(Decimal(code))
    meant = next(coded_resistances(code), None) if _CODE.fullmatch(code) and not taken else None
    if meant is None or meant.amount is None:
        return ""
    return f"as a code it is {meant.text}: write `value: {letter_code(meant.amount)}` and `marking: {code}`"


_LOOKS = attrgetter("kind", "tolerance", "voltage", "package", "mount", "section", "marking")


def _same_value_twice(kit: Kit) -> Iterator[Remark]:
    """Lines of one board that hold the same part: they become steps of their own."""
    for board in kit.boards:
        seen: dict[tuple[Decimal | str, ...], PartLine] = {}
        for part in board.parts:
            unit = KINDS[part.kind].unit
            main = read_value(part.value, unit).main if unit in _MEASURED else None
            if main is None or not part.refs:
                continue
            first = seen.setdefault((main.amount.normalize(), main.unit, *_LOOKS(part)), part)
            if first is not part and first.value != part.value:
                what = f"{quoted(first.value)} (line {first.line}) and {quoted(part.value)} are the same value"
                yield part.line, what, "spell it the same way in both lines, so that it is placed in one go"


def _panel(kit: Kit) -> Iterator[Remark]:
    on_panel = [part for _, part in _lines(kit) if part.mount == "panel" and part.refs]
    if on_panel and not kit.panel_width:
        what = f"{_name(on_panel[0])}: planned for the panel, as usual for such a part; the kit gives no panel"
        yield on_panel[0].line, what, "add `panel: {width: ...}`, or `mount: board` where it sits on its board"


def _ratings(kit: Kit) -> Iterator[Remark]:
    for _, part in _lines(kit):
        if part.kind not in in_family("electrolytics") or part.voltage:
            continue
        if not any(rating.unit == "volt" for rating in read_value(part.value, "farad").ratings):
            what = f"{_name(part)}, {part.kind}, has no voltage rating"
            yield part.line, what, "add `voltage: 25 V` or what it is"


def _power(kit: Kit) -> Iterator[Remark]:
    names = [" ".join(point.name.casefold().split()) for point in kit.hold_points]
    regulators = [part for _, part in _lines(kit) if part.kind == "voltage regulator"]
    if regulators and not kit.hold_points:
        what = f"there is a voltage regulator ({_name(regulators[0])}), but no hold point"
        hint = "add `hold_points:` with the voltages to measure before the ICs go in"
        yield regulators[0].line, what, hint
    if not any(_BEFORE_POWER in name for name in names):
        hint = 'the procedure\'s own are used; add a hold point "Before power" where the maker gives values'
        yield 0, "the kit has no check before power", hint


def _dangers(kit: Kit) -> Iterator[Remark]:
    """Hazards that the kit has and does not state: they are taken for real until its author says otherwise."""
    danger = danger_of(kit)
    for hazard in danger.undeclared:
        found = list(dict.fromkeys(sign for sign in danger.reasons if sign.hazard == hazard))
        more = f", and {counted(len(found) - 1, 'more sign')}" if len(found) > 1 else ""
        named = f"a {hazard}" if hazard == UNISOLATED else hazard
        what = f"there is {named} in it ({found[0].what}{more}), but `hazards` does not say so"
        if any(sign.certain for sign in found):
            hint = f"add `{hazard}` to `hazards`; until then it is treated as if it were there"
        else:
            hint = f"add `{hazard}` to `hazards`, or say `hazards: none` when nothing in it is above 50 V"
        if danger.harmless:
            what, hint = f"{what.split(', but')[0]}, but it says `hazards: none`", f"say `hazards: [{hazard}]`"
        yield found[0].line, what, hint


def _questions(kit: Kit) -> Iterator[Remark]:
    """Parts made for the mains in kits that state only low voltages: nobody but the author knows."""
    for sign in danger_of(kit).questions:
        hint = "say `hazards: [mains]` if the mains is on it, or `hazards: none` if nothing in it is above 50 V"
        yield sign.line, f"{sign.what}, but the kit states only low voltages: is the mains on it?", hint


def _checks(kit: Kit) -> Iterator[Remark]:
    for point in kit.hold_points:
        for check in point.checks:
            if not check.expect and _MEASURED_PLACE.fullmatch(check.where):
                what = f"the check of {quoted(check.where)} says nothing about what is right"
                yield check.line, what, 'add `expect: "5 V ± 4 %"` or what it should be'


def _shared_designators(kit: Kit) -> Iterator[Remark]:
    boards: dict[str, list[str]] = defaultdict(list)
    for board in kit.boards:
        for ref in dict.fromkeys(ref for part in board.parts for ref in part.refs):
            boards[ref].append(board.name)
    shared = [ref for ref, names in boards.items() if len(names) > 1]
    if shared:
        some = shorten(shared[:20]) + (f" and {len(shared) - 20} more" if len(shared) > 20 else "")
        what = f"designators that stand on more than one board: {some}"
        yield 0, what, "they are kept apart by board; say the board when you note something about one"
    for trim in kit.trims:
        if trim.trimmer in shared:
            what = f"the trimmer {trim.trimmer} of {quoted(trim.name)} stands on more than one board"
            yield trim.line, what, "say the board under `how`"


def _hardware_twice(kit: Kit) -> Iterator[Remark]:
    for board in kit.boards:
        seen: dict[tuple[str, tuple[str, ...]], PartLine] = {}
        for part in board.parts:
            first = part if part.refs else seen.setdefault((part.value, part.joined_with), part)
            if first is not part:
                both = f"{first.quantity} and {part.quantity}"
                what = f"{quoted(part.value)} stands in two lines, {first.line} and {part.line}: {both}"
                yield part.line, what, "is one of them a repetition?"


def _letter_case(kit: Kit) -> Iterator[Remark]:
    for board in kit.boards:
        seen: dict[str, str] = {}
        for part in board.parts:
            for ref in part.refs:
                first = seen.setdefault(ref.casefold(), ref)
                if first != ref:
                    what = f"{first} and {ref} differ only in capital letters"
                    yield part.line, what, "are these two parts?"


def _trims(kit: Kit) -> Iterator[Remark]:
    kinds = {ref: part.kind for _, part in _lines(kit) for ref in part.refs}
    for trim in kit.trims:
        kind = kinds.get(trim.trimmer, "")
        if kind and kind not in with_role("adjustable"):
            what = f"{trim.trimmer}, the trimmer of {quoted(trim.name)}, is a {kind}"
            yield trim.line, what, "is the designator right?"


def _sockets(kit: Kit) -> Iterator[Remark]:
    for _, part in _lines(kit):
        if part.socket and not KINDS[part.kind].socketable:
            yield part.line, f"{_name(part)}, {part.kind}, goes into a socket", "is that right?"


def _positions(kit: Kit) -> Iterator[Remark]:
    """Positions that cannot be right: two parts on one spot."""
    for board in kit.boards:
        taken: dict[tuple[float, float, str], str] = {}
        for part in board.parts:
            sides = part.sides or ("",) * len(part.refs)
            for ref, (x, y), side in zip(part.refs, part.positions, sides, strict=False):
                first = taken.setdefault((x, y, side), ref)
                if first != ref:
                    what = f"{first} and {ref} have the same position on board {quoted(board.name)}"
                    yield part.line, what, "look at both in the maker's placement file or drawing"


def _sections(kit: Kit) -> Iterator[Remark]:
    used = {part.section for _, part in _lines(kit) if part.section}
    without = [part for _, part in _lines(kit) if not part.section and part.refs]
    if used and without:
        what = f"{counted(len(without), 'line')} without a section, the first is {_name(without[0])}"
        yield without[0].line, what, "a procedure by sections needs one for each part"
    unused = [quoted(section) for section in kit.sections if section not in used]
    if used and unused:
        yield 0, f"no part is in section {', '.join(unused)}", "take it out, or give its parts `section:`"


_PARTS: tuple[Callable[[Kit], Iterator[Remark]], ...] = (
    _guesses, _power, _dangers, _questions, _shared_designators, _sections, _gaps, _letter_case,
    _hardware_twice, _values, _same_value_twice, _ratings, _panel, _sockets, _checks, _trims, _positions,
)  # fmt: skip
