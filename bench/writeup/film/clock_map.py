"""A camera's clock against the bench clock: offset, drift, residuals and warnings. Pure.

Sources: JCGM 100:2008 (GUM) H.3 for the line and its uncertainty; RFC 5905 section 8 for the mean offset.
A quartz clock is off by less than 100 parts in a million (common practice, no source); 500 is what a clock may
be off at most in RFC 5905 (MAXFREQ, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from bench.errors import SoldersideError
from bench.measure.fit import Fit, FitError, fit_line

FRAME_SECONDS = 0.04
"""Length of a frame where nobody said: 25 a second."""
MOST_RESIDUAL = 2 * FRAME_SECONDS
"""A mark further off than this, in seconds, was read wrong."""
MOST_DRIFT = 500e-6
"""No clock drifts more than this against another."""
NTSC_DRIFT = 1 / 1001
"""30 frames a second taken for 29.97 or the other way: the ratio 1000 to 1001."""


class ClockError(SoldersideError):
    """The marks of a clip do not make a clock."""


class Pair(Struct, frozen=True, kw_only=True):
    """One moment on both clocks."""

    bench: float
    """Bench time, seconds since 1970."""
    clip: float
    """Seconds from the start of the clip."""
    mark: str = ""
    """What ties them, such as `clap 2`."""


class ClockMap(Struct, frozen=True, kw_only=True):
    """A straight line from bench time to the time of a clip."""

    reference: float
    """Bench time at which `offset` holds, seconds since 1970."""
    offset: float
    """Seconds in the clip at the reference."""
    drift: float = 0.0
    """Seconds that the camera's clock gains in a second; 0 where one mark alone cannot tell."""
    pairs: tuple[Pair, ...] = ()
    """The marks, by bench time; empty for a start read off the camera's clock."""
    fit: Fit | None = None
    """How the line was found; None where it is an offset alone."""
    camera: str = ""
    """What other clips of its camera lent it, in words: its offset, its drift; empty for nothing."""

    def clip(self, bench: float) -> float:
        """Seconds in the clip at a bench time."""
        since = bench - self.reference
        return self.offset + since + since * self.drift

    def bench(self, clip: float) -> float:
        """Bench time at a second of the clip."""
        return self.reference + (clip - self.offset) / (1.0 + self.drift)

    @property
    def residuals(self) -> tuple[float, ...]:
        """For each mark, seconds that it is seen later in the clip than the line says."""
        return tuple(pair.clip - self.clip(pair.bench) for pair in self.pairs)

    @property
    def drift_uncertainty(self) -> float | None:
        """Standard uncertainty of the drift; None below three marks, where nothing can be said."""
        return self.fit.uncertainty(1) if self.fit else None

    def uncertainty(self, bench: float) -> float | None:
        """Standard uncertainty of `clip(bench)`, seconds; None below three marks."""
        return self.fit.uncertainty_at((1.0, bench - self.reference)) if self.fit else None


def from_start(begins: float) -> ClockMap:
    """The map of a clip that starts at this bench time, taking the camera's word for it."""
    return ClockMap(reference=begins, offset=0.0)


def mean_offset(pairs: Sequence[Pair]) -> ClockMap:
    """An offset alone, the mean over all marks: all that one mark gives.

    For the four stamps of an exchange between two clocks this is theta of RFC 5905 section 8: the way there
    and the way back are taken to last equally long.

    >>> there, back = Pair(bench=10.0, clip=10.05), Pair(bench=10.1, clip=10.05)
    >>> mean_offset([there, back]).offset - mean_offset([there, back]).reference
    0.0
    """
    if not pairs:
        raise ClockError("a clip without a mark has no clock", hint="give a clap or its start")
    reference = math.fsum(pair.bench for pair in pairs) / len(pairs)
    late = math.fsum(pair.clip - (pair.bench - reference) for pair in pairs) / len(pairs)
    return ClockMap(reference=reference, offset=late, pairs=_ordered(pairs))


def map_clock(pairs: Sequence[Pair]) -> ClockMap:
    """The map through the marks: one gives an offset, two an exact line, more a line of least squares.

    Raises ClockError when the marks contradict one another so that time would stand still or run backwards.

    >>> found = map_clock([Pair(bench=100.0, clip=5.0), Pair(bench=1100.0, clip=1005.02)])
    >>> round(found.drift * 1e6, 3), round(found.clip(600.0), 6), found.uncertainty(600.0)
    (20.0, 505.01, None)
    """
    if len(pairs) < 2:
        return mean_offset(pairs)
    ordered = _ordered(pairs)
    reference = math.fsum(pair.bench for pair in ordered) / len(ordered)
    x = [pair.bench - reference for pair in ordered]
    try:
        fit = fit_line(x, [pair.clip - since for pair, since in zip(ordered, x, strict=True)])
    except FitError as error:
        raise ClockError("these marks were made at one moment", hint="name a second one, later on") from error
    offset, drift = fit.coefficients
    if not -0.5 < drift < 1.0:
        raise ClockError(
            "these marks contradict each other: the clip would run backwards, or at twice its speed",
            hint="check which clap is seen when",
        )
    return ClockMap(reference=reference, offset=offset, drift=drift, pairs=ordered, fit=fit)


def _ordered(pairs: Sequence[Pair]) -> tuple[Pair, ...]:
    return tuple(sorted(pairs, key=lambda pair: (pair.bench, pair.clip)))


# -- doubts ------------------------------------------------------------------------------------------
def doubts(found: ClockMap) -> tuple[str, ...]:
    """Warnings about a map, in sentences; empty when there are none."""
    odd = _odd_one_out(found.pairs)
    if odd is not None:
        by = abs(odd.clip - map_clock([pair for pair in found.pairs if pair is not odd]).clip(odd.bench))
        return (f"{_mark(odd)} is off by {by:.2f} s from all the others: check when it is seen in the clip.",)
    return (*(_drift_doubts(found) if found.fit is not None else ()), *_residual_doubts(found))


def _drift_doubts(found: ClockMap) -> list[str]:
    span = found.pairs[-1].bench - found.pairs[0].bench
    ppm = found.drift * 1e6
    said = []
    if abs(abs(found.drift) - NTSC_DRIFT) < 1e-4:
        said.append(
            f"A drift of {ppm:+.0f} ppm is that of 30 frames a second taken for 29.97: read the seconds off "
            "a player that shows time, not frames."
        )
    elif abs(found.drift) > MOST_DRIFT:
        said.append(
            f"No clock drifts by {ppm:+,.0f} ppm (cameras keep within 100): a clap was misread in the clip, or "
            "is another clap."
        )
    if len(found.pairs) == 2 and FRAME_SECONDS / span > MOST_DRIFT / 2:
        off = FRAME_SECONDS / span * 3600
        said.append(
            f"The two marks are only {span:.0f} s apart: one frame read wrong puts a moment an hour away off "
            f"by {off:.1f} s. Clap at the start and near the end."
        )
    return said


def impossible(found: ClockMap) -> str:
    """Why no camera can have this clock, with what to check; empty where one can.

    A clap typed and seen half a second apart, or read to the second alone, is no reason: between marks that are
    near it makes much of a drift.
    """
    if found.fit is None:
        return ""
    span = found.pairs[-1].bench - found.pairs[0].bench
    slack = 1.0 if all(pair.clip == int(pair.clip) for pair in found.pairs) else 0.5
    return " ".join(doubts(found)) if abs(found.drift) * span > MOST_DRIFT * span + slack else ""


def _residual_doubts(found: ClockMap) -> list[str]:
    off = zip(map(abs, found.residuals), found.pairs, strict=True)
    worst = max(off, key=lambda each: each[0], default=None)
    if worst is None or worst[0] <= MOST_RESIDUAL:
        return []
    return [
        f"{_mark(worst[1])} is off by {worst[0]:.2f} s, over two frames: check when it is seen in the clip."
    ]


def _mark(pair: Pair) -> str:
    return (pair.mark or "a mark")[:1].upper() + (pair.mark or "a mark")[1:]


def _odd_one_out(pairs: tuple[Pair, ...]) -> Pair | None:
    """The one mark that is off while all the others agree within a frame; needs four marks."""
    if len(pairs) < 4 or _agree(pairs):
        return None
    found = [odd for odd in pairs if _agree([pair for pair in pairs if pair is not odd])]
    return found[0] if len(found) == 1 else None


def _agree(pairs: Sequence[Pair]) -> bool:
    """Whether marks lie within a frame of a line that a clock can have."""
    try:
        found = map_clock(pairs)
    except ClockError:
        return False
    return max(map(abs, found.residuals)) <= FRAME_SECONDS and abs(found.drift) <= MOST_DRIFT


def how_found(found: ClockMap) -> str:
    """How sure a map is, in a sentence.

    >>> how_found(from_start(0.0))
    "by the start that the camera's clock gave"
    """
    marks = len(found.pairs)
    if not marks:
        return f"by the start that the camera's clock gave{found.camera and f', {found.camera}'}"
    if found.fit is None:
        return f"by {found.pairs[0].mark or 'one mark'} alone, {found.camera or 'so its drift is not known'}"
    ppm = f"drift {found.drift * 1e6:+.1f} ppm"
    if found.fit.freedom == 0:
        return f"fitted through two marks, {ppm}; a third would show how good the fit is"
    spread = found.fit.scatter or 0.0
    unsure = (found.drift_uncertainty or 0.0) * 1e6
    return (
        f"fitted through {marks} marks by least squares, {ppm} ± {unsure:.1f} ppm; "
        f"scatter {spread * 1000:.0f} ms"
    )
