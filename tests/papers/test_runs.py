"""Runs of designators inside a line of text. Ways of writing them: common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.papers.lists.runs import RefRun, runs_of_refs


def texts(line: str) -> list[str]:
    return [run.text for run in runs_of_refs(line)]


@pytest.mark.parametrize("sign", ["-", "–", "—", "−", "..", "...", "…", "~", ",", "/"])
def test_a_number_that_follows_at_once_goes_on_with_the_same_letters(sign: str) -> None:
    assert texts(f"fit R7{sign}9 now") == [f"R7{sign}9"]
    assert texts(f"fit R7{sign}R9 now") == [f"R7{sign}R9"]


@pytest.mark.parametrize(
    "join",
    [", ", ",", "; ", " & ", ", & ", " and ", ", and ", " AND ", " + ", " / ", " und ", " u. ", " et ", " y "],
)
def test_a_list_goes_on_with_other_letters(join: str) -> None:
    assert texts(f"10k: R1{join}C2 here") == [f"R1{join}C2"]
    assert texts(f"10k: R1{join}RFB2 here") == [f"R1{join}RFB2"]
    assert texts(f"10k: R1{join}RGAN2 here") == [f"R1{join}RGAN2"]
    assert texts(f"10k: R1{join}word2 here") == ["R1"]


@pytest.mark.parametrize("join", [" to ", " - ", " thru ", " bis ", " through "])
def test_a_range_goes_from_one_to_another_of_the_same_letters_only(join: str) -> None:
    assert texts(f"R1{join}R4 10k") == [f"R1{join}R4"]
    assert texts(f"R1{join}C4 10k") == ["R1", "C4"]


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("R1,47k", ["R1"]),
        ("C1/47n", ["C1"]),
        ("C1,10 µF", ["C1"]),
        ("R1,10 ohms", ["R1"]),
        ("R1,10 Ω", ["R1"]),
        ("R1, 10", ["R1"]),
        ("C1/2.5", ["C1"]),
        ("R1,5%", ["R1"]),
        ("R1,2,3 10k", ["R1,2,3"]),
        ("R1=10k", ["R1"]),
        ("R1=R2 10k", ["R1=R2"]),
        ("R1=R2=10k", ["R1", "R2"]),
        ("R1=R2", ["R1=R2"]),
        ("R1=R2: 10k", ["R1", "R2"]),
    ],
)
def test_a_value_is_no_designator(line: str, found: list[str]) -> None:
    assert texts(line) == found


@pytest.mark.parametrize(
    "line", ["X7R", "C0G", "NP0", "M3 screws", "T50-2", "FT37-43", "R10k", "3.R1", "$R1", "R1.5"]
)
def test_dielectrics_screws_cores_and_values_are_no_designators(line: str) -> None:
    assert texts(line) == []


@given(st.integers(1, 200), st.integers(-5, 60))
def test_a_bare_number_counts_on_and_not_far(first: int, more: int) -> None:
    last = first + more
    wanted = f"R{first}-{last}" if 0 < more < 30 else f"R{first}"
    assert texts(f"R{first}-{last}") == [wanted]


def test_each_run_tells_where_it_stands_and_a_line_of_very_many_is_cut() -> None:
    line = "10k R1, R2 (upright) and D4*"
    assert runs_of_refs(line) == [
        RefRun(begin=4, end=10, text="R1, R2"),
        RefRun(begin=25, end=28, text="D4*"),
    ]
    assert len(runs_of_refs(" x ".join(f"R{number}" for number in range(1, 41)))) == 40
    assert len(runs_of_refs(" x ".join(f"R{number}" for number in range(1, 60)))) == 40
