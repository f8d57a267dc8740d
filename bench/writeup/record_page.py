"""The builder's record as a page with drawings, and as a table for a spreadsheet; pure."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterable, Sequence

from bench.estimate.observations import BuildDone
from bench.estimate.scoring import PaceModel
from bench.estimate.stats import OwnRecord, SnagRate
from bench.estimate.teaching import went_wrong
from bench.log.clock import spell
from bench.parts.english import counted
from bench.writeup.table_page import Section, Span, csv_text, table_page

_MIDDLE, _EDGE = 4.0, 1.2816
"""Where zero stands in the drawing of forecasts, and the z-score of the ends of an 80 % range."""
_MOST = 60
"""Lines of one drawing."""


def record_page(builds: Sequence[BuildDone], record: OwnRecord, known: PaceModel) -> str:
    """The page as HTML."""
    sections = [
        _pace(builds),
        _rates("Snags by kind of part", record.by_kind),
        _rates("Snags by stage", record.by_stage),
        _wrong(builds),
        _forecasts(known),
    ]
    many = (record.builds, "build"), (record.joints, "joint"), (record.snags, "snag")
    about = ", ".join(counted(number, word) for number, word in many)
    about = f"{about}, {spell(record.seconds)} at the bench."
    if not builds:
        sections = [Section(title="Nothing yet", lines=("Every step you finish at the bench is added here.",))]
    return table_page("What your builds tell", about, sections)


def months(builds: Iterable[BuildDone]) -> list[tuple[str, float, int]]:
    """Each month with seconds and joints of what was soldered in builds begun in it, oldest first."""
    found: dict[str, tuple[float, int]] = {}
    for build in builds:
        seconds, joints = found.get(build.started[:7], (0.0, 0))
        seconds += sum(kind.seconds for kind in build.kinds)
        found[build.started[:7]] = seconds, joints + sum(kind.joints for kind in build.kinds)
    return [(month, seconds, joints) for month, (seconds, joints) in sorted(found.items()) if month and joints]


def _pace(builds: Sequence[BuildDone]) -> Section:
    spans = [
        Span(
            label=f"{month_name[int(month[5:])]} {month[:4]}" if month[5:].isdigit() else month,
            mark=seconds / joints,
            said=f"{seconds / joints:.1f} s for a joint, {counted(joints, 'joint')}",
        )
        for month, seconds, joints in months(builds)
    ]
    about = (
        "Seconds for a joint, by the month in which a build was begun. "
        "Kits differ: a month of large parts is slower."
    )
    return Section(title="Pace over months", spans=tuple(spans[-_MOST:]), about=about)


def _rates(title: str, rates: Sequence[SnagRate]) -> Section:
    spans = [
        Span(
            label=each.name,
            mark=each.per_hundred,
            low=each.low,
            high=each.high,
            said=f"{each.per_hundred:.1f} in a hundred joints (95 %: {each.low:.1f} to {each.high:.1f}), "
            f"{each.snags} in {each.joints}, {each.minutes:.0f} min lost",
        )
        for each in rates
    ]
    about = (
        "Snags in a hundred joints with their exact 95 % limits (Garwood, Biometrika 28, 1936). "
        "Where limits overlap widely there may be no difference."
    )
    return Section(title=title, spans=tuple(spans[:_MOST]), about=about)


def _wrong(builds: Sequence[BuildDone]) -> Section:
    rows = tuple(
        (
            each.family or "part not named",
            each.manner or "otherwise",
            str(each.snags),
            each.where,
            f"{each.minutes:.0f}",
        )
        for each in went_wrong(builds)
    )
    heads = ("Parts", "What was wrong", "Snags", "Mostly came to light", "Minutes lost")
    return Section(title="What went wrong most", heads=heads, rows=rows)


def _forecasts(known: PaceModel) -> Section:
    first = [score for score in known.scores if score.what == "rest" and not score.at]
    spans = [
        Span(
            label=score.build,
            mark=max(0.0, min(2 * _MIDDLE, _MIDDLE + score.z_score)),
            low=_MIDDLE - _EDGE,
            high=_MIDDLE + _EDGE,
            said="as forecast"
            if score.held
            else f"{'longer' if score.z_score > 0 else 'shorter'} than forecast",
        )
        for score in first
    ]
    held = sum(score.held for score in first)
    words = f"{held} of {counted(len(first), 'forecast')} made before a module held; 4 of 5 should."
    lines = (words,) if first else ()
    about = "The bar is the 80 % range of each forecast; the mark is what happened: left faster, right slower."
    return Section(
        title="Forecasts against what happened", lines=lines, spans=tuple(spans[-_MOST:]), about=about
    )


def record_csv(builds: Sequence[BuildDone]) -> str:
    """Everything in one table: a line for each build, stage, kind of part and snag."""
    heads = (
        "what", "build", "kit", "when", "name", "board", "seconds", "joints", "parts", "minutes lost", "where",
        "text",
    )  # fmt: skip
    told: list[dict[str, object]] = []
    for build in builds:
        joints = sum(kind.joints for kind in build.kinds)
        state = "finished" if build.finished else "under way"
        rows = [dict(what="build", when=build.started, seconds=build.seconds, joints=joints, text=state)]
        rows += [
            dict(what="stage", when=each.ended, name=each.place[0], board=each.place[1], seconds=each.seconds,
                 joints=round(each.joints))
            for each in build.stages
        ]  # fmt: skip
        rows += [
            dict(what="kind", name=each.kind, seconds=each.seconds, joints=each.joints, parts=each.parts)
            for each in build.kinds
        ]
        rows += [
            {"what": "snag", "when": each.at, "name": each.kind or each.stage, "minutes lost": each.minutes,
             "where": each.where, "text": each.what}
            for each in build.snags
        ]  # fmt: skip
        told += [{"build": build.build, "kit": build.kit, **row} for row in rows]
    cells = [
        [round(cell, 1) if head == "seconds" and isinstance(cell, float) else cell for head, cell in row]
        for row in ([(head, row.get(head, "")) for head in heads] for row in told)
    ]
    return csv_text(heads, cells)
