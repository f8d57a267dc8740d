"""The best few photos of each stage are shown, near-doubles are not, and a page of 300 photos stays small."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import msgspec
import pytest

from bench.log import events as ev
from bench.session.build import Build
from bench.writeup.article import article_of
from bench.writeup.blocks import Picture
from bench.writeup.markdown import write_up
from bench.writeup.moments import EventTime
from bench.writeup.photo_choice import OF_A_STAGE, spread
from bench.writeup.photos.page_photos import chosen, pictures_for_page
from bench.writeup.publish import publish, story_of
from bench.writeup.story import tell
from bench.writeup.story_model import PhotoRow, Story
from tests.support.photographs import evening
from tests.support.samples import HandClock
from tests.support.story_bench import FLAT, KIT, PLAN, TRIM, Bench, whole_build


def make_build(folder: Path, clock: HandClock) -> Build:
    return evening(folder, clock)


def row(number: int, stage: str = FLAT, caption: str = "", about: str = "") -> PhotoRow:
    at = f"2031-02-03T18:{20 + number // 60:02d}:{number % 60:02d}.000Z"
    return PhotoRow(
        n=1, when=EventTime(at=at, day="2031-02-03", time=at[11:16]), stage=stage, board="main",
        file=f"p{number}.jpg", original=f"P{number}.JPG", caption=caption, about=about, of=0,
        width=1280, height=960, source="camera", doubt="",
    )  # fmt: skip


def with_photos(*rows: PhotoRow) -> Story:
    return msgspec.structs.replace(tell(KIT, PLAN, whole_build()), photos=rows)


def test_a_few_of_each_stage_are_shown_marked_ones_first_then_spread() -> None:
    story = with_photos(*(row(n, caption="C5" if n == 7 else "") for n in range(40)), row(41, TRIM))
    assert spread(story)[0] == "p7.jpg"
    assert set(spread(story)) == {"p7.jpg", "p39.jpg", "p0.jpg", "p41.jpg"}
    shown = [block.file for block in blocks(story) if isinstance(block, Picture)]
    assert sorted(shown) == sorted(spread(story))
    assert "### Parts that lie flat, main board (37 photos)" in write_up(story)


def blocks(story: Story) -> list[object]:
    article = article_of(story)
    return [*article.opening, *(block for section in article.sections for block in section.blocks)]


def test_near_doubles_make_room_for_others() -> None:
    story = with_photos(*(row(n) for n in range(6)))
    assert len(spread(story)) == OF_A_STAGE
    told = spread(story, lambda one, other: {one.file, other.file} == {"p0.jpg", "p5.jpg"})
    assert "p0.jpg" not in told
    assert len(told) == OF_A_STAGE


def test_a_mark_without_a_photo_says_photo_to_add() -> None:
    bench = Bench()
    bench.add(ev.PhotoTaken, 60, stage=FLAT, board="main", caption="the jig")
    page = write_up(tell(KIT, PLAN, bench.events))
    assert "Photo to add" not in page
    from bench.writeup.publish import whole_story

    page = write_up(whole_story(KIT, PLAN, bench.events))
    assert "### Photo to add\n\n- 3 February 2031, 18:21 (Parts that lie flat, main board): the jig" in page


def noisy(seed: int, shade: int = 0) -> bytes:
    image = pytest.importorskip("PIL.Image")
    picture = image.effect_noise((1280, 960), 90).convert("RGB")
    coarse = image.frombytes("L", (8, 8), bytes((seed * 97 + at * at * 53) % 256 for at in range(64)))
    picture = image.blend(picture, coarse.resize((1280, 960)).convert("RGB"), 0.8)
    picture = picture.point(lambda value: max(0, value - shade))
    out = BytesIO()
    picture.save(out, "JPEG", quality=88)
    return out.getvalue()


def test_three_hundred_photos_make_a_page_under_three_megabytes(build: Build) -> None:
    folder = build.log.folder / "photos"
    folder.mkdir()
    pool = [noisy(seed) for seed in range(12)]
    rows = []
    for number in range(300):
        (folder / f"p{number}.jpg").write_bytes(pool[number % len(pool)])
        rows.append(row(number, f"stage {number // 10}"))
    story = msgspec.structs.replace(story_of(build), photos=tuple(rows))
    pictures = pictures_for_page(build.log.folder, story, {})
    assert len(pictures) >= 10
    from bench.writeup.page import html_page

    assert len(html_page(story, {}, pictures, pictures).encode()) < 3_000_000


def test_two_pictures_that_hardly_differ_are_near_doubles(build: Build) -> None:
    folder = build.log.folder / "photos"
    folder.mkdir()
    for number, data in enumerate((noisy(1), noisy(1, shade=6), noisy(2), noisy(3))):
        (folder / f"p{number}.jpg").write_bytes(data)
    story = msgspec.structs.replace(story_of(build), photos=tuple(row(n) for n in range(4)))
    told = chosen(build.log.folder, story)
    assert len({"p0.jpg", "p1.jpg"} & set(told)) == 1
    assert {"p2.jpg", "p3.jpg"} <= set(told)
    assert publish(build, {}) == []
