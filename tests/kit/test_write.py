"""Kits written as kit files: they load back equal, and say what a person needs to go on."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import msgspec
import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from bench.errors import Refused, SoldersideError
from bench.kit.kit import Board, Check, HoldPoint, Kit, PartLine, Rail, Trim
from bench.kit.load import load_kit, parse_kit
from bench.kit.write import kit_text, part_entry, write_text
from bench.parts.kinds import KINDS, MOUNTS
from tests.support.kit_files import FULL, bare, small
from tests.support.samples import part

KITS = Path(__file__).parents[2] / "kits"


def parse(text: str) -> Kit:
    return parse_kit(text.encode(), "my.yaml")


def test_a_full_kit_loads_back_equal() -> None:
    kit = parse(FULL)
    assert bare(parse(kit_text(kit))) == bare(kit)


@pytest.mark.parametrize("path", sorted(KITS.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_example_kits_have_no_faults_and_load_back_equal(path: Path) -> None:
    kit = load_kit(path)
    assert bare(parse(kit_text(kit))) == bare(kit)


def test_a_kit_without_anything_optional_loads_back_equal() -> None:
    kit = parse(small("{refs: R1, value: 1k}"))
    text = kit_text(kit)
    assert bare(parse(text)) == bare(kit)
    for hint in ("# panel:", "# supply:", "# hold_points:", "# trims:"):
        assert hint in text


def test_what_the_loader_finds_out_by_itself_is_left_out() -> None:
    text = kit_text(parse(small("{refs: R3 R1 R2, value: 4k7, mount: flat}")))
    assert '      - {refs: "R1-R3", value: 4k7}\n' in text.replace("refs: R1-R3", 'refs: "R1-R3"')


def test_the_examples_in_the_comments_are_right() -> None:
    """Every `# key: ...` line, once the remark sign is off, is part of a kit file that loads."""
    text = kit_text(parse(small("{refs: RV4, value: 1k, kind: trimmer}")))
    keys = ("# panel:", "# supply:", "# hold_points:", "#   - ", "#     checks:", "#       - ", "# trims:")
    rows = [row[2:] if row.startswith(keys) else row for row in text.splitlines()]
    kit = parse("\n".join(rows))
    assert kit.panel_width == "10 HP"
    assert [rail.current for rail in kit.supply] == ["38 mA", "31 mA"]
    assert kit.hold_points[0].checks[0].expect == "> 200 ohm"
    assert kit.trims[0].turns == 25


@pytest.mark.parametrize(
    ("cautions", "written"), [(("hot",), "caution: hot}"), (("hot", "sharp"), "caution: [hot, sharp]}")]
)
def test_one_caution_is_a_text_and_several_are_a_list(cautions: tuple[str, ...], written: str) -> None:
    assert part_entry(part("R1", "4k7", cautions=cautions)).endswith(written)


def test_a_kind_that_was_guessed_is_written_where_it_would_be_guessed_otherwise() -> None:
    assert "kind: trimmer" in part_entry(part("R1", "4k7", "trimmer", kind_guessed=True))


def test_a_file_without_remarks_begins_with_its_format() -> None:
    text = kit_text(parse(small("{refs: R1, value: 1k}")))
    assert text.startswith("kit: 1 ")
    assert not {"gives:", "needs:", "hazards:", "trims:"} & {row.split(" ")[0] for row in text.splitlines()}


def test_remarks_become_comments_whatever_they_hold() -> None:
    remarks = ["line 7: two values\nname: other", "a\x1b[31mred"]
    text = kit_text(parse(FULL), remarks)
    assert text.startswith("# line 7: two values name: other\n# a [31mred\n\nkit: 1 ")
    assert bare(parse(text)) == bare(parse(FULL))


def test_the_file_is_plain_yaml_for_any_other_reader() -> None:
    """PyYAML's own loader, as the reference, finds the same texts."""
    read = yaml.load(kit_text(parse(FULL)), Loader=yaml.BaseLoader)
    assert read["supply"] == {"+12 V": "38 mA", "-12 V": "31 mA"}
    assert read["boards"][0]["parts"][0]["value"] == "4k7"
    assert read["hold_points"][0]["checks"][1]["expect"] == "5 V ± 4 %"


AWKWARD = (
    "", "~", "null", "yes", "- a", "a: b", "a #b", "#a", "'", '"', "\\", "{a}", "[a, b]", "*a", "&a", "!a",
    "%a", "@a", "`a", ">", "|", "? a", "0603", "12:30", "1e3", "---", "...", "<<", "  x  ", "5 V ± 4 %",
    "> 200 ohm", "µ", "Ω",
)  # fmt: skip
"""Texts that mean something else in YAML when they stand without quotes."""
UNPRINTED = "\ufeff\ufffe\uffff"
TEXTS = st.sampled_from(AWKWARD) | st.text(
    st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters=UNPRINTED), max_size=12
)
SAID = TEXTS.filter(lambda text: bool(text.strip()))
LINES = st.lists(TEXTS, max_size=3).map("\n".join) | st.just("a\tb\n")
SEVERAL = st.lists(SAID, max_size=3).map(tuple)
REFS = st.lists(
    st.builds("{}{}".format, st.sampled_from(["R", "C", "D", "U", "RV", "Q"]), st.integers(1, 200)),
    unique=True, max_size=6,
)  # fmt: skip
SIZES = st.none() | st.tuples(st.floats(0.5, 9_000), st.floats(0.5, 9_000))
PLACES = st.floats(-500, 500).filter(lambda x: x == 0 or abs(x) > 1e-9)


@st.composite
def part_lines(draw: st.DrawFn) -> PartLine:
    """Any line that can stand in a kit; nothing in it is a guess."""
    refs = tuple(sorted(draw(REFS), key=lambda ref: (ref.rstrip("0123456789"), int(ref.lstrip("RCDUQV")))))
    quantity = len(refs) or draw(st.integers(1, 10_000))
    socket = draw(
        st.just("") | SAID.filter(lambda text: text.strip().casefold() not in ("yes", "no", "true", "false"))
    )
    joints = draw(st.integers(0, 100))
    places = st.lists(st.tuples(PLACES, PLACES), min_size=quantity, max_size=quantity).map(tuple)
    return PartLine(
        refs=refs, value=draw(SAID), kind=draw(st.sampled_from(list(KINDS))), quantity=quantity,
        joints=0 if socket else joints, mount=draw(st.sampled_from(MOUNTS)), height=draw(st.integers(1, 9)),
        package=draw(TEXTS), socket=socket, socket_joints=joints if socket else 0, tolerance=draw(TEXTS),
        voltage=draw(TEXTS), marking=draw(TEXTS), section=draw(TEXTS), cautions=draw(SEVERAL),
        note=draw(LINES), optional=draw(st.booleans()), positions=draw(st.just(()) | places) if refs else (),
        sides=draw(st.sampled_from([(), ("front",), ("back",)])) * len(refs),
        nets=draw(SEVERAL),
    )  # fmt: skip


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """Any kit that a kit file can hold."""
    part = draw(part_lines())
    assume(not part.socket or part.socket_joints)
    names = draw(
        st.lists(SAID, min_size=1, max_size=3, unique_by=lambda text: " ".join(text.casefold().split()))
    )
    check = st.builds(Check, where=SAID, expect=TEXTS, how=LINES, unplug=TEXTS, nets=SEVERAL)
    checks = st.lists(check, min_size=1, max_size=2).map(tuple)
    trimmers = st.sampled_from(["", *part.refs])
    rails = draw(
        st.lists(st.builds(Rail, name=SAID, current=TEXTS), max_size=2, unique_by=lambda rail: rail.name)
    )
    assume(all(rail.name != "<<" for rail in rails))
    hazards = draw(st.sampled_from([(), ("mains",), ("stored charge", "high voltage")]))
    return Kit(
        name=draw(SAID), maker=draw(TEXTS), revision=draw(TEXTS), about=draw(LINES), scenario=draw(LINES),
        hazards=hazards, harmless=not hazards and draw(st.booleans()),
        errata=draw(SEVERAL), panel_width=draw(TEXTS), panel_depth=draw(TEXTS), supply=tuple(rails),
        boards=(Board(name=draw(SAID.filter(lambda text: "/" not in text)), parts=(part,), size=draw(SIZES)),),
        hold_points=tuple(HoldPoint(name=name, checks=draw(checks)) for name in names),
        trims=tuple(
            Trim(
                name=name, kind=draw(st.sampled_from(["general", "volts per octave"])), trimmer=draw(trimmers),
                target=draw(TEXTS), how=draw(LINES), turns=draw(st.integers(0, 100)),
            )
            for name in names
        ),
        tools=draw(SEVERAL), notes=draw(SEVERAL),
    )  # fmt: skip


@given(kits())
def test_any_kit_loads_back_equal_text_for_text(kit: Kit) -> None:
    assert bare(parse_kit(kit_text(kit).encode(), "my.yaml", lenient=True)) == kit


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x7f", "\x9b", "\r", "\u2028", "\ufeff", "\ud800"])
def test_a_text_that_could_not_be_read_back_is_refused(sign: str) -> None:
    kit = msgspec.structs.replace(parse(FULL), maker=f"x{sign}y")
    with pytest.raises(SoldersideError, match="invisible control character"):
        kit_text(kit)


def test_designators_nobody_can_read_are_written_as_they_are_for_the_check_to_find() -> None:
    kit = parse(small("{refs: R1, value: 1k}"))
    board = kit.boards[0]
    odd = msgspec.structs.replace(board.parts[0], refs=("R1#", "R2"), quantity=2)
    board = msgspec.structs.replace(board, parts=(odd,))
    assert 'refs: "R1#, R2"' in kit_text(msgspec.structs.replace(kit, boards=(board,)))


def test_parts_on_both_sides_are_written_side_by_side() -> None:
    kit = parse(small("{refs: R1 R2, value: 1k, side: [back, front]}", "{refs: R3, value: 2k, side: back}"))
    assert "side: [back, front]" in kit_text(kit)
    assert "side: back}" in kit_text(kit)
    assert bare(parse(kit_text(kit))) == bare(kit)


def test_a_file_is_written_and_loads(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    write_text(kit_text(parse(FULL), ["from a list"]), path)
    assert bare(load_kit(path)) == bare(parse(FULL))
    assert path.read_bytes().startswith(b"# from a list\n")
    assert b"\r" not in path.read_bytes()
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


def test_a_file_that_is_there_is_never_overwritten_by_accident(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("mine")
    with pytest.raises(Refused, match=r"mine\.yaml: this file is there already; name another one"):
        write_text(kit_text(parse(FULL)), path)
    assert path.read_text() == "mine"
    write_text(kit_text(parse(FULL)), path, overwrite=True)
    assert load_kit(path).name == "Twin-board oscillator"


def test_a_file_that_cannot_be_written_is_an_error_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(SoldersideError, match="the file cannot be written"):
        write_text(kit_text(parse(FULL)), tmp_path / "no such folder" / "kit.yaml")

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(SoldersideError, match="No space left on device"):
        write_text(kit_text(parse(FULL)), tmp_path / "kit.yaml")
    assert list(tmp_path.iterdir()) == []


def test_the_mount_of_a_part_without_legs_is_written_where_it_is_not_the_usual_one() -> None:
    for mount in ("panel", "board"):
        kit = parse(
            small(f"{{value: 0603, kind: LED, quantity: 1, mount: {mount}, joints: 2}}", top="supply: none")
        )
        assert parse(kit_text(kit)).boards[0].parts[0].mount == mount


def test_a_kit_file_that_cannot_be_written_says_why_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    with pytest.raises(SoldersideError) as caught:
        write_text("kit: 1\n", tmp_path / "file" / "kit.yaml")
    assert caught.value.what == f"the file cannot be written ({os.strerror(errno.ENOTDIR)})"
