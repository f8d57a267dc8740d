"""A build's article on the disk: formats, own words, other people's files, and the name of its zone."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.commonmark import begins, ends
from bench.writeup.publish import (
    NAMES,
    Outcome,
    html_of,
    page_of,
    publish,
    publish_together,
    story_of,
    targets_of,
    theirs,
    whole_story,
)
from tests.support.kit_values import METRONOME
from tests.support.pages import assert_inert, body_text
from tests.support.samples import HandClock, small_build
from tests.support.story_bench import DIODES, KIT, PLAN, RESISTORS, Bench

ALL = tuple(NAMES)


def test_the_zone_is_named_as_it_was_at_the_bench_not_as_on_the_day_of_writing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        bench = Bench("2031-02-03T18:20:00.000Z")
        bench.do(DIODES, 60)
        winter = whole_story(KIT, PLAN, bench.events, now="2031-07-09T10:00:00.000Z", zone=None)
        bench.come_back("2031-07-08T18:20:00.000Z")
        bench.do(RESISTORS, 60)
        both = whole_story(KIT, PLAN, bench.events, now="2031-07-09T10:00:00.000Z", zone=None)
    finally:
        monkeypatch.undo()
        time.tzset()
    assert (winter.zone, both.zone) == ("CET", "CET and CEST")


@pytest.fixture
def built(tmp_path: Path) -> Build:
    build = small_build(tmp_path / "builds" / "one")
    build.opened()
    build.done()
    build.note("a tip worth keeping", "tip")
    return build


def paths_of(outcomes: list[Outcome]) -> list[str]:
    assert [outcome.problem for outcome in outcomes] == [None] * len(outcomes)
    return [outcome.path.name for outcome in outcomes]


def put_in(page: Path, place: str, words: str) -> None:
    text = page.read_text(encoding="utf-8")
    page.write_text(text.replace(begins(place), f"{begins(place)}\n{words}"), encoding="utf-8")


def test_all_formats_lie_beside_the_log_and_say_the_same(built: Build) -> None:
    outcomes = publish(built, targets_of(built, ALL))
    assert paths_of(outcomes) == [
        "article.md",
        "article.html",
        "article.post.md",
        "article.json",
    ]
    assert {outcome.path.parent for outcome in outcomes} == {built.log.folder}
    markdown, page, post, data = (outcome.path.read_text(encoding="utf-8") for outcome in outcomes)
    said = body_text(assert_inert(page))
    for words in ("tip worth keeping", "Lamp wobbler", "still in progress"):
        assert words in markdown
        assert words in said
        assert words in post
    assert json.loads(data)["notes"][0]["text"] == "a tip worth keeping"
    assert page_of(built).splitlines()[0] in markdown


def test_written_again_without_a_change_the_page_is_left_alone(built: Build) -> None:
    targets = targets_of(built)
    assert all(outcome.changed for outcome in publish(built, targets))
    assert not any(outcome.changed for outcome in publish(built, targets))


def test_words_typed_into_the_markdown_stand_in_the_page_too(built: Build) -> None:
    targets = targets_of(built)
    publish(built, targets)
    put_in(targets["markdown"], "opening", "My **own** words.")
    markdown, html = publish(built, targets)
    assert (markdown.own_words, html.own_words) == (("opening",), ("opening",))
    assert "<strong>own</strong>" in targets["html"].read_text(encoding="utf-8")
    assert "<strong>own</strong>" in html_of(built)
    alone = built.log.folder / "alone.html"
    publish(built, {"html": alone})
    assert "<strong>own</strong>" in alone.read_text(encoding="utf-8")


def test_a_file_changed_by_hand_is_refused_while_the_others_are_written(built: Build) -> None:
    targets = targets_of(built, ALL)
    publish(built, targets)
    mine = targets["html"].read_text(encoding="utf-8").replace("</h1>", " by hand</h1>")
    targets["html"].write_text(mine, encoding="utf-8")
    built.note("one more", "tip")
    assert theirs(built, targets) == (targets["html"],)
    outcomes = {outcome.form: outcome for outcome in publish(built, targets)}
    assert isinstance(outcomes["html"].problem, SoldersideError)
    assert targets["html"].read_text(encoding="utf-8") == mine
    assert "One more" in targets["markdown"].read_text(encoding="utf-8")
    forced = publish(built, {"html": targets["html"]}, force=True)[0]
    assert forced.kept_as is not None
    assert forced.kept_as.read_text(encoding="utf-8") == mine
    assert "One more" in targets["html"].read_text(encoding="utf-8")
    assert theirs(built, targets) == ()


def test_places_that_are_broken_stop_the_page_before_words_are_left_out(built: Build) -> None:
    targets = targets_of(built)
    publish(built, targets)
    text = targets["markdown"].read_text(encoding="utf-8").replace(ends("opening"), "words")
    targets["markdown"].write_text(text, encoding="utf-8")
    before = targets["html"].read_bytes()
    built.note("one more", "tip")
    assert all(outcome.problem is not None for outcome in publish(built, targets))
    assert targets["html"].read_bytes() == before
    assert targets["markdown"].read_text(encoding="utf-8") == text


def test_a_folder_that_is_not_there_is_a_problem_of_each_file(built: Build, tmp_path: Path) -> None:
    outcomes = publish(built, targets_of(built, ALL, tmp_path / "none" / "built.md"))
    assert all(isinstance(outcome.problem, SoldersideError) for outcome in outcomes)


@pytest.mark.parametrize(
    ("out", "forms", "names"),
    [
        ("built.md", ("markdown",), ["built.md"]),
        ("built.htm", ("html",), ["built.htm"]),
        ("built.md", ALL, ["built.md", "built.html", "built.post.md", "built.json"]),
        ("built", ("markdown", "html"), ["built.md", "built.html"]),
        ("rev. B", ("markdown", "html"), ["rev. B.md", "rev. B.html"]),
        (".", ("html", "json"), ["article.html", "article.json"]),
    ],
)
def test_files_are_named_as_asked_for(
    built: Build, tmp_path: Path, out: str, forms: tuple[str, ...], names: list[str]
) -> None:
    assert [path.name for path in targets_of(built, forms, tmp_path / out).values()] == names


def test_what_is_under_way_is_said(built: Build) -> None:
    said: list[str] = []
    publish(built, targets_of(built), say=said.append)
    assert said == ["telling the story", "writing article.md", "writing article.html"]


def test_several_builds_make_one_page_in_each_format(built: Build, tmp_path: Path) -> None:
    other = small_build(tmp_path / "builds" / "two")
    other.opened()
    other.done()
    told = [(each.name, story_of(each)) for each in (built, other)]
    outcomes = publish_together(tmp_path, told, ("html", "markdown", "json"))
    assert paths_of(outcomes) == ["together-one-two.html", "together-one-two.md", "together-one-two.json"]
    page = outcomes[0].path.read_text(encoding="utf-8")
    assert "Two builds side by side" in body_text(assert_inert(page))
    assert [each["name"] for each in json.loads(outcomes[2].path.read_bytes())["builds"]] == [
        "Lamp wobbler rev. A, no. 1", "Lamp wobbler rev. A, no. 2",
    ]  # fmt: skip
    outcomes[0].path.write_text("mine", encoding="utf-8")
    again = publish_together(tmp_path, told, ("html",))[0]
    assert isinstance(again.problem, SoldersideError)
    assert outcomes[0].path.read_text(encoding="utf-8") == "mine"


def test_the_story_tells_what_each_stage_was_expected_to_take(tmp_path: Path) -> None:
    """By the stated guess for a first build; by the builder's own earlier builds after that."""
    clock = HandClock()
    first = open_build(tmp_path, str(METRONOME), Settings(), clock)
    guess = {row.stage: row.forecast for row in story_of(first).stages if row.planned}
    assert all(minutes is not None and minutes > 0 for minutes in guess.values())
    first.opened()
    while first.next_step is not None:
        clock.work(400.0)
        first.override_hold("a test") if first.view().wants_reading else first.done()
    first.close()
    again = open_build(tmp_path, str(METRONOME), Settings(), clock, again=True)
    learned = {row.stage: row.forecast for row in story_of(again).stages if row.planned}
    assert sum(filter(None, learned.values())) > 1.5 * sum(filter(None, guess.values()))
    again.close()
