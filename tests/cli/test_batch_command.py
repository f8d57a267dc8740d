"""`solderside batch`, as a builder calls it, and what is kept of a batch."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from bench.batch.gather import gather
from bench.batch.order import ORDERS
from bench.batch.store import BATCH_NAME, MOST_KITS, Batch, load_batch, put_in, save_batch, take_out
from bench.cli import main
from bench.errors import SoldersideError
from bench.estimate.history import hours_left, learned
from bench.estimate.scoring import learn
from bench.plan.stages import make_plan
from bench.settings import Settings
from tests.support.batch_bench import kit_file, three_kits, work
from tests.support.command_line import assert_inert, data_from
from tests.support.kit_values import KITS, METRONOME, OSCILLATOR, shipped
from tests.support.plans import LOW

pytestmark = pytest.mark.usefixtures("own_data")


def names(paths: list[Path]) -> list[str]:
    return [str(path) for path in paths]


def test_the_order_is_told_with_its_reasons(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["batch", *names(three_kits(tmp_path)), "--order", "needs"]) == 0
    said = capsys.readouterr().out
    places = [said.index(title) for title in ("1. Supply", "2. Voice", "3. Filter")]
    assert places == sorted(places)
    assert "has audio from Voice rev. A, power from Supply rev. A" in said
    assert "difficulty" in said
    assert "J1 2x5 box header, keyed" in said


def test_data_say_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kits = three_kits(tmp_path)
    found = data_from(
        capsys, "batch", *names(kits), "--json", "--case", "16 HP, 40 mm deep", "--rail", "+12 V=60 mA"
    )
    assert [kit["title"] for kit in found["kits"]] == ["Voice rev. A", "Supply rev. A", "Filter rev. A"]
    for kit in found["kits"]:
        assert kit["difficulty"] == sum(reason["points"] for reason in kit["reasons"])
        assert kit["hours_left"] > 0
        assert kit["build"] is None
    rack = found["rack"]
    assert (rack["fits"], rack["hp"]) == (False, 24)
    assert {each["kit_or_rail"] for each in rack["misfits"]} == {"Voice rev. A", "+12 V"}
    assert rack["rails"][0]["milliamperes"] == 70
    assert rack["connections"][0]["keyed"] is True


def test_a_pin_is_given_by_file_title_or_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kits = three_kits(tmp_path)
    for name in ("Filter", "Filter rev. A", "filter.yaml", "filter", str(kits[2])):
        found = data_from(capsys, "batch", *names(kits), "--pin", f"{name}=1", "--json")
        assert found["kits"][0]["title"] == "Filter rev. A"
        assert found["kits"][0]["why"] == "you chose place 1"


@pytest.mark.parametrize(
    "wrong",
    [
        ["--pin", "Filter"], ["--pin", "Filter=0"], ["--pin", "Filter=4"], ["--pin", "Nobody=1"],
        ["--pin", "Filter=1", "--pin", "Voice=1"], ["--case", "large"], ["--rail", "+12 V"],
        ["--headroom", "100"],
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_fault_with_a_remedy(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], wrong: list[str]
) -> None:
    assert main(["batch", *names(three_kits(tmp_path)), *wrong]) == 1
    said = capsys.readouterr().err
    assert "; " in said
    assert "Traceback" not in said


def test_an_unknown_order_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["batch", str(METRONOME), "--order", "hardest"])
    assert caught.value.code == 2
    assert "easiest" in capsys.readouterr().err


def test_a_kit_with_faults_is_named_and_the_others_are_ordered(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("kit: 1\nname: Bad\n", encoding="utf-8")
    assert main(["batch", str(bad), str(METRONOME), str(tmp_path / "gone.yaml")]) == 1
    told = capsys.readouterr()
    assert "bad.yaml" in told.err
    assert "gone.yaml" in told.err
    assert "1. Prompt-desk metronome" in told.out


def test_no_batch_at_all_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["batch"]) == 1
    assert "add kits to the batch on the shelf" in capsys.readouterr().err


def test_the_shelfs_batch_is_taken_when_none_is_named(
    own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    both = (str(OSCILLATOR), str(METRONOME))
    save_batch(own_data, Batch(kits=both, order="easiest", pins={str(OSCILLATOR): 1}))
    found = data_from(capsys, "batch", "--json")
    assert [kit["pinned"] for kit in found["kits"]] == [True, False]
    assert found["kits"][0]["title"] == "Twin-board oscillator rev. B"


def test_nothing_in_a_kit_steers_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = kit_file(tmp_path, "Odd \u202etxt\u200b", more='gives: ["a\u202eb", "[/b]"]\nneeds: ["\u2066x"]\n')
    for extra in ([], ["--json"]):
        assert main(["batch", str(path), "--order", "needs", *extra]) == 0
        assert_inert(capsys.readouterr().out)


def test_the_case_of_the_settings_counts_and_an_option_stands_above_it(
    tmp_path: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own_data.mkdir()
    (own_data / "settings.toml").write_text(
        '[case]\nwidth = "12 HP"\nheadroom_percent = 0\nrails = {"+12 V" = "70 mA"}\n', encoding="utf-8"
    )
    kits = names(three_kits(tmp_path))
    rack = data_from(capsys, "batch", *kits, "--json")["rack"]
    assert rack["rows"][0]["hp"] == 12
    assert not any(each["kit_or_rail"] == "+12 V" for each in rack["misfits"])
    rack = data_from(capsys, "batch", *kits, "--json", "--case", "84 HP", "--headroom", "30")["rack"]
    assert rack["rows"][0]["hp"] == 84
    assert rack["rails"][0]["usable"] == 49


# ---- builds under way --------------------------------------------------------------------------------
def test_progress_hours_and_what_is_held_come_from_the_build(tmp_path: Path, own_data: Path) -> None:
    kits = three_kits(tmp_path)
    build = work(own_data, kits[1], "+12 V and 0 V")
    found = {member.title: member for member in gather(own_data, names(kits), Settings()).members}
    begun, new = found["Supply rev. A"], found["Voice rev. A"]
    assert begun.build == build.log.folder.name
    assert begun.at_hold == "Before power"
    assert "waiting at Before power" in begun.held_words
    assert begun.seconds_spent == pytest.approx(build.progress.bench_seconds)
    assert 0 < begun.percent < 100
    assert (new.percent, new.build, new.seconds_spent) == (0, "", 0.0)
    untouched = hours_left(build.plan, None, learned(own_data, Settings()).pace, begun.build)
    assert 0 < begun.left.low < begun.left.likely < untouched.likely


def test_a_step_held_back_is_said(tmp_path: Path, own_data: Path) -> None:
    kits = three_kits(tmp_path)
    build = work(own_data, kits[0], "4k7")
    assert build.next_step is not None
    from bench.session.folders import open_build
    from tests.support.samples import HandClock

    again = open_build(own_data, str(kits[0]), Settings(), HandClock(mono=9_000.0, utc=1_900_900_000.0))
    again.opened()
    again.hold_back("the 4k7 are missing")
    again.close()
    (member,) = gather(own_data, names(kits[:1]), Settings()).members
    assert member.held_back == ("4k7 R1 R2 R3 (the 4k7 are missing)",)
    assert "held back: 4k7" in member.held_words


def test_the_current_read_at_first_power_takes_the_place_of_the_makers(
    tmp_path: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kits = three_kits(tmp_path)
    work(own_data, kits[2], "+12 V with everything in", reading=("current from +12 V", "44.5 mA"))
    (member,) = gather(own_data, names(kits[2:]), Settings()).members
    assert member.measured == {"+12 V": Decimal("0.0445")}
    rail = data_from(capsys, "batch", str(kits[2]), "--json")["rack"]["rails"][0]
    assert rail["shares"] == [{"kit": "Filter rev. A", "milliamperes": 44.5, "measured": True, "stated": 50.0}]


def test_a_finished_build_comes_first_and_has_nothing_left(tmp_path: Path, own_data: Path) -> None:
    kits = three_kits(tmp_path)
    work(own_data, kits[2], "nothing is called this")
    gathered = gather(own_data, names(kits), Settings())
    for by in ORDERS:
        order, members = gathered.ordered(by)
        assert members[0].title == "Filter rev. A"
        assert members[0].finished
        assert members[0].left.likely == 0.0
        assert order.placed[0].why == "built already"


def test_one_kit_twice_means_two_builds_of_it(tmp_path: Path, own_data: Path) -> None:
    kit = str(three_kits(tmp_path)[0])
    build = work(own_data, Path(kit), "+12 V and 0 V")
    folder = build.log.folder.name
    both = gather(own_data, [kit, kit], Settings()).members
    assert [member.build for member in both] == [folder, ""]
    assert [member.title for member in both] == ["Voice rev. A", "Voice rev. A (2)"]
    named = gather(own_data, [kit, folder], Settings()).members
    assert [member.build for member in named] == ["", folder]


def test_hours_by_the_starting_guess_grow_with_the_work() -> None:
    guess = learn([]).pace
    hours = {
        path.stem: hours_left(make_plan(shipped(path), LOW), None, guess).likely / 3600
        for path in KITS.glob("*.yaml")
    }
    assert hours["passive-splitter"] < hours["cue-envelope"] < hours["twin-board-oscillator"]
    assert 0.5 < hours["passive-splitter"] < 2
    assert 4 < hours["twin-board-oscillator"] < 12


def test_the_hours_of_a_batch_come_as_a_range_for_each_kit_and_for_all(
    tmp_path: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = data_from(capsys, "batch", *names(three_kits(tmp_path)), "--json")
    low, high = data["hours_left_range"]
    assert low < data["hours_left"] < high
    for kit in data["kits"]:
        low, high = kit["hours_left_range"]
        assert 0 < low < kit["hours_left"] < high < data["hours_left_range"][1]
    assert "first guess" in data["hours_from"]


# ---- the file ----------------------------------------------------------------------------------------
def test_what_is_kept_is_read_back(own_data: Path) -> None:
    batch = put_in(put_in(Batch(order="needs"), "/kits/a b.yaml"), 'odd "name"')
    batch = Batch(kits=batch.kits, order=batch.order, pins={'odd "name"': 1, "gone": 2})
    save_batch(own_data, batch)
    kept = load_batch(own_data)
    assert (kept.kits, kept.order, dict(kept.pins)) == (batch.kits, "needs", {'odd "name"': 1})
    assert take_out(kept, 'odd "name"') == Batch(kits=("/kits/a b.yaml",), order="needs")
    assert load_batch(own_data / "nowhere") == Batch()
    assert [path.name for path in own_data.iterdir()] == [BATCH_NAME]


@pytest.mark.parametrize(
    "text",
    [
        "kits = 3",
        "kits = [1]",
        "kits = ['']",
        "order = 'hardest'",
        "pins = []",
        "pins = {a = true}",
        "= [",
        "\x00",
    ],
)
def test_a_batch_file_that_cannot_be_used_is_a_clear_error_and_stays(own_data: Path, text: str) -> None:
    own_data.mkdir()
    path = own_data / BATCH_NAME
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SoldersideError) as caught:
        load_batch(own_data)
    assert BATCH_NAME in caught.value.where
    assert caught.value.hint
    assert path.read_text(encoding="utf-8") == text


def test_a_batch_has_a_bound(own_data: Path) -> None:
    full = Batch(kits=tuple(f"k{n}" for n in range(MOST_KITS)))
    with pytest.raises(SoldersideError):
        put_in(full, "one more")
    save_batch(own_data, full)
    assert len(load_batch(own_data).kits) == MOST_KITS


def test_a_batch_that_cannot_be_kept_is_said(own_data: Path) -> None:
    own_data.parent.mkdir(exist_ok=True)
    own_data.write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(SoldersideError):
        save_batch(own_data, Batch(kits=("a",)))
