"""What the shelf says of builds and kits; pure, text only."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from bench.batch.shelf import KitAtHand
from bench.batch.shelf_at_work import Thing
from bench.log.clock import spell
from bench.parts.bars import bar_text
from bench.parts.english import counted
from bench.session.summaries import Summary
from bench.ui.card_blocks import StyledRow
from bench.ui.forms import Question
from bench.ui.text import cells, clean, cut_title
from bench.writeup.moments import Calendar

StyledLine = tuple[str, str]
"""Text and its look."""


def unit_question(given: str) -> Question:
    """What a unit of a kit is called; `given` is what it is called so far, or would be."""
    hint = "A name or a number; it is in the title, on paper and in the article."
    return Question(ask="what is this unit called?", hint=hint, given=given)


GROUPS = ("Under way", "Ready to build", "Built", "Put away")
WIDEST_TITLE = 40
"""Cells of the longest title that the columns beside it make room for."""
_BAR = 10
"""Cells of the bar that shows how much is done."""


def group_of(thing: Thing) -> str:
    """The group in which a build or kit stands on the shelf."""
    if isinstance(thing, KitAtHand):
        return "Ready to build"
    return "Put away" if thing.put_away else "Built" if thing.finished else "Under way"


def arranged(things: Iterable[Thing]) -> list[Thing]:
    """In the order of the groups; within each as they come."""
    return sorted(things, key=lambda thing: GROUPS.index(group_of(thing)))


def words_of(thing: Thing) -> str:
    """All that a build or kit can be found by."""
    if isinstance(thing, Summary):
        return f"{thing.title} {thing.name}".casefold()
    return f"{thing.title} {thing.maker} {thing.path}".casefold()


def title_width(things: Iterable[Thing], width: int) -> int:
    """Cells for the titles of a list that is `width` cells wide."""
    longest = max((cells(clean(thing.title, 300)) for thing in things), default=0)
    return max(12, min(WIDEST_TITLE, longest, width - 9))


def group_head(group: str, wide: int, width: int) -> StyledRow:
    """The head of a group with the names of its columns, over lines whose titles take `wide` cells."""
    lead = f" {group} "
    rule = "─" * max(0, wide + 4 - cells(lead))
    columns = _KIT_COLUMNS if group == "Ready to build" else _BUILD_COLUMNS
    names = "".join(f"  {name:{how}}" for name, how in columns[: _fitting(columns, width - wide - 4)])
    return (lead, "head"), (rule, "faint"), (names, "faint")


_BUILD_COLUMNS = (("done", ">5"), ("", f"<{_BAR}"), ("at the bench", ">12"), ("last", "<10"))
_KIT_COLUMNS = (("parts", ">5"), ("joints", ">6"), ("how hard", "<18"), ("maker", "<16"))
"""Name of each column, and how it is aligned in how many cells."""


def _fitting(columns: Sequence[tuple[str, str]], room: int) -> int:
    """How many of the columns have room."""
    for number, (_, how) in enumerate(columns):
        room -= 2 + int(how[1:])
        if room < 0:
            return number
    return len(columns)


def thing_line(thing: Thing, wide: int, width: int, mark: str = "") -> tuple[StyledRow, str]:
    """A build or kit in a line of `width` cells; its title takes `wide` of them."""
    if thing.pending:
        return ((f"{mark or '  '}{_padded(thing.title, wide)}", "faint"), ("  ...", "faint")), "faint"
    if isinstance(thing, Summary):
        return _build_line(thing, wide, width, mark or "  ")
    return _kit_line(thing, wide, width, mark or "  ")


def _build_line(build: Summary, wide: int, width: int, mark: str) -> tuple[StyledRow, str]:
    quiet = build.finished or build.put_away
    look = "faint" if quiet else "plain"
    share = build.items_done / build.items if build.items else 0.0
    percent = f"{int(100 * share)} %" if build.items else "?"
    texts = (((percent, look),), bar(share, _BAR, quiet=quiet), ((spell(build.bench_seconds), look),),
             ((day_of(build.last), "faint"),))  # fmt: skip
    spans = [
        (mark, "key"),
        (_padded(build.title, wide), look),
        *_in_columns(texts, _BUILD_COLUMNS, wide, width),
    ]
    if build.held:
        spans.append((f"  {build.held} held back", "caution"))
    if build.problem:
        spans.append((clean(f"  ! {build.problem}", 400), "caution"))
    return tuple(spans), look


def _kit_line(kit: KitAtHand, wide: int, width: int, mark: str) -> tuple[StyledRow, str]:
    title = _padded(kit.title, wide)
    if kit.faults:
        said = clean(f"  {counted(kit.faults, 'fault')} in {kit.path}", 500)
        return ((mark, "key"), (title, "caution"), (said, "caution")), "caution"
    texts = (((f"{kit.count.total}", "plain"),), ((f"{kit.count.joints}", "plain"),), ((kit.level, "plain"),),
             ((clean(kit.maker, 200), "faint"),))  # fmt: skip
    return ((mark, "key"), (title, "refs"), *_in_columns(texts, _KIT_COLUMNS, wide, width)), "refs"


def _in_columns(
    texts: Sequence[StyledRow], columns: Sequence[tuple[str, str]], wide: int, width: int
) -> Iterator[tuple[str, str]]:
    """What stands in each column that has room beside a mark and a title; a text alone is aligned."""
    for spans, (_, how) in zip(texts[: _fitting(columns, width - wide - 2)], columns, strict=False):
        yield "  ", "plain"
        if len(spans) == 1:
            yield f"{spans[0][0]:{how}}", spans[0][1]
        else:
            yield from spans


def bar(share: float, width: int, *, quiet: bool = False) -> StyledRow:
    """How much of something is done, as a bar of `width` cells; full only when all of it is.

    >>> "".join(text for text, _ in bar(0.5, 4))
    '━━┄┄'
    """
    full, rest = bar_text(share, width)
    return (full, "faint" if quiet else "value"), (rest, "faint")


_CALENDAR = Calendar()


def day_of(at: str) -> str:
    """The day of a UTC stamp in this computer's zone; empty where it cannot be read."""
    return _CALENDAR.when(at).day if at else ""


def about_build(build: Summary) -> list[StyledLine]:
    """All about a build: trouble first."""
    spans = [(clean(f"! {build.problem}", 600), "caution")] if build.problem else []
    spans.append((clean(build.title, 300), "value"))
    if build.pending:
        return [*spans, ("Being read ...", "faint")]
    if build.finished:
        done = "Built: every step is done."
    elif build.items:
        done = f"{100 * build.items_done // build.items} % of all parts and tasks done"
        done += f", {build.held} held back." if build.held else "."
    else:
        done = "How much is done is unknown without its kit file."
    away = " Put away." if build.put_away else ""
    begun = f" Started {day_of(build.started)}, last worked on {day_of(build.last)}." if build.started else ""
    spans.append((f"{done}{begun}", "plain"))
    spans.append((clean(f"{spell(build.bench_seconds)} at the bench. Build {build.name}.{away}", 400), "plain"))
    return spans


def about_kit(kit: KitAtHand, name: str = "") -> list[StyledLine]:
    """All about a kit: what can kill first; `name` is what the command line calls it, where not its path."""
    if kit.pending:
        return [(clean(kit.title, 300), "value"), ("Being read ...", "faint"), (clean(kit.path, 400), "faint")]
    if kit.faults:
        return [
            (clean(f"{kit.path} cannot be built yet.", 600), "caution"),
            (f"It has {counted(kit.faults, 'fault')}; open it to see where, and what to do.", "plain"),
        ]
    spans = [
        (f"{hazard.upper()} CAN KILL: local rules and licensed practice come first.", "caution")
        for hazard in kit.hazards
    ]
    if kit.omission:
        spans.append((clean(kit.omission, 600), "caution"))
    maker = f", {kit.maker}" if kit.maker else ""
    spans.append((clean(f"{kit.title}{maker}", 300), "value"))
    size = f"{kit.count.words()}; {counted(kit.count.joints, 'joint')}, {counted(kit.boards, 'board')}"
    hard = f"; difficulty {kit.points}, {kit.level}" if kit.level else ""
    spans.append((f"{size}{hard}.", "plain"))
    spans += [(clean(kit.about, 600), "plain")] if kit.about else []
    return [*spans, (clean(f"solderside build {name or kit.path}", 400), "faint")]


def _padded(text: str, wide: int) -> str:
    said = cut_title(clean(text, 300), wide)
    return said + " " * (wide - cells(said))
