"""Print-outs as pages: valid HTML, nothing from outside, and people's text inert."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import html5lib
import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Kit
from bench.kit.load import parse_kit
from bench.plan.stages import make_plan
from bench.session.build import Build
from bench.settings import Settings
from bench.writeup.sheets.publish import SHEETS, Job, job_for, page, procedure_page
from bench.writeup.sheets.texts import tidy
from bench.writeup.templating import _templates
from tests.parts.test_bands import luminance
from tests.support.kit_files import small
from tests.support.kit_values import METRONOME, OSCILLATOR
from tests.support.paper import job
from tests.support.plans import FLOW, LOW
from tests.support.samples import small_build, small_kit

HOSTILE = (
    "<script>alert(1)</script>", "</style><script>alert(2)</script>", "--> <!-- x", "</title>", "</svg>",
    "\" onload=\"alert(3)", "' onload='alert(4)", "{{ 7 * 7 }}", "{% raw %}", "&lt;b&gt;", "]]>",
    "url(http://example.invalid/x)", "@import 'x'", "left\u202etxt\u2066end", "e" + "\u0301" * 40, "x" * 3000,
    "\x00\x1b[31m",
)  # fmt: skip
"""What people's text may hold; none of it may be anything but text."""
XHTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
_NAMES = """html head meta title style body nav main section header h1 h2 h3 p ul ol li a span strong div br
table colgroup col thead tbody tr th td figure figcaption"""
KNOWN = {XHTML + name for name in _NAMES.split()} | {SVG + name for name in ("svg", "path", "rect", "text")}
"""Every element that a page may be made of."""
ATTRIBUTES = {
    "lang", "charset", "name", "content", "class", "id", "href", "aria-label", "data-head", "role", "scope",
    "colspan",
    "http-equiv", "viewBox", "width", "height", "d", "text-anchor", "fill", "stroke", "stroke-width", "x", "y",
    "rx",
}  # fmt: skip


def strict(html: str) -> Any:
    """The page's tree; any fault of the HTML standard's parser raises."""
    return html5lib.HTMLParser(strict=True).parse(html)


def assert_plain(html: str) -> Any:
    """Known elements and attributes only, nothing that runs and nothing from elsewhere; the tree."""
    tree = strict(html)
    for element in tree.iter():
        assert element.tag in KNOWN, element.tag
        assert set(element.attrib) <= ATTRIBUTES, element.attrib
        assert element.get("href", "#").startswith("#")
    assert not re.search("[\u202a-\u202e\u2066-\u2069\u200e\u200f]", html)
    (style,) = tree.iter(f"{XHTML}style")
    assert not re.search(r"url\(|@import|expression|<", "".join(style.itertext()))
    return tree


def text_of(tree: Any) -> str:
    """All text of the body, blanks run together."""
    (body,) = tree.iter(f"{XHTML}body")
    return " ".join(" ".join(body.itertext()).split())


def all_of(kit: Kit, build: Build | None = None) -> Job:
    if build is not None:
        return job_for(build, LOW, Settings())
    return Job(kit=kit, plan=make_plan(kit, LOW), procedure=LOW)


# -- the pages ----------------------------------------------------------------------------------
@pytest.mark.parametrize("procedure", ["low-to-high", "signal-flow"])
@pytest.mark.parametrize("kit", [METRONOME, OSCILLATOR])
@pytest.mark.parametrize("what", ["stages", "labels", "procedure", "all"])
def test_every_page_is_valid_html_that_holds_all_it_needs(what: str, kit: Path, procedure: str) -> None:
    assert_plain(page([job(kit, procedure)], what))


@pytest.mark.parametrize("procedure", [LOW, FLOW])
def test_a_procedure_alone_is_a_page_too(procedure: Any) -> None:
    assert tidy(procedure.name) in text_of(assert_plain(procedure_page(procedure)))


def test_no_identifier_stands_there_twice_and_every_link_leads_somewhere() -> None:
    tree = strict(page([job(METRONOME), job(OSCILLATOR)], "all"))
    names = [element.get("id") for element in tree.iter() if element.get("id")]
    assert len(names) == len(set(names))
    assert {element.get("href", "")[1:] for element in tree.iter(f"{XHTML}a")} == set(names)


def test_every_template_is_used_by_a_page() -> None:
    names = {name for name in _templates().list_templates() if name.startswith("sheet")}
    assert names == {
        "sheets.css", "sheet-page.html", "sheet-parts.html", "sheet-stages.html", "sheet-labels.html",
        "sheet-label-pages.html", "sheet-procedure.html", "sheet-letter.html",
    }  # fmt: skip


# -- people's text ------------------------------------------------------------------------------
def hostile_kit(words: str) -> Kit:
    """A kit with these words wherever people write words."""
    quoted = json.dumps(words)
    part = (
        f"{{refs: R1-R3, value: 4k7, note: {quoted}, caution: {quoted}, package: {quoted}, section: {quoted}}}"
    )
    kit = parse_kit(
        small(part, f"{{refs: U1, value: {quoted}, kind: IC, marking: {quoted}}}").encode(), "k.yaml"
    )
    return msgspec.structs.replace(
        kit, name=words, maker=words, revision=words, errata=(words,), hazards=(words,), notes=(words,),
        tools=(words,), boards=tuple(msgspec.structs.replace(board, name=words) for board in kit.boards),
    )  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE, ids=lambda words: ascii(words)[:20])
def test_what_people_write_is_only_ever_text(words: str, tmp_path: Path) -> None:
    kit = hostile_kit(words if words.isprintable() else tidy(words))
    for what, labels in (("stages", ""), ("labels", ""), ("labels", "a4-14"), ("procedure", "")):
        tree = assert_plain(page([msgspec.structs.replace(all_of(kit), labels=labels)], what))
        assert " ".join(tidy(words).split()) in text_of(tree)
    build = small_build(tmp_path / "one")
    build.opened()
    build.note(words)
    build.snag(words, words, 1, words)
    build.substitute("R1", words, words)
    build.erratum(words)
    build.done()
    build.hold_back(words)
    for what in SHEETS:
        assert_plain(page([all_of(build.kit, build)], what))
    assert " ".join(tidy(words).split()) in text_of(strict(page([all_of(build.kit, build)], "help")))


@given(st.text(max_size=60))
def test_no_text_at_all_breaks_a_page(words: str) -> None:
    kit = msgspec.structs.replace(small_kit(), name=words, revision=words, errata=(words,), maker=words)
    assert_plain(page([all_of(kit)], "all"))


# -- on screen ----------------------------------------------------------------------------------
LOOK = re.compile(r"--ink: (\S+); --soft: (\S+); --paper: (\S+); --line: (\S+);")


def full(colour: str) -> str:
    """A colour of the style sheet as `#rrggbb`; paper without a ground of its own is white."""
    if colour == "transparent":
        return "#ffffff"
    return "#" + "".join(digit * 2 for digit in colour[1:]) if len(colour) == 4 else colour


def test_words_stand_out_in_light_in_dark_and_on_paper() -> None:
    """4.5:1 is WCAG 2.1, success criterion 1.4.3; 3:1 for lines, 1.4.11 (from memory)."""
    looks = LOOK.findall(page([job(METRONOME)], "labels"))
    assert len(looks) == 3
    for ink, soft, paper, line in looks:
        for colour, least in ((ink, 4.5), (soft, 4.5), (line, 3)):
            dark, light = sorted((luminance(full(colour)), luminance(full(paper))))
            assert (light + 0.05) / (dark + 0.05) >= least, (colour, paper)


def test_bands_are_named_in_the_drawing_and_for_who_hears_the_page() -> None:
    tree = strict(page([job(OSCILLATOR)], "labels"))
    drawings = list(tree.iter(f"{SVG}svg"))
    assert len(drawings) >= 20
    for drawing in drawings:
        words = [element.text for element in drawing.iter(f"{SVG}text")]
        pairs = [f"{name} {digit}" for name, digit in zip(words[::2], words[1::2], strict=True)]
        assert drawing.get("role") == "img"
        assert drawing.get("aria-label") == "bands: " + ", ".join(pairs)
        assert len(pairs) == len(list(drawing.iter(f"{SVG}rect"))) - 1


@pytest.mark.parametrize("what", ["stages", "labels", "procedure", "all"])
def test_no_heading_lies_in_a_head_of_a_table(what: str) -> None:
    """HTML Living Standard 4.9.10: a `th` holds no heading."""
    tree = strict(page([job(OSCILLATOR)], what))
    for head in tree.iter("{http://www.w3.org/1999/xhtml}th"):
        inside = {each.tag.rpartition("}")[2] for each in head.iter()}
        assert not inside & {"h1", "h2", "h3", "h4", "section", "header", "footer"}


@pytest.mark.parametrize("what", ["stages", "labels", "procedure", "all"])
def test_headings_go_down_by_one_level_at_a_time(what: str) -> None:
    tree = strict(page([job(OSCILLATOR)], what))
    levels = [
        int(each.tag[-1])
        for each in tree.iter()
        if isinstance(each.tag, str) and re.search(r"}h[1-6]$", each.tag)
    ]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
