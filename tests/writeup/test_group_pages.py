"""The page of units side by side, the page of a class, the builder's record as a page and as a table."""

from __future__ import annotations

import csv
import io
import re
import subprocess
import sys
from html import unescape
from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.estimate.observations import AT_IRON, BuildDone, KindDone, SnagDone, StageDone
from bench.estimate.scoring import learn
from bench.estimate.stats import own_record
from bench.estimate.teaching import stage_lines, went_wrong
from bench.kit.load import load_kit
from bench.plan.stages import make_plan
from bench.session.folders import read_back
from bench.session.together import open_bench
from bench.settings import Settings, shipped_kits_folder
from bench.writeup.class_page import parse_result
from bench.writeup.group_page import UnitDone, beside_words, cost_words, group_page, odd_one
from bench.writeup.publish import html_of
from bench.writeup.record_page import months, record_csv, record_page
from bench.writeup.table_page import csv_text
from tests.support.plans import LOW
from tests.support.samples import HandClock

KIT = str(shipped_kits_folder() / "first-evening-metronome.yaml")
STAGES = make_plan(load_kit(Path(KIT)), LOW).stages


def group(data: Path, clock: HandClock) -> tuple[str, list[UnitDone]]:
    """Three units that have gone some way: B slower, with a snag and a short bag."""
    build = open_bench(data, KIT, Settings(), clock, units=("A", "B", "C"))
    bench = build.beside
    assert bench is not None
    bench.builds[0].opened()
    while min(each.progress.joints for each in bench.builds) < 8:
        now = bench.at_work
        clock.work(30 if now.unit == "B" else 20 if now.unit == "A" else 10)
        now.done()
    b = bench.builds[1]
    from bench.plan.bag import bag_lines

    b.snag("<b>bridge</b>", "R1", 5, "wick")
    line = bag_lines(b.kit)[0]
    for each in bench.builds[1:]:
        each.record_bag(line, len(line.items) - 1)
    check = next(step for step in b.plan.steps if step.expect)
    for each, text in zip(bench.builds, ("4k68", "4k69", "3k1"), strict=True):
        each.reading_at(check, text)
    units = [UnitDone(name=each.unit, plan=each.plan, progress=each.progress) for each in bench.builds]
    name = bench.builds[0].name
    bench.builds[0].close()
    return name, units


def test_the_page_says_what_differs_and_what_the_soldering_took(tmp_path: Path, clock: HandClock) -> None:
    _, units = group(tmp_path, clock)
    page = unescape(group_page("Three", units))
    assert re.search(
        r"The \d+ soldering steps? done on all of them took .* on unit A, .* and .* on unit C\.", page
    )
    assert "<b>bridge</b>" in page  # as text
    assert "&lt;b&gt;bridge" in group_page("Three", units)
    cells = re.sub(r"<t[dh][^>]*>", "|", page)
    assert re.search(r"\|3\.1 kΩ</td>.*\|1\.59 kΩ</td>\|unit C</td>", cells)
    assert "|–</td>|1</td>|1</td>|2</td>" in cells
    assert "What it cost" not in page


def test_the_odd_one_out_is_named_only_where_there_is_one() -> None:
    assert odd_one([5.0, 5.0, 5.0]) is None
    assert odd_one([5.0, 5.001, 5.5, 5.002]) == 2
    assert odd_one([5.0, 6.0, 7.0]) is None
    assert odd_one([1.0, 9.0]) is None


def test_cost_is_price_and_hours_plainly(tmp_path: Path, clock: HandClock) -> None:
    _, units = group(tmp_path, clock)
    hours = sum(unit.progress.bench_seconds for unit in units) / 3600
    words = cost_words("39,50 EUR", 30.0, units)
    assert words[0] == "3 kits at 39.50 EUR: 118.50."
    assert words[-1] == f"In all {118.5 + hours * 30:.2f} EUR."


def test_the_page_of_one_unit_says_which_it_was_built_beside(tmp_path: Path, clock: HandClock) -> None:
    _, units = group(tmp_path, clock)
    told = {}
    for folder in sorted((tmp_path / "builds").iterdir()):
        build = read_back(tmp_path, folder, Settings())[2]
        told[build.unit] = unescape(html_of(build))
    assert ", side by side with unit B and unit C" in told["A"]
    assert ", side by side with unit A and unit B" in told["C"]
    assert "the program was closed" not in told["C"]
    assert beside_words(units[:1], "A") == ""


def test_the_command_writes_the_page_beside_the_first_unit(
    tmp_path: Path, clock: HandClock, capsys: pytest.CaptureFixture[str]
) -> None:
    name, _ = group(tmp_path, clock)
    assert main(["group", name, "--data", str(tmp_path), "--cost"]) == 0
    page = Path(capsys.readouterr().out.strip())
    assert page.parent.name == name
    assert "Neither the kit has a price" in page.read_text()


def test_a_class_is_typed_in_a_line_each_and_a_later_line_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = [
        "Anna; 12 30 - 45; 2: R4 bridged",
        "Ben; 10 20 5; 2: solder bridge",
        "Anna; 14 30 - 45; 2: R4 bridged",
    ]
    flags = [flag for line in told for flag in ("--result", line)]
    assert main(["class", KIT, *flags, "--data", str(tmp_path)]) == 0
    page = Path(capsys.readouterr().out.strip()).read_text()
    assert "2 builders" in page
    assert "12 min (10 to 14)" in page
    assert "2 bridged" in page
    assert main(["class", KIT, "--result", "Cleo; 20", "--data", str(tmp_path)]) == 0
    assert "3 builders" in Path(capsys.readouterr().out.strip()).read_text()


def test_results_of_a_class_by_step(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stage, at, ref = next(
        (number, at, step.refs[0])
        for number, stage in enumerate(STAGES, 1)
        for at, step in enumerate(stage.steps, 1)
        if step.refs
    )
    told = [f"Anna; 1; {ref.lower()}: bridged", f"Ben; 2; {stage}.{at}: solder bridge; {stage}: lost a nut"]
    flags = [flag for line in told for flag in ("--result", line)]
    assert main(["class", KIT, *flags, "--data", str(tmp_path)]) == 0
    page = Path(capsys.readouterr().out.strip()).read_text()
    by_stage, _, by_step = page.partition("<h2>By step")
    by_step = by_step.partition("<h2")[0]
    assert f"{stage}.{at} " in by_step
    assert "2 bridged" in by_step
    assert "lost a nut" not in by_step
    assert "bridged; solder bridge; lost a nut" in by_stage


def test_results_from_several_terminals_at_once_are_all_kept(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "bench.cli", "class", KIT, "--data", str(tmp_path), "--result"]
    running = [
        subprocess.Popen([*command, f"Builder {number}; {number}"], stdout=subprocess.DEVNULL)
        for number in range(6)
    ]
    assert [each.wait(60) for each in running] == [0] * 6
    (kept,) = (tmp_path / "classes").glob("*.txt")
    assert len(kept.read_text().splitlines()) == 6


@pytest.mark.parametrize(
    "line",
    [
        "; 1 2",
        "Anna; x",
        "Anna; 1; 99: y",
        "Anna; 1; y",
        "Anna; " + "1 " * 40,
        "A; -1",
        "A; nan",
        "A; 1; 1.99: y",
        "A; 1; R999: y",
        "A; 1; .: y",
    ],
)
def test_a_line_that_cannot_be_read_is_refused(line: str) -> None:
    with pytest.raises(SoldersideError, match=r".") as error:
        parse_result(line, STAGES)
    assert "Anna; 12 30" in str(error.value.hint)


def test_the_sheets_of_a_class_have_a_signature_at_each_hold_point(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = ["sheet", KIT, "--what", "class", "--data", str(tmp_path)]
    assert main([*sheet, "--builders", "Anna,Ben", "--out", "-"]) == 0
    page = capsys.readouterr().out
    assert page.count("Anna") >= 1
    holds = page.count('class="stage hold"')
    assert holds
    assert page.count("no power before the teacher has signed") == holds
    assert main([*sheet, "--builders", "0"]) != 0


def done(number: int, snags: int, what: str = "solder bridge") -> BuildDone:
    at = f"2031-0{number}-01T10:00:00.000Z"
    found = tuple(
        SnagDone(at=at, what=what, kind="resistor", stage="Flat parts", where=AT_IRON, minutes=4.0)
        for _ in range(snags)
    )
    stage = StageDone(place=("Flat parts", ""), ended=at, groups=(), seconds=600, joints=30, late=0)
    kind = KindDone(kind="resistor", seconds=600, parts=15, joints=30)
    return BuildDone(
        build=f"b{number}", kit="=K()", started=at, stages=(stage,), finished=True, kinds=(kind,), seconds=700,
        snags=found,
    )  # fmt: skip


def test_the_record_says_what_went_wrong_in_stages_like_this() -> None:
    builds = [done(1, 9), done(2, 1), done(3, 2)]
    assert stage_lines(builds) == {
        "stage Flat parts": "in stages like this, 3 of your last 60 joints were bridged"
    }
    assert stage_lines([done(1, 1)]) == {}
    (most,) = went_wrong(builds)
    assert (most.family, most.manner, most.snags, most.where, most.minutes) == (
        "resistors", "bridged", 12, AT_IRON, 48.0
    )  # fmt: skip


def test_the_record_as_a_page_shows_pace_and_limits() -> None:
    builds = [done(1, 9), done(2, 1), done(3, 2)]
    known = learn(builds)
    page = unescape(record_page(builds, own_record(builds, known), known))
    assert "January 2031" in page
    assert ".bars li { display: flex; flex-wrap: wrap;" in page, "on a phone the figures go below the name"
    assert page.count('<rect class="track"') >= page.count('<rect class="outside"') + 1
    assert [(month, joints) for month, _, joints in months(builds)] == [
        ("2031-01", 30), ("2031-02", 30), ("2031-03", 30)
    ]  # fmt: skip
    # 12 in 90 joints; Garwood's limits of 12: 6.2006 to 20.9616 (R's poisson.test, from memory)
    assert "13.3 in a hundred joints (95 %: 6.9 to 23.3), 12 in 90" in page


def test_a_table_for_a_spreadsheet_holds_no_formula() -> None:
    rows = list(csv.reader(io.StringIO(record_csv([done(1, 1, "@SUM(A1)")]))))
    assert {row[0] for row in rows[1:]} == {"build", "stage", "kind", "snag"}
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "@", "+", "-"))]
    assert csv_text(["a"], [["-1+1"], [-1.5]]) == "a\n'-1+1\n-1.5\n"


def test_the_record_commands(tmp_path: Path, clock: HandClock, capsys: pytest.CaptureFixture[str]) -> None:
    group(tmp_path, clock)
    assert main(["record", "--html", "--data", str(tmp_path)]) == 0
    assert "Pace over months" in Path(capsys.readouterr().out.strip()).read_text()
    assert main(["record", "--csv", "--out", "-", "--data", str(tmp_path)]) == 0
    assert capsys.readouterr().out.startswith("what,build,kit")
