"""Labels on adhesive sheets: where they sit, what fits on them, and that a browser prints them so."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from bench.cli import main
from bench.errors import SoldersideError
from bench.kit.load import load_kit
from bench.settings import shipped_kits_folder
from bench.writeup.sheets.label_paper import PAPERS, USUAL, LabelPaper, fit, label_pages, label_paper
from bench.writeup.sheets.labels import label_sheet
from bench.writeup.sheets.publish import page
from bench.writeup.sheets.sheet_model import Label
from tests.support.browser import Browser
from tests.support.command_line import HOSTILE
from tests.support.kit_values import OSCILLATOR
from tests.support.paper import Printed, job

PATHS = sorted(shipped_kits_folder().glob("*.yaml"))
KITS = [load_kit(path) for path in PATHS]


# -- sheets ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", USUAL)
def test_a_usual_sheet_lies_on_its_paper_and_no_two_labels_overlap(name: str) -> None:
    paper = USUAL[name]
    wide, high = PAPERS[paper.paper]
    places = [paper.place(at) for at in range(paper.many)]
    assert len(places) == int(name.rpartition("-")[2])
    assert all(x >= 0 and x + paper.width <= wide + 0.01 for x, _ in places)
    assert all(y >= 0 and y + paper.height <= high + 0.01 for _, y in places)
    assert all(
        abs(ax - bx) >= paper.width - 0.01 or abs(ay - by) >= paper.height - 0.01
        for number, (ax, ay) in enumerate(places)
        for bx, by in places[number + 1 :]
    )


def test_any_other_sheet_is_given_by_its_sizes() -> None:
    made = label_paper("letter 3x10 66.675x25.4 left 4.76 top 12.7 gap 3.175")
    assert (made.paper, made.many, made.place(0)) == ("letter", 30, (4.76, 12.7))
    assert made.place(29) == pytest.approx((4.76 + 2 * 69.85, 12.7 + 9 * 25.4))
    assert label_paper("A4 3x8 70 x 37 mm") == USUAL["a4-24"]


@pytest.mark.parametrize(
    "text",
    [
        "", "a5-3", "A4", "A4 3x8", "A4 3x8 80x37", "A4 3x9 70x37", "A4 0x8 70x37", "A4 30x8 6x37",
        "A4 3x8 7.0.1x37", "A4 3x8 70x37 left 5", "A4 3x8 70x37 top -1", f"A4 {HOSTILE}", "A4 3x8 70x3.7",
    ],
)  # fmt: skip
def test_what_is_no_sheet_of_labels_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(SoldersideError) as refused:
        label_paper(text)
    assert refused.value.hint


@given(st.integers(0, 200), st.integers(1, 70), st.sampled_from(sorted(USUAL)))
def test_every_label_has_a_place_of_its_own_after_those_that_are_gone(many: int, first: int, name: str) -> None:
    sheet = label_sheet([(KITS[0], None)])
    labels = tuple(replace(sheet.labels[1], value=str(number)) for number in range(many))
    pages = label_pages(replace(sheet, labels=labels), USUAL[name], first)
    told = [
        (number, label.slot, label.value) for number, each in enumerate(pages.pages) for label in each.labels
    ]
    assert [value for _, _, value in told] == [str(number) for number in range(many)]
    assert len({(number, slot) for number, slot, _ in told}) == many
    if many:
        assert told[0][1] == (first - 1) % USUAL[name].many


# -- what fits ---------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", USUAL)
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.name)
def test_value_and_warnings_are_on_every_label_and_places_begin_there(kit: Any, name: str) -> None:
    for label in label_sheet([(kit, None)]).labels:
        told = fit(label, USUAL[name])
        assert told.value == label.value
        assert len(told.warnings) == len(label.remarks)
        for warning, remark in zip(told.warnings, label.remarks, strict=True):
            assert "can kill" in warning
            assert remark.startswith(warning.removesuffix(" …").rstrip("."))
        if label.kit and label.places:
            assert told.places[0][:12] in label.places[0]


def test_on_the_smallest_label_what_can_kill_is_still_said() -> None:
    brief = "Mains and stored charge: can kill. Maker's instructions and local codes first."
    label = Label(
        value="Amplifier rev. A",
        kind="the whole kit",
        about=(),
        kit="",
        amount=90,
        places=("x",),
        remarks=(brief,),
    )
    told = fit(label, label_paper("A4 4x20 45x13"))
    assert told.warnings == ("Mains and stored charge: can kill",)


def overflowing(web: Browser, paper: str, folder: Path) -> Any:
    """The labels in a browser, as printed: those whose words run out, and where each one lies, in mm."""
    jobs = [replace(job(path), labels=paper) for path in PATHS]
    source = folder / "labels.html"
    source.write_text(page(jobs, "labels"), encoding="utf-8")
    web.look(1280)
    web.ask("Emulation.setEmulatedMedia", media="print")
    web.open(source)
    return json.loads(
        web.value(
            """JSON.stringify([...document.querySelectorAll('.label-page')].map(sheet => {
              const at = sheet.getBoundingClientRect(), mm = 25.4 / 96;
              return [...sheet.querySelectorAll('li')].map(li => {
                const box = li.getBoundingClientRect();
                return [li.textContent.trim().slice(0, 40), li.scrollHeight - li.clientHeight,
                        li.scrollWidth - li.clientWidth, (box.left - at.left) * mm, (box.top - at.top) * mm,
                        box.width * mm, box.height * mm];
              });
            }))"""
        )
    )


@pytest.mark.parametrize("name", USUAL)
def test_in_a_browser_every_label_lies_in_its_place_and_nothing_runs_out_of_it(
    web: Browser, name: str, tmp_path: Path
) -> None:
    paper: LabelPaper = USUAL[name]
    for sheet in overflowing(web, name, tmp_path):
        for at, (said, high, wide, left, top, width, height) in enumerate(sheet):
            assert (high, wide) == (0, 0), said
            assert (left, top) == (
                pytest.approx(paper.place(at)[0], abs=0.2),
                pytest.approx(paper.place(at)[1], abs=0.2),
            )
            assert (width, height) == (
                pytest.approx(paper.width, abs=0.1),
                pytest.approx(paper.height, abs=0.1),
            )


@pytest.mark.parametrize(("name", "size"), [("a4-65", (210, 297)), ("letter-30", (216, 279))])
def test_printed_it_is_as_many_sheets_as_it_takes_and_no_blank_one(
    web: Browser, name: str, size: tuple[int, int], tmp_path: Path
) -> None:
    printed = Printed(web, page([replace(job(OSCILLATOR), labels=name)], "labels"), tmp_path)
    assert printed.sizes == [size] * -(
        -len(label_sheet([(load_kit(OSCILLATOR), None)]).labels) // USUAL[name].many
    )
    assert not any("page 1" in text for text in printed.pages)


def test_hostile_words_stay_words_on_a_label(tmp_path: Path) -> None:
    kit = replace(KITS[0], name=f'<script>x</script>"{HOSTILE}', revision="")
    text = page([replace(job(OSCILLATOR), kit=kit, labels="a4-65")], "labels")
    assert "<script" not in text
    assert "\x1b" not in text
    assert "\u202e" not in text


# -- asked for ---------------------------------------------------------------------------------------
def test_labels_on_a_sheet_are_asked_for_in_the_shell_or_by_the_settings(
    own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["sheet", str(OSCILLATOR), "--what", "labels", "--out", "-"]
    assert main([*asked, "--labels", "a4-65", "--first", "3"]) == 0
    by_shell = capsys.readouterr().out
    assert 'class="at-2"' in by_shell
    assert 'class="at-1"' not in by_shell
    own_data.mkdir(exist_ok=True)
    (own_data / "settings.toml").write_text('label_sheet = "a4-65"\npaper = "letter"\n')
    assert main([*asked, "--first", "3"]) == 0
    assert 'class="at-2"' in (by_settings := capsys.readouterr().out)
    assert "size: letter portrait" in by_settings
    assert main([*asked, "--labels", "none"]) == 0
    assert 'class="at-' not in capsys.readouterr().out
    assert main([*asked, "--labels", "a5"]) == 1
    assert "'a5' is no sheet of labels; write a4-14" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["--labels", "a4-65"], ["--first", "2"], ["--paper", "A5"]])
def test_options_of_labels_that_do_nothing_are_wrong_use(arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["sheet", str(OSCILLATOR), *arguments])
    assert left.value.code == 2
