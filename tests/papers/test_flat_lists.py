"""A list of parts that are soldered flat, from the list to the kit, the plan and what a card shows."""

from __future__ import annotations

import re
from pathlib import Path

from bench.kit.lint import kit_remarks
from bench.kit.load import parse_kit
from bench.papers.lists import read_list
from bench.papers.to_kit import kit_file_from, name_from
from bench.plan.plan import Step
from bench.plan.stages import make_plan
from bench.ui.drawings import orientation_drawing
from bench.writeup.sheets.stages import on_the_part
from tests.support.plans import LOW
from tests.support.reading_samples import from_text

_NAMES = Path(__file__).parents[1] / "parts" / "footprints-known.txt"
_ROWS = [
    tuple(map(str.strip, row.split("|")))
    for row in _NAMES.read_text("utf-8").splitlines()
    if row and not row.startswith("#")
]
_FLAT = [row for row in _ROWS if row[3] == "surface" and row[0] and row[4] != "-"]
"""Names of footprints with their sources; see `tests/parts/test_footprints.py`."""
_OF_LEADS = re.compile(
    r"leg is|clipped leads|lying flat|bend|lift the leg|laid flat|pulling tears|flat side", re.I
)


def _list() -> str:
    rows = [f"{row[2]}{100 + at},{row[1]},{row[0]}" for at, row in enumerate(_FLAT)]
    leaded = ["R1,10k,R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal", "C1,10u,CP_Radial_D5.0mm_P2.00mm",
              "U1,TL072,DIP-8_W7.62mm", "D1,1N4148,D_DO-35_SOD27_P7.62mm_Horizontal"]  # fmt: skip
    return "\n".join(["Ref,Value,Footprint", *rows, *leaded, ""])


def _steps() -> tuple[Step, ...]:
    kit = parse_kit(kit_file_from(from_text(_list())).encode(), "kit.yaml")
    return make_plan(kit, LOW).steps


def _lettered() -> dict[str, Step]:
    return {ref: step for step in _steps() if step.action == "solder" for ref in step.refs}


def test_what_is_soldered_flat_comes_first_and_small_parts_before_large_ones() -> None:
    steps = _lettered()
    stages = {ref: step.stage for ref, step in steps.items()}
    assert {stages[f"{row[2]}{100 + at}"] for at, row in enumerate(_FLAT)} == {"Surface-mount parts"}
    assert {stages[ref] for ref in ("R1", "C1", "U1", "D1")}.isdisjoint({"Surface-mount parts"})
    order = [step.stage for step in _steps() if step.refs]
    assert order.index("Parts that lie flat") > max(
        at for at, stage in enumerate(order) if stage == "Surface-mount parts"
    )
    refs = list(steps)
    at = {row[0]: refs.index(f"{row[2]}{100 + number}") for number, row in enumerate(_FLAT)}
    assert at["R0402"] < at["R0805"] < at["SOT23"] < at["SO16W"] < at["TQFP32-08"]
    assert at["RESC1608X55N"] < at["SOIC127P600X175-8N"]


def test_a_card_and_a_sheet_of_flat_parts_speak_of_no_leads() -> None:
    steps = _lettered()
    for number, row in enumerate(_FLAT):
        step = steps[f"{row[2]}{100 + number}"]
        assert step.kind == row[4]
        said = " ".join((step.orientation, step.detail, *step.cautions))
        assert not _OF_LEADS.search(said), (row, said)
        drawn = " ".join(
            text for line in orientation_drawing(step.kind, step.package, 40, step.value) for text, _ in line
        )
        assert "leg" not in drawn
        printed = str(on_the_part(step.kind, step.value, "", "", "", step.package))
        assert ("brown" in printed) == (step.kind == "resistor" and "MELF" in row[0]), (row, printed)


def test_polarity_is_told_by_the_mark_that_a_flat_part_has() -> None:
    steps = _lettered()
    marks = {
        "tantalum capacitor": "bar on the case marks the plus", "electrolytic capacitor": "black mark",
        "diode": "cathode|one way", "ceramic capacitor": "^$", "resistor": "^$", "IC": "pin 1",
    }  # fmt: skip
    for number, row in enumerate(_FLAT):
        if row[4] in marks:
            assert re.search(marks[row[4]], steps[f"{row[2]}{100 + number}"].orientation), row


def test_parts_with_legs_are_told_as_ever() -> None:
    steps = _lettered()
    assert "Long leg is +" in steps["C1"].orientation
    assert any("Clipped leads" in each for each in steps["R1"].cautions)
    assert "brown" in str(on_the_part("resistor", "10k", "", "", "", steps["R1"].package))


def test_the_builder_is_told_to_get_flux_tweezers_and_hot_air() -> None:
    steps = _steps()
    setup = next(step for step in steps if step.value == "Set up for surface-mount parts")
    assert "flux" in setup.detail
    assert "tweezers" in setup.detail
    below = [step for step in steps if "QFN" in step.package and "EP" in step.package]
    assert below
    assert all(any("hot air" in each for each in step.cautions) for step in below)


def test_places_that_stay_empty_are_no_gap_and_no_part() -> None:
    text = kit_file_from(from_text("Ref,Value,DNP\nR1,1k,\nR2,2k,DNP\nR3,3k,\n"))
    assert "not_fitted: R2" in text
    kit = parse_kit(text.encode(), "kit.yaml")
    assert kit.boards[0].not_fitted == ("R2",)
    assert not any("R2" in remark.what for remark in kit_remarks(kit))
    assert any("stay empty" in remark for remark in make_plan(kit, LOW).remarks)


def test_a_part_of_a_board_of_which_nothing_is_known_is_not_taken_for_wiring() -> None:
    kit = parse_kit(kit_file_from(from_text("Ref,Value\nR1,1k\nPS1,RO-3.309S\nISP1,AVRISP-6\n")).encode(), "k")
    stages = {ref: step.stage for step in make_plan(kit, LOW).steps for ref in step.refs}
    assert stages["ISP1"] == "Headers, electrolytics, regulators"
    assert stages["PS1"] == "Headers, electrolytics, regulators"


def test_a_kit_is_not_called_after_the_sort_of_its_paper() -> None:
    for named, called in {
        "vu-meter/BOM.csv": "vu-meter",
        "x/probe-bom.csv": "probe-bom",
        "x/bill_of_materials.csv": "x",
    }.items():
        reading = read_list(b"Ref,Value\nR1,1k\n", named)
        assert name_from(reading) == called
