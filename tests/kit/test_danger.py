"""What in a kit can kill: found in rails, windings, ratings and words; and what only looks like it."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import structs

from bench.batch.shelf import kits_at_hand
from bench.kit.danger import Danger, danger_of
from bench.kit.kit import Kit, Rail
from bench.kit.lint import kit_remarks
from bench.kit.load import parse_kit
from bench.kit.rails import high_rail, rail_hazard, volts_in
from bench.kit.tell_tales import harmful, stored_joules
from bench.log import events as ev
from bench.log.progress import Progress
from bench.plan.stages import make_plan
from bench.ui.danger_forms import DANGER, danger_lines
from bench.ui.shelf_card import about_kit
from bench.writeup.help_request import help_request
from bench.writeup.markdown import write_up
from bench.writeup.page import html_page, html_together
from bench.writeup.story import tell
from tests.support.plans import LOW
from tests.support.story_bench import KIT, PLAN, Bench


def kit(*parts: str, supply: str = '{"+9 V": 20 mA}', top: str = "", after: str = "") -> Kit:
    """A kit of these parts lines, the first of them on line 8 (7 without `top`)."""
    lines = ["kit: 1", "name: Paper lantern", f"supply: {supply}", *([top] if top else [])]
    lines += ["boards:", "  - name: main", "    parts:", "      - {refs: R1, value: 10k}"]
    lines += [f"      - {part}" for part in parts]
    return parse_kit("\n".join([*lines, after, ""]).encode(), "lantern.yaml")


def found(*parts: str, supply: str = '{"+9 V": 20 mA}', top: str = "", after: str = "") -> Danger:
    return danger_of(kit(*parts, supply=supply, top=top, after=after))


@pytest.mark.parametrize(
    ("name", "hazard"),
    [
        # The limits of extra-low voltage are 50 V AC and 120 V ripple-free DC: IEC 61140, seen via the IEC's
        # vocabulary (SELV, IEC 61558-1:2005, 3.7.16).
        ("50 V AC", ""), ("51 V AC", "high voltage"), ("120 V DC", ""),
        ("+120 V", ""), ("+121 V", "high voltage"),
        ("-300 V", "high voltage"),
        ("0.25 kV DC", "high voltage"), ("60 V", "high voltage"), ("48 V", ""),
        ("+48 V phantom", ""), ("35-0-35 V AC", "high voltage"), ("12-0-12 V AC", ""), ("±15 V", ""),
        # Mains voltages: 100 V to 127 V, 200 V to 240 V, 400 V; IEC 60038 with its tolerance of 10 %.
        ("230 V AC", "mains"), ("115VAC", "mains"), ("240Vac", "mains"), ("230 V~", "mains"),
        ("~230 V", "mains"),
        ("110 volts", "mains"), ("230 V", "mains"), ("100-240 V AC", "mains"), ("400 V AC", "mains"),
        ("mains", "mains"), ("Mains input", "mains"), ("live", "mains"), ("IEC inlet", "mains"),
        ("230 AC", "mains"),
        ("Netzspannung", "mains"), ("230", "mains"), ("110-240", "mains"), ("3x230/400", "mains"),
        ("Netz", "mains"),
        ("B+ 250 V", "high voltage"), ("B+", ""), ("HT", "high voltage"), ("high voltage", "high voltage"),
        # A closed adapter is not opened: what comes out of it counts.
        ("12 V AC from a plug-in adapter", ""), ("9 V DC (mains adapter)", ""), ("12 V (230 V adapter)", ""),
        ("5 V USB", ""), ("wall wart 24 V", ""), ("no mains inside", ""), ("+12 V", ""),
        ("12 V AC", ""), ("0 V", ""),
        # What comes out of an adapter is told from what goes in; 120 V DC is the limit there too.
        ("120 V adapter", ""), ("121 V adapter", "high voltage"), ("230 V to 130 V adapter", "high voltage"),
        # Three bands of mains, and nothing beside them.
        *((f"{volts} V AC", "mains") for volts in (100, 132, 200, 277, 380, 440)),
        *((f"{volts} V AC", "high voltage") for volts in (99, 133, 199, 281, 379, 441)),
    ],
)  # fmt: skip
def test_a_rail_is_told_by_its_volts_and_words(name: str, hazard: str) -> None:
    assert rail_hazard(name) == hazard


def test_no_live_reading_is_proposed_above_50_volts_of_either_kind() -> None:
    names = ("+12 V", "+48 V phantom", "+60 V", "60 V DC", "230 V AC", "mains", "12 V (230 V adapter)", "+9 V")
    wanted = [False, False, True, True, True, True, False, False]
    assert [high_rail(Rail(name=name, current="")) for name in names] == wanted
    assert high_rail(Rail(name="supply", current="230 V, 20 mA"))
    assert [high_rail(Rail(name=name, current="")) for name in ("+50 V", "+51 V")] == [False, True]


@pytest.mark.parametrize(
    ("plus", "minus", "hazards"),
    [("+60 V", "-60 V", ()), ("+61 V", "-60 V", ("high voltage",)), ("+60 V", "\u221261 V", ("high voltage",)),
     ("+100 V", "+60 V", ()), ("+121 V", "-60 V", ("high voltage",))],
)  # fmt: skip
def test_what_stands_between_a_rail_above_and_one_below_0_v_counts(
    plus: str, minus: str, hazards: tuple[str, ...]
) -> None:
    """More than 120 V of ripple-free DC is no extra-low voltage: IEC 61140, seen as above."""
    danger = found(supply=f'{{"{plus}": 20 mA, "{minus}": 20 mA}}')
    assert danger.hazards == hazards
    assert len(danger.reasons) == len(hazards)


def test_a_label_says_what_can_kill_in_one_line() -> None:
    assert found(top="hazards: [mains]").brief == "Mains: can kill. Maker's instructions and local codes first."
    assert found().brief == ""


def test_only_what_is_found_of_a_hazard_that_is_not_stated_makes_it_sure() -> None:
    transformer = '{refs: T1, value: "230 V to 24 V", kind: transformer}'
    valve = "{refs: V1, value: EL84, kind: valve, socket: B9A, joints: 9}"
    danger = found(transformer, valve, top="hazards: [mains]")
    assert danger.undeclared == ("high voltage",)
    assert danger.doubted
    assert "say `hazards: none`" in danger.omission
    assert not found(transformer, valve).doubted


def test_insulation_is_not_a_supply() -> None:
    assert volts_in("230 V to 12 V, insulation tested 4 kV, 5 VA") == (230.0, 12.0)
    assert volts_in("2x115V 2x9V, isolation 1500 V, 30VA") == (115.0, 9.0)
    assert volts_in("1500 Vrms isolation") == ()


@pytest.mark.parametrize(
    ("part", "hazards"),
    [
        ('{refs: T1, value: "230 V to 24 V", kind: transformer}', ("mains",)),
        ('{refs: T1, value: 2x115V 2x9V 10VA, kind: transformer}', ("mains",)),
        ('{refs: T1, value: "12 V to 180 V, 5 VA", kind: transformer}', ("high voltage",)),
        ('{refs: T1, value: "230 V to 300-0-300 V, 6.3 V", kind: transformer}', ("mains", "high voltage")),
        ('{refs: T1, value: "230 V : 12 V, 4 kV test voltage", kind: transformer}', ("mains",)),
        ('{refs: T1, value: PCB transformer, voltage: 230 V, kind: transformer}', ("mains",)),
        ("{value: mains lead, kind: cable, quantity: 1}", ("mains",)),
        ("{refs: J1, value: IEC C14 inlet, kind: connector}", ("mains",)),
        ("{refs: J1, value: IEC inlet with fuse, kind: connector}", ("mains",)),
        ("{refs: SW1, value: DPST mains switch, kind: toggle switch}", ("mains",)),
        ("{refs: C1, value: 150n, voltage: 275 V AC, kind: film capacitor}", ("mains",)),
        ("{refs: C1, value: 220n X2, kind: film capacitor}", ("mains",)),
        ("{refs: C1, value: 220n x2 250 V AC, kind: film capacitor}", ("mains",)),
        ("{refs: C1, value: 4n7 y2, voltage: 300 V AC, kind: ceramic capacitor}", ("mains",)),
        ("{refs: C1, value: 2n2, kind: ceramic capacitor, note: Y1}", ("mains",)),
        ("{refs: RV1, value: 275 VAC, kind: varistor}", ("mains",)),
        ("{refs: RV1, value: S14K275, kind: varistor}", ("mains",)),
        ("{refs: RV1, value: 14D431K, kind: varistor}", ("mains",)),
        ("{refs: U1, value: 230 V to 5 V converter, kind: module}", ("mains",)),
        ("{refs: J1, value: IEC power inlet, kind: connector}", ("mains",)),
        ("{refs: PS1, value: AC-DC 85-265VAC 12V 1A, kind: module}", ("mains",)),
        ("{refs: PS1, value: boost converter 5 V to 180 V, kind: module}", ("high voltage",)),
        ("{refs: T1, value: toroid 18-0-18 V 50 VA, kind: transformer}", ("mains",)),
        ("{refs: U1, value: MOC3041, kind: optocoupler}", ("mains",)),
        ("{refs: Q1, value: BT136 triac, kind: thyristor}", ("mains",)),
        ("{refs: V1, value: ECC83, kind: valve}", ("high voltage",)),
        ("{refs: DS1, value: nixie tube, kind: display}", ("high voltage",)),
        ("{refs: C1, value: 100u 400 V, kind: electrolytic capacitor}", ("high voltage", "stored charge")),
        ("{refs: C1, value: 2u2, voltage: 160 V, kind: electrolytic capacitor}", ("high voltage",)),
        ("{refs: C1, value: 22u 630 V, kind: film capacitor}", ("stored charge",)),
        ('{refs: R2, value: 1k, nets: "high voltage"}', ("high voltage",)),
        ("{refs: T1, value: 2x18 V 50 VA toroid}", ("mains",)),
        ("{refs: T1, value: toroidal 2x15V 30VA}", ("mains",)),
        ("{refs: T1, value: 18V toroid}", ("mains",)),
        ("{refs: TR1, value: Ringkerntrafo 2x18V}", ("mains",)),
        ("{refs: TR1, value: 15-0-15}", ("mains",)),
        ("{refs: T1, value: 230/2x12V}", ("mains",)),
        ("{refs: T1, value: 2 x 12 V, kind: transformer}", ("mains",)),
        ("{refs: PT1, value: power transformer}", ("mains",)),
        ("{refs: X1, value: 230V 12V transformer}", ("mains",)),
        ("{refs: U1, value: TOP224Y}", ("mains",)),
        ("{refs: U1, value: HLK-PM01}", ("mains",)),
        ("{refs: U1, value: LNK304}", ("mains",)),
        ("{refs: J1, value: schuko socket, kind: connector}", ("mains",)),
    ],
)  # fmt: skip
def test_parts_that_speak_of_it_are_found_though_the_kit_says_nothing(
    part: str, hazards: tuple[str, ...]
) -> None:
    danger = found(part)
    assert danger.deadly
    assert danger.hazards == danger.undeclared == hazards
    assert {sign.line for sign in danger.reasons} == {8}
    assert all(sign.what.split(":")[0] in part for sign in danger.reasons)


@pytest.mark.parametrize(
    "part",
    [
        "{refs: C1, value: 22n, voltage: 400 V, kind: film capacitor}",
        "{refs: C1, value: 100n, voltage: 630 V, kind: film capacitor}",
        "{refs: C1, value: 1u, voltage: 250 V, kind: film capacitor}",
        "{refs: C1, value: 1n, voltage: 1 kV, kind: ceramic capacitor}",
        "{refs: C1, value: 4700u, voltage: 63 V, kind: electrolytic capacitor}",
        "{refs: C1, value: 10u, voltage: 100 V, kind: electrolytic capacitor}",
        "{refs: D1, value: 1N4007, voltage: 1000 V}",
        "{refs: BR1, value: W04M, voltage: 400 V, kind: bridge rectifier}",
        "{refs: F1, value: 500 mA 250 V, kind: fuse}",
        "{refs: SW1, value: 250 V 3 A, kind: toggle switch}",
        "{refs: SW1, value: DPST, kind: toggle switch}",
        '{refs: K1, value: "12 V DPDT, contacts 250 V AC", kind: relay}',
        "{refs: U9, value: relay module 250 V AC 10 A, kind: module}",
        "{refs: TB1, value: 3-way 300 V 10 A, kind: terminal block}",
        "{refs: Y1, value: 16 MHz}",
        '{refs: T1, value: "10k to 600 ohm", kind: transformer}',
        "{refs: PS1, value: DC-DC 5 V to 12 V, kind: module}",
        "{refs: T1, value: 12 V flyback, kind: transformer}",
        '{refs: T1, value: "audio 10k:600, 10 V", kind: transformer}',
        "{refs: L1, value: toroid 22u}",
        "{refs: T1, value: FT50-43 toroid}",
        "{value: 9 V plug-in adapter 230 V, kind: hardware, quantity: 1}",
        "{refs: BT1, value: 9 V block, kind: battery holder}",
        "{refs: Q1, value: IRF740, voltage: 400 V, kind: MOSFET}",
        "{refs: J1, value: 2.1 mm for a 12 V mains adapter, kind: DC socket}",
        "{refs: RV1, value: S10K14, kind: varistor}",
        "{refs: U2, value: 25Q32 flash memory, kind: IC}",
        "{refs: U3, value: PC817, kind: optocoupler, note: 5000 Vrms isolation}",
        '{refs: C1, value: 47u, voltage: 400 V, kind: electrolytic capacitor, nets: "+9 V"}',
    ],
)
def test_what_stands_high_voltage_in_a_small_kit_does_not_make_it_deadly(part: str) -> None:
    assert found(part) == Danger(hazards=(), deadly=False, reasons=(), undeclared=())


def test_rails_count_and_so_does_what_lies_between_them() -> None:
    assert found(supply='{"230 V AC": 1 A}').undeclared == ("mains", "non-isolated supply")
    assert found(supply='{"+75 V": 1 A, "-75 V": 1 A}').hazards == ("high voltage",)
    assert not found(supply='{"+45 V": 1 A, "-45 V": 1 A}').deadly
    assert not found(supply='{"12 V AC from a plug-in adapter": 300 mA}').deadly
    assert not found(supply='{"+48 V": 20 mA}').deadly


def test_a_reading_that_the_kit_itself_expects_counts() -> None:
    point = "hold_points: [{name: First power, checks: [{at: TP1, expect: 170 V ± 5 %}]}]"
    assert found(after=point).hazards == ("high voltage",)
    low = "hold_points: [{name: First power, checks: [{at: TP1, expect: 12 V ± 5 %}]}]"
    assert not found(after=low).deadly


def test_hazards_none_answers_what_can_be_harmless_and_nothing_else() -> None:
    valve, winding = (
        "{refs: V1, value: ECC83, kind: valve}",
        '{refs: T1, value: "230 V to 9 V", kind: transformer}',
    )
    assert found(valve).doubted
    assert not found(valve, top="hazards: none").deadly
    danger = found(valve, winding, top="hazards: none")
    assert danger.hazards == ("mains",)
    assert (danger.deadly, danger.harmless, danger.doubted) == (True, True, False)


def test_what_is_stated_stays_stated() -> None:
    danger = found(top="hazards: [mains, stored charge]")
    assert (danger.hazards, danger.deadly, danger.undeclared) == (("mains", "stored charge"), True, ())
    assert not danger.reasons


@pytest.mark.parametrize(
    ("capacitor", "deadly"),
    [("value: 120u, voltage: 330 V", True), ("value: 2200u, voltage: 25 V", False), ("value: 120u", True)],
)
def test_a_stated_charge_is_deadly_unless_every_capacitor_is_rated_low(capacitor: str, deadly: bool) -> None:
    part = f"{{refs: C1, {capacitor}, kind: electrolytic capacitor}}"
    assert found(part, top="hazards: [stored charge]").deadly is deadly


def test_energy_and_limit() -> None:
    """C V² / 2, any textbook; 1 J from 100 V and 0.25 J from 400 V: NFPA 70E-2021, 360.3 (from memory)."""
    assert stored_joules(120e-6, 330) == pytest.approx(6.534)
    assert [harmful(*each) for each in ((1.0, 399), (1.01, 100), (0.26, 400), (99.0, 63))] == [
        False, True, True, False,
    ]  # fmt: skip


def test_difficulty_shelf_and_plan_know_what_the_file_omits(tmp_path: Path) -> None:
    text = 'kit: 1\nname: Lantern\nsupply: {"24 V": 1 A}\nboards:\n  - name: main\n    parts:\n'
    text += '      - {refs: T1, value: "230 V to 24 V", kind: transformer}\n'
    (tmp_path / "lantern.yaml").write_text(text, encoding="utf-8")
    said = "The kit file does not state mains, but lists T1: transformer for 230 V and 24 V"
    (at_hand,) = kits_at_hand([tmp_path])
    assert (at_hand.level, at_hand.hazards, at_hand.omission) == ("can kill", ("mains",), f"{said}.")
    shown = [words for words, look in about_kit(at_hand) if look == "caution"]
    assert shown == ["MAINS CAN KILL: local rules and licensed practice come first.", f"{said}."]
    made = parse_kit(text.encode(), "lantern.yaml")
    assert said in make_plan(made, LOW).remarks
    assert danger_lines(made)[-1] == f"{said}."


# -- what readers of the article are told ---------------------------------------------------------
def test_page_markdown_and_letter_warn_and_the_name_stays_in_the_log_unless_asked_for() -> None:
    deadly = structs.replace(KIT, supply=(Rail(name="230 V AC", current="20 mA"),))
    for shown in (False, True):
        bench = Bench()
        bench.add(ev.HazardAcknowledged, text="Berta the electrician", shown=shown)
        story = tell(deadly, PLAN, bench.events)
        for text in (write_up(story), html_page(story), html_together([("a", story), ("b", story)])):
            assert "this kit can kill" in text
            assert "licensed practice come first" in text
        assert [("Berta the electrician" in text) for text in (write_up(story), html_page(story))] == [
            shown
        ] * 2
    assert "DANGER: Mains and non-isolated supply: this kit can kill." in help_request(deadly, PLAN, Progress())
    assert "can kill" not in write_up(tell(KIT, PLAN, []))


_DROPPER = (
    "{refs: C1, value: 470n X2 275VAC}",
    "{refs: D1-D4, value: 1N4007}",
    "{refs: ZD1, value: 24V 1.3W}",
)


@pytest.mark.parametrize(
    ("parts", "supply", "top", "unisolated"),
    [
        # Common practice, no source: only a transformer or an isolating converter parts 0 V from the mains.
        (_DROPPER, '{"230 V AC": 30 mA, "+24 V": 20 mA}', "", True),
        (_DROPPER, '{"+24 V": 20 mA}', "about: Runs from a capacitive dropper.", True),
        (_DROPPER, '{"+24 V": 20 mA}', "hazards: [mains, non-isolated supply]", True),
        ((), '{"+24 V": 20 mA}', "notes: [The supply is not isolated from the mains.]", True),
        ((), '{"+24 V": 20 mA}', "notes: [A non-isolated supply is inside.]", True),
        (("{refs: T1, value: 30VA autotransformer, kind: transformer}",), '{"230 V AC": 1 A}', "", True),
        ((*_DROPPER, "{refs: T1, value: 230 V to 18 V}"), '{"230 V AC": 1 A, "+24 V": 1 A}', "", False),
        (("{refs: A1, value: 5 V AC-DC converter}",), '{"230 V AC": 1 A, "+5 V": 1 A}', "", False),
        ((), '{"12 V AC adapter": 1 A, "+12 V": 1 A}', "about: A transformerless output stage.", False),
        ((), '{"+12 V": 1 A}', "about: Not a capacitive dropper.", False),
    ],
)
def test_a_supply_that_nothing_isolates_makes_every_rail_a_mains_rail(
    parts: tuple[str, ...], supply: str, top: str, unisolated: bool
) -> None:
    made = kit(*parts, supply=supply, top=top)
    assert ("non-isolated supply" in danger_of(made).kills) is unisolated
    plan = make_plan(made, LOW)
    live = [
        step.value for stage in plan.stages for step in stage.steps
        if step.expect.endswith(("V ± 5 %", "A ± 30 %"))
    ]  # fmt: skip
    said = " ".join(caution for stage in plan.stages for step in stage.steps for caution in step.cautions)
    assert bool(live) is not danger_of(made).hands_off
    assert ("0 V and the low rails too, is live" in said) is unisolated
    assert any(line.startswith("NOT ISOLATED") for line in danger_lines(made)) is unisolated


@pytest.mark.parametrize(("answer", "taken"), [
    ("0.4", False), ("-", False), ("y", False), ("12,03 V", False), ("A. Lark, licence 12", True),
    ("VDE 0105", True), ("李", False), ("李明", True),
])  # fmt: skip
def test_a_reading_typed_ahead_answers_for_nothing(answer: str, taken: bool) -> None:
    assert isinstance(DANGER.questions, tuple)
    who = DANGER.questions[0]
    assert who.wrong is not None
    assert (who.wrong(answer) == "") is taken


X2 = "{refs: C1, value: 100n X2, voltage: 275 V AC, kind: film capacitor}"


@pytest.mark.parametrize(
    "supply", ['{"+12 V": 40 mA, "-12 V": 20 mA}', '{"+5 V": 1 A}', '{"9 V battery": 20 mA}']
)
def test_a_small_capacitor_for_the_mains_among_low_voltages_is_asked_about(supply: str) -> None:
    """Such capacitors are also sold as good film capacitors: common practice, no source."""
    made = kit(X2, supply=supply)
    danger = danger_of(made)
    assert not danger.deadly
    assert [sign.what for sign in danger.questions] == ["C1: capacitor of class X2, made for the mains"]
    assert "If the mains is on it, stop" in danger.omission
    plan = make_plan(made, LOW)
    assert any("If the mains is on it, stop" in remark for remark in plan.remarks)
    step = next(step for step in plan.steps if "C1" in step.refs)
    assert any("Class X, across the mains" in said for said in step.cautions)
    assert any("is the mains on it?" in remark.what for remark in kit_remarks(made))
    answered = danger_of(kit(X2, supply=supply, top="hazards: none"))
    assert (answered.questions, answered.omission) == ((), "")


@pytest.mark.parametrize(
    ("parts", "supply", "top"),
    [
        # What feeds on the mains through a capacitor has no transformer and an X2 capacitor.
        ((X2,), '{"12 V AC": 1 A}', ""),
        ((X2,), "none", ""),
        ((X2,), "", ""),
        ((X2,), '{"raw": 1 A}', ""),
        ((X2.replace("100n", "330n"),), '{"+5 V": 20 mA}', ""),
        ((X2, "{refs: T1, value: EI30, kind: transformer}"), '{"+12 V": 1 A}', ""),
        ((X2, "{refs: J1, value: inlet, kind: mains inlet}"), '{"+12 V": 1 A}', ""),
        ((X2,), '{"+12 V": 1 A}', "about: A filter for the mains."),
        ((X2,), '{"+12 V": 1 A}', "hazards: [mains]"),
        ((X2, "{refs: RV1, value: S14K275, kind: varistor}"), '{"+12 V": 1 A}', ""),
        (("{refs: C1, value: 2n2 Y1, kind: ceramic capacitor}",), '{"+12 V": 1 A}', ""),
        ((X2.replace("100n X2", "four X2"),), '{"+12 V": 1 A}', ""),
    ],
)
def test_where_mains_is_plausible_the_same_capacitor_shuts_the_gate(
    parts: tuple[str, ...], supply: str, top: str
) -> None:
    lines = kit(*parts, supply=supply or "none", top=top)
    made = lines if supply else structs.replace(lines, supply=(), passive=False)
    assert danger_of(made).deadly


def test_small_letters_are_a_class_only_beside_a_voltage_of_the_mains() -> None:
    # Classes of IEC 60384-14, from memory; `x2` by itself may be a count.
    assert found("{refs: C1, value: 220n x2, kind: film capacitor, voltage: 63 V}").hazards == ()
    assert found("{refs: C1, value: 220n, note: x2 275 V, kind: film capacitor}").hazards == ("mains",)


def test_a_mains_section_is_closed_where_all_that_stands_in_it_comes_closed() -> None:
    closed = "{value: 'mains box, closed and wired', kind: hardware, quantity: 1, section: mains}"
    open_ = "{value: mains switch, kind: toggle switch, section: mains}"
    low = "{refs: R2, value: 10k, section: low side}"
    found_in = [found(*parts, low, top="sections: [mains, low side]") for parts in ((closed,), (closed, open_))]
    assert [danger.hazards for danger in found_in] == [("mains",)] * 2
    assert [danger.closed_mains for danger in found_in] == [True, False]


@pytest.mark.parametrize(
    ("secondary", "hazards"),
    [("50 V", ()), ("51 V", ("high voltage",)), ("25-0-25 V", ()), ("26-0-26 V", ("high voltage",))],
)
def test_a_transformer_of_an_adapters_volts_is_dangerous_above_50_v_from_end_to_end(
    secondary: str, hazards: tuple[str, ...]
) -> None:
    """50 V AC, IEC 61140: seen as above."""
    part = f'{{refs: T1, value: "12 V to {secondary}, 5 VA", kind: transformer}}'
    assert found(part, supply='{"12 V AC": 1 A}').hazards == hazards


@pytest.mark.parametrize(
    ("expect", "dangerous"),
    [("120 V ± 1 %", False), ("121 V ± 1 %", True), ("50 V AC ± 5 %", False), ("51 V AC ± 5 %", True)],
)
def test_a_reading_that_the_kit_expects_above_extra_low_voltage_is_a_danger(
    expect: str, dangerous: bool
) -> None:
    """120 V of direct voltage, 50 V AC, IEC 61140: seen as above."""
    point = f'hold_points: [{{name: First power, checks: [{{at: TP1, expect: "{expect}"}}]}}]'
    assert found(after=point).hazards == (("high voltage",) if dangerous else ())


@pytest.mark.parametrize(("volts", "hazards"), [(199, ()), (200, ("mains",)), (250, ("mains",))])
def test_a_capacitor_for_as_much_alternating_voltage_as_the_mains_has_is_made_for_it(
    volts: int, hazards: tuple[str, ...]
) -> None:
    """Mains of 230 V less 10 % are 207 V: IEC 60038."""
    assert found(f"{{refs: C1, value: 1u, voltage: {volts} V AC, kind: film capacitor}}").hazards == hazards


@pytest.mark.parametrize("many", [3, 4, 6])
def test_the_first_three_signs_are_told_and_the_rest_counted(many: int) -> None:
    valves = (f"{{refs: V{n}, value: EL84, kind: valve, joints: 9}}" for n in range(1, many + 1))
    why = found(*valves).why
    assert why == "; ".join(f"V{n}: valve" for n in (1, 2, 3)) + (f"; and {many - 3} more" if many > 3 else "")
