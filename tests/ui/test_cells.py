"""Widths in terminal cells: quick ones and those of Rich, which follows the tables of Unicode, agree."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from bench.ui.text import ONE_CELL, cells, clean


@pytest.mark.parametrize("sign", ONE_CELL)
def test_signs_of_ours_are_one_cell_wide(sign: str) -> None:
    assert cell_len(sign) == 1


@given(st.text(alphabet=st.one_of(st.sampled_from(ONE_CELL + "aZ 1漢é👩"), st.characters()), max_size=30))
def test_every_width_is_that_of_the_tables(text: str) -> None:
    text = clean(text)
    assert cells(text) == cell_len(text)
