"""Designators against the forms found in makers' lists.

The notations are those counted in 66 published parts lists; suffix letters for matched sections are seen
at everything.explained.today (reference designator); class letters follow IEEE 315-1975 clause 22.4.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bench.parts.designators import (
    LONGEST_LIST,
    LONGEST_RANGE,
    DesignatorError,
    class_letters,
    natural_key,
    parse_refs,
    shorten,
)

FOUR = ("R1", "R2", "R3", "R4")


@pytest.mark.parametrize(
    ("text", "refs"),
    [
        ("R1, R2", ("R1", "R2")),
        ("R1,R2", ("R1", "R2")),
        ("R1 R2", ("R1", "R2")),
        ("C5\u00a0C6", ("C5", "C6")),
        ("R1;R2", ("R1", "R2")),
        ("R1, R2, ", ("R1", "R2")),
        ("R1,\n  R2,\n R3", ("R1", "R2", "R3")),
        ("C7/C8", ("C7", "C8")),
        ("R2+R14", ("R2", "R14")),
        ("Q2 y Q3", ("Q2", "Q3")),
        ("Q2, Q3 and Q4", ("Q2", "Q3", "Q4")),
        ("V1,2,3", ("V1", "V2", "V3")),
        ("V1, 2, 3", ("V1", "V2", "V3")),
        ("R1-4,7", ("R1", "R2", "R3", "R4", "R7")),
        ("C13*", ("C13",)),
        ("R1, R2.", ("R1", "R2")),
        ("R5, R9 R10, R11", ("R5", "R9", "R10", "R11")),
        ("r1, c2", ("r1", "c2")),
        ("", ()),
        (" , ", ()),
    ],
)
def test_lists_as_makers_write_them_are_read(text: str, refs: tuple[str, ...]) -> None:
    assert parse_refs(text) == refs


@pytest.mark.parametrize(
    "text",
    [
        "R1-R4", "R1 - R4", "R1- R4", "R1..R4", "R1...R4", "R1 .. R4", "R1…R4", "R1–R4", "R1—R4", "R1−R4",
        "R1‑R4", "R1 to R4", "R1 through R4", "R1 ~ R4", "R1~R4", "R1-4", "R1 - 4", "R1..4", "R1 to 4",
    ],
)  # fmt: skip
def test_each_way_of_writing_a_range_gives_the_same_four_parts(text: str) -> None:
    assert parse_refs(text) == FOUR


def test_long_ranges_found_in_lists_are_counted_out() -> None:
    assert len(parse_refs("D1 ~ D96")) == 96
    assert parse_refs("D1-48")[-1] == "D48"
    assert parse_refs("OK1-2") == ("OK1", "OK2")
    assert parse_refs("R08-R11") == ("R08", "R09", "R10", "R11")
    assert parse_refs("U$1-U$3") == ("U$1", "U$2", "U$3")
    assert parse_refs("R1-R4,R7") == (*FOUR, "R7")


@pytest.mark.parametrize(
    "ref",
    [
        "R17A", "C3B", "GAIN", "C1+", "C1-", "U$1", "R_SCALE", "V-OCT", "IN.L", "LAUTSTÄRKE", "+12V",
        "-12V", "TR#2",
    ],
)  # fmt: skip
def test_suffixes_and_named_parts_keep_their_spelling(ref: str) -> None:
    assert parse_refs(ref) == (ref,)
    assert parse_refs(f"R1, {ref}") == ("R1", ref)


@pytest.mark.parametrize("core", ["T37-2", "T50-2", "T68-6", "T50-2B", "FT37-43", "FT50-61", "ft37-43"])
def test_a_toroid_core_is_not_taken_for_a_range(core: str) -> None:
    """Core names found in three radio lists; sizes and mixes from memory."""
    with pytest.raises(DesignatorError, match="toroid core"):
        parse_refs(core)


def test_transformers_are_still_ranges() -> None:
    assert parse_refs("T1-3") == ("T1", "T2", "T3")
    assert parse_refs("T50-T52") == ("T50", "T51", "T52")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("R4-R1", "backwards"),
        ("R4-1", "backwards"),
        ("R1-C4", "begins with R and ends with C"),
        ("R1-R99999999", "stands for 99999999 parts"),
        ("R1-R9999999999", "not a range"),
        ("R1-R4-R7", "more than two ends"),
        ("R17A-R17C", "letters after its numbers"),
        ("R1-GAIN", "not a range"),
        ("7", "number '7'"),
        ("4k7", "not a designator"),
        ("R1, 100n", "not a designator"),
        ("R(1)", "not a designator"),
        ("٣", "number"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(text: str, says: str) -> None:
    with pytest.raises(DesignatorError, match=says) as caught:
        parse_refs(text)
    assert caught.value.hint


def test_the_longest_range_is_allowed_and_one_more_is_not() -> None:
    assert len(parse_refs(f"R1-R{LONGEST_RANGE}")) == LONGEST_RANGE
    with pytest.raises(DesignatorError, match="comma missing"):
        parse_refs(f"R1-R{LONGEST_RANGE + 1}")


def test_many_ranges_together_cannot_fill_the_memory() -> None:
    with pytest.raises(DesignatorError, match=f"more than {LONGEST_LIST}"):
        parse_refs("R1-R2000 " * 10_000)


@given(st.text(max_size=60))
@example("R" + "9" * 5000)
@example("²")
@example("R1\x00R2")
def test_any_text_is_read_or_refused_by_name(text: str) -> None:
    try:
        refs = parse_refs(text)
    except DesignatorError:
        return
    assert all(ref and not ref.isspace() for ref in refs)
    assert len(sorted(refs, key=natural_key)) == len(refs)


@pytest.mark.parametrize(("piece", "parts"), [(" ", 0), ("R", 1), ("a.", 1)])
def test_a_long_text_names_no_more_parts_than_it_has_pieces(piece: str, parts: int) -> None:
    assert len(parse_refs(piece * (100_000 // len(piece)))) == parts


@pytest.mark.parametrize(
    ("piece", "complaint"),
    [
        ("R1 ", f"names more than {LONGEST_LIST} parts"),
        ("R1 - ", "has more than two ends"),
        ("R1 to ", "has more than two ends"),
        ("9", "stands where a designator should be"),
        ("-", "is not a designator"),
        ("+", "is not a designator"),
        ("$", "is not a designator"),
    ],
)
def test_a_long_text_of_nonsense_is_refused_in_a_short_message(piece: str, complaint: str) -> None:
    with pytest.raises(DesignatorError, match=complaint) as caught:
        parse_refs(piece * (100_000 // len(piece)))
    assert len(str(caught.value)) < 160


def test_natural_order_counts_instead_of_spelling() -> None:
    wanted = ["C1", "R1", "R2", "R10", "R10A", "R10B", "R11", "R100"]
    assert sorted(reversed(wanted), key=natural_key) == wanted


@pytest.mark.parametrize(
    ("ref", "letters"),
    [("R12A", "R"), ("U$1", "U"), ("GAIN", ""), ("TP3", "TP"), ("LED1", "LED"), ("C1+", "C"), ("+12V", "")],
)
def test_class_letters_stand_before_the_number(ref: str, letters: str) -> None:
    assert class_letters(ref) == letters


@pytest.mark.parametrize(
    ("refs", "short"),
    [
        (("R1", "R2", "R3", "R7"), "R1-R3, R7"),
        (("R2", "R1"), "R1, R2"),
        (("R1", "R2", "C1", "C2", "C3"), "C1-C3, R1, R2"),
        (("R1A", "R2A", "R3A"), "R1A, R2A, R3A"),
        (("R08", "R09", "R10"), "R08-R10"),
        (("R1", "R1"), "R1"),
        ((), ""),
    ],
)
def test_runs_of_three_and_more_become_ranges(refs: tuple[str, ...], short: str) -> None:
    assert shorten(refs) == short


_REF = st.one_of(
    st.builds(
        lambda letters, number, suffix: f"{letters}{number}{suffix}",
        st.sampled_from(["R", "C", "RV", "U$", "T", "FT", "TP"]),
        st.integers(0, 60),
        st.sampled_from(["", "", "", "A", "B"]),
    ),
    st.sampled_from(["GAIN", "C1+", "OUT-", "y", "to", "R01", "R02", "R03"]),
)


@given(st.lists(_REF))
def test_a_shortened_list_reads_back_as_the_same_designators(refs: list[str]) -> None:
    said = parse_refs(shorten(refs))
    assert len(said) == len(set(refs))
    assert set(said) == set(refs)
    assert list(said) == sorted(said, key=natural_key)
