"""What is read of makers' papers: lists as text and as PDFs, drawings, board files, and what contradicts.

All papers are invented and made here, so that their truth is known. Lists printed by a browser need Chromium
(`SOLDERSIDE_CHROMIUM` names one); without it their figures are left out.
"""

from __future__ import annotations

import csv
import io
import random
import statistics
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from bench.papers.boards import read_board
from bench.papers.compare import compare
from bench.papers.paper import read_paper, read_places
from tests.benchmarks import Figure
from tests.papers.test_compare import FULL as FULL_LIST
from tests.papers.test_compare import LIST, OTHERWISE, PAIRS, reading, said
from tests.support.boards import BELL, FORMATS, netlist
from tests.support.browser import browser, chromium
from tests.support.pdfs import placement_drawing, table, typed
from tests.support.printed_lists import STYLES, printed_list
from tests.support.reading_samples import SAMPLES, found_in, plain, read, wanted

Truth = Mapping[str, str]
_AS_TABLES: dict[str, Callable[[list[list[str]]], bytes]] = {
    "with lines": lambda rows: table(rows, ruled=True),
    "without lines": table,
    "centred": lambda rows: table(rows, align=lambda _: "C"),
    "over pages": lambda rows: table(rows, a_page=8, repeat=False),
}


class _Tally:
    """Designators wanted, found, invented, and values right, over several papers."""

    def __init__(self) -> None:
        self.papers = self.wanted = self.found = self.invented = self.right = 0

    def add(self, want: Truth, got: Truth) -> None:
        both = want.keys() & got.keys()
        self.papers += 1
        self.wanted += len(want)
        self.found += len(both)
        self.invented += len(got.keys() - want.keys())
        self.right += sum(plain(want[ref]) == plain(got[ref]) for ref in both)

    def figures(self, what: str, found: float, value: float, invented: float) -> Iterator[Figure]:
        share, right = self.found / max(self.wanted, 1), self.right / max(self.found, 1)
        each = self.invented / max(self.papers, 1)
        yield Figure(
            what=f"{what}: designators found", value=share, goal=f">= {found}", met=share >= found,
            detail=f"{self.papers} papers, {self.wanted} designators",
        )  # fmt: skip
        yield Figure(what=f"{what}: values as written", value=right, goal=f">= {value}", met=right >= value)
        yield Figure(
            what=f"{what}: designators invented in a paper", value=each, goal=f"<= {invented}",
            met=each <= invented, detail=f"{self.invented} in all",
        )  # fmt: skip


def _bare(found: Mapping[tuple[str, str], str]) -> dict[str, str]:
    return {ref: value for (_, ref), value in found.items()}


def _lists() -> Iterator[Figure]:
    tally = _Tally()
    for sample in SAMPLES:
        tally.add(_bare(wanted(sample)), _bare(found_in(read(sample))))
    yield from tally.figures("lists of text", 0.995, 0.985, 0.2)


def _printed(quick: bool) -> Iterator[Figure]:
    """Lists with one board, as offices print them; those with values inside of descriptions are told apart."""
    tally = _Tally()
    for sample in SAMPLES[:: 4 if quick else 1]:
        rows = _rows(sample)
        want = wanted(sample)
        if not rows or any(board for board, _ in want) or any(" " in each for each in want.values()):
            continue
        for make in _AS_TABLES.values():
            tally.add(_bare(want), _bare(found_in(read_paper(make(rows), "list.pdf"))))
    yield from tally.figures("lists as PDFs of an office", 0.96, 0.9, 1.0)


def _rows(sample: Path) -> list[list[str]]:
    """The rows of a list with signs between its columns; none for any other."""
    if sample.suffix not in (".csv", ".tsv"):
        return []
    try:
        text = sample.read_text(encoding="utf-8")
        dialect = csv.Sniffer().sniff(text[:2000], ",;\t|")
        rows = [row for row in csv.reader(io.StringIO(text), dialect) if row]
    except (UnicodeDecodeError, csv.Error):
        return []
    latin = text.replace("Ω", "").replace("μ", "").encode("latin-1", "replace")
    return rows if len(rows) > 2 and max(map(len, rows)) > 1 and b"?" not in latin else []


def _typewriter() -> Iterator[Figure]:
    tally = _Tally()
    for seed in range(4):
        _, want = printed_list("mono", seed)
        paper = typed(f"{ref:8}{value}" for ref, value in want.items())
        tally.add(want, _bare(found_in(read_paper(paper, "a.pdf"))))
    yield from tally.figures("lists as a typewriter sets them", 0.96, 0.95, 1.0)


def _browser(seed: int, quick: bool) -> Iterator[Figure]:
    if not chromium():
        return
    tally = _Tally()
    with tempfile.TemporaryDirectory() as folder, browser() as page:
        for style in STYLES:
            for number in range(1 if quick else 3):
                text, want = printed_list(style, 100 * seed + number)
                source = Path(folder, "list.html")
                source.write_text(text, encoding="utf-8")
                page.open(source)
                tally.add(want, _bare(found_in(read_paper(page.paper(), "list.pdf"))))
    yield from tally.figures("lists printed by a browser", 0.96, 0.95, 1.0)


def _drawings(seed: int) -> Iterator[Figure]:
    chance = random.Random(seed)
    size = (90.0, 60.0)
    refs = [*(f"R{at}" for at in range(1, 25)), *(f"C{at}" for at in range(1, 16))]
    parts = {
        ref: (10.0 + 9 * (at % 9) + chance.random(), 8.0 + 9 * (at // 9) + chance.random())
        for at, ref in enumerate(refs)
    }
    for labels, most in (("inside", 0.5), ("beside", 3.5)):
        errors: list[float] = []
        for back in (False, True):
            found = read_places(placement_drawing(parts, size, labels=labels, back=back), "drawing.pdf", size)
            errors += [
                ((each.x - parts[each.ref][0]) ** 2 + (each.y - parts[each.ref][1]) ** 2) ** 0.5
                for each in found.places
                if each.ref in parts
            ]
        share = len(errors) / (2 * len(parts))
        yield Figure(
            what=f"drawings, labels {labels}: designators found", value=share, goal=">= 0.95", met=share >= 0.95
        )
        middle = statistics.median(errors)
        yield Figure(
            what=f"drawings, labels {labels}: off by, median in mm", value=middle, goal=f"<= {most}",
            met=middle <= most,
        )  # fmt: skip


def _boards() -> Iterator[Figure]:
    papers = {**FORMATS, "IPC-D-356": netlist()}
    wrong = []
    for name, text in papers.items():
        board = read_board(text.encode(), "bell.brd")
        found = {
            part.ref: (part.value, part.side, round(part.x, 1), round(part.y, 1), part.joints)
            for part in board.parts
            if not part.drawn_only
        }
        valued = name != "IPC-D-356"
        want = {ref: (value if valued else "", *more) for ref, (value, *more) in BELL.items()}
        if found != want:
            wrong.append(name)
    share = 1 - len(wrong) / len(papers)
    yield Figure(
        what="board files read right", value=share, goal="== 1", met=not wrong,
        detail=f"{len(papers)} formats" + (f", wrong: {', '.join(wrong)}" if wrong else ""),
    )  # fmt: skip


def _contradictions() -> Iterator[Figure]:
    wanted_in_all = found_in_all = false = 0
    pairs: Iterable[tuple[str, tuple[str, set[tuple[str, str]]]]] = [
        *((LIST, pair) for pair in PAIRS.values()), *((FULL_LIST, pair) for pair in OTHERWISE.values()),
    ]  # fmt: skip
    for here, (other, want) in pairs:
        got = said(compare(reading(here), reading(other, "other.csv")))
        wanted_in_all += len(want)
        found_in_all += len(want & got)
        false += len(got - want)
    share = found_in_all / wanted_in_all
    yield Figure(
        what="contradictions found", value=share, goal="== 1", met=share == 1,
        detail=f"{wanted_in_all} in {len(PAIRS) + len(OTHERWISE)} pairs",
    )  # fmt: skip
    yield Figure(what="contradictions that are none", value=false, goal="0", met=not false)


def run(seed: int, quick: bool) -> Iterator[Figure]:
    """All sorts of papers; `quick` takes fewer of those that are printed."""
    yield from _lists()
    yield from _printed(quick)
    yield from _typewriter()
    yield from _browser(seed, quick)
    yield from _drawings(seed)
    yield from _boards()
    yield from _contradictions()
