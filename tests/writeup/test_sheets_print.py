"""Print-outs as a real browser prints them: pages, their size, their breaks, and nothing fetched."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import msgspec
import pytest

from bench.plan.bag import bag_lines
from bench.plan.stages import make_plan
from bench.writeup.sheets.boards import boards_on_paper
from bench.writeup.sheets.publish import Job, page, procedure_page
from bench.writeup.sheets.stages import stage_sheet
from bench.writeup.sheets.texts import tidy
from tests.support.browser import Browser
from tests.support.kit_values import METRONOME, OSCILLATOR
from tests.support.paper import A4, Printed, job
from tests.support.plans import FLOW, LOW
from tests.support.samples import small_kit
from tests.writeup.test_sheets import KITS

FOOT = re.compile(r"page (\d+) of (\d+)")


def plain(text: str) -> str:
    """A text as it can be found again in what was read from a PDF."""
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("procedure", [LOW, FLOW], ids=["low-to-high", "signal-flow"])
def test_a_shipped_procedure_is_one_a4_page_with_all_its_stages(
    web: Browser, procedure: object, tmp_path: Path
) -> None:
    rules = LOW if procedure is LOW else FLOW
    printed = Printed(web, procedure_page(rules), tmp_path)
    assert printed.sizes == [A4]
    (text,) = printed.pages
    assert all(plain(stage.name.replace("{section}: ", "")) in plain(text) for stage in rules.stages)
    assert "page 1 of 1" in text


def test_a_procedure_for_a_kit_is_one_a4_page_too(web: Browser, tmp_path: Path) -> None:
    jobs = [job(kit, name) for kit in KITS for name in ("low-to-high", "signal-flow")]
    printed = Printed(web, page(jobs, "procedure"), tmp_path)
    assert printed.sizes == [A4] * len(jobs)
    for text, made in zip(printed.pages, jobs, strict=True):
        assert plain(f"Procedure: {made.procedure.name}, for {made.kit.title}") in plain(text)


@pytest.fixture(scope="module")
def all_printed(web: Browser, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Everything about the large kit in one document: stages, labels, procedure."""
    return Printed(web, page([job(OSCILLATOR)], "all"), tmp_path_factory.mktemp("all"))


@pytest.fixture(scope="module")
def stages_printed(all_printed: Printed) -> list[str]:
    """The pages of the stages."""
    last = next(at for at, text in enumerate(all_printed.pages) if "Joints, after counting" in text)
    return all_printed.pages[: last + 1]


def test_printing_asks_for_nothing_and_says_nothing_on_the_console(all_printed: Printed) -> None:
    assert all_printed.asked_for == []
    assert all_printed.console == []


def test_the_watch_over_requests_and_console_sees_them_when_there_are_some(
    web: Browser, tmp_path: Path
) -> None:
    html = "<!DOCTYPE html><title>x</title><img src='http://192.0.2.1:9/x.png'><script>console.error('seen')</script>"
    printed = Printed(web, html, tmp_path)
    assert printed.asked_for == ["http://192.0.2.1:9/x.png"]
    assert any("seen" in line for line in printed.console)


def test_every_page_is_a4_and_bears_the_kit_and_its_number(all_printed: Printed) -> None:
    assert set(all_printed.sizes) == {A4}
    for number, text in enumerate(all_printed.pages, 1):
        assert FOOT.findall(text) == [(str(number), str(len(all_printed.pages)))]
        assert "Twin-board oscillator rev. B" in text


def test_the_procedure_is_one_page_of_the_whole_as_well(all_printed: Printed) -> None:
    last = all_printed.pages[-1]
    assert "Procedure: low to high, for Twin-board oscillator" in last
    assert "Panel, nuts, knobs" in last


def test_each_page_of_the_stages_begins_with_the_stage_it_is_about(stages_printed: list[str]) -> None:
    made = job(OSCILLATOR)
    names = [plain(stage.name) for stage in made.plan.stages]
    for text in stages_printed[1:]:
        first = plain("".join(text.strip().splitlines()[:2]))
        assert any(name in first for name in (*names, "Joints,aftercounting")), first


def test_no_heading_stands_alone_at_a_pages_foot(stages_printed: list[str]) -> None:
    heads = ("Value", "Bands or print", "Tick each part", "Joints", "Done", "What to do", "Where, and how",
             "Right", "Should be", "Reading", "Reached", "Trim, and how")  # fmt: skip
    for text in stages_printed:
        lines = [line.strip() for line in text.splitlines() if line.strip() and not FOOT.search(line)]
        lines = [line for line in lines if line != "Twin-board oscillator rev. B"]
        last = lines[-1]
        assert not any(last.endswith(head) for head in heads), last
        assert not re.fullmatch(r"\d+\. .*\D", last), last
        assert "Which way round:" not in last, last


def test_no_row_is_split_between_two_pages(stages_printed: list[str]) -> None:
    """Every row's own words, from its value to its last look-alike, stand together on one page."""
    made = job(OSCILLATOR)
    texts = [plain(text) for text in stages_printed]
    sheet = stage_sheet(made.kit, made.plan)
    rows = [
        row for stage in sheet.stages for table in stage.tables for group in table.groups for row in group.rows
    ]
    for row in rows:
        said = [row.value, *(spot.name for spot in row.spots), *row.cautions, *row.detail, *row.about]
        said += [part for pair in row.alike for part in pair]
        assert any(all(plain(words) in text for words in said) for text in texts), row.value


def test_labels_are_many_to_a_page(all_printed: Printed, stages_printed: list[str]) -> None:
    made = job(OSCILLATOR)
    boards = len(boards_on_paper(made.kit.boards)) // 2  # two beside one another
    pages = all_printed.pages[len(stages_printed) + boards : -1]
    assert len(pages) == 3
    assert plain(pages[0]).count(plain(made.kit.title)) > 3 * 7, "three columns of seven, and the foot"
    values = [line.value for line in bag_lines(made.kit)]
    assert all(any(plain(value) in plain(text) for text in pages) for value in values)
    assert all("Labels:" not in text for text in pages)


def test_names_stand_at_the_foot_of_each_page_as_they_are(web: Browser, tmp_path: Path) -> None:
    names = (
        "</style><script>console.error(1)</script>",
        'a"; } body { display: none } \\',
        "left\u202etxt",
        "Größe ½ Ω",
    )
    kits = [msgspec.structs.replace(small_kit(), name=name, revision="") for name in names]
    jobs = [Job(kit=kit, plan=make_plan(kit, LOW), procedure=LOW) for kit in kits]
    printed = Printed(web, page(jobs, "labels"), tmp_path)
    assert (printed.console, printed.asked_for) == ([], [])
    for text in printed.pages:
        assert plain(", ".join(map(tidy, names))) in plain(text)


@pytest.mark.parametrize("width", [320, 390, 820, 1280])
def test_nothing_is_off_screen_on_a_telephone_or_a_laptop(web: Browser, width: int, tmp_path: Path) -> None:
    source = tmp_path / "page.html"
    made = job(OSCILLATOR)
    for labels in ("", "a4-24"):
        source.write_text(page([msgspec.structs.replace(made, labels=labels)], "all"), encoding="utf-8")
        web.look(width, phone=width < 500)
        web.open(source)
        assert web.value("document.documentElement.scrollWidth") == width
        outside = """[...document.querySelectorAll('main *')].filter(
            e => getComputedStyle(e).display != 'none' && e.getBoundingClientRect().right > innerWidth + 1
            ).map(e => e.tagName + ' ' + e.textContent.slice(0, 40))"""
        assert web.value(outside) == []


def test_on_screen_it_is_drawn_in_a_window_of_a_phone_without_being_cut(web: Browser, tmp_path: Path) -> None:
    from PIL import Image

    source = tmp_path / "page.html"
    source.write_text(page([job(METRONOME)], "stages"), encoding="utf-8")
    web.look(400, 700)
    web.open(source)
    picture = Image.open(BytesIO(web.picture())).convert("L")
    assert picture.width == 400
    ground = picture.getpixel((1, 1))
    edge = [picture.getpixel((picture.width - 2, row)) for row in range(0, 700, 5)]
    assert edge.count(ground) > len(edge) * 0.9, "words run over the right edge"
