"""Whether modules fit a case.

Sources: 1 HP = 5.08 mm, 1 U = 44.45 mm, 3 U nominally 133.35 mm (IEC 60297-3-100:2008 and
-3-101:2004, figures from memory; 5.08 mm as DIN 41494 seen via a maker's catalogue, telabo.ch); a 3 U panel
128.5 mm high (common practice, no source: 128.55 in the standard, from memory); panel widths from a
panel maker's table (from memory; 14 HP = 70.8 mm seen in print), each 0 to 0.5 mm narrower than its HP; 84 HP
is the usable width of a 19-inch rack, 426.72 mm.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.batch.packing import pack
from bench.batch.rack import Module, RackCheck, check_rack
from bench.batch.rack_text import rack_lines
from bench.kit.case import Case, CaseRail, case_from, parse_case, parse_rail
from bench.kit.kit import Board, Kit, Rail
from bench.parts.panels import HP_MM, U_MM, PanelError, height_units, millimetres, panel_slots, row_hp
from tests.support.kit_values import KITS, shipped
from tests.support.samples import part

PRINTED = {4: "20.00", 6: "30.00", 8: "40.30", 10: "50.50", 12: "60.60", 14: "70.80", 16: "80.90", 20: "101.30"}


# ---- widths ------------------------------------------------------------------------------------------
def test_hp_and_u_are_the_standards() -> None:
    assert (Decimal("5.08"), Decimal("44.45"), Decimal("133.35")) == (HP_MM, U_MM, 3 * U_MM)
    assert Decimal("426.72") == 84 * HP_MM


@pytest.mark.parametrize(("hp", "printed"), PRINTED.items())
def test_panel_widths_are_those_of_the_table_and_not_of_one_constant(hp: int, printed: str) -> None:
    assert panel_slots(f"{printed} mm").hp == hp
    assert Decimal(0) <= hp * HP_MM - Decimal(printed) <= Decimal("0.5")
    assert panel_slots(f"{printed} mm").on_grid


@pytest.mark.parametrize("hp", range(1, 85))
def test_a_panel_a_little_narrower_than_its_hp_takes_that_hp(hp: int) -> None:
    for narrower in ("0", "0.3", "0.34", "0.48"):
        found = panel_slots(f"{hp * HP_MM - Decimal(narrower)} mm")
        assert (found.hp, found.on_grid) == (hp, True)
    assert row_hp(f"{hp * HP_MM} mm") == hp


@pytest.mark.parametrize(("text", "hp"), [("61 mm", 13), ("80 mm", 16), ("7.5 HP", 8), ("5 mm", 1)])
def test_a_width_between_two_steps_takes_the_next_one_and_is_off_the_grid(text: str, hp: int) -> None:
    assert panel_slots(text).hp == hp
    assert panel_slots(text).on_grid is (text == "5 mm")


@pytest.mark.parametrize(("text", "units"), [("128.5 mm", 3), ("133.35 mm", 3), ("3 U", 3), ("1U", 1)])
def test_a_panel_height_is_in_whole_units(text: str, units: int) -> None:
    assert height_units(text) == units


@pytest.mark.parametrize(
    "text", ["", "12", "HP", "12 parsecs", "0 HP", "-3 HP", "99999 HP", "12 HP wide", "١ HP"]
)
def test_a_width_that_is_none_is_a_clear_error(text: str) -> None:
    for reader in (panel_slots, row_hp):
        with pytest.raises(PanelError) as caught:
            reader(text)
        assert caught.value.hint
    with pytest.raises(PanelError):
        millimetres("12 HP")
    with pytest.raises(PanelError):
        height_units("99 U")


# ---- packing -----------------------------------------------------------------------------------------
@given(st.lists(st.integers(1, 12), max_size=5), st.lists(st.integers(1, 24), min_size=1, max_size=3))
def test_what_can_be_packed_is_packed_as_every_possibility_tried_out_shows(
    panels: list[int], rows: list[int]
) -> None:
    found = pack(panels, rows)
    used = [
        sum(hp for hp, place in zip(panels, found, strict=True) if place == row) for row in range(len(rows))
    ]
    assert all(use <= row for use, row in zip(used, rows, strict=True))
    possible = any(
        all(
            sum(hp for hp, at in zip(panels, places, strict=True) if at == row) <= room
            for row, room in enumerate(rows)
        )
        for places in product(range(len(rows)), repeat=len(panels))
    )
    assert (None not in found) == possible


def test_widest_first_alone_would_not_do() -> None:
    assert None not in pack((8, 7, 6, 5, 4), (15, 15))
    assert None not in pack((6, 5, 5, 4, 4, 3, 3), (15, 15))


def test_what_is_left_over_is_as_narrow_as_can_be_in_one_row() -> None:
    found = pack((10, 8, 6, 4), (20,))
    assert [place for place in found if place is not None] == [0, 0, 0]
    assert found[1] is None


def test_a_great_many_panels_do_not_take_for_ever() -> None:
    assert pack([7] * 60, [20] * 20).count(0) == 2


# ---- the check ---------------------------------------------------------------------------------------
def module(name: str, width: str = "", depth: str = "", supply: str = "", **more: object) -> Module:
    rails = tuple(
        Rail(name=rail.strip(), current=current.strip())
        for rail, _, current in (each.partition("=") for each in filter(None, supply.split(",")))
    )
    measured = more.pop("measured", {})
    boards = more.pop("boards", ())
    kit = Kit(name=name, boards=boards, panel_width=width, panel_depth=depth, supply=rails, **more)  # type: ignore[arg-type]
    return Module(key=name, title=name, kit=kit, measured=measured)  # type: ignore[arg-type]


def misfits(check: RackCheck) -> dict[str, str]:
    return {each.title: each.what for each in check.misfits}


def test_width_is_summed_and_what_is_left_over_says_by_how_much() -> None:
    modules = [module("A", "12 HP"), module("B", "60.6 mm"), module("C", "8 HP")]
    check = check_rack(modules, parse_case("28 HP"))
    assert check.hp == 32
    assert misfits(check) == {"C": "no row has 8 HP left: 4 HP short"}
    assert (check.rows[0].used, check.rows[0].free, check.rows[0].titles) == (24, 4, ("A", "B"))
    assert check_rack(modules, parse_case("32 HP")).fits
    assert check_rack(modules, parse_case("20 HP + 12 HP")).fits
    assert misfits(check_rack(modules, parse_case("10 HP, 9 rows"))) == {
        "A": "12 HP, 2 HP wider than any row",
        "B": "12 HP, 2 HP wider than any row",
    }


def test_depth_is_compared_and_little_room_is_said() -> None:
    case = parse_case("60 mm deep")
    check = check_rack(
        [
            module("Deep", depth="70.5 mm", supply="+12 V=1 mA"),
            module("Tight", depth="55 mm", supply="+12 V=1 mA"),
            module("Shallow", depth="25 mm", supply="+12 V=1 mA"),
            module("Passive", depth="58 mm", width="4 HP"),
            module("Unknown", width="4 HP"),
        ],
        case,
    )
    assert misfits(check) == {"Deep": "10.5 mm too deep"}
    said = " ".join(check.remarks)
    assert "Tight: 5 mm are left behind it" in said
    assert "Unknown: depth not given" in said
    assert "Shallow: " not in said.replace("Shallow: no panel width", "")
    assert "Passive: " not in said


def test_height_in_units_must_be_the_rows() -> None:
    modules = [module("Low", "4 HP", panel_height="1 U"), module("Usual", "4 HP", panel_height="128.5 mm")]
    assert misfits(check_rack(modules, parse_case("84 HP, 3 U"))) == {
        "Low": "a panel of 1 U, and the rows have 3 U"
    }
    odd = check_rack([module("Odd", "4 HP", panel_height="tall")], parse_case("84 HP, 3 U"))
    assert "not understood" in misfits(odd)["Odd"]


def test_current_is_summed_for_each_rail_and_the_headroom_is_kept() -> None:
    modules = [
        module("A", supply="+12 V=500 mA, -12 V=300 mA"),
        module("B", supply="+12V=0.45 A, -12V=100 mA"),
        module("C", supply="+5 V=50 mA"),
    ]
    rails = (parse_rail("+12 V=1000 mA"), parse_rail("-12 V=1 A"))
    check = check_rack(modules, Case(rails=rails))
    loads = {rail.name: (rail.amperes, rail.rating, rail.usable) for rail in check.rails}
    assert loads["+12 V"] == (Decimal("0.95"), Decimal(1), Decimal("0.8"))
    assert loads["-12 V"][0] == Decimal("0.4")
    assert misfits(check) == {
        "+12 V": "150 mA into the 20 % of headroom",
        "+5 V": "the case has no such rail, and C wants it",
    }
    tighter = check_rack(modules[:2], Case(rails=(parse_rail("+12 V=900 mA"), rails[1]), headroom_percent=0))
    assert misfits(tighter) == {"+12 V": "50 mA more than the supply is rated for"}
    assert check_rack(modules, Case()).fits


def test_a_reading_takes_the_place_of_the_makers_figure() -> None:
    check = check_rack(
        [
            module("A", supply="+12 V=38 mA", measured={"+12V": Decimal("0.0312")}),
            module("B", supply="+12 V=10 mA"),
        ],
        Case(rails=(CaseRail(name="+12 V", amperes=Decimal(1)),)),
    )
    (rail,) = check.rails
    assert rail.amperes == Decimal("0.0412")
    assert rail.measured == 1
    assert [(share.title, share.measured, share.stated) for share in rail.shares] == [
        ("A", True, Decimal("0.038")), ("B", False, Decimal("0.010")),
    ]  # fmt: skip
    text = "\n".join(line for line, _ in rack_lines(check))
    assert "31.2 mA  A, measured; the maker states 38 mA" in text
    assert "10 mA  B, stated by the maker" in text


def test_a_reading_far_below_what_the_maker_states_is_doubted() -> None:
    low = module("A", supply="+12 V=28 mA", measured={"+12 V": Decimal("0.009")})
    assert "9 mA were measured at +12 V, and the maker states 28 mA" in " ".join(
        check_rack([low], Case()).remarks
    )


def test_a_current_that_is_not_understood_is_said_and_not_counted() -> None:
    check = check_rack([module("A", supply="+12 V=some")], Case())
    assert "its current from +12 V is not known" in " ".join(check.remarks)
    assert check.rails[0].amperes == 0


def test_a_module_in_a_case_of_its_own_takes_nothing() -> None:
    check = check_rack([module("A", "80 mm", supply="+9 V=6 mA", own_case=True)], parse_case("4 HP"))
    assert check.fits
    assert (check.hp, check.rails, check.outside) == (0, (), ("A",))


def test_the_plug_is_known_to_be_keyed_or_said_to_be_not() -> None:
    def joined(kind: str, **more: object) -> Module:
        line = part("J1", "2x5", kind, 10, section="power", cautions=("Stripe is -12 V",), **more)
        return module("A", supply="+12 V=1 mA", boards=(Board(name="main", parts=(line,)),))

    def connection(found: Module) -> tuple[bool | None, str]:
        (only,) = check_rack([found], Case()).connections
        return only.keyed, " ".join(only.cautions)

    assert connection(joined("box header")) == (True, "Stripe is -12 V")
    keyed, cautions = connection(joined("pin header"))
    assert keyed is False
    assert "being connected the wrong way round" in cautions
    assert connection(joined("pin header", nets=("SYNC",)))[0] is None
    assert connection(joined("pin header", nets=("+12V",)))[0] is False
    unknown, cautions = connection(module("A", supply="+12 V=1 mA"))
    assert unknown is None
    assert "find plus, minus and 0 V first" in cautions


def test_the_shipped_batch_fits_one_row_of_84_hp() -> None:
    kits = [shipped(path) for path in sorted(KITS.glob("*.yaml"))]
    modules = [Module(key=kit.title, title=kit.title, kit=kit) for kit in kits]
    case = case_from(
        {"width": "84 HP", "height": "3 U", "depth": "60 mm", "rails": {"+12 V": "1 A", "-12 V": "1 A"}}
    )
    check = check_rack(modules, case)
    assert check.fits
    assert check.hp == 12 + 4 + 6 + 6 + 8 + 10
    assert {rail.name: rail.amperes * 1000 for rail in check.rails} == {
        "+12 V": 31 + 2 + 9 + 28 + 12 + 10,
        "-12 V": 22 + 2 + 10 + 3 + 12 + 9,
    }
    assert len(check.outside) == 2 + 5  # metronome and valve, and the five that go into no rack
    assert [joined.title for joined in check.connections if not joined.keyed] == ["Rack bus board rev. A"]


def test_modules_that_are_joined_alike_are_told_together_and_what_is_not_keyed_first() -> None:
    def joined(name: str, kind: str) -> Module:
        line = part("J1", "2x5", kind, 10, section="power")
        return module(name, supply="+12 V=1 mA", boards=(Board(name="main", parts=(line,)),))

    check = check_rack(
        [joined("A", "box header"), joined("B", "pin header"), joined("C", "box header")], Case()
    )
    texts = [text for text, _ in rack_lines(check)]
    assert texts.index("B: J1 2x5 pin header, not all keyed") < texts.index("A, C: J1 2x5 box header, keyed")


def test_what_does_not_fit_is_said_before_the_details() -> None:
    check = check_rack([module("A", "12 HP", supply="+12 V=1 A")], case_from({"width": "8 HP"}))
    texts = [text for text, _ in rack_lines(check)]
    assert texts.index("Does not fit") < 3
    empty = [text for text, _ in rack_lines(check_rack([], Case()))]
    assert any("[case] in settings.toml" in text for text in empty)


def test_the_words_of_a_rack_check_stand_in_paragraphs_under_their_heads() -> None:
    joined = part("J1", "2x5", "box header", 10, section="power", cautions=("Stripe is -12 V",))
    a = module("A", "12 HP", supply="+12 V=1 A", boards=(Board(name="main", parts=(joined,)),))
    own = module("B", "4 HP", own_case=True)
    case = case_from({"width": "8 HP", "rails": {"+12 V": "0.5 A"}, "headroom_percent": 20})
    check = check_rack([a, own], case)
    lines = list(rack_lines(check))
    assert lines[0] == ("Case: 8 HP", "head")
    assert ("Does not fit", "loud") in lines
    looks = dict(lines)
    assert [text for text, look in lines if look == "head"] == ["Case: 8 HP", "Power connectors", "Also"]
    assert all(looks[f"{each.title}: {each.what}"] == "caution" for each in check.misfits)
    assert looks["  Stripe is -12 V"] == "caution"
    assert "+12 V: 1000 mA of 500 mA (200 %; 400 mA with 20 % headroom)" in looks
    assert looks["All panels together: 12 HP."] == "plain"
    assert "Row 1: 0 of 8 HP, 8 free: nothing" in looks
    assert looks["B: in a case of its own, not counted."] == "plain"
    assert not any("As far as is known" in text or "settings.toml" in text for text in looks)
    for (before, _), (text, look) in pairwise(lines):
        assert (before == "") == (look in ("head", "loud") or text.startswith("All panels together"))


def test_a_case_that_says_nothing_promises_nothing_and_says_how_to_describe_one() -> None:
    texts = [text for text, _ in rack_lines(check_rack([module("A", "4 HP")], Case()))]
    assert texts[0] == "Case: not described yet"
    assert "[case] in settings.toml" in texts[1]
    assert not any("all of it fits" in text for text in texts)
    known: list[dict[str, object]] = [{"width": "8 HP"}, {"depth": "60 mm"}, {"rails": {"+12 V": "1 A"}}]
    for told in known:
        words = [text for text, _ in rack_lines(check_rack([module("A", "4 HP")], case_from(told)))]
        assert "Everything fits, as far as the kit files say." in words
        assert any("settings.toml" in text for text in words) == ("rails" in told)
