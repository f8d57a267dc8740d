"""The last questions of a build, and the kind of a snag in one key."""

from __future__ import annotations

from bench.errors import Refused
from bench.log.afterwords import AFTERWORDS
from bench.session.build import Build
from bench.settings import Settings
from bench.ui.afterword_forms import finished_word
from bench.ui.commands import Keymap
from bench.ui.form_table import FORMS
from bench.ui.forms import Choice, Form, Situation
from bench.writeup.article import article_of
from bench.writeup.blocks import FillIn
from bench.writeup.publish import page_of, story_of
from tests.support.samples import HandClock


def situation(build: Build, chosen: object = None) -> Situation:
    return Situation(build=build, step=None, settings=Settings(), keymap=Keymap(), data=None, chosen=chosen)


def ask(build: Build) -> Form:
    form = FORMS["afterwords"].ask(situation(build))
    assert isinstance(form, Form)
    return form


def finish(build: Build, clock: HandClock) -> None:
    while build.next_step is not None:
        clock.work(20)
        try:
            build.done()
        except Refused:
            build.override_hold("tried by ear")


def test_the_questions_are_offered_when_the_last_step_is_done_and_can_be_skipped(
    build: Build, clock: HandClock
) -> None:
    assert not finished_word(build, "f8")
    finish(build, clock)
    assert "f8 asks for the article" in finished_word(build, "f8")
    form = ask(build)
    assert len(form.questions) == len(AFTERWORDS)
    assert not any(question.needed for question in form.questions)
    assert form.record(("",) * len(AFTERWORDS)) == "Nothing changed."
    assert finished_word(build, "f8")


def test_answers_are_kept_in_the_log_told_in_the_article_and_changed_later(
    build: Build, clock: HandClock
) -> None:
    finish(build, clock)
    assert "**Still to be told:** the verdict." in page_of(build)
    answers = dict.fromkeys(AFTERWORDS, "") | {
        "verdict": "Loud and steady",
        "learned": "solder low parts first",
    }
    assert ask(build).record(tuple(answers.values())) == "Recorded for the article; 6 still open."
    page = page_of(build)
    assert "**The verdict:** Loud and steady." in page
    assert "Solder low parts first." in page
    assert "**Still to be told:** what to do differently." in page
    assert not finished_word(build, "f8")
    assert ask(build).questions[0].given == "Loud and steady"
    answers |= {"verdict": "Loud", "learned": ""}
    ask(build).record(tuple(answers.values()))
    assert story_of(build).afterwords == {"verdict": "Loud"}


def test_a_build_in_progress_has_no_place_to_fill_in(build: Build) -> None:
    build.done()
    article = article_of(story_of(build))
    blocks = [*article.opening, *(block for section in article.sections for block in section.blocks)]
    assert not any(isinstance(block, FillIn) for block in blocks)


def test_one_key_says_what_kind_of_snag_it_was(build: Build) -> None:
    build.snag("hums", "", 3, "new wire")
    choice = FORMS["snag_kind"].ask(situation(build, build.events[-1]))
    assert isinstance(choice, Choice)
    assert choice.settle("6") == "Kind of snag: damaged."
    assert story_of(build).snags[0].kind == "damaged"
