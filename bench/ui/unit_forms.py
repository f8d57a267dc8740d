"""Several units side by side: the line that shows them, and what the builder can choose."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.session.build import Build
from bench.session.side_by_side import BY_STAGE, BY_VALUE, SideBySide
from bench.session.together import gone, join, next_name, take_back
from bench.session.view import StepView
from bench.ui.card_blocks import StyledRow, lines
from bench.ui.forms import Choice, FormLine, Question, Situation, table
from bench.ui.text import clean

_BACK = "bcdefghi"
"""Keys for units that come back."""


def unit_marks(view: StepView) -> str:
    """Which unit is at work, and how the step stands on each: `Unit B: ✓A ▸B ·C (D)`; D is set aside."""
    if view.step is None:
        return clean(f"Unit {view.unit}", 200)
    shown = {"done": "✓{}", "open": "·{}", "aside": "({})"} | ({} if view.looking else {view.unit: "▸{}"})
    marks = (shown.get(each.name, shown[each.state]).format(each.name) for each in view.units)
    return clean(f"Unit {view.unit}: {' '.join(marks)}", 200)


def unit_line(view: StepView, width: int) -> list[StyledRow]:
    """The same as a row of the card; none for a build alone."""
    return lines(unit_marks(view), "loud", width) if view.units else []


def _bench(build: Build) -> SideBySide | None:
    """The units on the bench, where there are several."""
    return build.beside if build.beside is not None and len(build.beside.builds) > 1 else None


def _where(build: Build) -> str:
    step = build.next_step
    state = ", set aside" if build.progress.aside else ""
    if build.log.read_only:
        state += f", read only: {build.log.why_read_only}"
    return clean(
        f"unit {build.unit}: " + (f"{step.stage}, {step.value}" if step else "no step left") + state, 90
    )


def unit_choice(at: Situation) -> Choice:
    """Which unit to go on with, and what else can be done with them."""
    build, bench = at.build, _bench(at.build)
    units = bench.builds if bench else []
    joints = any(each.progress.joints for each in (units or [build]))
    choices = [(str(n), _where(each)) for n, each in enumerate(units, 1) if each is not build]
    if bench is not None:
        other = "by value" if bench.by == BY_STAGE else "by stage"
        choices += [
            ("s", f"set unit {build.unit} aside"),
            ("o", f"take unit {build.unit} out: it goes on alone another time"),
            ("v", f"{other}: each {other[3:]} on all units before the next"),
        ]
    back = dict(zip(_BACK, gone(build, at.settings), strict=False))
    choices += [
        (key, clean(f"bring unit {name} back beside the others", 90)) for key, (_, name) in back.items()
    ]
    if not joints:
        choices.append(("j", "start another unit of this kit beside it"))
    if not choices:
        raise SoldersideError(
            "this build is alone on the bench", "", "another unit can join until the first joint only"
        )

    def settle(key: str) -> str:
        if key == "j":
            return _join(at)
        if key in back:
            take_back(build, back[key][0], at.settings, build.clock)
            return f"Unit {back[key][1]} is back beside the others."
        assert bench is not None
        if key == "o":
            bench.leave(build)
            return f"Unit {build.unit} goes on alone: solderside build {build.name}"
        if key == "v":
            bench.by = BY_VALUE if bench.by == BY_STAGE else BY_STAGE
            return f"Now {other}: each {other[3:]} on all units before the next. Near power always by stage."
        chosen = units[int(key) - 1]
        bench.choose(chosen)
        return f"Unit {chosen.unit}."

    ask = f"Unit {build.unit} is at work. What now?" if bench else "This build is alone on the bench."
    return Choice(ask=clean(ask, 200), choices=tuple(choices), settle=settle, leads={"s": "set_aside"})


def _join(at: Situation) -> str:
    name = next_name(at.build)
    data = at.build.log.folder.parent.parent
    join(data, at.build, at.settings, at.build.clock, [name] if at.build.beside else ["A", name])
    return f"Unit {name} is beside it."


def _apart(at: Situation) -> Build:
    if _bench(at.build) is None:
        raise SoldersideError("this build is alone on the bench", "", "")
    return at.build


UNIT_FORMS = table(
    FormLine(
        command="units",
        about=lambda _: None,
        title="Units",
        questions=(),
        record=lambda at, _, said: None,
        instead=unit_choice,
    ),
    FormLine(
        command="set_aside",
        about=_apart,
        title=lambda build: f"Set unit {build.unit} aside",
        questions=(Question(ask="why?", hint="Optional.", needed=False),),
        record=lambda at, build, said: build.set_aside(said[0]),
        word=lambda build: f"Unit {build.unit} is set aside.",
    ),
)
"""The lines of the table of forms that are about units side by side."""
