"""Procedure files: what they can say, and what is said about them when they are wrong."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from bench.errors import Fault, FileFaults, SoldersideError
from bench.parts.kinds import KINDS, MOUNTS
from bench.plan import procedure as reading
from bench.plan.procedure import find_procedure, load_procedure, parse_procedure, shipped_procedures
from bench.plan.rules import Procedure, Rule

SMALLEST = """procedure: 1
name: mine
stages:
  - name: All of it
    takes: [{height: 1-9}]
"""


def parsed(text: str) -> Procedure:
    return parse_procedure(text.encode(), "mine.yaml")


def faults_of(text: str) -> list[tuple[str, str, str]]:
    with pytest.raises(FileFaults) as caught:
        parsed(text)
    return [(fault.where, fault.what, fault.hint) for fault in caught.value.faults]


def with_stage(entry: str) -> str:
    """A procedure with this stage, given as lines from the second key on, in front of one that takes all."""
    return SMALLEST.replace("stages:\n", f"stages:\n  - name: First\n{entry}\n")


def test_the_smallest_procedure_solders_board_by_board_in_steps_of_ten() -> None:
    mine = parsed(SMALLEST)
    assert (mine.name, mine.step_size) == ("mine", 10)
    (stage,) = mine.stages
    assert (stage.name, stage.action, stage.per_board, stage.order) == (
        "All of it", "solder", True, ("kind", "value"),
    )  # fmt: skip
    assert stage.takes == (Rule({"height": tuple(range(1, 10))}),)


def test_the_digest_is_the_sha_256_of_the_bytes() -> None:
    assert parsed(SMALLEST).digest == hashlib.sha256(SMALLEST.encode()).hexdigest()


def test_everything_a_stage_can_say_is_read() -> None:
    mine = parsed(
        """procedure: 1
name: everything
about: all keys
step size: 4
stages:
  - name: "{section} parts"
    per: board
    section: each
    about: "of {section}"
    takes:
      - {kind: [diode, Zener diodes], mount: flat, height: [1, 2-3], section: power, board: Main, value: 4K7}
      - {socket: no, joints: yes, several boards: yes}
    order: [section, designator]
    step size: 2
    count joints: yes
    cautions: [be careful, {say: notch, when: {kind: IC}}]
    tasks: [look, {do: count, detail: twice, caution: [a, b], when: [{kind: IC}, {height: 9}]}]
    when: {section: power}
  - name: Set
    takes: [{mount: panel}]
    action: place
  - name: Before power
    hold: [before power, Dead Test]
    checks:
      - {between: "{rail} and 0 V", expect: "> 200 ohm", how: wait, unplug: ICs, when: {socket: yes}}
      - {look: joints}
      - {at: TP1, expect: 5 V}
  - name: Solder
    takes: {height: 1-9}
  - {name: Trim, trims: yes}
"""
    )
    first, place, hold, solder, trim = mine.stages
    assert (mine.about, mine.step_size) == ("all keys", 4)
    assert first.each_section
    assert first.per_board
    assert first.step_size == 2
    assert first.count_joints
    assert first.order == ("section", "designator")
    assert first.takes[0] == Rule({
        "kind": ("diode", "Zener diode"), "mount": ("flat",), "height": (1, 2, 3), "section": ("power",),
        "board": ("main",), "value": ("4k7",),
    })  # fmt: skip
    assert first.takes[1] == Rule({"socket": (False,), "joints": (True,), "several boards": (True,)})
    assert [(each.say, each.when) for each in first.cautions] == [
        ("be careful", ()), ("notch", (Rule({"kind": ("IC",)}),)),
    ]  # fmt: skip
    assert [(task.do, task.detail, task.cautions, len(task.when)) for task in first.tasks] == [
        ("look", "", (), 0), ("count", "twice", ("a", "b"), 2),
    ]  # fmt: skip
    assert first.when == (Rule({"section": ("power",)}),)
    assert place.action == "place"
    assert hold.hold == ("before power", "dead test")
    assert not hold.per_board
    assert [check.where for check in hold.checks] == ["{rail} and 0 V", "joints", "TP1"]
    assert hold.checks[0].when == (Rule({"socket": (True,)}),)
    assert solder.takes == (Rule({"height": tuple(range(1, 10))}),)
    assert trim.trims
    assert not trim.per_board


def test_hold_yes_means_the_hold_point_called_like_the_stage() -> None:
    mine = parsed(SMALLEST + "  - {name: Before  Power, hold: yes}\n  - {name: Go, hold: no, tasks: [go]}\n")
    assert [stage.hold for stage in mine.stages] == [(), ("before power",), ()]


@pytest.mark.parametrize(
    ("entry", "line", "what", "hint"),
    [
        ("    take: [{kind: diode}]", 5, 'unknown key "take"', 'did you mean "takes"?'),
        ("    takes: [{kind: diod}]", 5, 'unknown kind "diod"', 'did you mean "diode"?'),
        ("    takes: [{mount: flatt}]", 5, 'unknown mount "flatt"', 'did you mean "flat"?'),
        ("    takes: [{heigth: 1}]", 5, 'unknown key "heigth"', 'did you mean "height"?'),
        ("    takes: [{height: 10}]", 5, 'unknown height "10"', "give classes from 1 (flat) to 9"),
        ("    takes: [{height: 3-1}]", 5, 'unknown height "3-1"', "give classes from 1 (flat) to 9"),
        ("    takes: [{kind: []}]", 5, '"kind" is empty', "fill it in or take it out"),
        ("    takes: [{}]", 5, "an empty rule", "say what it is about"),
        ("    takes: [diode]", 5, 'a rule should be a mapping, not the text "diode"', "write it as a mapping"),
        ("    takes: []", 5, '"takes" is empty', "give rules such as `- {kind: diode}`"),
        ("    takes: [{socket: maybe}]", 5, '"socket" is "maybe"', "write yes or no"),
        ("    takes: [{height: 1}]\n    action: sodler", 6, '"action" is "sodler"', 'did you mean "solder"?'),
        ("    takes: [{height: 1}]\n    order: [tint]", 6, 'steps cannot be ordered by "tint"', "known here"),
        ("    takes: [{height: 1}]\n    step size: 0", 6, '"step size" is 0', "give a number from 1 to 1000"),
        ("    takes: [{height: 1}]\n    per: boards", 6, '"per" is "boards"', 'did you mean "board"?'),
        ("    takes: [{height: 1}]\n    section: power", 6, '"section" is "power"', "known here: each"),
        ("    per: board", 4, 'the stage "First" does nothing', "give it `takes`, `tasks`, `hold` or `trims`"),
        ("    tasks: [a]\n    action: fit", 6, '"First" has "action" but takes no parts', "add `takes`"),
        ("    tasks: [a, {do: A}]", 5, 'two tasks are called "A" (first in line 5)', "another headline"),
        ("    tasks: [{detail: a}]", 5, '"do" is missing', "add `do: ...`"),
        ("    tasks: ['']", 5, "an empty task", "fill it in or take it out"),
        ("    tasks: ['look at {rail}']", 5, "nothing fills the gap {rail}", "gaps filled here: {errata}"),
        ("    checks: [{look: a}]", 5, '"First" has checks but is no hold point', "add `hold: before"),
        ("    hold: x\n    takes: [{height: 1}]", 5, '"First" takes parts and is a hold point', "make two"),
        ("    hold: x\n    per: board", 6, 'the stage "First" cannot be repeated', "`per: module`"),
        ("    hold:", 5, '"hold" is empty', "name the hold point"),
        ("    hold: x\n    checks: [{expect: 5 V}]", 6, "a check that does not say where", "`between`"),
        ("    hold: x\n    checks: [{at: a, look: b}]", 6, "a check with at and look", "give one of `between`"),
        ("    hold: x\n    checks: [{at: a, wher: b}]", 6, 'unknown key "wher"', 'did you mean "when"?'),
        ("    hold: x\n    checks: [{at: '{rial}'}]", 6, "nothing fills the gap {rial}", "filled here: {rail}"),
        ("    hold: x\n    checks: [{at: a, how: '{current}'}]", 6, "a check with a gap", "`{rail}` there"),
        ("    takes: [{height: 1}]\n    action: fit\n    count joints: yes", 7, "solders nothing", "take"),
        ("    takes: [{height: 1}]\n    cautions: [{say: a, for: b}]", 6, 'unknown key "for"', "known here"),
        ("    takes: [{height: 1}]\n    cautions: [[a]]", 6, "a caution should be a mapping", "`key: value`"),
    ],
)  # fmt: skip
def test_a_fault_names_its_line_what_is_wrong_and_what_would_be_right(
    entry: str, line: int, what: str, hint: str
) -> None:
    found = faults_of(with_stage(entry))
    places = [where for where, said, advice in found if what in said and hint in advice]
    assert places == [f"mine.yaml:{line}"], found


def test_one_part_at_a_time_is_a_step_size() -> None:
    assert parsed(SMALLEST.replace("stages:", "step size: 1\nstages:", 1)).step_size == 1


def test_all_faults_of_a_file_are_found_in_one_reading() -> None:
    found = faults_of(
        """procedure: 1
nam: mine
step size: many
stages:
  - name: A
    takes: [{kind: resistr}, {mount: up}]
    colour: red
  - name: a
    tasks: [x]
"""
    )
    assert [(where, what) for where, what, _ in found] == [
        ("mine.yaml:1", '"name" is missing'),
        ("mine.yaml:2", 'unknown key "nam"'),
        ("mine.yaml:3", '"step size" is "many"'),
        ("mine.yaml:6", 'unknown kind "resistr"'),
        ("mine.yaml:6", 'unknown mount "up"'),
        ("mine.yaml:7", 'unknown key "colour"'),
        ("mine.yaml:8", 'two stages are called "a" (first in line 5)'),
    ]


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        ("procedure: 2\nname: x\nfuture: key", "written in version 2 of the format", "use a newer program"),
        ("procedure: 0\nname: x\nstages: [{name: a, tasks: [b]}]", "no version 0", "write `procedure: 1`"),
        ("kit: 1\nname: x", '"procedure" is missing: this looks like a kit file', "has `procedure: 1`"),
        ("name: x\nstages: [{name: a, tasks: [b]}]", '"procedure" is missing', "has `procedure: 1`"),
        ("procedure: 1\nname: x", '"stages" is missing', "add `stages: ...`"),
        ("procedure: 1\nname: x\nstages: []", '"stages" is empty', "give at least one stage"),
        ("procedure: 1\nname: x\nstages: [text]", "stage should be a mapping", "write `key: value`"),
        ("- procedure", "a procedure file should be a mapping, not a list", "write `key: value`"),
        ("", "the file is empty", "solderside help kit"),
    ],
)
def test_a_file_that_is_no_procedure_of_this_version_gets_one_clear_word(
    text: str, what: str, hint: str
) -> None:
    ((_, said, advice),) = faults_of(text)
    assert what in said
    assert hint in advice


def test_a_place_stage_needs_a_later_stage_that_solders() -> None:
    ((where, what, hint),) = faults_of(SMALLEST + "  - {name: Set, takes: [{mount: panel}], action: place}\n")
    assert (where, what) == ("mine.yaml:6", 'the stage "Set" places parts that no later stage solders')
    assert "action: solder" in hint


def test_putting_ics_in_before_the_check_before_power_is_a_fault() -> None:
    found = faults_of(
        SMALLEST
        + "  - {name: In, takes: [{socket: yes}], action: insert}\n  - {name: Dead, hold: Before Power}\n"
    )
    ((where, what, _),) = found
    assert where == "mine.yaml:6"
    assert "puts ICs in before the hold point `before power`" in what


@given(st.text(max_size=80), st.integers(0, len(SMALLEST)))
def test_damaged_text_gives_faults_and_never_a_traceback(noise: str, at: int) -> None:
    faults: tuple[Fault, ...] = ()
    try:
        parsed(SMALLEST[:at] + noise + SMALLEST[at:])
    except FileFaults as error:
        faults = error.faults
    assert all(fault.what and fault.hint for fault in faults)


@pytest.mark.parametrize("name", ["low-to-high", "signal-flow"])
def test_shipped_procedures_are_read_without_fault_and_by_either_spelling_of_their_name(name: str) -> None:
    spoken = name.replace("-", " ")
    assert find_procedure(spoken) == find_procedure(name) == find_procedure(f" {spoken.title()} ")
    shipped = load_procedure(find_procedure(name))
    assert shipped.name == spoken
    assert shipped.about


def test_two_procedures_ship_and_low_to_high_is_the_first() -> None:
    assert list(shipped_procedures()) == ["low-to-high", "signal-flow"]


def test_both_shipped_procedures_have_the_same_stages_from_the_panel_on() -> None:
    """What is said about the panel and about power does not depend on the order of soldering."""
    low, flow = (load_procedure(path).stages for path in shipped_procedures().values())
    names = [stage.name for stage in low]
    ends = [stages[[s.name for s in stages].index("Look over and clean") :] for stages in (low, flow)]
    assert len(ends[0]) == len(names) - names.index("Look over and clean") > 10
    assert [structs.replace(stage, line=0) for stage in ends[0]] == [
        structs.replace(stage, line=0) for stage in ends[1]
    ]


def test_a_path_is_found_and_a_shipped_name_wins_over_a_file_of_that_name_only_without_a_path(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = tmp_path / "low-to-high"
    mine.write_text(SMALLEST)
    assert find_procedure(mine) == mine
    assert find_procedure(str(mine)) == mine
    monkeypatch.chdir(tmp_path)
    assert find_procedure("low-to-high") == shipped_procedures()["low-to-high"]
    assert find_procedure("./low-to-high") == find_procedure(Path("low-to-high")) == Path("low-to-high")


@pytest.mark.parametrize("name", ["", "nowhere", "low", "a\0b", "x" * 5000])
def test_an_unknown_name_is_answered_with_the_names_there_are(name: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        find_procedure(name)
    assert "low-to-high, signal-flow" in caught.value.hint
    assert len(str(caught.value)) < 300


def test_a_file_that_is_not_there_is_a_fault_with_its_name(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match=r"gone\.yaml: there is no such file"):
        load_procedure(tmp_path / "gone.yaml")


def test_a_procedure_kept_in_the_cache_is_the_one_that_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = find_procedure("low to high")
    fresh = load_procedure(path)
    assert load_procedure(path, tmp_path / "new" / "cache") == fresh

    def refuse(data: bytes, name: str) -> Procedure:
        raise AssertionError("read again")

    monkeypatch.setattr(reading, "parse_procedure", refuse)
    assert load_procedure(path, tmp_path / "new" / "cache") == fresh


def test_the_cache_goes_by_content_not_by_name(tmp_path: Path) -> None:
    cache, first, second = tmp_path / "cache", tmp_path / "a.yaml", tmp_path / "b.yaml"
    first.write_text(SMALLEST)
    second.write_text(SMALLEST)
    load_procedure(first, cache)
    assert len(list(cache.iterdir())) == 1
    first.write_text(SMALLEST.replace("mine", "changed"))
    assert load_procedure(first, cache).name == "changed"


def test_a_damaged_or_impossible_cache_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(SMALLEST)
    fresh = load_procedure(path, tmp_path / "cache")
    (kept,) = (tmp_path / "cache").iterdir()
    whole = kept.read_bytes()
    for damaged in (b"", whole[:20], whole[:-1], whole[:40] + b"x" + whole[41:]):
        kept.write_bytes(damaged)
        assert load_procedure(path, tmp_path / "cache") == fresh
    assert load_procedure(path, path) == fresh


def test_importing_procedures_does_not_import_yaml() -> None:
    code = "import sys, bench.plan.procedure, bench.plan.stages; sys.exit('yaml' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_kind_and_mount_can_be_named_in_a_rule() -> None:
    mine = parsed(
        "procedure: 1\nname: all\nstages:\n  - name: a\n    takes:\n"
        + "".join(f"      - {{kind: {kind}}}\n" for kind in KINDS)
        + "".join(f"      - {{mount: {mount}}}\n" for mount in MOUNTS)
    )
    assert [rule.asks["kind"] for rule in mine.stages[0].takes[: len(KINDS)]] == [(kind,) for kind in KINDS]
    assert [rule.asks["mount"] for rule in mine.stages[0].takes[len(KINDS) :]] == [(mount,) for mount in MOUNTS]


def test_a_gap_in_a_stages_name_that_nothing_fills_is_a_fault() -> None:
    text = SMALLEST.replace("All of it", '"{board} parts"')
    assert faults_of(text) == [("mine.yaml:4", "nothing fills the gap {board}", "nothing is filled in here")]
