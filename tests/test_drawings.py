from __future__ import annotations

import re
from decimal import Decimal

import pytest
from eseries import E24, E96, series
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.codes import encode as capacitor_code
from bench.parts.codes import read_marking
from bench.parts.colours import decode, encode
from bench.parts.kinds import KINDS
from bench.parts.palette import COLOURS
from bench.parts.quantity import Quantity, letter_code
from bench.tui.bands import BAND_LOOKS, Row, band_strip
from bench.tui.drawings import orientation_drawing
from bench.tui.prints import marking_words, usual_prints
from bench.tui.shapes import SHAPES, TALLEST, WIDEST
from bench.tui.text import cells

PACKAGES = (
    "", "DIP-8", "DIP-14", "DIP-40", "SIP-9", "TO-92", "TO-220", "TO-18", "TO-3", "SOT-23", "axial",
    "radial 2 mm", "DO-35", "DO-41", "2x5", "2x8", "2x20", "noval", "octal", "B7G", "KBL", "SOIC-8", "3 mm",
)  # fmt: skip
VALUES = ("", "TL074", "2N3904", "2N2222", "7805", "79L12", "LM317", "VTL5C3", "4N25", "LCD 16x2", "W04M")
LOOKS = {"plain", "way", *BAND_LOOKS}
WORKED = [
    # IEC 60062 codes worked out in public pages, as collected with their addresses
    ("red red red silver", "2k2", "10 %"),  # sarthaks.com/3653914
    ("yellow violet brown gold", "470R", "5 %"),  # the same page
    ("brown black black red brown", "10k", "1 %"),  # dgtal-sysworld.co.in/2013/09
    ("brown black red gold", "1k", "5 %"),  # studylib.net/doc/18046664
    ("red violet green gold", "2M7", "5 %"),  # wiki.bildr.org
    ("yellow violet green orange brown", "475k", "1 %"),  # Vishay Draloric/Beyschlag colour card
]
POWERS = {"": 1, "k": 10**3, "M": 10**6, "G": 10**9}


def text_of(row: Row) -> str:
    return "".join(text for text, _ in row)


def colours_of(rows: tuple[Row, ...]) -> tuple[str, ...]:
    """Names of the coloured cells of the one row that has digits in it."""
    row = next(row for row in rows if any(char.isdigit() for char in text_of(row)))
    return tuple(look.removeprefix("band-") for _, look in row if look.startswith("band-"))


def ohms_of(labels: list[str]) -> Decimal:
    """What digits and a factor such as `×10k` come to."""
    factor = re.fullmatch(r"×([\d.]+)([kMG]?)", labels[-1])
    assert factor
    return Decimal("".join(labels[:-1])) * Decimal(factor[1]) * POWERS[factor[2]]


# -- bands --------------------------------------------------------------------------------------
@pytest.mark.parametrize(("bands", "value", "tolerance"), WORKED)
@pytest.mark.parametrize("compact", [False, True])
def test_published_codes_are_drawn_in_their_colours(
    bands: str, value: str, tolerance: str, compact: bool
) -> None:
    rows = band_strip(value, tolerance, 80, compact=compact)
    assert colours_of(rows) == tuple(bands.split())
    said = " ".join(map(text_of, rows))
    assert all(name in said for name in bands.split())


@given(
    st.sampled_from([*series(E24), *series(E96)]), st.integers(0, 7), st.sampled_from(("1", "2", "0.1", "5")),
    st.sampled_from((None, 25, 50, 100)), st.booleans(),
)  # fmt: skip
def test_the_strip_shows_what_the_code_says(
    figures: float, power: int, percent: str, tempco: int | None, compact: bool
) -> None:
    ohms = (Decimal(str(figures)).normalize() / 100).scaleb(power)
    if percent == "5":
        tempco = None
    value = letter_code(Quantity(amount=ohms, unit="ohm"))
    tolerance = f"{percent} %" + (f" {tempco} ppm/K" if tempco else "")
    rows = band_strip(value, tolerance, 120, compact=compact)
    expected = encode(ohms, Decimal(percent), tempco)
    assert colours_of(rows) == expected
    assert any(
        read.ohms == ohms and read.tolerance_percent == Decimal(percent) and read.tempco_ppm == tempco
        for read in decode(colours_of(rows))
    )


@given(st.sampled_from(series(E96)), st.integers(0, 7))
def test_the_strip_reads_without_any_colour(figures: float, power: int) -> None:
    """The digits and the factor in the cells, multiplied by hand, are the value."""
    ohms = (Decimal(str(figures)).normalize() / 100).scaleb(power)
    drawn = band_strip(letter_code(Quantity(amount=ohms, unit="ohm")), "1 %", 120)
    labels = re.findall(r"║ +(\S+(?: %)?) +║", text_of(drawn[1]))
    assert labels[-1] == "±1 %"
    assert ohms_of(labels[:-1]) == ohms
    names = text_of(drawn[3]).split()
    assert names == list(colours_of(drawn))


def test_each_name_stands_under_its_band() -> None:
    drawn = band_strip("47R", "0.05 % 10 ppm/K", 80)
    names, at = text_of(drawn[3]), 0
    for text, look in drawn[1]:
        if look.startswith("band-"):
            name = look.removeprefix("band-")
            under = names[max(0, at - 1) : at + len(text) + 1]
            assert name in under
        at += len(text)


def test_bands_have_four_five_or_six_cells_by_tolerance_and_tempco() -> None:
    """IEC 60062: two figures for ±5 % and wider, three for ±2 % and tighter."""
    counts = [len(colours_of(band_strip("4k7", said, 80))) for said in ("10 %", "5 %", "2 %", "1 %", "0.5 %")]
    assert counts == [4, 4, 5, 5, 5]
    assert len(colours_of(band_strip("4k7", "0.1 % 25 ppm/K", 80))) == 6


def test_the_band_of_the_tolerance_stands_apart() -> None:
    """The wider gap tells where the code ends: common practice."""
    row = text_of(band_strip("4k7", "1 %", 80)[1])
    gaps = [len(gap) for gap in re.findall(r"║( +)(?=║)", re.sub(r"║ +[^║ ][^║]*║", "║║", row))]
    assert gaps[-1] > max(gaps[:-1])


def test_a_link_of_zero_ohms_is_one_black_band() -> None:
    for value in ("0", "0R"):
        rows = band_strip(value, "", 60)
        assert colours_of(rows) == ("black",)
        assert "a link of 0 Ω" in text_of(rows[-1])


def test_without_a_tolerance_both_usual_codes_are_given_with_their_condition() -> None:
    five, one = band_strip("4k7", "", 80)
    assert text_of(five).startswith("if ±5 %:")
    assert text_of(one).startswith("if ±1 %:")
    assert colours_of((five,)) == encode(Decimal(4700), Decimal(5))
    assert colours_of((one,)) == encode(Decimal(4700), Decimal(1))


def test_a_value_of_three_figures_without_a_tolerance_has_five_bands_only() -> None:
    (row,) = band_strip("49k9", "", 80)
    assert text_of(row).startswith("if ±1 %:")


@pytest.mark.parametrize(
    ("value", "tolerance"),
    [
        ("TL072", "1 %"),
        ("100n", "5 %"),
        ("link", ""),
        ("4k7", "3 %"),
        ("4k753", "1 %"),
        ("0R22 5W", "5 %"),
        ("", ""),
    ],
)
def test_what_bears_no_bands_has_no_strip(value: str, tolerance: str) -> None:
    assert band_strip(value, tolerance, 80) == ()


def test_tolerance_beside_the_value_and_as_a_letter_is_taken() -> None:
    assert colours_of(band_strip("4k7 5 %", "", 80)) == colours_of(band_strip("4k7", "J", 80))
    assert colours_of(band_strip("4k7", "F", 80))[-1] == "brown"


def test_forty_cells_hold_the_bands_in_one_row_of_words() -> None:
    (row,) = band_strip("4k7", "1 %", 40, compact=True)
    assert text_of(row) == "yel 4·vio 7·blk 0·brn ×10·brn ±1 %"


def test_sixty_cells_hold_the_bands_with_their_full_names() -> None:
    (row,) = band_strip("4k7", "1 %", 60, compact=True)
    words = text_of(row).replace(" · ", "·").strip()
    assert words == "yellow 4·violet 7·black 0·brown ×10·brown ±1 %"


@given(
    st.one_of(st.text(max_size=20), st.sampled_from(("4k7", "0R22", "475k", "0R", "9M76", "47R 2 % 100 ppm"))),
    st.one_of(st.text(max_size=20), st.sampled_from(("1 %", "5 %", "0.05 % 10 ppm/K", "20 %", ""))),
    st.integers(4, 200), st.booleans(),
)  # fmt: skip
def test_a_strip_is_never_wider_than_its_room(value: str, tolerance: str, width: int, compact: bool) -> None:
    for row in band_strip(value, tolerance, width, compact=compact):
        assert sum(cells(text) for text, _ in row) <= width
        assert {look for _, look in row} <= LOOKS


@given(st.sampled_from(WORKED), st.integers(4, 200))
def test_no_width_loses_a_band(worked: tuple[str, str, str], width: int) -> None:
    bands, value, tolerance = worked
    rows = band_strip(value, tolerance, width)
    seen = [look.removeprefix("band-") for row in rows for _, look in row if look.startswith("band-")]
    assert set(seen) == set(bands.split())
    assert len(seen) >= len(bands.split())


def test_no_room_gives_no_rows() -> None:
    for width in range(4):
        assert band_strip("4k7", "1 %", width) == ()
        assert orientation_drawing("diode", "", width) == ()


def luminance(colour: str) -> float:
    """Relative luminance; WCAG 2.1, definition of relative luminance (from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_every_band_colour_has_a_look_with_readable_ink() -> None:
    """4.5:1 is WCAG 2.1, success criterion 1.4.3 (from memory)."""
    assert set(BAND_LOOKS) == {f"band-{name}" for name in COLOURS}
    for name, (ink, ground) in BAND_LOOKS.items():
        dark, light = sorted((luminance(ink), luminance(ground)))
        assert (light + 0.05) / (dark + 0.05) >= 4.5, name
        assert ground == "#{:02x}{:02x}{:02x}".format(*COLOURS[name.removeprefix("band-")].srgb)


# -- print --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("kind", "value", "tolerance", "voltage", "code"),
    [
        ("ceramic capacitor", "100n", "", "", "104"),  # specap.com
        ("film capacitor", "47n", "5 %", "", "473J"),  # regiscoyne.com/tech/cap-resistorcodes
        ("film capacitor", "470n", "5 %", "", "474J"),  # oriedza.blogspot.com/2014_04_17_archive.html
        ("film capacitor", "470n", "5 %", "100 V", "2A474J"),  # the same page
        ("ceramic capacitor", "3p9", "", "", "3R9"),  # two pages of decoded codes
        ("ceramic capacitor", "4p7", "", "", "4R7"),
        ("tantalum capacitor", "10u", "", "16 V", "10 16V"),  # common practice, no source
        ("ceramic capacitor", "47p", "", "", "47"),  # common practice, no source
        ("ceramic capacitor", "4p7", "±0.25 pF", "", "4R7C"),  # letter C: dummies.com, capacitor tolerance code
        ("electrolytic capacitor", "22u", "20 %", "25 V", "22µF 25V"),  # common practice, no source
    ],
)
def test_published_codes_are_among_the_usual_prints(
    kind: str, value: str, tolerance: str, voltage: str, code: str
) -> None:
    assert code in usual_prints(kind, value, tolerance, voltage)
    assert code in marking_words(kind, value, tolerance, voltage)


@given(
    st.sampled_from(("ceramic capacitor", "film capacitor", "tantalum capacitor", "electrolytic capacitor")),
    st.sampled_from(series(E24)), st.integers(-12, -5), st.sampled_from(("", "1 %", "5 %", "10 %", "20 %")),
    st.sampled_from(("", "16 V", "50 V", "63 V", "100 V")),
)  # fmt: skip
def test_usual_prints_read_back_to_the_value(
    kind: str, figures: float, power: int, tolerance: str, voltage: str
) -> None:
    farads = (Decimal(str(figures)).normalize() / 10).scaleb(power)
    value = letter_code(Quantity(amount=farads, unit="farad"))
    if kind in ("tantalum capacitor", "electrolytic capacitor") and farads < Decimal("1E-8"):
        assert usual_prints(kind, value, tolerance, voltage) == ()
        return
    found = usual_prints(kind, value, tolerance, voltage)
    assert found
    for code in found:
        assert farads in {reading.farads for reading in read_marking(code)}, code
    if kind in ("ceramic capacitor", "film capacitor"):
        assert any(capacitor_code(farads) in code for code in found)


def test_the_kits_own_marking_comes_first_and_is_not_called_usual() -> None:
    assert marking_words("ceramic capacitor", "100n", "10 %", "50 V", "B104") == "printed B104"
    assert marking_words("resistor", "4k7", marking=" \x1b[31m4701 ") == "printed ␛[31m4701"


def test_a_usual_print_is_said_to_be_usual_and_other_kinds_have_none() -> None:
    assert marking_words("ceramic capacitor", "100n", "10 %") == "usually printed 104 or 104K"
    for kind, value in (
        ("resistor", "4k7"),
        ("ceramic capacitor", "4k7"),
        ("IC", "TL072"),
        ("film capacitor", ""),
    ):
        assert marking_words(kind, value) == ""


def test_values_and_tolerances_without_a_code_or_letter_get_none() -> None:
    assert usual_prints("film capacitor", "1.234n") == ()
    assert usual_prints("film capacitor", "0") == ()
    assert usual_prints("trimmer capacitor", "22p") == ()
    assert usual_prints("tantalum capacitor", "12.34u", "", "16 V") == ()
    assert usual_prints("ceramic capacitor", "100n", "4 %") == ("104",)
    assert usual_prints("ceramic capacitor", "100n", "K") == ("104", "104K")
    assert usual_prints("ceramic capacitor", "100n", "?") == ("104",)


@given(*[st.text(max_size=25)] * 4, st.sampled_from(sorted(KINDS)))
def test_no_text_breaks_the_words_on_print(
    value: str, tolerance: str, voltage: str, marking: str, kind: str
) -> None:
    said = marking_words(kind, value, tolerance, voltage, marking)
    assert said.isprintable()
    assert not marking.strip() or said.startswith("printed")


# -- which way round ----------------------------------------------------------------------------
@pytest.mark.parametrize("kind", [kind.name for kind in KINDS.values() if kind.polarised])
def test_every_polarised_kind_has_a_drawing_with_words(kind: str) -> None:
    rows = orientation_drawing(kind, "", WIDEST)
    assert rows
    assert re.search("[a-z]{3}", " ".join(map(text_of, rows)))


@given(
    st.sampled_from([kind.name for kind in KINDS.values() if not kind.polarised]), st.sampled_from(PACKAGES),
    st.sampled_from(VALUES),
)  # fmt: skip
def test_parts_that_go_in_either_way_have_none(kind: str, package: str, value: str) -> None:
    assert orientation_drawing(kind, package, 80, value) == ()


@given(
    st.sampled_from(sorted(KINDS)), st.one_of(st.sampled_from(PACKAGES), st.text(max_size=20)),
    st.one_of(st.sampled_from(VALUES), st.text(max_size=20)), st.integers(4, 200),
)  # fmt: skip
def test_a_drawing_is_never_wider_than_its_room_nor_larger_than_promised(
    kind: str, package: str, value: str, width: int
) -> None:
    rows = orientation_drawing(kind, package, width, value)
    assert len(rows) <= TALLEST
    for row in rows:
        assert sum(cells(text) for text, _ in row) <= min(width, WIDEST)
        assert {look for _, look in row} <= LOOKS
    if width >= WIDEST:
        assert rows == orientation_drawing(kind, package, 200, value)


def test_every_shape_is_small_and_made_of_signs_that_every_terminal_font_has() -> None:
    """Code page 437 is in every terminal's font; minus, ellipsis and bullet are in most (from memory)."""
    drawn = dict(SHAPES)
    for kind in KINDS:
        for package in PACKAGES:
            for value in VALUES:
                rows = orientation_drawing(kind, package, 80, value)
                drawn[f"{kind} {package} {value}"] = tuple(map(text_of, rows))
    for name, lines in drawn.items():
        assert len(lines) <= TALLEST, name
        for line in lines:
            assert cells(line) <= WIDEST, (name, line)
            line.translate(dict.fromkeys(map(ord, "−…•"))).encode("cp437")


def test_every_shape_is_used() -> None:
    seen = {
        tuple(map(text_of, orientation_drawing(kind, package, 80, value)))
        for kind in KINDS for package in (*PACKAGES, "DIP-4") for value in VALUES
    }  # fmt: skip
    for name, shape in SHAPES.items():
        assert any(rows[: len(shape)] == shape for rows in seen), name


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("diode", "stripe = cathode"),
        ("LED", "K −, short leg"),
        ("electrolytic capacitor", "stripe = minus"),
        ("electrolytic capacitor", "+, long leg"),
        ("tantalum capacitor", "the + marks"),
        ("IC", "notch"),
        ("IC", "pin 1"),
        ("IC socket", "notch"),
        ("optocoupler", "dot = pin 1"),
        ("transistor", "flat side"),
        ("voltage regulator", "metal side"),
        ("box header", "notch = key"),
        ("valve socket", "gap"),
        ("cable", "pin 1"),
    ],
)
def test_the_mark_that_counts_is_named(kind: str, words: str) -> None:
    """Which mark counts on which part: common practice, no source."""
    assert words in "\n".join(map(text_of, orientation_drawing(kind, "", 40)))


@pytest.mark.parametrize("pins", [4, 6, 8, 14, 16, 18, 20, 24, 28, 40])
def test_pins_of_a_chip_count_down_the_left_and_up_the_right(pins: int) -> None:
    """Opposite pins add up to one more than their number: the usual numbering of DIP cases."""
    lines = [text_of(row) for row in orientation_drawing("IC socket", f"DIP-{pins}", 40)]
    pairs = [found.groups() for line in lines if (found := re.search(r"(\d+) ─┤.*├─ (\d+)", line))]
    assert (pairs[0][0], pairs[-1]) == ("1", (str(pins // 2), str(pins // 2 + 1)))
    assert all(int(left) + int(right) == pins + 1 for left, right in pairs)


def test_a_box_header_has_as_many_columns_as_its_name_says_and_pin_1_beside_the_notch() -> None:
    """Key on the side of the odd row, pin 1 at its left seen from above: common practice, no source."""
    lines = [text_of(row) for row in orientation_drawing("box header", "", 40, "2x8")]
    assert lines[1].split() == ["│", *"oooooooo", "│"]
    assert lines[2].split() == ["│", "1", *"ooooooo", "│"]
    assert re.fullmatch(r" +└─+┘ {3}└─+┘", lines[3])


@pytest.mark.parametrize(
    ("kind", "package", "value", "words"),
    [
        ("transistor", "TO-92", "2N3904", "E B C"),
        ("transistor", "", "BC547B", "C B E"),
        ("voltage regulator", "", "7805", "in gnd out"),
        ("voltage regulator", "TO-220", "LM7912", "gnd in out"),
        ("voltage regulator", "", "78L05", "out gnd in"),
    ],
)
def test_known_legs_are_given_as_the_usual_ones_to_compare(
    kind: str, package: str, value: str, words: str
) -> None:
    """Legs of the usual data sheets, print towards the reader, left to right (from memory)."""
    said = "\n".join(map(text_of, orientation_drawing(kind, package, 40, value)))
    assert f"1 2 3 mostly {words}:" in said
    assert "compare with the print" in said


def test_cases_without_a_drawing_get_none_rather_than_a_wrong_one() -> None:
    for kind, package in (("transistor", "TO-3"), ("JFET", "SOT-23"), ("diode", "TO-220"), ("diode", "SOT-23")):
        assert orientation_drawing(kind, package, 40) == ()


def test_both_usual_cases_are_drawn_when_the_kit_leaves_the_case_open() -> None:
    said = "\n".join(map(text_of, orientation_drawing("MOSFET", "", 40)))
    assert "flat side" in said
    assert "metal side" in said
