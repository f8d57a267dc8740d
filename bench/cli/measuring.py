"""Sub-commands that measure: the pitch of a recording, the tracking of an oscillator."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.common import FAULTY, FINE, print_faults, print_json, say
from bench.errors import SoldersideError
from bench.files import MEGABYTE, read_stdin, read_text_file

if TYPE_CHECKING:
    from bench.measure.pitch.pitch import NoTone, Pitch
    from bench.measure.tuning.points import Point

_STDIN = "-"
_MOST_SOUND = 500 * MEGABYTE
_PLOT = 72, 13
"""Columns and rows of the plot."""


# -- pitch --------------------------------------------------------------------------------------
def _pitch(args: argparse.Namespace) -> int:
    code = FINE
    for name in args.wav:
        try:
            found = _measured(name)
        except SoldersideError as error:
            code = FAULTY
            print_faults(error, name)
            if args.json:
                print_json({"file": name, "hertz": None, "why": error.what}, one_line=True)
            continue
        if args.json:
            print_json(_pitch_data(name, found), one_line=True)
        else:
            _say_pitch(name, found)
    return code


def _measured(name: str) -> Pitch | NoTone:
    """The pitch of one recording; one on stdin is set down in a file first, for it is gone through twice."""
    from bench.measure.pitch.pitch import measure_pitch

    if name != _STDIN:
        return measure_pitch(Path(name))
    import tempfile

    with tempfile.TemporaryDirectory(prefix="solderside-") as folder:
        spool = Path(folder) / "stdin.wav"
        spool.write_bytes(read_stdin(_MOST_SOUND, "recording"))
        try:
            return measure_pitch(spool)
        except SoldersideError as error:
            raise SoldersideError(error.what, "stdin", error.hint) from error


def _pitch_data(name: str, found: Pitch | NoTone) -> dict[str, object]:
    from bench.measure.pitch.pitch import NoTone

    if isinstance(found, NoTone):
        return {"file": name, "hertz": None, "why": found.why}
    return {"file": name, "hertz": found.hertz, "cents_uncertainty": found.cents_uncertainty}


def _say_pitch(name: str, found: Pitch | NoTone) -> None:
    from bench.measure.pitch.pitch import NoTone
    from bench.measure.tuning.points import nearest_note

    if isinstance(found, NoTone):
        say(f"{name}: no steady tone: {found.why}")
        return
    note, above = nearest_note(found.hertz)
    say(
        f"{name}: {found.hertz:.3f} Hz ± {found.hertz_uncertainty:.3f} Hz "
        f"(± {found.cents_uncertainty:.2f} cents), {note} {above + 0.0:+.1f} cents"
    )
    for remark in found.remarks:
        say(f"  - {remark}")


# -- tracking -----------------------------------------------------------------------------------
def _track(args: argparse.Namespace) -> int:
    from bench.measure.tuning.points import TrackingError

    if args.slope is not None and not args.hertz_per_volt:
        args.misuse("--slope goes with --hertz-per-volt")
    name, points = _points(args.points)
    try:
        (_linear if args.hertz_per_volt else _octaves)(args, points)
    except SoldersideError as error:
        if error.where:
            raise
        raise TrackingError(error.what, name, error.hint) from error
    return FINE


def _points(given: str) -> tuple[str, Sequence[Point]]:
    """The points in a file or on stdin, and what to call that place."""
    from bench.measure.tuning.points import parse_points

    if given != _STDIN:
        return given, parse_points(read_text_file(Path(given), MEGABYTE, "file of points"), given)
    try:
        text = read_stdin(MEGABYTE, "file of points").decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SoldersideError("the points are not UTF-8 text", "stdin", "give lines: volts hertz") from error
    return "stdin", parse_points(text, "stdin")


def _octaves(args: argparse.Namespace, points: Sequence[Point]) -> None:
    """One volt per octave."""
    from bench.measure.tuning.advice import advise
    from bench.measure.tuning.learn import Pass
    from bench.measure.tuning.plot import plot_cents
    from bench.measure.tuning.tracking import analyse

    found = analyse(points)
    done = Pass(points=tuple(points))
    said = (*advise([done]).words, *found.remarks)
    if args.json:
        print_json(
            {
                "scale_error_cents_per_octave": found.scale,
                "offset_cents": found.offset,
                "points": [{"volts": p.volts, "hertz": p.hertz, "cents": p.cents} for p in found.points],
                "advice": said,
            }
        )
        return
    say(f"scale   {found.scale:+.2f} cents per octave{_give_or_take(found.scale_uncertainty)}")
    wanted = f"{found.reference.hertz:.2f} Hz at {found.reference.volts:g} V"
    say(f"offset  {found.offset:+.2f} cents{_give_or_take(found.offset_uncertainty)}, from {wanted}")
    say("cents above the ideal, octave by octave:")
    for line in plot_cents([done], *_PLOT)[1:]:
        say(line)
    for words in said:
        say(f"- {words}")


def _linear(args: argparse.Namespace, points: Sequence[Point]) -> None:
    """Hertz per volt: every note is off by the same cents, and low ones by what remains at 0 V."""
    from bench.measure.tuning.tracking import analyse_linear

    found = analyse_linear(points, args.slope)
    if args.json:
        print_json(
            {
                "scale_error_cents_per_octave": None,
                "offset_cents": found.scale_cents,
                "points": [{"volts": p.volts, "hertz": p.hertz, "cents": p.cents} for p in found.points],
                "advice": found.advice,
                "hertz_per_volt": found.hertz_per_volt,
                "hertz_at_zero": found.hertz_at_zero,
            }
        )
        return
    say(f"slope      {found.hertz_per_volt:.3f} Hz per volt{_give_or_take(found.hertz_per_volt_uncertainty)}")
    say(f"at 0 V     {found.hertz_at_zero:+.3f} Hz{_give_or_take(found.hertz_at_zero_uncertainty)}")
    for point in found.points:
        say(f"{point.volts:8.3f} V {point.hertz:12.3f} Hz {point.cents + 0.0:+8.1f} cents")
    for words in found.advice:
        say(f"- {words}")


def _give_or_take(uncertainty: float | None) -> str:
    """An uncertainty behind its figure, nothing where it is not known."""
    if uncertainty is None:
        return ""
    return f" ± {uncertainty:.2f}" if uncertainty >= 0.005 else " (± less than 0.01)"
