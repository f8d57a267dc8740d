"""The builder's record in words, for the terminal and for the screen; pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.estimate.hours import about
from bench.estimate.stats import KindSpeed, OwnRecord, Repeats, SnagRate
from bench.parts.bars import bar_text
from bench.parts.english import counted

StyledLine = tuple[str, str]
"""Text and its look: `head`, `plain`, `faint` or `way`."""

_HELD = {
    "stage": "a stage",
    "module": "a module, before you start",
    "rest": "the rest of a module, part-way",
}


def record_lines(record: OwnRecord, name_width: int = 0, bar_width: int = 0) -> list[StyledLine]:
    """The whole record; names are filled up to `name_width` cells where there is room for columns.

    With `bar_width` a bar stands before the words of what is compared: time a joint, snags, forecasts held.
    """
    if not record.builds:
        return [
            ("Your record is empty: you have not built anything yet.", "plain"),
            ("Every step you finish at the bench is added to it.", "plain"),
        ]
    lines: list[StyledLine] = [(_headline(record), "head")]
    rates = (*record.by_kind, *record.by_stage)
    for title, about_it, rows, sizes in (
        (
            "How fast",
            "",
            list(map(_speed, record.kinds)),
            _of_largest([each.seconds_per_joint for each in record.kinds]),
        ),
        (
            f"Snags: {record.snags}, {_minutes(record.snag_minutes)} lost",
            "Snags per 100 joints (95 % limits)." if record.by_kind or record.by_stage else "",
            list(map(_rate, rates)),
            _of_largest([each.per_hundred for each in rates]),
        ),
        ("Where they were found", "", list(_found(record)), []),
        (
            "Repeat builds",
            "Bench hours of each build in turn.",
            list(map(_again, record.repeats)),
            [],
        ),
        (
            "How past forecasts did",
            "80 % of the ranges should hold.",
            list(_held(record)),
            [each.held / each.forecasts if each.forecasts else 0.0 for each in record.held],
        ),
    ):
        if not rows and not (title.startswith("Snags") and record.joints):
            continue
        lines += [("", "plain"), (title, "head")]
        lines += [(about_it, "faint")] if about_it else []
        bars = ["".join(bar_text(size, bar_width)) + "  " for size in sizes] if bar_width else []
        lines += [
            (f"  {name:<{name_width}}  {bar}{words}" if name_width else f"{name}: {words}", "plain")
            for (name, words), bar in zip(rows, bars or [""] * len(rows), strict=True)
        ]
    return lines


def _of_largest(sizes: Sequence[float]) -> list[float]:
    """Each as a share of the largest."""
    most = max(sizes, default=0.0) or 1.0
    return [size / most for size in sizes]


def _headline(record: OwnRecord) -> str:
    return (
        f"Your record: {counted(record.builds, 'build')}, {record.finished} finished, "
        f"{about(record.seconds)} at the bench, {counted(record.joints, 'joint')}"
    )


def _speed(kind: KindSpeed) -> tuple[str, str]:
    joints = counted(kind.joints, "joint")
    words = f"{joints}, {kind.seconds_per_joint:.0f} s each ({kind.seconds_per_part:.0f} s per part)"
    if kind.trend is not None:
        words += _trend(kind.trend)
    return kind.kind, words


def _trend(ratio: float) -> str:
    change = round(100 * (ratio - 1))
    if ratio >= 2:
        return f", lately {ratio:.1f} times as long"
    if abs(change) < 3:
        return ", steady"
    return f", lately {abs(change)} % {'slower' if change > 0 else 'faster'}"


def _minutes(minutes: float) -> str:
    """Minutes lost, to the minute, halves upwards: a fact, not a forecast."""
    whole = int(minutes + 0.5)
    if whole < 60:
        return f"{whole} min" if whole else "under 1 min"
    return f"{whole // 60} h {whole % 60:02d} min"


def _rate(rate: SnagRate) -> tuple[str, str]:
    lost = f", {_minutes(rate.minutes)} lost" if rate.minutes else ""
    limits = f"{rate.per_hundred:.1f} ({rate.low:.1f} to {min(rate.high, 100.0):.1f})"
    return rate.name, f"{rate.snags} in {counted(rate.joints, 'joint')}: {limits}{lost}"


def _found(record: OwnRecord) -> Iterator[tuple[str, str]]:
    for each in record.found:
        lost = f", {_minutes(each.minutes)} lost" if each.minutes else ""
        yield each.where, f"{counted(each.snags, 'snag')}{lost}"
    if record.readings:
        yield "readings", f"{record.readings_out} of {record.readings} out of limits"
    if record.counts:
        yield "joints counted", f"{record.counts_off} of {counted(record.counts, 'count')} wrong"


def _again(repeats: Repeats) -> tuple[str, str]:
    words = ", ".join(f"{hours:.1f}" for hours in repeats.hours)
    if repeats.rate is not None:
        words += f"; each doubling of builds brings the time to {100 * repeats.rate:.0f} %"
    return repeats.kit, words


def _held(record: OwnRecord) -> Iterator[tuple[str, str]]:
    for each in record.held:
        share = f" ({100 * each.held / each.forecasts:.0f} %)" if each.forecasts >= 10 else ""
        yield _HELD[each.what], f"{each.held} of {each.forecasts} held{share}"
