"""What the shelf says of builds and kits; pure, text only."""

from __future__ import annotations

from bench.batch.shelf import KitAtHand
from bench.log.clock import spell
from bench.parts.english import counted
from bench.session.folders import Summary
from bench.ui.forms import Question
from bench.ui.text import cells, clean, cut

StyledLine = tuple[str, str]
"""Text and its look."""


def unit_question(given: str) -> Question:
    """What a unit of a kit is called; `given` is what it is called so far, or would be."""
    hint = "A name or a number; it is in the title, on paper and in the write-up."
    return Question(ask="what is this unit called?", hint=hint, given=given, replaced=True)


def build_line(build: Summary, wide: int, mark: str = "") -> str:
    """One build in one line; its title takes `wide` cells."""
    share = f"{100 * build.items_done // build.items} %" if build.items else "?"
    state = "built" if build.finished else share
    held = f", {build.held} held back" if build.held else ""
    trouble = f"  ! {build.problem}" if build.problem else ""
    spent = f"{spell(build.bench_seconds)} at the bench"
    return clean(
        f"{mark}{state:>5}  {_padded(build.title, wide)}  {spent}{held}, {build.last[:10]}{trouble}", 500
    )


def about_build(build: Summary) -> list[StyledLine]:
    """All about a build: trouble first."""
    spans = [(clean(f"! {build.problem}", 600), "caution")] if build.problem else []
    spans.append((clean(build.title, 300), "value"))
    if build.finished:
        done = "Built: every step is done."
    elif build.items:
        done = f"{100 * build.items_done // build.items} % of all parts and tasks done"
        done += f", {build.held} held back." if build.held else "."
    else:
        done = "How much is done is unknown without its kit file."
    begun = f" Started {build.started[:10]}, last worked on {build.last[:10]}." if build.started else ""
    spans.append((f"{done}{begun}", "plain"))
    spans.append((clean(f"{spell(build.bench_seconds)} at the bench. Build {build.name}.", 400), "plain"))
    return spans


def kit_line(kit: KitAtHand, wide: int, width: int, mark: str = "") -> str:
    """One kit in a line of `width` cells, with what has room in it; its title takes `wide` of them."""
    title = _padded(kit.title, wide)
    if kit.faults:
        return clean(f"{mark}  kit  {title}  {counted(kit.faults, 'fault')} in {kit.path}", 500)
    said = f"{mark}  kit  {title}"
    for word in (
        f"{counted(kit.count.total, 'part'):>9}",
        f"{counted(kit.count.joints, 'joint'):>10}",
        f"{kit.level:<16}",
        kit.maker,
    ):
        if cells(f"{said}  {clean(word.rstrip(), 200)}") > width:
            break
        said += f"  {clean(word, 200)}"
    return clean(said.rstrip(), 500)


def about_kit(kit: KitAtHand) -> list[StyledLine]:
    """All about a kit: what can kill first."""
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
    return [*spans, (clean(kit.path, 400), "faint")]


def _padded(text: str, wide: int) -> str:
    said = cut(clean(text, 300), wide)
    return said + " " * (wide - cells(said))
