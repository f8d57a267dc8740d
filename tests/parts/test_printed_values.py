"""What is usually printed on a part."""

from __future__ import annotations

from decimal import Decimal

import pytest
from eseries import E24, series
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.capacitors import encode as capacitor_code
from bench.parts.codes import read_marking
from bench.parts.kinds import KINDS
from bench.parts.printed_values import bears_bands, usual_prints
from bench.parts.quantity import Quantity, letter_code
from bench.ui.expected_print import marking_words


# -- print --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("kind", "value", "tolerance", "voltage", "code"),
    [
        ("ceramic capacitor", "100n", "", "", "104"),  # EIA-198, by hand
        ("film capacitor", "47n", "5 %", "", "473J"),  # IEC 60062, J is 5 %
        ("film capacitor", "470n", "5 %", "", "474J"),  # by hand
        ("film capacitor", "470n", "5 %", "100 V", "2A474J"),  # 2A is 100 V, see test_code_letters
        ("ceramic capacitor", "3p9", "", "", "3R9"),  # IEC 60062, by hand
        ("ceramic capacitor", "4p7", "", "", "4R7"),
        ("tantalum capacitor", "10u", "", "16 V", "10 16V"),  # common practice, no source
        ("ceramic capacitor", "47p", "", "", "47"),  # common practice, no source
        ("ceramic capacitor", "4p7", "±0.25 pF", "", "4R7C"),  # letter C: IEC 60062, from memory
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


def test_parts_without_legs_bear_no_bands_and_chip_capacitors_no_code() -> None:
    """Common practice, no source."""
    assert bears_bands("resistor", "4k7", "")
    for package in ("0603", "0805", "1206", "SMD 0805"):
        assert not bears_bands("resistor", "4k7", package)
        assert usual_prints("ceramic capacitor", "100n", "10 %", "50 V", package) == ()
        assert marking_words("ceramic capacitor", "100n", "10 %", "50 V", package=package) == ""
    assert marking_words("resistor", "10k", marking="01C", package="0805") == "printed 01C"
    assert usual_prints("tantalum capacitor", "10u", "", "16 V", "1206") == ("10 16V", "106 16V")
    assert usual_prints("ceramic capacitor", "100n", "10 %", "50 V", "5 mm") == ("104", "104K")
