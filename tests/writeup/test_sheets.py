"""Print-outs as data: nothing of a plan is lost on paper, and bands say what they should."""

from __future__ import annotations

import re
from collections import Counter
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest
from eseries import E24, E96, series
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Rail
from bench.kit.load import parse_kit
from bench.measure.identify.ahead import what_it_says
from bench.parts.colours import decode
from bench.parts.kinds import KINDS
from bench.parts.palette import COLOURS
from bench.parts.quantity import Quantity, letter_code
from bench.plan.bag import bag_lines
from bench.plan.procedure import parse_procedure
from bench.plan.stages import make_plan
from bench.plan.zones import spots_of
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.sheets.bands import strips_of
from bench.writeup.sheets.boards import boards_on_paper
from bench.writeup.sheets.labels import label_sheet
from bench.writeup.sheets.maker_pages import help_letter, shortage_letter
from bench.writeup.sheets.procedure import procedure_sheet
from bench.writeup.sheets.sheet_model import Group, StageOnPaper, StageSheet, Strip, TableRow
from bench.writeup.sheets.stages import stage_sheet
from bench.writeup.sheets.texts import css_string, tidy
from bench.writeup.shortage import shortage_text
from bench.writeup.words import plural
from tests.parts.test_bands import WORKED, ohms_of
from tests.support.kit_files import small
from tests.support.kit_values import METRONOME, OSCILLATOR, shipped
from tests.support.paper import job
from tests.support.plans import FLOW, LOW, zone_of
from tests.support.samples import HandClock, small_build, small_kit, small_plan

KITS = sorted(METRONOME.parent.glob("*.yaml"))
PROCEDURES = ["low-to-high", "signal-flow"]


def rows_of(stage: StageOnPaper) -> list[tuple[Group, TableRow]]:
    return [(group, row) for table in stage.tables for group in table.groups for row in group.rows]


def all_rows(sheet: StageSheet) -> list[TableRow]:
    return [row for stage in sheet.stages for _, row in rows_of(stage)]


def names(strip: Strip) -> tuple[str, ...]:
    return tuple(stripe.name for stripe in strip.stripes)


# -- bands --------------------------------------------------------------------------------------
@pytest.mark.parametrize(("bands", "value", "tolerance"), WORKED)
def test_published_codes_are_drawn_in_their_colours(bands: str, value: str, tolerance: str) -> None:
    (strip,) = strips_of(value, tolerance)
    assert names(strip) == tuple(bands.split())
    for stripe in strip.stripes:
        assert stripe.fill == "#{:02x}{:02x}{:02x}".format(*COLOURS[stripe.name].srgb)


@given(
    st.sampled_from([*series(E24), *series(E96)]), st.integers(0, 7), st.sampled_from(("1", "2", "0.1", "5"))
)
def test_drawn_bands_read_back_to_the_value_by_colour_and_by_digit(
    figures: float, power: int, percent: str
) -> None:
    ohms = (Decimal(str(figures)).normalize() / 100).scaleb(power)
    (strip,) = strips_of(letter_code(Quantity(amount=ohms, unit="ohm")), f"{percent} %")
    assert any(
        read.ohms == ohms and read.tolerance_percent == Decimal(percent) for read in decode(names(strip))
    )
    labels = [stripe.label for stripe in strip.stripes]
    assert labels[-1] == f"±{percent} %"
    assert ohms_of(labels[:-1]) == ohms


def test_four_bands_from_five_per_cent_up_and_five_from_two_per_cent_down() -> None:
    """IEC 60062: two figures for ±5 % and wider, three for ±2 % and tighter."""
    counts = [len(strips_of("4k7", said)[0].stripes) for said in ("10 %", "5 %", "2 %", "1 %", "0.1 %")]
    assert counts == [4, 4, 5, 5, 5]


def test_without_a_tolerance_both_usual_codes_stand_there_with_their_condition() -> None:
    assert [strip.condition for strip in strips_of("4k7", "")] == ["if ±5 %:", "if ±1 %:"]


@pytest.mark.parametrize(("value", "tolerance"), [("4k7", "1 %"), ("4k7", "5 %"), ("4k7", "0.1 % 25 ppm")])
def test_bands_do_not_touch_and_the_tolerance_stands_apart(value: str, tolerance: str) -> None:
    """The wider gap tells where the code ends: common practice."""
    (strip,) = strips_of(value, tolerance)
    edges = [(each.middle - each.width / 2, each.middle + each.width / 2) for each in strip.stripes]
    gaps = [right[0] - left[1] for left, right in pairwise(edges)]
    apart = next(at for at, each in enumerate(strip.stripes) if each.label.startswith("±")) - 1
    assert min(gaps) > 1
    assert gaps[apart] > max(gap for at, gap in enumerate(gaps) if at != apart)
    assert edges[0][0] > 2
    assert edges[-1][1] < strip.length - 2


def test_a_link_is_one_black_band() -> None:
    (strip,) = strips_of("0R", "")
    assert (names(strip), strip.link) == (("black",), True)


# -- stages -------------------------------------------------------------------------------------
@pytest.mark.parametrize("procedure", PROCEDURES)
@pytest.mark.parametrize("kit", KITS)
def test_every_part_of_the_plan_has_one_box_and_every_other_step_a_row(kit: Path, procedure: str) -> None:
    made = job(kit, procedure)
    sheet = stage_sheet(made.kit, made.plan)
    parts = [step for step in made.plan.steps if step.action in ("solder", "place", "insert", "fit")]
    boxes = Counter(spot.name for row in all_rows(sheet) for spot in row.spots)
    wanted = Counter(ref for step in parts for ref in step.refs)
    assert {name: count for name, count in boxes.items() if not name.isdecimal()} == dict(wanted)
    assert sum(boxes.values()) == sum(len(step.items) for step in parts)
    assert [row.value for row in all_rows(sheet)] == [step.value for step in made.plan.steps]
    assert sum(row.joints for row in all_rows(sheet)) == sheet.joints == made.plan.joints


@pytest.mark.parametrize("procedure", PROCEDURES)
@pytest.mark.parametrize("kit", KITS)
def test_every_caution_way_round_limit_and_look_alike_of_a_step_stands_where_it_is_read(
    kit: Path, procedure: str
) -> None:
    made = job(kit, procedure)
    sheet = stage_sheet(made.kit, made.plan)
    for planned, stage in zip(made.plan.stages, sheet.stages, strict=True):
        assert (stage.name, stage.hold, stage.joints) == (planned.name, planned.hold, planned.joints)
        for step, (group, row) in zip(planned.steps, rows_of(stage), strict=True):
            assert {*stage.cautions, *group.cautions, *row.cautions} >= set(step.cautions)
            said = [*stage.cautions, *group.cautions, *row.cautions]
            assert len(said) == len(set(said)), "a caution that stands there twice"
            assert group.orientation == step.orientation
            assert row.should == (step.expect or ("" if step.action != "check" else "look"))
            assert row.measured == bool(step.expect)
            told = " ".join(f"{values}: {reason}" for values, reason in row.alike)
            assert all(each.value in told and each.reason in told for each in step.alike)


def test_a_resistor_shows_bands_and_a_capacitor_its_print() -> None:
    made = job(OSCILLATOR)
    by_kind = {
        (group.name, row.value): row
        for stage in stage_sheet(made.kit, made.plan).stages
        for group, row in rows_of(stage)
    }
    assert names(by_kind["Resistors", "49k9"].strips[0]) == ("yellow", "white", "white", "red", "brown")
    assert by_kind["Ceramic capacitors", "220p"].printed == "printed 221J"
    assert by_kind["ICs", "TL072"].strips == ()


def test_a_zone_stands_beside_the_part_of_its_own_board() -> None:
    kit = shipped(OSCILLATOR)
    sheet = stage_sheet(kit, make_plan(kit, LOW))
    spots = _spots_of(sheet)
    placed = {
        (board.name, spot.ref): zone_of(board, spot.ref) for board in kit.boards for spot in spots_of(board)
    }
    told = {(place.removesuffix(" board"), name): zone for place, name, zone in spots if zone}
    assert told
    assert told.items() <= placed.items()
    assert all(spot[2] == "" for spot in _spots_of(stage_sheet(small_kit(), small_plan())))


def _spots_of(sheet: StageSheet) -> list[tuple[str, str, str]]:
    return [
        (stage.place, spot.name, spot.zone)
        for stage in sheet.stages
        for _, row in rows_of(stage)
        for spot in row.spots
    ]


def test_a_board_is_drawn_with_its_zones_and_each_part_where_it_sits() -> None:
    kit = shipped(OSCILLATOR)
    drawn = boards_on_paper(kit.boards)
    for board in kit.boards:
        sides = [each for each in drawn if each.name == board.name]
        assert sorted(mark.name for side in sides for mark in side.marks) == sorted(
            spot.ref for spot in spots_of(board)
        )
        for side in sides:
            assert all(0 <= mark.x <= side.width and 0 <= mark.y <= side.height for mark in side.marks)
            for mark in side.marks:
                across = sum(mark.x > edge for edge in side.across)
                down = sum(mark.y > edge for edge in side.down)
                on_paper = side.columns[across][0] + side.rows[down][0]
                assert on_paper == zone_of(board, mark.name), (mark, side.side)


def test_what_a_build_has_done_is_ticked_and_its_readings_and_counts_stand_there(tmp_path: Path) -> None:
    build = small_build(tmp_path / "one")
    build.opened()
    build.done(2)
    build.measured(bag_lines(build.kit)[0], "4k69", "4k69 fits 4k7 (main R1-R3).")
    build.reading_at(next(step for step in build.plan.steps if step.action == "check"), "120 ohm")
    sheet = stage_sheet(build.kit, build.plan, build.progress)
    (first, *_) = all_rows(sheet)
    assert [(spot.name, spot.done) for spot in first.spots] == [("R1", True), ("R2", True), ("R3", False)]
    assert first.told == ("measured ahead: 4k69",)
    (check,) = [row for row in all_rows(sheet) if row.measured]
    assert check.readings == ("120 ohm out",)


def test_a_task_at_a_hold_point_stands_among_its_checks() -> None:
    made = job(OSCILLATOR)
    power = next(each for each in stage_sheet(made.kit, made.plan).stages if each.name == "First power")
    assert [table.sort for table in power.tables] == ["checks"]
    assert [row.should for _, row in rows_of(power)][:2] == ["", "look"]


# -- procedure ----------------------------------------------------------------------------------
@pytest.mark.parametrize("procedure", [LOW, FLOW], ids=PROCEDURES)
def test_every_stage_of_a_procedure_has_a_line_with_its_tasks_checks_and_cautions(procedure: object) -> None:
    assert procedure in (LOW, FLOW)
    rules = LOW if procedure is LOW else FLOW
    sheet = procedure_sheet(rules)
    everything = " ".join(text for line in sheet.lines for text in line.cautions)
    words = " ".join(line.words for line in sheet.lines).casefold()
    for rule, line in zip(rules.stages, sheet.lines, strict=True):
        assert line.hold == bool(rule.hold)
        said = words if any(task.can_kill for task in rule.tasks) else line.words.casefold()
        assert all(task.do.casefold() in said for task in rule.tasks)
        assert all(caution.say in everything for caution in rule.cautions)
        assert all(say in everything for task in rule.tasks for say in task.cautions)
        assert len(line.boxes) == (2 if rule.per_board else 1)
        if rule.takes:
            first = next((str(kind) for taken in rule.takes for kind in taken.asks.get("kind", ())), "")
            assert not first or plural(first).casefold() in line.words.casefold()
        assert len(re.findall("200 ohm", line.words)) == sum("200 ohm" in each.expect for each in rule.checks)


def test_a_caution_that_was_said_word_for_word_names_the_line_that_says_it() -> None:
    sheet = procedure_sheet(FLOW)
    for line in sheet.lines:
        for text in line.cautions:
            if found := re.fullmatch(r"As in (\d+)\.", text):
                assert sheet.lines[int(found[1]) - 1].cautions[0] != text


def test_for_a_kit_the_boxes_bear_its_boards_and_idle_stages_say_so() -> None:
    made = job(OSCILLATOR)
    lines = {line.name: line for line in procedure_sheet(LOW, made.kit, made.plan).lines}
    assert lines["Parts that lie flat"].boxes == ("main", "control")
    assert lines["Solder the panel parts"].boxes == ("control",)
    assert lines["Big parts"].left_out
    assert lines["Parts that lie flat"].words.startswith("Resistors, diodes, Schottky diodes.")
    flow = procedure_sheet(FLOW, made.kit, make_plan(made.kit, FLOW))
    assert {line.name: line.left_out for line in flow.lines}["Each section: low parts"] is False


def test_a_kit_of_one_board_is_told_nothing_about_stacked_boards() -> None:
    made = job(METRONOME)
    said = " ".join(text for line in procedure_sheet(LOW, made.kit, made.plan).lines for text in line.cautions)
    assert "stacked" in " ".join(text for line in procedure_sheet(LOW).lines for text in line.cautions)
    assert "stacked" not in said
    assert "Clipped leads fly into eyes" in said


def test_no_live_check_is_proposed_for_high_voltage() -> None:
    """As in the plan, which leaves them out above 50 V: there the kit's own checks and local rules decide."""
    general = " ".join(line.words for line in procedure_sheet(LOW).lines)
    assert "nly up to 50 V" in general.partition("each rail at each IC")[0].rpartition("First power")[2]
    kit = msgspec.structs.replace(small_kit(), supply=(Rail(name="+250 V", current="30 mA"),))
    said = " ".join(line.words for line in procedure_sheet(LOW, kit, make_plan(kit, LOW)).lines)
    assert "200 ohm" not in said
    assert "maker's own" in said
    assert "up to 50 V" not in said
    assert "its volts" not in said
    assert "what is stated" not in said


def test_a_procedure_of_ones_own_is_told_in_words() -> None:
    text = """procedure: 1
name: mine
stages:
  - name: Odd ones
    takes: [{kind: resistor, board: main, value: 4k7, socket: no}, {joints: no, mount: panel}, {section: core}]
  - {name: Rest, takes: [{height: 1-9}]}
"""
    first, rest = procedure_sheet(parse_procedure(text.encode(), "mine.yaml")).lines
    for words in (
        "resistors",
        "On main",
        "4k7",
        "not for a socket",
        "on the panel",
        "without joints",
        "core",
    ):
        assert words in first.words
    assert rest.words == "All remaining parts."


# -- labels -------------------------------------------------------------------------------------
@pytest.mark.parametrize("kit", KITS)
def test_each_sort_in_the_bag_has_a_label_and_the_bag_one_of_its_own(kit: Path) -> None:
    found = shipped(kit)
    bag, *labels = label_sheet([(found, None)]).labels
    lines = bag_lines(found)
    assert [label.value for label in labels] == [line.value for line in lines]
    assert [label.amount for label in labels] == [len(line.items) for line in lines]
    assert bag.amount == sum(label.amount for label in labels)
    for label, line in zip(labels, lines, strict=True):
        assert bool(label.strips) == (line.kind == "resistor" and line.package != "0805")
        assert label.kit == found.title
        assert label.measurable == (KINDS[line.kind].unit in ("ohm", "farad", "henry") or "iode" in line.kind
                                    or line.kind == "transistor")  # fmt: skip


def test_kits_of_a_batch_share_a_sheet_and_each_label_says_whose_it_is() -> None:
    sheet = label_sheet([(shipped(kit), None) for kit in KITS])
    assert sheet.kits == tuple(shipped(kit).title for kit in KITS)
    assert {label.kit for label in sheet.labels} == {"", *sheet.kits}


def test_readings_taken_ahead_stand_on_the_label_with_what_is_wrong_about_them(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(OSCILLATOR), Settings(), HandClock())
    lines = {(line.value, line.tolerance): line for line in bag_lines(build.kit)}
    flat, other = lines["4k7", "1 %"], lines["130R", "1 %"]
    for line, text in ((flat, "4k69"), (flat, "4.71k"), (other, "129k8")):
        build.measured(line, text, what_it_says(build.kit, line, text))
    jfet = next(line for line in lines.values() if line.value == "J111")
    build.count_bag(jfet, 0)
    build.substitute("Q3", "2N5457", "none in the bag", jfet.items)
    labels = {label.value: label for label in label_sheet([(build.kit, build.progress)]).labels}
    assert labels["4k7"].measured == ("4k69", "4.71k")
    assert labels["4k7"].remarks == ()
    assert labels["130R"].measured == ("129k8",)
    assert labels["130R"].remarks[0].startswith("NOT 130R: 129k8 reads like 130 k")
    assert labels["J111"].remarks == ("1 of 1 missing", "instead: 2N5457")
    build.close()


# -- letters ------------------------------------------------------------------------------------
def test_the_shortage_page_says_what_the_text_says(tmp_path: Path) -> None:
    build = small_build(tmp_path / "one")
    assert [block.title for block in shortage_letter(build.kit, build.progress).blocks] == ["Not counted"]
    lines = bag_lines(build.kit)
    build.count_bag(lines[0], 1)
    build.count_bag(lines[1], 3)
    build.substitute("D1", "BAT85", "sent so", lines[2].items)
    letter = shortage_letter(build.kit, build.progress)
    short, other, over = letter.blocks
    assert short.rows == (("2", "4k7 resistor", "1 of 3", "R1-R3"),)
    assert other.rows == (("D1", "BAT85", "sent so"),)
    assert over.lines == ((True, "47k resistor, 3 for 1"),)
    text = shortage_text(build.kit, build.progress)
    for row in (*short.rows, *other.rows):
        assert all(cell in text for cell in row)


def test_the_help_page_has_every_line_of_the_text(tmp_path: Path) -> None:
    build = small_build(tmp_path / "one")
    build.opened()
    build.done()
    build.snag("bridge at R2", "R2", 5)
    build.reading_at(next(step for step in build.plan.steps if step.action == "check"), "120 ohm")
    letter = help_letter(build.kit, build.plan, build.progress, "it hums")
    by_title = {block.title: block for block in letter.blocks}
    assert by_title["What is wrong"].lines == ((True, "it hums"),)
    assert by_title["Readings"].rows == (("+12 V and 0 V", "> 200 ohm", "120 Ω", "OUT", "Before power"),)
    assert by_title["Snags"].lines[0][1].startswith("bridge at R2. STILL OPEN")


# -- texts --------------------------------------------------------------------------------------
def unescaped(css: str) -> str:
    """A string of a style sheet as a browser reads it: CSS Syntax Module Level 3, 4.3.7 (from memory)."""
    return re.sub(r"\\([0-9a-f]{1,6}) ?", lambda found: chr(int(found[1], 16)), css)


@given(st.text(max_size=80))
def test_a_style_sheets_string_reads_back_and_can_end_nothing(text: str) -> None:
    css = css_string(text)
    assert re.fullmatch(r"(?:[A-Za-z0-9]|\\[0-9a-f]{1,6} )*", css)
    assert unescaped(css) == tidy(text)


@given(st.text(max_size=80))
def test_a_text_on_paper_turns_no_direction_and_piles_no_marks(text: str) -> None:
    made = tidy(text)
    assert tidy(made) == made
    assert not re.search("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]", made)


def test_a_kit_of_one_part_makes_sheets_too() -> None:
    kit = parse_kit(small("{refs: R1, value: 4k7}").encode(), "small.yaml")
    plan = make_plan(kit, LOW)
    assert [row.value for row in all_rows(stage_sheet(kit, plan)) if row.spots] == ["4k7"]
    assert len(label_sheet([(kit, None)]).labels) == 2


def test_errata_stand_once_over_the_stages() -> None:
    made = job(OSCILLATOR)
    sheet = stage_sheet(made.kit, made.plan)
    assert made.kit.errata
    assert sheet.errata == made.kit.errata
    assert not any(erratum in remark for remark in sheet.remarks for erratum in made.kit.errata)
