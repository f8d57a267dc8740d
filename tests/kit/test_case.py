"""A case for modules as it is typed and as the settings hold it.

84 HP is the usable width of a 19-inch rack, 426.72 mm; 3 U are 133.35 mm (IEC 60297-3-101:2004, from memory).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from bench.kit.case import Case, CaseError, case_from, parse_case, parse_rail, rail_key


def test_a_case_is_read_in_hp_or_millimetres_with_rows_and_depth() -> None:
    assert parse_case("84 HP") == Case(rows=(84,))
    assert parse_case("426.72 mm wide, 133.35 mm high, depth 60 mm") == Case(
        rows=(84,), units=3, depth_mm=Decimal(60)
    )
    assert parse_case("2 rows, 104 HP, 3 U, 55.5 mm deep").rows == (104, 104)
    assert parse_case("84 HP + 60 HP, 1U") == Case(rows=(84, 60), units=1)
    for height in ("133.35 mm high", "height 133.35 mm", "3 U"):
        assert parse_case(f"84 HP, {height}") == Case(rows=(84,), units=3)
    assert parse_case("40 rows, 84 HP").rows == (84,) * 40
    assert parse_case("60 mm deep") == Case(depth_mm=Decimal(60))
    assert parse_case("84 HP + 60 HP").words == "84 HP + 60 HP"


@pytest.mark.parametrize(
    "text",
    [
        "84",
        "large",
        "84 HP, 84 HP",
        "0 rows, 84 HP",
        "2 rows",
        "84 HP + 60 HP, 2 rows",
        "1.5 rows, 84 HP",
        "99 U",
        "2 rows, 84 HP + 60 HP",
        "41 rows, 84 HP",
    ],
)
def test_a_case_that_is_none_is_a_clear_error(text: str) -> None:
    with pytest.raises(CaseError) as caught:
        parse_case(text)
    assert caught.value.hint


def test_a_case_in_the_settings_says_the_same() -> None:
    table = {
        "width": "84 HP", "rows": 2, "height": "3 U", "depth": "60 mm", "headroom_percent": 10,
        "rails": {"+12 V": "1200 mA", "-12 V": "0.8 A"},
    }  # fmt: skip
    case = case_from(table)
    assert case.rows == (84, 84)
    assert case.rails == (parse_rail("+12 V=1200 mA"), parse_rail("-12 V=800 mA"))
    assert case.headroom_percent == 10
    assert case_from({"width": ["84 HP", "426.72 mm", "60 HP"]}).rows == (84, 84, 60)
    assert case_from({}) == Case()
    assert [case_from({"headroom_percent": each}).headroom_percent for each in (0, 99)] == [0, 99]


@pytest.mark.parametrize(
    "table",
    [
        {"wide": "84 HP"}, {"rails": ["+12 V"]}, {"rails": {"+12 V": "lots"}}, {"rails": {"+12 V": "1200"}},
        {"rails": {"+12 V": "12 V"}}, {"rails": {"+12 V": "0 mA"}}, {"headroom_percent": 100},
        {"headroom_percent": True}, {"headroom_percent": "20"}, {"depth": "deep"}, {"rows": 3},
    ],
)  # fmt: skip
def test_a_case_in_the_settings_that_is_none_is_a_clear_error(table: dict[str, object]) -> None:
    with pytest.raises(CaseError):
        case_from(table)


@pytest.mark.parametrize("text", ["+12 V", "=1 A", "+12 V=", "+12 V=five", "+12 V=3 V", "+12 V=12"])
def test_a_rail_that_is_none_is_a_clear_error(text: str) -> None:
    with pytest.raises(CaseError) as caught:
        parse_rail(text)
    assert "1200 mA" in caught.value.hint


def test_rails_are_the_same_however_they_are_spelled() -> None:
    assert rail_key("+12V") == rail_key(" + 12 V") == rail_key("12.0 v")
    assert rail_key("\u221212 V") == rail_key("-12V") != rail_key("+12 V")
    assert rail_key("+5 V reference") != rail_key("+5 V")
    assert rail_key("Mains") == "mains"
