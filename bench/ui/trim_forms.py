"""What is asked about adjustments: passes, turns, readings; for the screen and plain lines."""

from __future__ import annotations

from pathlib import Path

from bench.errors import SoldersideError
from bench.kit.kit import Trim
from bench.parts.english import counted
from bench.plan.plan import Step
from bench.session.adjusting import AdjustView, adjust_view, judge_reading
from bench.session.build import Build
from bench.session.trimmers import KnownTrimmer, is_tracking
from bench.session.trimming import TrackingView, check_pass, tracking_view
from bench.session.typed_pass import Typed, is_recording, measured, read_turns, read_typed
from bench.ui.forms import Form, Question, trouble
from bench.ui.reading_forms import reading_question
from bench.ui.text import clean

HINT = "Such as: 0 261.6, 1 523.2, 2 1046.5. Or one point alone, or 1 file.wav."


def look_at(build: Build, trim: Trim) -> TrackingView | AdjustView:
    """Build the view of a trim: passes for tracking, readings otherwise."""
    if is_tracking(trim):
        return tracking_view(build.kit, trim, build.progress.passes)
    texts = [reading.text for reading in build.progress.readings if reading.point == trim.name]
    return adjust_view(trim, texts, build.equipment.meter)


def trim_form(build: Build, trim: Trim, step: Step) -> Form:
    """A reading of a trim; of a recording its pitch is kept."""

    def heard(text: str) -> str:
        return f"{measured(text, Path.cwd())[0]:.3f} Hz" if is_recording(text) else text

    def record(answers: tuple[str, ...]) -> str:
        build.reading_at(step, heard(answers[0]))
        return "Reading recorded."

    question = reading_question(
        "what do you read?",
        "A number, or file.wav for a pitch.",
        lambda text: judge_reading(trim, heard(text), build.equipment.meter),
    )
    return Form(title=clean(trim.name, 60), questions=(question,), record=record)


def pass_form(build: Build, trim: Trim, view: TrackingView) -> Form:
    """A whole pass in one line, then what was turned since the last one, trimmer by trimmer."""

    def wrong(text: str) -> str:
        try:
            check_pass(read_typed(text, Path.cwd()).points, linear=view.linear)
        except SoldersideError as error:
            return trouble(error)
        return ""

    def record(answers: tuple[str, ...]) -> str:
        typed = read_typed(answers[0], Path.cwd())
        turns = [read_turns(answer) for answer in answers[1:]]
        turned = [(known.trimmer.name, turn) for known, turn in zip(view.trimmers, turns, strict=False) if turn]
        points = tuple((point.volts, point.hertz) for point in typed.points)
        build.tracking_pass(trim.name, points, tuple(turned))
        return kept(typed)

    points = Question(ask="volts and hertz, the whole pass?", hint=HINT, wrong=wrong)
    questions = (points, *(turn_question(known, view) for known in view.trimmers if view.passes))
    return Form(title=f"Pass {len(view.passes) + 1}", questions=questions, record=record)


def turn_question(known: KnownTrimmer, view: TrackingView) -> Question:
    """How far a trimmer was turned since the last pass."""
    trimmer = known.trimmer
    advised = {turning.trimmer: turning.turns for turning in view.turnings}
    given = f"{advised[trimmer.name]:+.2f}" if trimmer.name in advised else ""
    hint = "Clockwise is +; empty for none."
    if given:
        hint = "Clockwise is +. As advised: Enter. Otherwise type what you turned; 0 for none."
    return Question(
        ask=f"turns of {clean(trimmer.name, 40)} ({trimmer.role})?",
        hint=hint,
        needed=False,
        given=given,
        wrong=_wrong_turns,
    )


def _wrong_turns(text: str) -> str:
    try:
        read_turns(text)
    except SoldersideError as error:
        return trouble(error)
    return ""


def kept(typed: Typed) -> str:
    """The word for a pass that was recorded."""
    words = (f"Pass recorded, {counted(len(typed.points), 'point')}", *typed.remarks)
    return " ".join(f"{word}." for word in words)
