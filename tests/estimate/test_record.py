"""The builder's record over all builds, its words, and what it says while a part goes in."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.cli import main
from bench.estimate.history import batch_left, builds_left, histories, hours_left, learned, plan_times
from bench.estimate.observations import AT_IRON, BuildDone, KindDone, SnagDone, StageDone
from bench.estimate.poisson import garwood
from bench.estimate.reminders import at_least, reminders
from bench.estimate.scoring import learn
from bench.estimate.stats import OwnRecord, own_record
from bench.estimate.stats_text import record_lines
from bench.log.file import LOG_NAME, LogFile
from bench.log.fold import fold
from bench.session.folders import build_folders
from bench.settings import Settings
from tests.support.command_line import assert_inert, data_from
from tests.support.forecast_plans import LARGE_KIT, SMALL_KIT, plans
from tests.support.recorded_builds import record_builds

pytestmark = pytest.mark.usefixtures("own_data")


def a_build(
    name: str,
    kinds: dict[str, tuple[float, int]],
    snags: list[tuple[str, str]] | None = None,
    hours: float = 2.0,
) -> BuildDone:
    """Kind -> seconds and joints; snags as kind and words."""
    return BuildDone(
        build=name,
        kit="Lamp wobbler",
        started=f"2031-02-0{len(name)}T09:00:00.000Z",
        stages=(
            StageDone(place=("Flat", "main"), ended="2031-02-01T10:00:00.000Z", groups=(), seconds=0.0,
                      joints=sum(joints for _, joints in kinds.values()), late=0.0),
        ),
        finished=True,
        seconds=hours * 3600,
        kinds=tuple(
            KindDone(kind=kind, seconds=seconds, parts=joints // 2, joints=joints)
            for kind, (seconds, joints) in kinds.items()
        ),
        snags=tuple(
            SnagDone(at=f"2031-02-0{len(name)}T09:{n:02d}:00.000Z", what=what, kind=kind, stage="Flat",
                     where=AT_IRON, minutes=4.0)
            for n, (kind, what) in enumerate(snags or [])
        ),
    )  # fmt: skip


def record_of(*builds: BuildDone) -> OwnRecord:
    return own_record(builds, learn(builds))


# -- figures ------------------------------------------------------------------------------------
def test_seconds_a_joint_and_their_trend_over_builds() -> None:
    record = record_of(
        *(a_build("b" * n, {"resistor": (seconds, 40)}) for n, seconds in enumerate((800, 800, 400, 440), 1))
    )
    (speed,) = record.kinds
    assert (speed.joints, speed.seconds_per_joint, speed.seconds_per_part) == (160, 15.25, 30.5)
    assert speed.trend == pytest.approx(840 / 1600)


def test_too_few_joints_make_no_trend() -> None:
    record = record_of(*(a_build("b" * n, {"crystal": (60, 2)}) for n in range(1, 5)))
    assert record.kinds[0].trend is None


def test_snags_a_hundred_joints_come_with_their_exact_limits() -> None:
    record = record_of(a_build("a", {"diode": (400, 40), "resistor": (900, 100)}, [("diode", "x")] * 3))
    (rate,) = record.by_kind
    low, high = garwood(3)
    assert (rate.name, rate.snags, rate.per_hundred, rate.minutes) == ("diode", 3, 7.5, 12)
    assert (rate.low, rate.high) == pytest.approx((low / 0.4, high / 0.4))
    assert record.by_stage[0].joints == 140


def test_a_kit_built_again_shows_what_a_doubling_brings() -> None:
    record = record_of(*(a_build("b" * n, {}, hours=hours) for n, hours in enumerate((10.0, 8.0), 1)))
    (again,) = record.repeats
    assert again.hours == (10.0, 8.0)
    assert again.rate == pytest.approx(0.8)


def test_an_empty_record_says_so() -> None:
    lines = record_lines(record_of())
    assert "empty" in lines[0][0]


def test_the_words_name_every_part_of_the_record() -> None:
    builds = [a_build("b" * n, {"diode": (400 - 50 * n, 40)}, [("diode", "x")]) for n in range(1, 5)]
    for width in (0, 30):
        text = "\n".join(words for words, _ in record_lines(record_of(*builds), width))
        for word in (
            "4 builds",
            "diode",
            "faster",
            "2.5 (0.7 to 6.4)",
            AT_IRON,
            "Lamp wobbler",
            "each doubling",
        ):
            assert word in text


# -- reminders ----------------------------------------------------------------------------------
PARTS = {"resistor": (3000.0, 200), "diode": (500.0, 12), "Zener diode": (100.0, 4)}


def test_a_kind_that_snags_more_often_than_chance_is_named_when_it_goes_in() -> None:
    snags = [("resistor", "bridge"), ("diode", "D3 reversed"), ("Zener diode", "wrong way round")]
    snags += [("resistor", "x")] * 2
    found = reminders([a_build("a", PARTS, snags)])
    words = "2 of your last 5 snags were diodes the wrong way round"
    assert found["diode"] == found["Zener diode"] == found["Schottky diode"] == words
    assert "resistor" not in found


def test_what_went_wrong_is_named_only_where_it_was_the_same_each_time() -> None:
    snags = [("resistor", "x")] * 3 + [("diode", "reversed"), ("diode", "fell on the floor")]
    assert reminders([a_build("a", PARTS, snags)])["diode"] == "2 of your last 5 snags were diodes"


@pytest.mark.parametrize(
    "snags",
    [
        [],
        [("diode", "reversed")] * 4,
        [("resistor", "bridge")] * 5,
        [("resistor", "bridge")] * 4 + [("diode", "reversed")],
        [("", "?")] * 9,
    ],
)
def test_the_record_is_silent_when_it_has_too_little_to_say(snags: list[tuple[str, str]]) -> None:
    assert "diode" not in reminders([a_build("a", PARTS, snags)])
    assert "resistor" not in reminders([a_build("a", PARTS, snags)])


def test_chance_is_the_binomial_s() -> None:
    assert at_least(2, 5, 0.1) == pytest.approx(1 - 0.9**5 - 5 * 0.1 * 0.9**4)
    assert at_least(0, 5, 0.3) == pytest.approx(1.0)


# -- a data folder ------------------------------------------------------------------------------
def test_all_builds_of_a_folder_are_read_and_time_left_is_told(tmp_path: Path) -> None:
    small, large = plans()
    record_builds(tmp_path, "sls", last=0.5)
    done = histories(tmp_path, Settings())
    assert [each.finished for each in done].count(True) == 2
    assert histories(tmp_path, Settings()) == done  # now from the cache
    left = builds_left(tmp_path, Settings())
    (name,) = left
    assert name == "prompt-desk-metronome-rev-a-2"
    pace = learned(tmp_path, Settings()).pace
    whole = hours_left(small, None, pace)
    assert left[name].likely < whole.likely
    both = batch_left([(small, None, ""), (large, None, "")], pace)
    assert both.mean == pytest.approx(whole.mean + hours_left(large, None, pace).mean, rel=0.05)
    two = batch_left([(small, None, ""), (small, None, "")], pace)
    assert two.mean < 2 * whole.mean


def test_each_stage_and_the_module_have_their_own_ranges(tmp_path: Path) -> None:
    record_builds(tmp_path, "ss", last=0.4)
    folder = max(build_folders(tmp_path), key=lambda each: each.name)
    progress = fold(LogFile(folder, read_only=True).events)
    plan, known = plans()[0], learned(tmp_path, Settings())
    found = plan_times(plan, progress, known, folder.name)
    assert all(0 < each.likely < found.module.likely for each in found.stages.values())
    nothing = plan_times(plan, replace(progress, done=frozenset(i for s in plan.steps for i in s.items)), known,
                         folder.name)  # fmt: skip
    assert nothing.module.likely == 0.0
    assert not nothing.stages


def test_a_build_that_cannot_be_read_is_passed_over(tmp_path: Path) -> None:
    record_builds(tmp_path, "ss")
    broken, sound = build_folders(tmp_path)
    (broken / LOG_NAME).write_bytes(b'{"event":"started","log":99,"n":1}\n')
    assert [each.build for each in histories(tmp_path, Settings())] == [sound.name]


# -- the command line ---------------------------------------------------------------------------
def test_the_record_is_printed_in_words_and_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record_builds(tmp_path, "sss")
    assert main(["record", "--data", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "Your record: 3 builds, 3 finished" in said
    assert "a module, before you start" in said
    assert_inert(said)
    data = data_from(capsys, "record", "--json", "--data", str(tmp_path))
    assert data["builds"] == 3
    assert {each["what"] for each in data["held"]} == {"stage", "module", "rest"}


def test_without_a_build_the_record_is_empty(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "--data", str(tmp_path)]) == 0
    assert "empty" in capsys.readouterr().out


def test_a_plan_says_how_long_it_takes_and_what_that_rests_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ["--data", str(tmp_path)]
    assert main(["plan", str(LARGE_KIT), *data]) == 0
    assert "first guess" in capsys.readouterr().out
    record_builds(tmp_path, "sl", last=0.3)
    assert main(["plan", str(SMALL_KIT), *data]) == 0
    assert "your own 1 module so far" in capsys.readouterr().out
    left = data_from(capsys, "plan", str(SMALL_KIT), "--json", *data)["seconds_left"]
    assert 0 < left["module"]["low"] < left["module"]["likely"] < left["module"]["high"]
    assert len(left["stages"]) == len(plans()[0].stages)
    under_way = data_from(capsys, "plan", "twin-board-oscillator-rev-b", "--json", *data)["seconds_left"]
    assert len(under_way["stages"]) < len(plans()[1].stages)


def test_the_list_of_builds_says_what_is_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record_builds(tmp_path, "ss", last=0.5)
    assert main(["builds", "--data", str(tmp_path)]) == 0
    assert capsys.readouterr().out.count(" left, last ") == 1
    builds = data_from(capsys, "builds", "--json", "--data", str(tmp_path))["builds"]
    assert [build["seconds_left"] is None for build in builds] == [False, True]


def test_bars_stand_in_columns_and_the_longest_is_that_of_the_slowest_kind() -> None:
    record = record_of(a_build("a", {"diode": (400, 40), "resistor": (500, 100)}, [("diode", "x")]))
    rows = [text for text, _ in record_lines(record, 24, 10) if " s each" in text]
    assert {row.split()[0]: row.count("━") for row in rows} == {"diode": 10, "resistor": 5}
    assert {row.index("━") for row in rows} == {28}
