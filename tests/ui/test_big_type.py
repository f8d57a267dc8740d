"""Large type: its letters are our own, are told apart, and are legible from where one stands."""

from __future__ import annotations

from itertools import combinations, product
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import FileFaults
from bench.kit.load import load_kit
from bench.plan.stages import make_plan
from bench.session.build import Build
from bench.settings import parse_settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.ui.big_type import IN_ASCII, can_draw, draw, glyphs, height_of, width_of
from tests.support.common_dots import common_dots
from tests.support.legibility import legible_metres
from tests.support.plans import LOW
from tests.support.screens import drive, screen_text

Dots = frozenset[tuple[int, int]]
PREFIXES_AND_UNITS = "k M G µ u n p m R Ω F H V A W Hz % / - + . , ( ) ± :"
"""SI prefixes and units as kits write them; R stands for ohm and decimal sign in IEC 60062, from memory."""


def dots(rows: tuple[str, ...]) -> Dots:
    """Where the dots of a drawing are, seen from its top left dot."""
    inked = [(y, x) for y, row in enumerate(rows) for x, dot in enumerate(row) if dot == "#"]
    top, left = min(y for y, _ in inked), min(x for _, x in inked)
    return frozenset((y - top, x - left) for y, x in inked)


def unlike(first: str, second: str) -> int:
    """Dots that one of two letters has and the other has not, however they are laid over one another."""
    one, other = dots(glyphs()[first]), dots(glyphs()[second])
    shifts = product((-1, 0, 1), (-2, -1, 0, 1, 2))
    return min(len(one ^ {(y + down, x + right) for y, x in other}) for down, right in shifts)


def test_fewer_than_a_third_of_the_letters_have_the_dots_of_the_common_ones() -> None:
    common = common_dots()
    ours = glyphs()
    assert set(common) <= set(ours)
    same = [char for char in common if dots(common[char]) == dots(ours[char])]
    assert len(same) < len(common) / 3, same
    assert not set("014RKgjyµΩkMnp") & set(same)


@pytest.mark.parametrize(
    "alike", ["1lI|", "0OD8Q", "5S", "8B3", "2Z", "6Gb", "4A9", "UV", "unµ", "mM", "kK", "mn", "pPq", "gqy9"]
)
def test_letters_that_are_mistaken_for_one_another_differ_in_several_dots(alike: str) -> None:
    for first, second in combinations([char for char in alike if char in glyphs()], 2):
        assert unlike(first, second) >= 3, (first, second)


def test_strokes_are_one_dot_wide_and_counters_are_open() -> None:
    """A square of four dots is a blot from afar; so is a counter of one or two."""
    for char, rows in glyphs().items():
        if not char.isalnum():
            continue
        inked = dots(rows)
        blots = [(y, x) for y, x in inked if {(y, x + 1), (y + 1, x), (y + 1, x + 1)} <= inked]
        assert not blots, (char, blots)
        for counter in counters(inked):
            assert len(counter) >= 3, (char, counter)


def counters(inked: Dots) -> list[set[tuple[int, int]]]:
    """The pieces of ground that a letter shuts in."""
    tall, wide = max(y for y, _ in inked) + 1, max(x for _, x in inked) + 1
    ground = {(y, x) for y in range(-1, tall + 1) for x in range(-1, wide + 1)} - inked
    pieces = []
    while ground:
        edge = [ground.pop()]
        piece = set(edge)
        while edge:
            y, x = edge.pop()
            near = {(y - 1, x), (y + 1, x), (y, x - 1), (y, x + 1)} & ground
            ground -= near
            piece |= near
            edge += near
        pieces.append(piece)
    return [piece for piece in pieces if (-1, -1) not in piece]


@pytest.mark.parametrize("char", "gjpqyµ")
def test_what_hangs_hangs_below_the_line(char: str) -> None:
    assert len(glyphs()[char]) == 8
    assert "#" in glyphs()[char][7]


def test_no_letter_is_wider_or_higher_than_a_card_has_room_for() -> None:
    for char in glyphs():
        assert width_of(char) <= 5
        assert height_of(1, char) == len(draw(char)) == 4
        for scale in (1, 2, 3, 4, 5):
            assert {len(row) for row in draw(char, scale)} == {width_of(char, scale)}
            assert height_of(scale, char) <= 4 * scale


def test_everything_that_shipped_kits_and_units_need_has_a_drawing() -> None:
    needed = set("0123456789" + PREFIXES_AND_UNITS) - {" "}
    needed |= {chr(code) for letter in "Aa" for code in range(ord(letter), ord(letter) + 26)}
    for path in sorted(shipped_kits_folder().glob("*.yaml")):
        for step in make_plan(load_kit(path), LOW).steps:
            if step.kind and step.refs:
                needed |= set(step.amount(len(step.items)) + "".join(step.refs)) - {" "}
    assert not [char for char in sorted(needed) if not can_draw(char)]


def test_the_ohm_sign_and_greek_letters_are_drawn_alike() -> None:
    assert draw("\u2126") == draw("\u03a9")
    assert draw("\u00b5") == draw("\u03bc")


def test_a_terminal_without_block_characters_gets_large_type_in_ascii(build: Build, tmp_path: Path) -> None:
    shown: dict[str, str] = {}

    for kind in ("blocks", "ascii"):

        async def act(pilot: Pilot[None], app: BenchApp, kind: str = kind) -> None:
            shown[kind] = screen_text(app)

        drive(build, tmp_path, act, large_type=kind)
    assert any(block in shown["blocks"] for block in "▀▄█")
    assert not any(block in shown["ascii"] for block in "▀▄█")
    assert shown["ascii"] == shown["blocks"].translate(IN_ASCII)


def test_another_kind_of_large_type_is_refused_with_what_there_is() -> None:
    with pytest.raises(FileFaults, match="no large type 'braille'"):
        parse_settings('large_type = "braille"\n', "settings.toml")


@pytest.mark.parametrize(
    ("millimetres", "minutes", "metres"),
    [
        (
            8.73,
            5.0,
            6.0,
        ),  # common practice, no source: the letter that normal sight just reads at 6 m is 8.7 mm high
        (5.82, 20.0, 1.0),  # 1 m x 20 minutes of arc in radians (0.0058178): small angles
    ],
)
def test_the_distance_from_which_a_letter_is_legible(millimetres: float, minutes: float, metres: float) -> None:
    assert legible_metres(1.0, millimetres, minutes) == pytest.approx(metres, rel=2e-3)


def test_large_type_is_legible_at_arms_length_on_small_lines() -> None:
    """Lines of 3 mm, a small laptop: large type at its smallest from a metre, as one stands at a bench."""
    assert legible_metres(3.5, 3.0) > 1.0


def test_a_value_of_a_wide_card_is_legible_from_three_metres() -> None:
    """Scale 2, as on 80 columns, on lines of 4.5 mm."""
    assert legible_metres(7, 4.5) > 3.0
