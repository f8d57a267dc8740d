"""What is asked about clips, and what is made of the answers: for the screen and plain lines."""

from __future__ import annotations

from bench.errors import Refused
from bench.session.build import Build
from bench.ui.forms import Form, Question
from bench.ui.text import clean
from bench.writeup.film.clip_times import read_seconds, read_words
from bench.writeup.film.publish import name_clip


def clip_form(build: Build, frames: int, name: str = "") -> Form:
    """A clip with its start or its claps, and its length; `name` stands in the line already."""

    def record(answers: tuple[str, ...]) -> str:
        clip, when, length = answers
        starts, claps, shows = read_words(when)
        named = name_clip(build, clip, starts, claps, shows, length, frames)
        remarks = [f"{word[:1].upper()}{word[1:]}." for word in named.remarks]
        return " ".join([f"Clip {clean(clip.strip(), 100)} named.", *remarks])

    questions = (
        Question(ask="name of the clip?", hint="That of its file, such as one.mov.", given=name),
        Question(
            ask="when was it filmed?",
            hint="Claps and where it shows them: 1=12.48 2=30:04.2. Or its start, such as 18:20:05.",
        ),
        Question(ask="how long is it?", hint="25:10; may be empty.", needed=False, wrong=a_length),
    )
    return Form(title="Clip", questions=questions, record=record)


def a_length(text: str) -> str:
    """What keeps a text from being a length; empty text is none.

    >>> a_length("25:10"), a_length(""), a_length("25 min")
    ('', '', "'25 min' is no time in a clip")
    """
    try:
        return "" if not text.strip() or read_seconds(text) > 0 else "it must be longer than nothing"
    except Refused as error:
        return error.what
