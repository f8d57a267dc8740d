"""The question about a machine's clock that is not to be believed."""

from __future__ import annotations

from datetime import UTC, datetime

from bench.log.clock import stamp_text, utc_seconds
from bench.session.build import Build
from bench.ui.forms import Form, Question

_SHAPE = "%Y-%m-%d %H:%M"


def clock_form(build: Build) -> Form | None:
    """What time it is, when the machine's clock is doubtful; None when it can be believed."""
    doubt = build.timer.clock_doubt()
    if not doubt:
        return None
    now = build.clock.now().at
    shown = datetime.fromtimestamp(utc_seconds(now) or 0.0, UTC).astimezone()

    def record(answers: tuple[str, ...]) -> str:
        right = answers[0].strip()
        if not right:
            build.tell_clock("")
            return "The computer's clock is right."
        moment = datetime.strptime(right, _SHAPE).astimezone()
        build.tell_clock(stamp_text(moment.timestamp()))
        return f"It is {_said(moment)}: the article corrects the dates of this session."

    question = Question(
        ask=f"the computer says {_said(shown)}, but {doubt}. What time is it?",
        hint="Local time, such as 2031-02-03 18:20. Empty: the clock is right.",
        needed=False,
        wrong=_no_moment,
    )
    return Form(title="Clock", questions=(question,), record=record)


def _said(moment: datetime) -> str:
    return f"{moment.day} {moment:%B %Y, %H:%M}"


def _no_moment(text: str) -> str:
    try:
        if text.strip():
            datetime.strptime(text.strip(), _SHAPE).astimezone()
    except (ValueError, OverflowError):
        return "Write it as 2031-02-03 18:20."
    return ""
