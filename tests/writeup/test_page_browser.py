"""The pages in a real browser: quiet, whole by themselves, and fit for a telephone and for paper."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.writeup.page import html_page, html_together
from bench.writeup.story import tell
from tests.support.browser import Browser
from tests.support.pages import whole_page
from tests.support.story_bench import KIT, PLAN, whole_build
from tests.writeup.test_page import JPEG, photo
from tests.writeup.test_page_inert import ATTACKS, build_of


def written(folder: Path, page: str) -> Path:
    path = folder / "page.html"
    path.write_text(page, encoding="utf-8")
    return path


def test_the_check_itself_sees_a_request_and_an_error(web: Browser, tmp_path: Path) -> None:
    path = written(
        tmp_path,
        '<!DOCTYPE html><html lang="en"><title>x</title><img src="http://127.0.0.1:9/x.png" alt="">'
        "<script>console.error('one'); nothing()</script></html>",
    )
    seen = web.open(path)
    assert seen.asked_for == [path.as_uri(), "http://127.0.0.1:9/x.png"]
    assert any("one" in each for each in seen.logged)
    assert any("nothing" in each for each in seen.logged)


def test_a_page_asks_for_nothing_and_logs_nothing(web: Browser, tmp_path: Path) -> None:
    story = tell(KIT, PLAN, whole_build(), forecast={stage.key: 5.0 for stage in PLAN.stages})
    story = replace(story, photos=(photo("a"),))
    for made in (
        html_page(story, {"opening": "[x](https://example.org)"}, {"a.jpg": JPEG}),
        html_together([("a", story)] * 2),
    ):
        path = written(tmp_path, made)
        seen = web.open(path)
        outside = [each for each in seen.asked_for if not each.startswith("data:image/")]
        assert outside == [path.as_uri()]
        assert seen.logged == []


def test_hostile_texts_run_nothing_in_a_browser(web: Browser, tmp_path: Path) -> None:
    kit, plan, bench = build_of(ATTACKS)
    made = html_page(tell(kit, plan, bench.events), dict.fromkeys(("opening", "closing"), "\n\n".join(ATTACKS)))
    path = tmp_path / "page.html"
    path.write_bytes(made.encode())
    seen = web.open(path)
    assert seen.asked_for == [path.as_uri()]
    assert seen.logged == []
    assert web.value("document.scripts.length") == 0
    assert web.value("document.title").startswith("Building the ")


@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_the_page_is_never_wider_than_the_screen(web: Browser, tmp_path: Path, width: int) -> None:
    """320 CSS pixels is the width that WCAG 2.1, 1.4.10 (reflow), asks for."""
    web.look(width, phone=width < 500)
    web.open(written(tmp_path, whole_page()))
    assert web.value("document.documentElement.scrollWidth") <= width
    spilt = (
        "[...document.querySelectorAll('p, li, h1, h2, h3, figcaption, svg')]"
        ".filter(each => !each.closest('.wide, .unseen'))"
        ".filter(each => each.getBoundingClientRect().right > innerWidth + 1)"
        ".map(each => each.outerHTML.slice(0, 80))"
    )
    assert web.value(spilt) == []


def test_the_colours_follow_the_readers_choice(web: Browser, tmp_path: Path) -> None:
    path, ground = written(tmp_path, whole_page()), "getComputedStyle(document.body).backgroundColor"
    web.look(800)
    web.open(path)
    light = web.value(ground)
    web.look(800, dark=True)
    assert (light, web.value(ground)) == ("rgb(252, 250, 245)", "rgb(22, 25, 28)")


def test_it_prints_with_everything_open_on_paper(web: Browser, tmp_path: Path) -> None:
    web.look(800, dark=True)
    web.open(written(tmp_path, whole_page()))
    assert web.paper().startswith(b"%PDF-")
    web.ask("Emulation.setEmulatedMedia", media="print")
    hidden = (
        "[...document.querySelectorAll('details table, details li')].filter(e => !e.getClientRects().length)"
    )
    assert web.value(f"{hidden}.length") == 0
    assert web.value("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
