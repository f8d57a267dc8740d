"""From kit trims and logged passes to what to turn and to the article.

Sources: equal temperament from A4 = 440 Hz (ISO 16:1975); the cent, 1/1200 of an octave; kT/q (SI, exact
constants) makes an exponential converter drift by 1200 / T cents for each octave and kelvin.
"""

from __future__ import annotations

import math
import random
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from msgspec import structs

from bench.kit.kit import Board, Kit, Trim
from bench.kit.load import load_kit
from bench.measure.tuning.learn import Pass, Turn
from bench.measure.tuning.plot import plot_cents
from bench.measure.tuning.points import Point
from bench.measure.tuning.thermal_drift import compensation
from bench.plan.plan import Plan
from bench.session.trimmers import target_of, trimmers_of
from bench.session.trimming import TrackingView, plot_rows, tracking_view
from bench.settings import shipped_kits_folder
from bench.writeup.markdown import write_up
from bench.writeup.story import tell
from bench.writeup.story_model import Story, TrackingRow
from bench.writeup.tracking import tracking_rows
from tests.support.samples import part
from tests.support.simulated_oscillator import TARGET, Builder, any_oscillator, points_with
from tests.support.trim_bench import KIT, kit_with, pass_of, trim_build

SCALE = KIT.trims[0]
A4 = 440.0


def scale_trim(name: str = "Scale", trimmer: str = "RV1", **more: object) -> Trim:
    return Trim(name=name, kind="volts per octave", trimmer=trimmer, **more)  # type: ignore[arg-type]


def hertz_per_volt(target: str = "") -> Trim:
    return Trim(name="Scale", kind="hertz per volt", trimmer="RV1", target=target)


# -- which trimmers ----------------------------------------------------------------------------------
def names_of(kit: Kit, trim: Trim) -> list[tuple[str, str, bool]]:
    return [(each.trimmer.name, each.trimmer.role, each.by_name) for each in trimmers_of(kit, trim)]


def test_a_role_in_the_kit_file_says_which_trimmers_belong_together() -> None:
    kit = kit_with(
        scale_trim(turns=25, range_cents=215, clockwise="lowers"),
        Trim(name="Whatever", trimmer="RV3", role="offset"),
        Trim(name="Treble", trimmer="RV4", role="top"),
        Trim(name="Sine", trimmer="RV2"),
    )
    assert names_of(kit, kit.trims[0]) == [
        ("RV1", "scale", False),
        ("RV3", "offset", False),
        ("RV4", "top", False),
    ]
    own = trimmers_of(kit, kit.trims[0])[0].trimmer
    assert (own.turns, own.range_cents, own.sense) == (25.0, 215.0, -1)


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("Octave zero", "offset"),
        ("TUNE", "offset"),
        ("High frequency", "top"),
        ("Fortune", None),
        ("Offset", None),
        ("Stop", None),
    ],
)
def test_without_a_role_a_few_names_say_it_as_whole_words(name: str, role: str | None) -> None:
    kit = kit_with(scale_trim(), Trim(name=name, trimmer="RV2"))
    assert names_of(kit, kit.trims[0])[1:] == ([("RV2", role, True)] if role else [])


def test_two_oscillators_keep_their_trimmers_apart() -> None:
    kit = kit_with(
        Trim(name="Tune A", trimmer="RV1"),
        scale_trim("Scale A", "RV2"),
        scale_trim("Scale B", "RV3"),
        Trim(name="Tune B", trimmer="RV4"),
        Trim(name="Tune B again", trimmer="RV1"),
    )
    assert [name for name, _, _ in names_of(kit, kit.trims[1])] == ["RV2", "RV1"]
    assert [name for name, _, _ in names_of(kit, kit.trims[2])] == ["RV3", "RV4"]


def test_the_wanted_pitch_comes_from_the_target_and_else_from_the_offset_trims() -> None:
    own = kit_with(
        scale_trim(target="from 130.8 Hz at 0 V"), Trim(name="Tune", trimmer="RV2", target="1 Hz at 9 V")
    )
    assert target_of(own, own.trims[0]) == Point(volts=0.0, hertz=130.8)
    other = kit_with(scale_trim(), Trim(name="Tune", trimmer="RV2", target="0.44 kHz with -1 V at the jack"))
    assert target_of(other, other.trims[0]) == Point(volts=-1.0, hertz=440.0)
    assert target_of(kit_with(scale_trim()), scale_trim()) is None


def test_the_example_kits_scale_has_all_three_trimmers_and_a_pitch_of_its_own() -> None:
    kit = load_kit(shipped_kits_folder() / "twin-board-oscillator.yaml")
    scale = next(trim for trim in kit.trims if trim.kind == "volts per octave")
    assert names_of(kit, scale) == [("RV1", "scale", False), ("RV3", "offset", False), ("RV4", "top", False)]
    wanted = target_of(kit, scale)
    assert wanted is not None
    # C3, nine semitones and an octave below A4 (ISO 16).
    assert wanted.hertz == pytest.approx(A4 * 2 ** (-21 / 12), abs=0.05)
    ranges = {each.trimmer.name: each.trimmer.range_cents for each in trimmers_of(kit, scale)}
    # One turn of 25: 0.7 % of an octave is 8.4 cents an octave, and 40 cents; both as its texts say.
    assert ranges["RV1"] / 25 == pytest.approx(0.007 * 1200, rel=0.05)
    assert ranges["RV3"] / 25 == 40


# -- passes ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("seed", range(12))
def test_a_session_that_follows_the_advice_gets_within_2_cents_in_6_passes(tmp_path: Path, seed: int) -> None:
    build = trim_build(tmp_path / "one")
    chance = random.Random(seed)
    oscillator, turns = any_oscillator(chance)
    builder = Builder(oscillator, (), turns, chance, watches=True)
    for _ in range(7):
        view = tracking_view(build.kit, SCALE, build.progress.passes)
        if view.done:
            break
        turned = [builder.follow(each) for each in view.turnings]
        assert {turn.trimmer for turn in turned} <= {"RV1", "RV2"}
        points = tuple((point.volts, point.hertz) for point in builder.measure())
        build.tracking_pass("Scale", points, tuple((turn.trimmer, turn.turns) for turn in turned))
    assert tracking_view(build.kit, SCALE, build.progress.passes).done
    assert oscillator.worst() <= 2.0


def test_cents_stand_at_every_point_of_every_pass() -> None:
    view = tracking_view(KIT, SCALE, [pass_of(points_with(10.0, 30.0)), pass_of(points_with(0.5, -3.0))])
    assert [point.cents for point in view.passes[0].points] == pytest.approx(
        [30, 40, 50, 60, 70, 80], abs=0.001
    )
    assert [point.cents for point in view.passes[1].points] == pytest.approx(
        [-3, -2.5, -2, -1.5, -1, -0.5], abs=0.001
    )
    assert view.passes[1].worst == pytest.approx(3.0, abs=0.001)
    assert "65.406 Hz at 0 V" in view.wanted
    assert "scale +0.50" in view.fitted[0]
    assert "offset -3.00" in view.fitted[1]


def test_an_offset_that_the_scale_will_have_moved_is_told_as_such() -> None:
    turn = Turn(trimmer="RV1", turns=2.0)
    passes = [pass_of(points_with(20.0, 0.0)), pass_of(points_with(10.0, 40.0), turned=(turn,))]
    first, second, away, last = tracking_view(KIT, SCALE, passes).todo
    assert away == "If the pitch moves away from that frequency, turn the other way."
    # Ten cents an octave less came with forty cents more: another ten will bring eighty in all.
    assert first.startswith("Scale is off by +10.0 cents per octave: turn RV1 about 2 turns clockwise")
    assert second.startswith("Offset will then be off by +8")
    assert last == "Then measure every octave again."


def test_without_an_offset_trimmer_only_the_intervals_count() -> None:
    kit = kit_with(scale_trim(target="to 2 cents"))
    view = tracking_view(kit, kit.trims[0], [pass_of(points_with(0.2, 333.0))])
    assert view.done
    assert view.passes[0].worst is not None
    assert view.passes[0].worst == pytest.approx(5 * 0.2)
    assert "true octaves" in view.wanted
    assert not any("offset" in word for word in view.fitted)


def test_passes_of_other_trims_are_left_out_of_account() -> None:
    view = tracking_view(KIT, SCALE, [pass_of(points_with(10.0, 30.0), trim="Scale B")])
    assert view.passes == ()
    assert view.headline == ""


def test_few_voltages_leave_the_top_trimmer_out_and_say_so() -> None:
    kit = kit_with(scale_trim(), Trim(name="High end", trimmer="RV2"))
    view = tracking_view(kit, kit.trims[0], [pass_of(points_with(9.0, 0.0)[:3])])
    assert [turning.trimmer for turning in view.turnings] == ["RV1"]
    assert any("nothing about the top octave" in word for word in view.suspects)


def test_a_pass_that_cannot_be_used_is_told_and_its_turns_go_to_the_next() -> None:
    good = points_with(9.0, 0.0)
    turn = Turn(trimmer="RV1", turns=2.0)
    near = [Point(volts=0.0, hertz=65.4), Point(volts=0.1, hertz=70.1)]
    passes = [pass_of(good), pass_of(near, turned=(turn,)), pass_of(points_with(5.0, 0.0))]
    view = tracking_view(KIT, SCALE, passes)
    assert view.passes[1].worst is None
    assert any("pass 2 is left out" in word and "half a volt" in word for word in view.suspects)
    assert view.turnings[0].turns == pytest.approx(5.0 / 4.0 * 2.0, rel=0.05)


def test_each_turn_counts_for_its_own_pass_alone() -> None:
    turns = [(Turn(trimmer="RV1", turns=2.0),), (Turn(trimmer="RV1", turns=1.0),)]
    passes = [pass_of(points_with(9.0, 0.0)), *map(pass_of, map(points_with, (5.0, 3.0), (0.0, 0.0)))]
    turned = [
        passes[0],
        *(
            msgspec.structs.replace(done, turned=tuple((t.trimmer, t.turns) for t in made))
            for done, made in zip(passes[1:], turns, strict=True)
        ),
    ]
    # Two cents an octave a turn, both times: three cents are left.
    assert tracking_view(KIT, SCALE, turned).turnings[0].turns == pytest.approx(1.5, rel=0.05)


def test_a_trimmer_that_the_kit_no_longer_has_is_told() -> None:
    passes = [
        pass_of(points_with(9.0, 0.0)),
        pass_of(points_with(9.0, 0.0), turned=(Turn(trimmer="RV9", turns=1),)),
    ]
    view = tracking_view(KIT, SCALE, passes)
    assert any("RV9" in word for word in view.suspects)
    assert view.turnings


def test_an_octave_off_is_a_knob_before_it_is_a_trimmer() -> None:
    said = tracking_view(KIT, SCALE, [pass_of(points_with(2.0, 1190.0))]).suspects
    assert any("+1.0 octaves" in word and "octave switch" in word for word in said)
    assert not tracking_view(KIT, SCALE, [pass_of(points_with(2.0, 90.0))]).suspects


def test_a_hertz_per_volt_oscillator_is_compared_with_its_slope() -> None:
    kit = kit_with(hertz_per_volt("to 3 cents, 100 Hz per volt"))
    points = [Point(volts=volts, hertz=101.0 * volts + 2.0) for volts in (0.5, 1.0, 2.0, 4.0)]
    view = tracking_view(kit, kit.trims[0], [pass_of(points)])
    cents = [1200 * math.log2((101.0 * volts + 2.0) / (100.0 * volts)) for volts in (0.5, 1.0, 2.0, 4.0)]
    assert [point.cents for point in view.passes[0].points] == pytest.approx(cents)
    assert not view.done
    assert "slope 101.000" in view.fitted[0]
    assert [turning.trimmer for turning in view.turnings] == ["offset trimmer", "RV1"]
    assert all(turning.trial for turning in view.turnings)
    moved = [Point(volts=volts, hertz=100.5 * volts + 1.5) for volts in (0.5, 1.0, 2.0, 4.0)]
    turned = (Turn(trimmer="offset trimmer", turns=1.0), Turn(trimmer="RV1", turns=1.0))
    after = tracking_view(kit, kit.trims[0], [pass_of(points), pass_of(moved, turned=turned)])
    # Without the 1.5 Hz that it makes at 0 V, 0.5 V gives 50.25 Hz; then 4 V is to give 400 Hz.
    assert "at 0.5 V stop where the frequency is 50.2" in after.todo[0]
    assert "at 4 V stop where the frequency is 400.0" in after.todo[1]
    right = [Point(volts=volts, hertz=100.0 * volts) for volts in (0.5, 1.0, 2.0)]
    assert tracking_view(kit, kit.trims[0], [pass_of(points), pass_of(right, turned=turned)]).done
    rows = plot_rows(view, 60, 12)
    assert rows[-2].startswith(" octaves|")
    assert "-1" in rows[-2]


def test_the_plot_is_that_of_the_passes_and_needs_its_room() -> None:
    passes = [pass_of(points_with(20.0, 90.0)), pass_of(points_with(-4.0, 10.0))]
    view = tracking_view(KIT, SCALE, passes)
    drawn = [Pass(points=tuple(points_with(20.0, 90.0))), Pass(points=tuple(points_with(-4.0, 10.0)))]
    assert plot_rows(view, 60, 12) == plot_cents(drawn, 60, 12, TARGET)
    assert plot_rows(view, 20, 12) == []
    assert plot_rows(tracking_view(KIT, SCALE, []), 60, 12) == []


# -- warm-up -----------------------------------------------------------------------------------------
def test_the_drift_to_expect_is_that_of_the_thermal_voltage() -> None:
    bare = kit_with(scale_trim())
    bare = msgspec.structs.replace(bare, boards=())
    said = " ".join(tracking_view(bare, bare.trims[0], []).warm_up)
    assert f"{1200 / 299.15:.1f} cents for each octave and kelvin" in said
    assert f"{5 * 1200 / 299.15:.0f} cents over 5 octaves" in said


def test_a_compensating_resistor_is_found_and_reckoned_with() -> None:
    said = " ".join(tracking_view(KIT, SCALE, []).warm_up)
    left = abs(5 * 1200 * (1.0033 * 298.15 / 299.15 - 1))
    assert f"with RT1 at the converter's temperature {left:.1f} cents over 5 octaves" in said


@pytest.mark.parametrize(
    ("ppm", "found"), [(1499, False), (1500, True), (3300, True), (6000, True), (6001, False)]
)
def test_a_resistor_makes_up_for_the_converter_where_its_coefficient_is_near_that_of_kt_over_q(
    ppm: int, found: bool
) -> None:
    """kT/q rises by 1/298 of itself for each kelvin at 25 degrees, 3354 ppm (SI, exact constants)."""
    lines = (part("R1", "1k"), part("RT1", f"1k +{ppm} ppm"))
    kit = structs.replace(KIT, boards=(Board(name="main", parts=lines),))
    assert compensation(kit) == (("RT1", ppm) if found else None)


@pytest.mark.parametrize(("moved", "said"), [(0.4, "it is warm"), (6.0, "not warm yet")])
def test_two_passes_with_nothing_turned_say_whether_it_is_warm(moved: float, said: str) -> None:
    passes = [pass_of(points_with(9.0, 0.0)), pass_of(points_with(9.0, moved))]
    view = tracking_view(KIT, SCALE, passes)
    assert said in view.warm_up[0]
    turned = pass_of(points_with(9.0, moved), turned=(Turn(trimmer="RV2", turns=0.1),))
    assert not any(
        "Nothing was turned" in word for word in tracking_view(KIT, SCALE, [passes[0], turned]).warm_up
    )


# -- the article ------------------------------------------------------------------------------------
def story_of(tmp_path: Path, passes: int) -> Story:
    build = trim_build(tmp_path / "one")
    for number, (scale, offset) in enumerate([(20.0, 35.0), (-2.0, 4.0), (0.1, -0.4)][:passes]):
        points = tuple((point.volts, point.hertz) for point in points_with(scale, offset))
        build.tracking_pass("Scale", points, (("RV1", -1.25), ("RV2", 0.5)) if number else ())
    return tell(build.kit, build.plan, build.events, build.progress)


def section(story: Story) -> str:
    page = write_up(story)
    return page.split("## What was measured\n")[1].split("<!--")[0] if "## What was measured" in page else ""


def test_the_write_up_has_the_first_and_the_last_pass_side_by_side(tmp_path: Path) -> None:
    story = story_of(tmp_path, 3)
    said = section(story)
    assert (
        "Scale: in three passes the worst point came from 135.0 to 0.4 cents off (1.8 cents allowed)." in said
    )
    assert "| 0 | 66.74 | +35.0 | 65.39 | -0.4 |" in said
    assert "| 5 | " in said
    html = MarkdownIt("commonmark").enable("table").render(said)
    assert html.count("<tr>") == 7
    assert story.sittings


def test_one_pass_is_told_as_one_and_none_not_at_all(tmp_path: Path) -> None:
    said = section(story_of(tmp_path, 1))
    assert "one pass; the worst point is 135.0 cents off" in said
    assert "| Volts | Hertz | Cents |" in said
    assert section(story_of(tmp_path / "other", 0)) == ""


def test_names_of_trims_and_trimmers_do_nothing_in_the_write_up() -> None:
    kit = kit_with(scale_trim("<b>Scale</b> | *x*", "RV1"))
    turn = Turn(trimmer="[R](javascript:x)|", turns=1)
    passes = [pass_of(points_with(5.0, 0.0), trim=kit.trims[0].name, turned=(turn,))]
    story = msgspec.structs.replace(tell(kit, _no_plan(), []), tracking=tracking_rows(kit, passes))
    html = MarkdownIt("commonmark").enable("table").render(write_up(story))
    assert "<b>" not in html
    assert "<em>x" not in html
    assert "href" not in html
    assert "&lt;b&gt;Scale&lt;/b&gt; | *x*" in html


def _no_plan() -> Plan:
    return Plan(kit="", procedure="", stages=(), joints=0)


NUMBERS = st.floats() | st.floats(-5, 12) | st.integers(0, 10**6).map(float)
PASSES = st.lists(
    st.builds(
        pass_of,
        st.lists(st.builds(Point, volts=NUMBERS, hertz=NUMBERS | st.floats(1, 1e4)), max_size=14),
        trim=st.sampled_from(["Scale", "?"]),
        turned=st.lists(
            st.builds(Turn, trimmer=st.sampled_from(["RV1", "RV2", "RV9"]), turns=NUMBERS), max_size=3
        ).map(tuple),
    ),
    max_size=5,
)


@given(PASSES, st.sampled_from(["volts per octave", "hertz per volt"]))
def test_whatever_a_log_holds_is_shown_and_told_without_a_slip(passes: list[object], kind: str) -> None:
    kit = kit_with(msgspec.structs.replace(SCALE, kind=kind), *KIT.trims[1:])
    view = tracking_view(kit, kit.trims[0], passes)  # type: ignore[arg-type]
    assert isinstance(view, TrackingView)
    plot_rows(view, 60, 12)
    rows = tracking_rows(kit, passes)  # type: ignore[arg-type]
    assert msgspec.json.decode(msgspec.json.encode(rows), type=tuple[TrackingRow, ...]) == rows
