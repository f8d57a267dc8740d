"""Entries in a line of text: `R1: 120k`, `2 x 10k (R1, R2)`, `R1, R2 15k 5% 1/4 Watt`, `Level 50kA`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.papers.lists.cell_patterns import FARADS, HENRIES, OHMS, is_rating, is_type, worth, worth_end
from bench.papers.lists.refs import KNOWN_CLASSES, find_refs
from bench.papers.lists.runs import RefRun, runs_of_refs
from bench.papers.lists.value_text import measures
from bench.papers.lists.vocabulary import heading_roles, is_plain_word, not_fitted
from bench.parts.designators import class_letters
from bench.parts.kinds import kind_named

_TOLD = re.compile(
    r"\s*(?:\(|,\s(?=an?\s|both|each|[0-9A-Z]+[0-9])|(?:is|are|of|=|ist|sind|est|sont)\s+)"
    r"(?:(?:an?|both|each|all|je|the)\s+)*"
)
"""What leads from a designator to its value in a sentence."""
_SENTENCE_END = re.compile(r"\.(?=\s|$)|\s(?:and|und|et|y|e)\s")
_RATED = re.compile(r"[,;]\s")
LineEntry = tuple[str, str, str, str]
"""Designators, value, count and description, each as written."""

_COUNT = re.compile(
    r"(?:qty\.?:?\s*)?([0-9]{1,4})\s*(?:[x×*](?=[\s0-9A-Za-z])|pcs?\b\.?|pieces?\b|off\b|ea\b\.?|stk\b\.?|stück\b|st\.)\s*(?:of\s+)?",
    re.IGNORECASE,
)
_NUMBER_WORDS = {
    word: str(number)
    for number, words in enumerate(
        (
            "one|ein|eine|einen|un|une|una", "two|zwei|deux|dos", "three|drei|trois|tres", "four|vier|quatre",
            "five|fünf|cinq", "six|sechs", "seven|sieben", "eight|acht|huit", "nine|neun", "ten|zehn|dix",
            "eleven|elf", "twelve|zwölf",
        ),
        start=1,
    )
    for word in words.split("|")
}  # fmt: skip
_WORD_COUNT = re.compile(rf"({'|'.join(_NUMBER_WORDS)})\s+(?=\S)", re.IGNORECASE)
_BARE_COUNT = re.compile(r"([0-9]{1,3})\s+(?=\S)")
_ALONE = re.compile(r"[0-9]{1,4}")
_LATE_COUNT = re.compile(
    r"[\s,;:(]*(?:[x×]\s?([0-9]{1,3})|\(([0-9]{1,3})\s?(?:x|×|pcs?|off)?\)|([0-9]{1,3})\s?(?:x|×|pcs?\.?|off|Stk\.?))"
    r"[\s)*]*(?:\([^()]{0,80}\)\s*)?$",
    re.IGNORECASE,
)
_TITLE = re.compile(r"\s*(?:(?:[^\W\d_]{2,20} ?){1,3}:\s*)?")
"""What may stand before the first of several entries in a line."""
_ROLE = re.compile(r"\s*\(([^()]{2,40})\)\s*:\s+(?=\S)")
"""What a part is there for, between its designators and its value: `R1 (input level): 10k`."""
_LEAD = re.compile(
    r"(?:[-–—](?=[0-9A-Za-z]))?\s*(?:[-–=]{1,2}>|[:=|]|[-–—→>](?=\s)|\.{2,}|…|_{2,})*\s*(?:\.{2,}\s*)?"
)
_TRAIL = re.compile(r"\s*(?:[:=|@]|[-–—→,;](?=\s|$)|\.{2,}|for\b|at\b|->)*\s*$")
_EXPLICIT = re.compile(r"[:=|→]|[-–—](?=\s)|\.{2,}|…")
_PIECES = re.compile(r"\s{2,}|[,;]\s(?=[^\W\d_]+:\s)|\s[-–—|]\s(?!\s?[0-9.,]+\s?[pnuµμmkM]?[FΩR]?\b)|;\s|\t")
_UNIT = re.compile(
    r"(?:ohms?|[kKMR]?Ω|[kKMR]|[munpµμ]?[FHVAW]|k?Hz|MHz|watts?|volts?|%|turns?|pins?|to|or)\b", re.IGNORECASE
)
_UNIT_AFTER = re.compile(r"(?:ohms?|[kKM]?Ω|[kKM]|[munpµμ]?[FH])(?=\s|$)")
_PROSE = re.compile(
    r"\b(?:is|are|was|the|should|will|you|your|this|that|then|must|have|has|been|which|sind|ist|wird)\b",
    re.IGNORECASE,
)
_LEADS_ON = re.compile(r"(?:on|to|in|into|onto|at|of|from|near|next|with|goes|auf|an|in|nach)\s")
"""Words with which a sentence goes on behind a designator."""
_KIND = (
    r"resistors?|capacitors?|caps?|inductors?|potentiometers?|pots?|trimmers?|widerst[aä]nde?|kondensator(?:en)?"
    r"|elkos?|poti|ics?|diodes?|dioden?|transistor(?:s|en)?|résistances?|condensateurs?|resistencias?|condensador(?:es)?"
    r"|leds?|electrolytic|ceramic|film|crystal|quartz"
)
KIND_WORD = re.compile(rf"(?:(?:{_KIND})[\s:,-]+)+", re.IGNORECASE)
"""Words for kinds of parts, and what parts them from what follows."""
_MEASURED = r"[ABCW]?[0-9][0-9.,]*\s?(?:[kKMR][0-9]?|[munpµμ]F?|[kM]?Ω|[kM]?ohms?|[munµμ]H)(?:\s?[ABCW])?"
_TAPER = r"(?:\s?(?:lin(?:ear)?|log|rev(?:erse)?|trim(?:mer|pot)?|pot(?:entiometer)?|slider)\b\.?)*"
_NAMED = re.compile(
    r"([^\W\d_][\w+/-]{0,15})\s*([:=]?)\s*"
    rf"((?:(?:dual|stereo|double|twin|2x)\s)?{_MEASURED}(?:\s(?:to|or)\s{_MEASURED})?{_TAPER})\s*(?:[\[(].{{0,60}})?",
    re.IGNORECASE,
)
_CALLED_BY_CLASS = re.compile(r"([^\W\d_]{1,6})\s*[:=]?\s+(\S{1,20}(?:\s\S{1,20}){0,3})")


def after(pattern: re.Pattern[str], text: str) -> str:
    """A text without what the pattern matches at its beginning."""
    found = pattern.match(text)
    return text[found.end() :] if found else text


def pairs(text: str, groups: Sequence[RefRun]) -> list[LineEntry]:
    """Several entries in one line: `R1 10k, R2 22k`, `Resistors: R1 10k`; empty for a line of another kind."""
    if not _TITLE.fullmatch(text[: groups[0].begin]):
        return []
    ends = [group.begin for group in groups[1:]] + [len(text)]
    between = [text[group.end : end] for group, end in zip(groups, ends, strict=True)]
    values = [after(_LEAD, piece).strip(" ,;/|\t") for piece in between]
    good = [worth_end(value) >= len(value) * 0.6 or is_type(value) for value in values]
    if not all(value and len(value.split()) < 5 for value in values) or sum(good) * 2 < len(good):
        return []
    told = [split_value(value, explicit=False, columns=False) for value in values]
    return [(group.text, value, "", more) for group, (value, more) in zip(groups, told, strict=True)]


def bracketed(text: str, groups: Sequence[RefRun]) -> list[LineEntry]:
    """Several entries in one line with brackets: `10k (R1, R2), 22k (R3)` or `R1 (10k) and R2 (22k)`."""
    return _valued_in_brackets(text, groups) or _named_in_brackets(text, groups)


def _valued_in_brackets(text: str, groups: Sequence[RefRun]) -> list[LineEntry]:
    found: list[LineEntry] = []
    for group in groups:
        inside = re.match(r"\s?\(([^()]{1,40})\)", text[group.end :])
        if inside is None or not (worth_end(inside[1]) == len(inside[1]) or is_type(inside[1])):
            return []
        found.append((group.text, inside[1].strip(), "", ""))
    return found


def told_of(text: str, groups: Sequence[RefRun]) -> list[LineEntry]:
    """What a sentence says its parts are: `Solder R1 (10k, brown) and R2`, `R3 is 4k7`, `Fit D1, a 1N4148.`"""
    ends = [*(group.begin for group in groups[1:]), len(text)]
    return [
        (group.text, value, "", "")
        for group, end in zip(groups, ends, strict=True)
        for ref in find_refs(group.text).refs[:1]
        if (value := _told_value(text[group.end : end], class_letters(ref)))
    ]


def _told_value(behind: str, letters: str) -> str:
    """The value that follows a designator in a sentence; empty where none surely does."""
    lead = _TOLD.match(behind)
    said = _SENTENCE_END.split(behind[lead.end() :], maxsplit=1)[0] if lead else ""
    value = said[: worth_end(said)].strip(" ,;")
    if letters.upper() in OHMS | FARADS | HENRIES:
        value = _RATED.split(value)[0].strip(" ,;")
        good = bool(value) and worth(value) == 1.0 and measures(value, letters.upper())
    else:
        value = re.split(r"[,;:.)]*(?:\s|$)", said, maxsplit=1)[0]
        good = len(value) > 2 and is_type(value) and any(map(str.isalpha, value))
    return value if good else ""


def counted_in_brackets(text: str) -> list[LineEntry]:
    """A count, a part and as many names in brackets: `4 x screw terminal (Strip1, Strip2, Strip3, Strip4)`."""
    count, begin = leading_count(text)
    inside = re.fullmatch(r"(.{2,60}?)\s*\(([^()]{1,200})\)\s*", text[begin:]) if count else None
    found = find_refs(inside[2]) if inside else None
    named = found is not None and not found.left and found.trust >= 0.5 and len(found.refs) == int(count)
    return [(inside[2], inside[1], count, "")] if inside and named else []


def _named_in_brackets(text: str, groups: Sequence[RefRun]) -> list[LineEntry]:
    at = text.find(":") + 1 if 0 < text.find(":") < groups[0].begin else 0
    kind = text[: text.find(":")] if at else ""
    found: list[LineEntry] = []
    for group in groups:
        before, behind = text[at : group.begin].rstrip(), text[group.end :].lstrip()
        count, begin = leading_count(before.lstrip(" ,;"))
        value = before.rstrip("([").strip(" ,;")[begin:].strip()
        if before[-1:] not in ("(", "[") or behind[:1] not in (")", "]") or not value:
            return []
        found.append((group.text, value, count, "" if found else kind))
        at = len(text) - len(behind) + 1
    fine = all(worth_end(entry[1]) or is_type(entry[1]) or len(entry[1]) < 20 for entry in found)
    return found if fine else []


def one_entry(text: str, groups: Sequence[RefRun], columns: bool) -> LineEntry | None:
    """The one entry of a line with designators; None when it looks like prose."""
    first, last = groups[0], groups[-1]
    count, begin = leading_count(text)
    between = text[begin : first.begin].strip(" (.[")
    kind = KIND_WORD.match(between + " ")
    if (
        not between
        or (kind and kind.end() > len(between))
        or (_names_a_kind(between) and text[first.end :].strip())
    ):
        text, role = _without_role(text, first.end)
        found = _refs_first(text, first, count, columns)
        if found and count and not found[1]:
            return found[0], count, "", found[3]
        return (*found[:3], ", ".join(filter(None, (between, role, found[3])))) if found else None
    behind = text[last.end :].lstrip()
    rest = behind.strip(" )].,;*")
    if not rest or behind[:1] in (")", "]"):
        return _value_first(text[begin : last.begin].rstrip("([ "), last.text, rest, count, text)
    if len(groups) == 1 and worth_end(between):
        rest = text[first.end :].strip(" )]-,")
        if _ALONE.fullmatch(rest) and int(rest) == len(find_refs(first.text).refs):
            return _value_first(text[: first.begin].strip(" :-([,"), first.text, "", rest, text)
        return _value_first(text[begin : first.begin].strip(" :-([,"), first.text, rest, count, text)
    return None


def _without_role(text: str, end: int) -> tuple[str, str]:
    """A line without what its part is there for, told behind the designators that end at `end`; and that."""
    role = _ROLE.match(text, end)
    if role is None or worth_end(role[1]):
        return text, ""
    return f"{text[:end]}: {text[role.end() :]}", role[1]


def _names_a_kind(between: str) -> bool:
    """Whether what stands before the designators is a kind and a colon: `Electrolytic capacitor: C1 = 10u`."""
    words = between.rstrip(" :").split()
    return between.endswith(":") and len(words) < 4 and not any(map(str.isdigit, between))


def _refs_first(text: str, group: RefRun, count: str, columns: bool) -> LineEntry | None:
    """`R1, R2 10k`; a bare number in front is the value where nothing but a count follows: `555 IC2 1`."""
    rest = text[group.end :].lstrip(" )]") if text[: group.begin].strip() else text[group.end :]
    number = len(find_refs(group.text).refs)
    if count and (not rest.strip() or (_ALONE.fullmatch(rest.strip()) and int(rest) == number)):
        bare = _BARE_COUNT.match(text)
        if bare and (rest.strip() or int(count) != number):
            return group.text, count, rest.strip(), ""
    rest, count = _without_late_count(rest, count, group.text)
    lead = _LEAD.match(rest)
    explicit = bool(lead and _EXPLICIT.search(lead[0]))
    if rest.strip() in (",", ";"):
        return group.text + ",", "", count, ""
    value, description = split_value(rest[lead.end() if lead else 0 :].strip(" ,;"), explicit, columns)
    return (group.text, value, count, description) if _plausible(group.text, value, description) else None


def _value_first(before: str, refs: str, rest: str, count: str, text: str) -> LineEntry | None:
    """`10k R1, R2`, `2 x 10k (R1, R2)`."""
    trail = _TRAIL.search(before)
    before = before[: trail.start()] if trail else before
    before, count = _without_late_count(before, count, refs)
    value, more = split_value(before, explicit=False, columns=False)
    description = " ".join(filter(None, (more, rest)))
    if not _plausible(refs, value, description) or not _stands_before(value, refs):
        return None
    bare = None if count else _BARE_COUNT.match(value)
    if bare and int(bare[1]) == len(find_refs(refs).refs) and worth_end(value[bare.end() :]):
        count, value = bare[1], value[bare.end() :]
    return refs + ("," if text.rstrip().endswith(",") and before else ""), value, count, description


def _stands_before(value: str, refs: str) -> bool:
    """Whether a value in front of its designators is one: figures or a kind, no sentence about parts."""
    measured = class_letters(next(iter(find_refs(refs).refs), "")).upper() in OHMS | FARADS | HENRIES
    if measured and not any(map(str.isdigit, value)) and not KIND_WORD.fullmatch(value + " "):
        return False
    return len(value.split()) < 5 or not any(run.begin for run in runs_of_refs(value))


def late_count(text: str, count: str, refs: str) -> tuple[str, str]:
    """The count at the end of a text and the text without it; a bare number in brackets may be a marking."""
    late = _LATE_COUNT.search(text)
    if not late or count or (late[2] and int(late[2]) != len(find_refs(refs).refs)):
        return count, text
    return next(filter(None, late.groups())), text[: late.start()].rstrip(" -\u2013\u2014")


def _without_late_count(text: str, count: str, refs: str) -> tuple[str, str]:
    count, text = late_count(text, count, refs)
    return text, count


def leading_count(text: str) -> tuple[str, int]:
    """The count at the beginning of a line, and where the rest begins."""
    found = _COUNT.match(text)
    if found:
        return found[1], found.end()
    bare = _BARE_COUNT.match(text)
    if bare and _begins_a_part(text[bare.end() :]) and not _UNIT.match(text[bare.end() :]):
        return bare[1], bare.end()
    said = _WORD_COUNT.match(text)
    return (_NUMBER_WORDS[said[1].casefold()], said.end()) if said else ("", 0)


def _begins_a_part(text: str) -> bool:
    """Whether a text begins with a letter, a quantity or a type number."""
    return text[0].isalpha() or bool(worth_end(text)) or is_type(text.split(" ", 1)[0])


def counted_part(text: str) -> LineEntry | None:
    """A count and a part without a designator: `4 x knob`, `2 330pF 331`."""
    found = _COUNT.match(text)
    if found and text[found.end() :].strip():
        return "", text[found.end() :].strip(), found[1], ""
    bare = _BARE_COUNT.match(text)
    if bare and not _UNIT.match(text[bare.end() :]) and not _PROSE.search(text):
        rest = text[bare.end() :].strip()
        if rest[0].isalnum() and (rest[0].isalpha() or worth_end(rest) or is_type(rest.split(" ", 1)[0])):
            return "", rest, bare[1], ""
    return None


def split_value(text: str, explicit: bool, columns: bool) -> tuple[str, str]:
    """Value and description in what stands beside the designators.

    >>> split_value("68nf     250v   yellow", False, False), split_value("100nF    Orange", False, False)
    (('68nf 250v', 'yellow'), ('100nF', 'Orange'))
    """
    first, *others = _PIECES.split(text, maxsplit=1)
    more = others[0].strip() if others else ""
    kind = KIND_WORD.match(first)
    if kind and first[kind.end() :] and ":" in kind[0]:
        value, _ = split_value(first[kind.end() :], explicit, columns)
        return value, " ".join(filter(None, (kind[0].strip(" :,-"), more)))
    if columns:
        return _by_words(first, more)
    if not explicit and more:
        first, more = with_ratings(first, more)
    return first.strip() if explicit else first.strip(" *"), more


def _by_words(first: str, more: str) -> tuple[str, str]:
    """The first word is the value, with the unit behind it."""
    word, _, rest = first.partition(" ")
    unit = _UNIT_AFTER.match(rest)
    if worth_end(first) > len(word) and unit:
        return f"{word} {unit[0]}", " ".join(filter(None, (rest[unit.end() :].strip(), more)))
    return word, " ".join(filter(None, (rest.strip(), more)))


def with_ratings(value: str, more: str) -> tuple[str, str]:
    """A value with what is rating, taper or count in the pieces behind it."""
    pieces = [piece for piece in re.split(r"\s{2,}|\t", more) if piece]
    rated = [at for at, piece in enumerate(pieces, 1) if is_rating(piece)]
    kept = rated[-1] if rated else 0
    return " ".join([value, *pieces[:kept]]), " ".join(pieces[kept:]) if kept else more


def _plausible(refs: str, value: str, description: str) -> bool:
    """Whether this can be an entry of a list rather than a sentence about parts."""
    words = value.split()
    if _LEADS_ON.match(value):
        return False
    typed = bool(words) and is_type(words[0]) and len(words[0]) > 2
    if len(words) > 14 or (not typed and len(words) > 2 and _PROSE.search(value) and not worth_end(value)):
        return False
    found = find_refs(refs)
    letters = class_letters(found.refs[0]).upper() if found.refs else ""
    if value and letters in OHMS | FARADS | HENRIES:
        if any(map(str.isdigit, value)) or not_fitted(value) or value[0] in "([":
            return True
        return len(words) <= 2 and not _PROSE.search(description[:60])
    said = f"{value} {description[:60]}" if len(words) < 3 else value
    return typed or (bool(words) and not _PROSE.search(said))


def named_part(text: str, *, bulleted: bool = True) -> LineEntry | None:
    """A part that goes by a name with its value behind it: `Level 50kA`, `Cutoff: dual 20kB`, `LED 3mm amber`.

    >>> named_part("Level 50kA"), named_part("Cutoff: dual 20kB"), named_part("resistor 10k")
    (('Level', '50kA', '', ''), ('Cutoff', 'dual 20kB', '', ''), None)
    """
    named = _NAMED.fullmatch(text)
    if named and _may_be_a_name(named[1]) and (bulleted or named[2] or named[3][0] in "ABCW"):
        return named[1], text[named.start(3) :].strip(), "", ""
    called = _CALLED_BY_CLASS.fullmatch(text) if bulleted else None
    if (
        called
        and called[1].isupper()
        and called[1] in KNOWN_CLASSES
        and any(map(str.isdigit, called[2].split()[0]))
    ):
        return called[1], called[2], "", ""
    return None


def _may_be_a_name(word: str) -> bool:
    """Whether a word can be what a board calls a part, and is not a kind, hardware or a heading."""
    if is_plain_word(word) or kind_named(word) is not None:
        return False
    if max(heading_roles(word).values(), default=0.0) >= 0.7:
        return False
    return not KIND_WORD.fullmatch(word + " ")
