"""The page of HTML: valid, complete, readable by everybody."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO
from itertools import pairwise

import pytest
from msgspec.structs import replace
from PIL import Image

from bench.log import events as ev
from bench.session.trimming import amount
from bench.writeup.page import html_page
from bench.writeup.story import tell
from bench.writeup.story_model import EventTime, PhotoRow
from tests.support.pages import (
    assert_inert,
    body_text,
    elements,
    page_of_bench,
    parsed,
    section_text,
    tag,
    text,
    whole_page,
)
from tests.support.story_bench import DIODES, FLAT, HOLD, KIT, PLAN, TRIM, Bench, whole_build


def jpeg() -> bytes:
    """A small picture."""
    data = BytesIO()
    Image.new("RGB", (4, 3), "teal").save(data, "JPEG")
    return data.getvalue()


JPEG = jpeg()


def photo(
    name: str, caption: str = "", stage: str = "", board: str = "", at: str = "2031-02-03T18:40:00.000Z"
) -> PhotoRow:
    """A photo in a story, called by a letter."""
    return PhotoRow(
        n=1, when=EventTime(at=at, day=at[:10], time=at[11:16]), stage=stage, board=board, file=f"{name}.jpg",
        original=f"{name}.JPG", caption=caption, about="", of=0, width=4, height=3, source="camera", doubt="",
    )  # fmt: skip


def test_the_page_is_valid_html_at_every_moment_of_a_build() -> None:
    """The parser is html5lib, which follows the HTML standard's parsing rules and is told to be strict."""
    events = whole_build()
    for length in range(0, len(events) + 1, 3):
        assert_inert(html_page(tell(KIT, PLAN, events[:length])))


def test_the_page_says_its_language_has_one_title_and_headings_without_a_gap() -> None:
    document = parsed(whole_page())
    assert document.get("lang") == "en"
    levels = [int(tag(each)[1]) for each in elements(document, "h1", "h2", "h3")]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert text(next(elements(document, "title"))) == "Building the Twin-board oscillator"
    assert all(text(each) for each in elements(document, "h1", "h2", "h3", "a", "summary"))


def test_every_table_has_a_caption_and_heads_with_a_scope_and_rows_of_one_length() -> None:
    tables = list(elements(parsed(whole_page()), "table"))
    assert len(tables) >= 3
    for table in tables:
        assert text(next(elements(table, "caption")))
        heads = list(elements(table, "th"))
        assert {each.get("scope") for each in heads} <= {"col", "row"}
        rows = [len(list(row)) for row in elements(table, "tr")]
        assert len(set(rows)) == 1


def test_drawings_say_in_words_what_they_show_and_decoration_is_hidden() -> None:
    document = parsed(whole_page())
    named = {each.get("id"): text(each) for each in elements(document) if each.get("id")}
    for drawing in elements(document, "svg"):
        if drawing.get("aria-hidden") == "true":
            assert drawing.get("role") is None
            continue
        assert drawing.get("role") == "img"
        words = [named[each] for each in (drawing.get("aria-labelledby") or "").split()]
        assert all(words)
        assert words or drawing.get("aria-label")


def test_every_name_is_given_once_and_every_link_within_the_page_leads_somewhere() -> None:
    document = parsed(whole_page())
    names = [each.get("id") for each in elements(document) if each.get("id")]
    assert len(set(names)) == len(names)
    links = [each.get("href") or "" for each in elements(document, "a", "use")]
    assert "#story" in links
    assert {link[1:] for link in links if link.startswith("#")} <= set(names)
    first = next(elements(document, "a"))
    assert first.get("href") == "#story"


def test_the_page_forbids_itself_every_request() -> None:
    policy = next(
        each.get("content") or "" for each in elements(parsed(whole_page()), "meta") if each.get("http-equiv")
    )
    assert policy.startswith("default-src 'none'")
    assert "script-src" not in policy


def test_the_page_says_what_the_markdown_says() -> None:
    said = body_text(parsed(whole_page()))
    for words in (
        "Built on 3, 5 and 8 February 2031; a kit by Lantern Yard Workshop, revision B",
        "parts fitted30 solder joints72",
        "R9 stands alone beside the header; easy to overlook",
        "R31 is printed R13 on the front board",
        "C5: 22 µF, 25 V; 10 µF did not come",
        "TP1 is low because the meter's battery is; checked with a second meter",
        "a hair of solder between two lugs of J2",
    ):
        assert words in said


# -- time --------------------------------------------------------------------------------------------
def test_time_stands_beside_the_forecast_in_drawing_table_and_words() -> None:
    places = {(stage.name, stage.board): 10.0 for stage in PLAN.stages}
    document = parsed(html_page(tell(KIT, PLAN, whole_build(), forecast=places)))
    said = section_text(document, "time")
    assert "Parts that lie flat 38 min, forecast 20 min" in said
    assert "Filled: time taken. Outlined: forecast." in said
    heads = [text(each) for each in elements(document, "th") if each.get("scope") == "col"]
    assert "Forecast" in heads
    outlines = [each for each in elements(document, "rect") if each.get("class") == "outline"]
    assert len(outlines) == len([each for each in elements(document, "rect") if each.get("class") == "bar"])


def test_without_a_forecast_none_is_drawn_or_spoken_of() -> None:
    page = whole_page()
    assert "orecast" not in re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    assert 'class="outline"' not in page


def test_bars_are_as_long_as_the_time_they_stand_for() -> None:
    bench = Bench()
    for name, seconds in ((HOLD, 300.0), (TRIM, 600.0), (FLAT, 1200.0)):
        bench.at(name)
        bench.add(ev.BreakEnded, 0)
        bench.add(ev.Done, seconds / 2, items=(f"/!{name}!x",))
        bench.add(ev.Done, seconds / 2, items=(f"/!{name}!y",))
    bars = [each for each in elements(parsed(page_of_bench(bench)), "rect") if each.get("class") == "bar"]
    assert [each.get("width") for each in bars] == ["25.0%", "50.0%", "100.0%"]


# -- what happened when ------------------------------------------------------------------------------
def test_the_timeline_has_a_lane_for_each_sitting_with_its_breaks_snags_and_readings() -> None:
    document = parsed(whole_page())
    lanes = [each for each in elements(document, "div") if each.get("class") == "lane"]
    assert [text(next(elements(lane, "p"))) for lane in lanes] == [
        "3 February 2031, 18:20 to 19:29", "5 February 2031, 19:02 to 19:33", "8 February 2031, 14:30 to 15:15",
    ]  # fmt: skip
    first = text(lanes[0])
    assert "18:26 Snag: D3 sat the wrong way round (7 min lost)" in first
    assert "Break, 21 min" in first
    assert " readings: " in text(lanes[2])
    assert "Before power overridden: " in text(lanes[2])
    assert {each.get("href") for each in elements(lanes[2], "use")} >= {
        "#sign-snag",
        "#sign-reading",
        "#sign-hold",
    }


def test_marks_lie_where_their_time_puts_them() -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Snagged, 900, what="x", fix="y")
    bench.add(ev.Snagged, 900, what="z", fix="y")
    bench.do(DIODES, 1800, items=("main/D9",))
    marks = [each.get("x") for each in elements(parsed(page_of_bench(bench)), "use")]
    assert marks[:2] == ["26.23%", "50.82%"]


# -- pictures and own words --------------------------------------------------------------------------
def test_photos_stand_under_their_stages_and_on_the_timeline() -> None:
    story = replace(
        tell(KIT, PLAN, whole_build()),
        photos=(
            photo("b", "Flat <parts>", TRIM, at="2031-02-08T14:40:00.000Z"),
            photo("a", "In", FLAT, "main"),
        ),
    )
    document = assert_inert(html_page(story, {}, {"a.jpg": JPEG}))
    told = section_text(document, "how-it-went")
    assert "In" in told
    assert "Flat <parts> (the picture is not on this page)" in body_text(document)
    (image,) = elements(document, "img")
    assert image.get("alt") == "In (Parts that lie flat, main board)"
    assert b64decode((image.get("src") or "").partition(",")[2]) == JPEG
    assert "#sign-photo" in {each.get("href") for each in elements(document, "use")}
    assert "18:40 Photo: In" in section_text(document, "minute-by-minute")


def test_own_words_stand_in_their_places_and_those_without_one_near_the_end() -> None:
    own = {
        "opening": "For *the van*.",
        "time": "- slow\n- but sure",
        "gone": "Homeless.",
        "closing": "Bye.",
        "x": "",
    }
    document = assert_inert(html_page(tell(KIT, PLAN, whole_build()), own))
    said = body_text(document)
    assert [text(each) for each in elements(document, "li")].count("but sure") == 1
    assert "slow" in section_text(document, "time")
    order = [said.index(each) for each in ("For the van.", "Time at the bench", "Homeless.", "Bye.")]
    assert order == sorted(order)


def test_tracking_is_drawn_with_both_passes_and_the_cents_that_are_allowed() -> None:
    bench = Bench()
    bench.at(TRIM)
    for cents in (30.0, 0.5):
        points = tuple((v, 100.0 * 2 ** (v + cents * v / 1200)) for v in (0.0, 1.0, 2.0))
        bench.add(ev.PassMeasured, 60, trim="Scale", points=points, turned=(("RV4", 1.0),))
    document = parsed(page_of_bench(bench))
    dots = [
        (each.get("class"), each.get("cx"), text(each))
        for each in elements(document, "circle")
        if (each.get("cx") or "").endswith("%")
    ]
    assert dots == [
        ("first-dot", "14.0%", "First pass, 0 V: +0.0 cents"),
        ("first-dot", "55.5%", "First pass, 1 V: +30.0 cents"),
        ("first-dot", "97.0%", "First pass, 2 V: +60.0 cents"),
        ("last-dot", "14.0%", "Last pass, 0 V: +0.0 cents"),
        ("last-dot", "55.5%", "Last pass, 1 V: +0.5 cents"),
        ("last-dot", "97.0%", "Last pass, 2 V: +1.0 cents"),
    ]
    allowed = f"±{amount(tell(KIT, PLAN, bench.events).tracking[0].close_enough)}, close enough"
    assert allowed in section_text(document, "measurements")


@pytest.mark.parametrize("events", [0, 2, 3])
def test_a_build_hardly_begun_has_a_page_too(events: int) -> None:
    document = assert_inert(html_page(tell(KIT, PLAN, whole_build()[:events])))
    assert "This build is" in body_text(document)
