"""From the rows of a stretch to the entries of a list."""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.cell_patterns import (  # fmt: skip
    TYPES,
    is_footprint,
    is_type,
    leading_count,
    names_a_worth,
    whole_number,
)
from bench.papers.lists.contradictions import ref_doubts
from bench.papers.lists.draft import Doubt, ListPart, Skipped, SourceRow
from bench.papers.lists.footnotes import FOOTNOTE, MARKED, refers
from bench.papers.lists.mending import mended
from bench.papers.lists.refs import (  # fmt: skip
    FAINT,
    KNOWN_CLASSES,
    STRONG,
    WEAK,
    RefMatch,
    beside,
    find_refs,
    names_a_size,
    other_names,
)
from bench.papers.lists.roles import Roles, decide, refs_inside
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.table_sections import Segment
from bench.papers.lists.value_text import from_properties, stand_in, without_kind
from bench.papers.lists.vocabulary import (  # fmt: skip
    heading_roles,
    is_charge,
    is_credit,
    is_hardware,
    is_optional,
    is_plain_word,
    is_total,
    names_a_board,
    not_fitted,
    says_nothing,
    stated_total,
)
from bench.parts.designators import class_letters, shorten
from bench.parts.english import counted
from bench.parts.kinds import kind_named

_RULE = re.compile(r"[\s=_*+|:.~#–—-]*")
_ABOUT = re.compile(
    r"(?:source|date|time|tool|generator|generated|exported|created|printed|revised|revision|rev|version|author"
    r"|project|title|document|file|company|designed|drawn|sheet|page|component count|total count|variant"
    r"|assembly variant|comments?|copyright|datum|projekt|stand|erstellt|seite|日付|作成)\b",
    re.IGNORECASE,
)
_FIRMLY = ("dnp", "dnf", "dni", "x", "yes", "y", "1", "true", "do not populate", "do not fit", "excluded")
_DENIED = ("no", "n", "0", "false", "nein", "non", "nee", "ei", "-", "✗", "✘")
"""What a column that says whether a part is fitted holds where it is not."""
_SURELY = 0.85
"""A heading that says 'designator' as clearly as this is over designators and nothing else."""
SURE = 0.8
"""Trust in designators that need no value beside them."""
_SENTENCE = re.compile(r"(?:is|are|was|were|alternate)\b")
_SLACK = 12
"""Designators beyond four times the count from which a range is no range."""
_BESIDE = ("package", "tolerance", "voltage", "marking", "note", "order number")
_SIGN_BEFORE = re.compile(r"^[=:–—-]\s+")
_TURN_BEFORE = re.compile(r"^(?:\d{1,3}\.\d\d|[=:–—-])\s+(?=\S)")
_DASHES = re.compile(r"[-–—]*")
_DITTO = re.compile(r"[\"″〃'’“”]{1,2}|(?:d[it]t?to|dto|do|idem|id|s\. ?o|-[\"″]-)\.?", re.IGNORECASE)
_UNIT = re.compile(r"[pnuµμmkKMGR]?(?:[FHΩ]|[Oo]hms?)?")
_BARE = re.compile(r"[0-9][0-9.,]*")
_DASHED = re.compile(r"[-–—+]\s")
_NO_HEADING = re.compile(r"=|https?:|www\.")
_LONGEST_HEADING = 70
MOST_REFS = 10_000
"""Designators in one list."""


class Entries(Struct, kw_only=True):
    """What was found so far."""

    parts: list[ListPart]
    doubts: list[Doubt]
    skipped: list[Skipped]
    totals: list[tuple[int, int]]
    """Line and number of each total that the list states."""


class _Reader:
    """Reads the rows of one stretch in order."""

    def __init__(self, segment: Segment, roles: Roles, into: Entries, board: str) -> None:
        self.segment, self.roles, self.into = segment, roles, into
        self.section = "" if names_a_board(segment.title) else segment.title
        self.board = segment.title.strip(" :") if names_a_board(segment.title) else board
        self.waiting: tuple[str, ...] = ()
        self.waiting_line = 0
        self.quiet = False
        """Whether the heading above is one of people and rights."""
        self.open = self.comma = False
        """Whether the last entry's designators may go on in this row, and whether they ended in a comma."""
        self.width = len(segment.header)
        at = roles.get("ref")
        heading = "" if at is None else " ".join(segment.header[at : at + 1])
        weight = heading_roles(heading).get("ref", 0.0)
        self.named, self.surely_named = weight >= 0.4, weight >= _SURELY
        """Whether the heading above the designators is one of designators, and whether of nothing else."""
        self.neighbours: frozenset[str] | None = None
        self.beside = [role for role in _BESIDE if role in roles.places]

    def cell(self, row: SourceRow, role: str) -> str:
        at = self.roles.places.get(role)
        if at is None and role != "ref":
            return ""
        if role == "ref" and at is None and (inside := self.roles.get("inside")) is not None:
            return refs_inside(row.cells[inside]) if inside < len(row.cells) else ""
        text = row.cells[at] if at is not None and at < len(row.cells) else ""
        return " ".join(text.split()) if role != "ref" and ("\n" in text or "  " in text) else text

    def _column(self) -> frozenset[str]:
        """All designators of the column, for one that could be something else when it stood alone."""
        if self.neighbours is None:
            at = self.roles.get("ref")
            cells = [row.cells[at] for row in self.segment.rows if at is not None and at < len(row.cells)]
            self.neighbours = frozenset(ref for cell in cells for ref in find_refs(cell).refs)
        return self.neighbours

    def skip(self, row: SourceRow, why: str) -> None:
        text = " ".join(" ".join(row.cells).split())
        self.into.skipped.append(Skipped(line=row.line, text=text[:80], why=why))

    def read(self, row: SourceRow) -> None:
        row = mended(row, self.roles.get("ref"), self.width)
        filled = [cell for cell in row.cells if cell]
        if not filled:
            return
        found = self._refs(row)
        if all(_RULE.fullmatch(cell) for cell in filled):
            self.skip(row, "rule")
        elif other_names(" ".join(filled)):
            self.skip(row, "other names of the same parts")
        elif self._is_quiet(row, found, filled):
            self.skip(row, "about people and rights")
        elif self._is_accessory(self.cell(row, "ref"), found):
            self._accessory(row, found)
        elif self._is_part(row, found, filled):
            self._part(row, found, filled)
            self._more(row)
        elif any(find_refs(row.cells[at]).refs for at in self.roles.more_refs if at < len(row.cells)):
            self._more(row)
        elif len(filled) == 1 or self._is_about(filled):
            self.open = False
            self._single(row, filled)
        elif not self._hardware(row, filled):
            self.open = False
            self._total(row.line, filled)
            why = "total" if is_total(filled[0]) else "paid beside the parts" if is_charge(filled[0]) else ""
            self.skip(row, why or "no designator, and no count")

    def _refs(self, row: SourceRow) -> RefMatch:
        """The designators of a row; in a column of designators a short number or a size may be one too."""
        named = self.cell(row, "ref")
        if names_a_size(named):
            found = beside(named, self._column())
            socketed = (
                self.named and "package" not in self.roles.places and names_a_worth(self.cell(row, "value"))
            )
            return found if found.refs or not socketed else RefMatch(refs=(named.strip(),), trust=WEAK)
        if self.roles.sure_of_refs and named.isdecimal() and len(named) < 3:
            return RefMatch(refs=(named,), trust=FAINT)
        found = find_refs(named)
        if self.segment.roles:  # read line by line: a cell alone is a sentence, unless it is of designators
            if len(row.cells) == 1:
                return found if found.trust >= SURE and not found.left else RefMatch()
            return found if found.refs or not named else RefMatch(refs=(named,), trust=WEAK)
        return found

    def _is_quiet(self, row: SourceRow, found: RefMatch, filled: list[str]) -> bool:
        """Whether a row stands under a heading such as `Credits`: up to a sure part, or a heading of parts."""
        text = filled[0].strip(" :#*-=|")
        if len(filled) == 1 and is_credit(text) and len(text.split()) < 4:
            self.quiet = True
        elif (found.trust >= STRONG and names_a_worth(self.cell(row, "value"))) or _heads_parts(text):
            self.quiet = False
        return self.quiet or (len(filled) == 1 and is_credit(text))

    def _is_accessory(self, named: str, found: RefMatch) -> bool:
        """Whether a row `- LED1, LED2` lists what goes with parts that were listed before."""
        if not found.refs or not _DASHED.match(named):
            return False
        return set(found.refs) <= {ref for part in self.into.parts for ref in part.refs}

    def _accessory(self, row: SourceRow, found: RefMatch) -> None:
        part = self._entry(row, (), self._value(row, ()), row.line)
        value = part.value_text or part.description
        note = ", ".join(filter(None, (f"for {shorten(found.refs)}", part.note)))
        number = part.quantity if part.quantity_text else len(found.refs)
        description = part.description if part.value_text else ""
        self.into.parts.append(
            replace(part, value_text=value, description=description, note=note, quantity=number)
        )

    def _is_part(self, row: SourceRow, found: RefMatch, filled: list[str]) -> bool:
        if not found.refs or self._overruns(row, found):
            return False
        if found.trust < SURE and _SENTENCE.match(self.cell(row, "value")):
            return False
        if found.trust >= 0.5:
            return True
        if len(filled) < 2 or not self.roles.sure_of_refs or self._is_about(filled):
            return False
        count = whole_number(self.cell(row, "quantity"))
        if (count is not None and count != len(found.refs)) or is_total(filled[0]) or is_charge(filled[0]):
            return False
        value = self.cell(row, "value")
        if not self.surely_named and _is_kind_again(found.refs[0], value):
            return False
        if not self.width:
            return names_a_worth(value)
        return found.trust > FAINT or (bool(value) and self._is_name(found.refs[0], value, count))

    def _overruns(self, row: SourceRow, found: RefMatch) -> bool:
        """Whether a range is so much longer than the count beside it that it must be an order number."""
        count = whole_number(self.cell(row, "quantity"))
        return count is not None and len(found.refs) > 4 * count + _SLACK

    def _is_name(self, ref: str, value: str, count: int | None) -> bool:
        """Whether a number or a name of several words is the name of a part with this value."""
        if ref.isdecimal():
            column = self._column()
            return sum(map(str.isdecimal, column)) * 2 < len(column)
        by_class = self.named and ref.split(" ", 1)[0].upper() in KNOWN_CLASSES
        return by_class or count is not None or names_a_worth(value)

    def _part(self, row: SourceRow, found: RefMatch, filled: list[str]) -> None:
        value = self._value(row, found.refs)
        goes_on = len(filled) == 1 or (self.comma and not value and not self.cell(row, "quantity"))
        if goes_on and self.open and self.into.parts and found.trust >= 0.8:
            last = self.into.parts[-1]
            refs = tuple(dict.fromkeys((*last.refs, *found.refs)))
            note = ", ".join(filter(None, (last.note, self.cell(row, "note"))))
            self.into.parts[-1] = replace(last, refs=refs, note=note)
            self.open, self.comma = found.more or self._lacks(self.into.parts[-1]), found.more
            return
        if not value and found.more and not self.cell(row, "quantity"):
            self.waiting_line = self.waiting_line or row.line
            self.waiting += found.refs
            return
        refs = tuple(dict.fromkeys((*self.waiting, *found.refs)))
        line = self.waiting_line or row.line
        self.waiting, self.waiting_line = (), 0
        part = self._entry(row, refs, value, line)
        self.into.parts.append(part)
        self.open, self.comma = found.more or self._lacks(part), found.more
        self.into.doubts += ref_doubts(self.cell(row, "ref"), found, refs, row.line)

    def _more(self, row: SourceRow) -> None:
        """The designators of further columns, which share the row's value."""
        own = bool(self.into.parts and self.into.parts[-1].line == row.line)
        for at in self.roles.more_refs:
            found = find_refs(row.cells[at]) if at < len(row.cells) else RefMatch()
            if found.refs:
                part = self._entry(row, found.refs, self._value(row, found.refs), row.line)
                self.into.parts.append(
                    replace(part, board=self._board_at(at), quantity=len(found.refs), quantity_text="")
                )
        ref = self.roles.get("ref")
        if own and self.roles.more_refs and ref is not None:
            first = next(at for at, part in enumerate(self.into.parts) if part.line == row.line)
            mine = self.into.parts[first]
            number = len(mine.refs)
            self.into.parts[first] = replace(mine, board=self._board_at(ref), quantity=number, quantity_text="")
            stated = whole_number(self.cell(row, "quantity"))
            every = sum(len(part.refs) for part in self.into.parts[first:])
            if stated is not None and stated != every:
                what = f"the count is {stated}, but this line has {counted(every, 'designator')}"
                self.into.doubts.append(Doubt(line=row.line, what=what, kind="count", refs=mine.refs))

    def _board_at(self, at: int) -> str:
        """The board that the heading of a designator column names, without the words about designators."""
        text = self.segment.header[at] if at < len(self.segment.header) else ""
        words = [
            word for word in text.split() if not heading_roles(word).get("ref") and word.casefold() != "number"
        ]
        return " ".join(words) if len(words) < len(text.split()) or names_a_board(text) else self.board

    def _lacks(self, part: ListPart) -> bool:
        stated = whole_number(part.quantity_text)
        return stated is not None and stated > len(part.refs)

    def _value(self, row: SourceRow, refs: tuple[str, ...]) -> str:
        """The value in a row: in its own cell, or in another that names the part where that one is empty."""
        if "properties" in self.roles.places and (said := from_properties(self.cell(row, "properties"))):
            return said
        value = self._value_cell(row)
        letters = class_letters(refs[0]) if refs else ""
        if refs and self.into.parts and _DITTO.fullmatch(value):
            return self.into.parts[-1].value_text
        if (unit := self.cell(row, "unit")) and _UNIT.fullmatch(unit) and _BARE.fullmatch(value):
            return f"{value} {unit}"
        if not _DASHES.fullmatch(value):
            described = self.roles.value_is_description or value.endswith(")")
            return without_kind(value) if described and refs else value
        if not refs:
            return value
        for at in self.roles.instead:
            cell = " ".join(row.cells[at].split()) if at < len(row.cells) else ""
            if named := stand_in(cell, letters):
                return named
        return value or self._device(row, letters) or self._behind_refs(row)

    def _value_cell(self, row: SourceRow) -> str:
        """The cell of the value without the sign, or the turn of a part on its board, that ran into it."""
        return (_TURN_BEFORE if "x" in self.roles.places else _SIGN_BEFORE).sub("", self.cell(row, "value"))

    def _device(self, row: SourceRow, letters: str) -> str:
        """The drawing program's name of a part that goes by a type number, where it is one."""
        at = self.roles.device
        device = row.cells[at] if at is not None and at < len(row.cells) else ""
        return device if letters.upper() in TYPES and is_type(device) and not is_footprint(device) else ""

    def _behind_refs(self, row: SourceRow) -> str:
        """What stands behind the designators in their own cell: `10k carbon` in `R1 10k carbon`."""
        text = " ".join(self.cell(row, "ref").split())
        run = next(iter(runs_of_refs(text)), None)
        at = self.roles.get("ref")
        named = (
            at is not None and at < self.width and heading_roles(self.segment.header[at]).get("ref", 0.0) >= 0.4
        )
        if not named or run is None or run.begin:
            return ""
        rest = text[run.end :].strip(" ,;:=-")
        return rest if any(map(str.isdigit, rest)) and not find_refs(rest).refs else ""

    def _entry(self, row: SourceRow, refs: tuple[str, ...], value: str, line: int) -> ListPart:
        stated = self.cell(row, "quantity")
        count = whole_number(stated)
        if count is None:
            count = leading_count(stated)
        beside = {role: self.cell(row, role) for role in self.beside}
        told = [text for role in ("kind", "description") if (text := self.cell(row, role)) != value]
        description = ", ".join(dict.fromkeys(filter(None, told)))
        flag = self.cell(row, "dnp").casefold()
        note = beside.get("note", "")
        remark = f"{value} {note} {self.cell(row, 'ref')}"
        out = self._stays_out(row, value, note)
        marked = MARKED.fullmatch(value)
        if marked:
            value, beside["note"] = marked[1], ", ".join(filter(None, (note, f"see {marked[2]}")))
        return ListPart(
            refs=refs, value_text=value, quantity=count if count is not None else len(refs) or 1,
            quantity_text=stated, line=line, board=self.cell(row, "board") or self.board,
            section=self.cell(row, "section") or self.section,
            description=description, fitted=not out,
            optional=is_optional(f"{remark} {description} {flag}") or (not out and not_fitted(remark)),
            **{role.replace(" ", "_"): text for role, text in beside.items()},
        )  # fmt: skip

    def _stays_out(self, row: SourceRow, value: str, note: str) -> bool:
        """Whether the list says, in whatever column, that a part is not fitted."""
        if self.cell(row, "dnp").casefold() in _FIRMLY or not_fitted(note[:30]):
            return True
        fitted = self.cell(row, "fitted").casefold()
        return fitted in _DENIED or not_fitted(fitted) or (not_fitted(value) and not value[:1].isdigit())

    def _hardware(self, row: SourceRow, filled: list[str]) -> bool:
        """Take a row without a designator for a part all the same; False when it is none."""
        counted = leading_count(self.cell(row, "quantity")) is not None
        name = "" if self.roles.get("ref") is None else " ".join(self.cell(row, "ref").split())
        if is_total(filled[0]) or is_charge(filled[0]) or max(len(cell.split()) for cell in filled[:3]) > 25:
            return False
        value = self._value(row, ())
        part = self._entry(row, (), "" if says_nothing(value) else value, row.line)
        known = counted or self._may_be_hardware(row, name, filled)
        if not known or not (part.value_text or part.description or name):
            return False
        if name and not is_hardware(name) and not counted:
            what = f"'{name[:60]}' is taken for a part without a designator"
            self.into.doubts.append(Doubt(line=row.line, what=what, kind="no designator"))
        self.waiting, self.waiting_line = (), 0
        self.open = False
        self.into.parts.append(_called(part, name))
        return True

    def _may_be_hardware(self, row: SourceRow, name: str, filled: list[str]) -> bool:
        """Whether a row without a count may still be a part without a designator."""
        if self.roles.get("ref") is None:
            return self.roles.get("quantity") is None and self.width > 1 and len(filled) > 1
        kind = bool(name) and not self.surely_named and _is_kind_again(name, self.cell(row, "value"))
        return kind or is_hardware(name) or (not name and bool(self.cell(row, "value")) and self.width > 1)

    def _is_about(self, filled: list[str]) -> bool:
        first = filled[0]
        return (
            len(filled) < 4
            and (first.endswith(":") or bool(_ABOUT.match(first)))
            and not find_refs(first).trust >= STRONG
        )

    def _single(self, row: SourceRow, filled: list[str]) -> None:
        """A row that is a heading, a remark, or says something about the file."""
        text = " ".join(filled)
        words = text.split()
        self._total(row.line, filled)
        last = self.into.parts[-1] if self.into.parts else None
        at = self.roles.get("description")
        if (
            len(filled) == 1
            and last is not None
            and at is not None
            and at < len(row.cells)
            and row.cells[at] == text
        ):
            self.into.parts[-1] = replace(last, description=f"{last.description} {text}".strip())
            self.skip(row, "the description above goes on")
        elif (self._is_about(filled) and len(filled) > 1) or is_total(text):
            self.skip(row, "about the list")
        elif (mark := FOOTNOTE.fullmatch(text)) and any(refers(part, mark[1]) for part in self.into.parts):
            self.skip(row, "footnote")
        elif _NO_HEADING.search(text):
            self.skip(row, "about the list")
        elif names_a_board(text):
            self.board, self.section = text.strip(" :#*-=[]"), ""
            self.skip(row, "heading of a board")
        elif len(text) <= _LONGEST_HEADING and len(words) <= 8 and not text.endswith((".", "!", "?")):
            self.section = text.strip(" :#*-=[]•·+")
            self.skip(row, "heading")
        else:
            self.skip(row, "prose")

    def _total(self, line: int, filled: list[str]) -> None:
        number = stated_total(" ".join(filled))
        if number is not None:
            self.into.totals.append((line, number))


def _called(part: ListPart, name: str) -> ListPart:
    """A part without a designator, with its name or description for its value where it has none."""
    if part.value_text:
        return replace(part, description=", ".join(filter(None, (name, part.description)))) if name else part
    if name:
        return replace(part, value_text=name)
    return replace(part, value_text=part.description, description="")


def _heads_parts(text: str) -> bool:
    """Whether a text can be the heading of a stretch of parts: a kind, a board, a column."""
    known = is_plain_word(text) or kind_named(text) or names_a_board(text) or heading_roles(text)
    return len(text.split()) < 4 and bool(known)


def _is_kind_again(name: str, value: str) -> bool:
    """Whether what stands among the designators is the kind of the part, which its value names too."""
    return name.casefold() in value.casefold().split()[1:] and kind_named(name) is not None


def read_segment(segment: Segment, into: Entries, board: str, known: Mapping[str, str]) -> tuple[Roles, str]:
    """Add the entries of one stretch to `into`; returns the roles of its columns and the board it ends with."""
    if segment.roles:
        places = {role: at for at, role in enumerate(segment.roles)}
        roles = Roles(places=places, sure_of_refs=True)
    else:
        roles = decide(segment.rows, segment.header, known)
    reader = _Reader(segment, roles, into, board)
    number = sum(len(part.refs) for part in into.parts)
    for row in segment.rows:
        before = len(into.parts)
        reader.read(row)
        number += sum(len(part.refs) for part in into.parts[before:])
        if number > MOST_REFS:
            what = f"more than {MOST_REFS} designators: nothing after this line was read"
            into.doubts.append(Doubt(line=row.line, what=what))
            break
    if reader.waiting:
        value = ListPart(
            refs=reader.waiting, value_text="", quantity=len(reader.waiting), line=reader.waiting_line
        )
        into.parts.append(value)
    return roles, reader.board
