"""The resistor colour code against published tables and examples."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.colours import HIGH_VOLTAGE, MILITARY, OLDER, STANDARD, decode, encode
from bench.parts.palette import COLOURS, ColourError, colour_named, parse_bands

# IEC 60062:2016 as printed on a colour card (dtsheet.com/doc/1513212) and, for pink, in the standard's
# catalogue text (ove.at, IEC 60062:2016). Tolerance letters W and P: a public repository's copy of the
# table; L: from memory.
TABLE = """
pink   -  -3 -    - -
silver -  -2 10   K -
gold   -  -1 5    J -
black  0   0 -    - 250
brown  1   1 1    F 100
red    2   2 2    G 50
orange 3   3 0.05 W 15
yellow 4   4 0.02 P 25
green  5   5 0.5  D 20
blue   6   6 0.25 C 10
violet 7   7 0.1  B 5
grey   8   8 0.01 L 1
white  9   9 -    - -
"""

# IEC 60757, code for designation of colours: from memory.
CODES = {"BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "GD", "SR"}


def test_every_colour_stands_for_what_the_published_table_says() -> None:
    def cell(part: object) -> str:
        return "-" if part in (None, "") else str(part)

    ours = [
        [
            name,
            cell(colour.digit),
            cell(colour.exponent),
            cell(colour.tolerance_percent),
            cell(colour.tolerance_letter),
            cell(colour.tempco_ppm),
        ]
        for name, colour in COLOURS.items()
    ]
    assert ours == [line.split() for line in TABLE.strip().split("\n")]


def test_letter_codes_are_those_of_the_standard_for_colours() -> None:
    assert {colour.code for colour in COLOURS.values()} == CODES


@pytest.mark.parametrize(
    ("bands", "ohms", "percent"),
    [
        ("red red red silver", "2200", "10"),  # by hand
        ("yellow violet brown gold", "470", "5"),  # by hand
        ("brown black black red brown", "10000", "1"),  # by hand
        ("brown black red gold", "1000", "5"),  # by hand
        ("red violet green gold", "2700000", "5"),  # by hand
        ("yellow violet green orange brown", "475000", "1"),  # colour card "4 7 5 x 1k 1 % = 475k"
    ],
)
def test_published_examples_read_as_published_and_best(bands: str, ohms: str, percent: str) -> None:
    """Those called `by hand` are worked out with the table of IEC 60062 above."""
    best = decode(parse_bands(bands))[0]
    assert (best.ohms, best.tolerance_percent) == (Decimal(ohms), Decimal(percent))
    assert best.sound
    assert best.edition == STANDARD
    assert encode(Decimal(ohms), Decimal(percent)) == parse_bands(bands)


def test_a_single_black_band_is_a_link_of_zero_ohms() -> None:
    # A link has one black band: common practice, no source.
    (reading,) = decode(("black",))
    assert (reading.ohms, reading.tolerance_percent, reading.text) == (Decimal(0), None, "0 Ω")
    assert encode(Decimal(0)) == ("black",)


def test_a_single_band_of_another_colour_means_nothing_and_says_so() -> None:
    (reading,) = decode(("red",))
    assert not reading.possible
    assert "black marks a link" in reading.ruled_out[0]
    assert reading.text == "no value"


@given(st.lists(st.sampled_from([*COLOURS]), min_size=3, max_size=6))
def test_any_row_of_bands_gets_readings_from_both_ends_the_sound_ones_first(bands: list[str]) -> None:
    readings = decode(bands)
    wanted = {tuple(bands), tuple(bands[::-1])}
    assert {found.bands for found in readings} == wanted
    standing = [(not found.possible, not found.sound) for found in readings]
    assert standing == sorted(standing)
    for found in readings:
        assert found.ohms is not None or found.ruled_out
        assert found.tolerance_percent is not None or found.ruled_out


def test_gold_and_silver_are_never_figures_and_the_reason_is_given() -> None:
    backwards = next(found for found in decode(parse_bands("brown black red gold")) if not found.possible)
    assert backwards.ruled_out[0] == "gold stands for no figure, so it cannot be the first band"
    assert backwards.ohms is None


def test_black_and_white_stand_for_no_tolerance_and_the_reason_is_given() -> None:
    # IEC 60062:2016 has no tolerance for black and white.
    for last in ("black", "white"):
        reading = next(found for found in decode(("brown", "red", "red", last)) if found.bands[-1] == last)
        assert f"{last} stands for no tolerance, so it cannot be the fourth band" in reading.ruled_out


def test_a_value_does_not_begin_with_black() -> None:
    reading = next(found for found in decode(("red", "red", "black")) if found.bands[0] == "black")
    assert reading.ruled_out == ("black cannot be the first band: no value begins with 0",)


def test_white_is_no_temperature_coefficient() -> None:
    bands = ("brown", "black", "black", "red", "brown", "white")
    reading = next(found for found in decode(bands) if found.bands == bands)
    (reason,) = reading.ruled_out
    assert reason == "white stands for no temperature coefficient, so it cannot be the sixth band"


def test_a_value_outside_the_series_of_its_tolerance_is_possible_but_not_sound() -> None:
    usual, odd = (decode(("brown", second, "brown", "silver"))[0] for second in ("grey", "brown"))
    assert usual.sound
    assert odd.possible
    assert odd.against == ("110 Ω is not a preferred value sold at ±10 % (E12)",)


@pytest.mark.parametrize(
    ("last", "edition", "percent"),
    [
        ("grey", OLDER, "0.05"),  # EN 60062:2005, from memory
        ("grey", HIGH_VOLTAGE, "10"),  # common practice, no source: no metal in the lacquer
        ("yellow", HIGH_VOLTAGE, "5"),  # common practice, no source
    ],
)
def test_older_meanings_of_a_tolerance_are_offered_by_name(last: str, edition: str, percent: str) -> None:
    readings = decode(("yellow", "violet", "black", "red", last))
    older = next(found for found in readings if found.edition == edition and found.bands[-1] == last)
    assert older.tolerance_percent == Decimal(percent)
    assert not older.sound
    assert readings[0].edition == STANDARD


@pytest.mark.parametrize("last", ["orange", "yellow", "grey"])
def test_tolerances_that_changed_in_2016_carry_a_remark(last: str) -> None:
    # IEC 60062:2016: orange 0.05, yellow 0.02, grey 0.01; EN 60062:2005 has none, none and 0.05.
    bands = ("brown", "blue", "blue", "red", last)
    reading = next(found for found in decode(bands) if found.bands == bands)
    assert any("since 2016" in remark for remark in reading.remarks)


def test_orange_and_yellow_are_not_three_and_four_per_cent() -> None:
    # Teaching tables say so; no edition of the standard does (from memory).
    for last in ("orange", "yellow"):
        percents = {found.tolerance_percent for found in decode(("brown", "black", "red", last))}
        assert not percents & {Decimal(3), Decimal(4)}


def test_violet_and_grey_are_a_tenth_and_a_hundredth_of_a_per_cent() -> None:
    # Tables that claim the 2016 edition and give 0.5 and 0.1 are wrong: the colour card named above.
    assert COLOURS["violet"].tolerance_percent == Decimal("0.1")
    assert COLOURS["grey"].tolerance_percent == Decimal("0.01")


def test_a_sixth_band_may_be_a_failure_rate() -> None:
    # A public repository's table (icedwater/circsim): brown 1, red 0.1, orange 0.01, yellow 0.001 %/1000 h.
    reading = decode(encode(Decimal(47_500), Decimal(1), 100))[0]
    assert any("failure rate, 1 % in 1000 h" in remark for remark in reading.remarks)


def test_gold_before_a_fifth_band_may_be_a_tolerance_before_a_failure_rate() -> None:
    readings = decode(("brown", "black", "red", "gold", "brown"))
    assert (readings[0].ohms, readings[0].edition) == (Decimal("10.2"), STANDARD)
    military = next(found for found in readings if found.edition == MILITARY)
    assert (military.ohms, military.tolerance_percent) == (Decimal(1000), Decimal(5))


def test_the_better_reading_comes_first_even_when_it_starts_at_the_right() -> None:
    first = decode(("gold", "red", "black", "brown"))[0]
    assert (first.ohms, first.direction) == (Decimal(1000), "right to left")


def test_values_from_one_ohm_to_ten_megohms_come_before_rarer_ones() -> None:
    assert [str(found.ohms) for found in decode(("brown", "black", "black", "blue", "brown"))] == [
        "160",
        "100000000",
    ]


def test_the_text_of_a_reading_names_value_tolerance_and_coefficient() -> None:
    assert decode(encode(Decimal(10_000), Decimal("0.1"), 25))[0].text == "10 kΩ ±0.1 % 25 ppm/K"


@pytest.mark.parametrize("bands", [(), ("red", "red"), ("red",) * 7])
def test_a_wrong_number_of_bands_is_refused_and_shows_what_was_understood(bands: tuple[str, ...]) -> None:
    with pytest.raises(ColourError) as caught:
        decode(bands)
    assert caught.value.what.startswith(f"{len(bands)} bands are no resistor code")
    assert caught.value.what.endswith(f"understood: {', '.join(bands) or 'nothing'}")


@pytest.mark.parametrize(
    ("text", "bands"),
    [
        ("Yellow, Violet, Red, Gold", "yellow violet red gold"),
        ("yellow-purple-red-gold", "yellow violet red gold"),
        ("GRAY red brown silver", "grey red brown silver"),
        (
            "BK BN RD OG YE GN BU VT GY WH PK GD SR",
            "black brown red orange yellow green blue violet grey white pink gold silver",
        ),
        ("BNBKRDGD", "brown black red gold"),
        ("brn blk org gld", "brown black orange gold"),
        ("bro/blac/ora/sil", "brown black orange silver"),
        ("red red red none", "red red red"),
    ],
)
def test_bands_are_read_in_the_ways_people_write_them(text: str, bands: str) -> None:
    assert parse_bands(text) == tuple(bands.split())


@pytest.mark.parametrize("name", [*COLOURS])
def test_each_colour_is_known_by_name_code_and_any_case(name: str) -> None:
    colour = COLOURS[name]
    for word in (name, name.upper(), colour.code, colour.code.lower(), name.title()):
        assert colour_named(word) is colour


def test_a_word_that_fits_two_colours_is_refused() -> None:
    with pytest.raises(ColourError, match="'bl' is not a band colour"):
        colour_named("bl")
    with pytest.raises(ColourError, match=r"green or grey|grey or green"):
        colour_named("gre")


def test_a_misspelt_colour_is_refused_with_what_was_understood_and_what_was_perhaps_meant() -> None:
    with pytest.raises(ColourError) as caught:
        parse_bands("brown blakc red mauve")
    assert "'blakc' is not a band colour; 'mauve' is not a band colour" in caught.value.what
    assert "(understood: brown, red)" in caught.value.what
    assert caught.value.hint == "did you mean black?"


@pytest.mark.parametrize("text", ["", "  ", "none", "--"])
def test_a_text_without_colours_is_refused(text: str) -> None:
    with pytest.raises(ColourError, match="no colour here"):
        parse_bands(text)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    try:
        understood = parse_bands(text)
    except ColourError as error:
        refusal = error
    else:
        assert set(understood) <= set(COLOURS)
        return
    assert refusal.what
    assert refusal.hint


@pytest.mark.parametrize(
    ("ohms", "percent", "ppm", "figures", "said"),
    [
        ("-1", "5", None, None, "has no bands"),
        ("NaN", "5", None, None, "has no bands"),
        ("4753", "1", None, None, "needs 4 figures"),
        ("475", "5", None, 2, "needs 3 figures"),
        ("100", "3", None, None, "no band stands for ±3 %"),
        ("100", "1", 33, None, "no band stands for 33 ppm/K"),
        ("100", None, 50, None, "follows a tolerance"),
        ("475", None, None, 3, "read as another code"),
        ("47", "1", 50, 2, "read as another code"),
        ("1E+15", "5", None, None, "no multiplier reaches"),
        ("0.001", "5", None, None, "no multiplier reaches"),
    ],
)
def test_what_bands_cannot_show_is_refused_with_the_reason(
    ohms: str, percent: str | None, ppm: int | None, figures: int | None, said: str
) -> None:
    with pytest.raises(ColourError, match=said):
        encode(Decimal(ohms), Decimal(percent) if percent else None, ppm, figures=figures)


def test_drawing_data_is_a_colour_of_its_own_for_every_name() -> None:
    assert len({colour.srgb for colour in COLOURS.values()}) == len(COLOURS)
    assert all(0 <= part <= 255 for colour in COLOURS.values() for part in colour.srgb)
