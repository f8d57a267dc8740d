"""From how far away the large type can be read."""

from __future__ import annotations

import pytest

from bench.tui.bigtype import legible_metres


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
