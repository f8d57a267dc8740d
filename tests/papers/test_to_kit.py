"""A kit file made from a list loads without a fault and tells every doubt beside its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import Refused, SoldersideError
from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from bench.papers.lists import read_list
from bench.papers.to_kit import kit_file_from, write_kit_file
from tests.support.reading_samples import SAMPLES, from_text, read


def kit_of(text: str) -> Kit:
    return parse_kit(kit_file_from(from_text(text)).encode(), "kit.yaml")


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_every_list_becomes_a_kit_file_that_loads(sample: Path) -> None:
    reading = read(sample)
    kit = parse_kit(kit_file_from(reading).encode(), "kit.yaml")
    fitted = {(part.board, ref) for part in reading.parts if part.fitted for ref in part.refs}
    assert sum(len(part.refs) for board in kit.boards for part in board.parts) == len(fitted)


def test_every_doubt_stands_above_the_line_it_concerns() -> None:
    text = kit_file_from(from_text('Ref,Qty,Value\n"R1, R2",3,10k\nC1,1,\nR1,1,22k\n'))
    lines = [line.strip() for line in text.splitlines()]
    at = next(number for number, line in enumerate(lines) if line.startswith('- {refs: "R1, R2"'))
    assert "the count is 3" in lines[at - 1]
    at = next(number for number, line in enumerate(lines) if line.startswith("- {refs: C1"))
    assert any("no value" in line for line in lines[at - 3 : at])
    at = lines.index("# - {refs: R1, value: 22k}")
    assert "R1 has two values" in lines[at - 2]


def test_all_doubts_of_a_list_are_in_the_file() -> None:
    for sample in SAMPLES:
        reading = read(sample)
        text = " ".join(kit_file_from(reading).split())
        for doubt in reading.doubts:
            assert " ".join(doubt.what.split()) in text, sample.name


def test_a_part_that_stays_out_is_written_as_a_comment() -> None:
    text = kit_file_from(from_text("Ref,Value\nR1,10k\nR2,DNP\n"))
    assert "# - {refs: R2, value: DNP}" in text
    assert [part.refs for part in parse_kit(text.encode(), "x").boards[0].parts] == [("R1",)]


def test_values_for_the_bench_are_short_and_the_words_go_into_the_note() -> None:
    kit = kit_of(
        'Reference,Description\nR1,"Resistor, 4.7k, metal film"\n'
        'R2,"Resistor, 10k, metal film"\nU1,Dual op-amp TL072\n'
    )
    parts = kit.boards[0].parts
    assert [part.value for part in parts] == ["4.7k", "10k", "TL072"]
    assert "metal film" in parts[0].note


def test_a_quantity_in_brackets_is_the_value_for_the_bench() -> None:
    kit = kit_of("Ref,Value\nC1,103 (10n)\nC2,GRM155 (0.1uF 25V)\nR1,10k\n")
    assert [part.value for part in kit.boards[0].parts] == ["10n", "0.1uF", "10k"]


def test_bare_picofarads_get_their_unit() -> None:
    kit = parse_kit(
        kit_file_from(from_text("All capacitors in pF\n\nC1 100\nC2 47\nR1 10k\n", "x.txt")).encode(), "x"
    )
    assert [part.value for part in kit.boards[0].parts] == ["100 pF", "47 pF", "10k"]


def test_what_is_said_about_a_part_decides_its_kind() -> None:
    kit = kit_of(
        "Ref,Value,Description\nC1,10u,film capacitor\nC2,10u,\n"
        "Q1,X99,N-channel MOSFET\nJ1,2x5,shrouded header\n"
    )
    assert [part.kind for part in kit.boards[0].parts] == [
        "film capacitor", "electrolytic capacitor", "MOSFET", "box header",
    ]  # fmt: skip


def test_hardware_keeps_its_quantity_and_finds_its_kind() -> None:
    kit = kit_of("Ref,Qty,Value\nR1,1,10k\nScrew,4,M3x6\nKnob,2,black\nSchrauben,3,M2\n")
    assert [(part.kind, part.quantity) for part in kit.boards[0].parts[1:]] == [
        ("screw", 4), ("knob", 2), ("screw", 3),
    ]  # fmt: skip


def test_designators_that_a_kit_file_cannot_hold_get_a_name_that_it_can() -> None:
    text = kit_file_from(from_text("Reference,Value,Qty\nTL074-1,TL074,1\n7805,L7805,1\nR1,10k,1\nR2,10k,1\n"))
    assert "'7805' in the list" in text
    kit = parse_kit(text.encode(), "x")
    assert [part.refs for part in kit.boards[0].parts] == [("TL074_1",), ("part_7805",), ("R1",), ("R2",)]


def test_boards_of_a_list_become_boards_of_the_kit() -> None:
    reading = read(next(path for path in SAMPLES if path.name == "two-boards.csv"))
    kit = parse_kit(kit_file_from(reading).encode(), "x")
    assert [board.name for board in kit.boards] == ["Main board", "Control board"]


def test_the_kit_takes_its_name_from_the_list_or_the_file() -> None:
    assert kit_of("Glow worm - parts list\n\nRef,Value\nR1,10k\n").name == "Glow worm"
    assert parse_kit(kit_file_from(from_text("Ref,Value\nR1,10k\n", "tide.csv")).encode(), "x").name == "tide"


def test_texts_cannot_break_out_of_the_file() -> None:
    nasty = 'Ref,Value,Notes\nR1,"10k}, {x: ""y""","a # b: c\n- d"\nR2,"\'{[&*!|>%@`",\x85\u2028\n'
    kit = kit_of(nasty)
    assert [part.refs for part in kit.boards[0].parts] == [("R1",), ("R2",)]


def test_a_list_without_parts_makes_no_kit() -> None:
    with pytest.raises(SoldersideError, match="no parts"):
        kit_file_from(read_list(b"nothing here", "x.txt"))


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    reading = from_text("Ref,Value\nR1,10k\n")
    write_kit_file(reading, tmp_path / "kit.yaml")
    assert load_kit(tmp_path / "kit.yaml").boards[0].parts[0].value == "10k"
    with pytest.raises(Refused):
        write_kit_file(reading, tmp_path / "kit.yaml")
    with pytest.raises(SoldersideError, match="cannot be written"):
        write_kit_file(reading, tmp_path / "none" / "kit.yaml")


@pytest.mark.parametrize(
    ("line", "socket"),
    [
        ("1 x U1 TL072 + 8 pin socket", "DIP-8"), ("1 x U1 TL074 with socket", "DIP-14"),
        ("1 x U1 4046 plus DIP-16 socket", "DIP-16"), ("1 x U1 TL072", ""), ("1 x U1 TL072, no socket", ""),
    ],
)  # fmt: skip
def test_a_socket_named_on_the_line_of_a_chip_is_kept(line: str, socket: str) -> None:
    (part,) = (
        part for part in kit_of(f"{line}\n2 x R1, R2 4k7\n1 x C1 100n\n").boards[0].parts if part.kind == "IC"
    )
    assert part.socket == socket
    assert bool(part.joints) != bool(socket)


def test_a_trimmer_with_turns_is_no_transformer_and_a_varistor_code_no_doubt() -> None:
    reading = read_list(
        b"Qty,Ref,Value,Description\n1,T1,2k 25T,Trimmer\n1,RV1,07D471K,\n1,R1,4k7,\n", "list.csv"
    )
    assert not any("not understood" in doubt.what for doubt in reading.doubts)
    kinds = {part.refs: part.kind for part in parse_kit(kit_file_from(reading).encode(), "k").boards[0].parts}
    assert kinds[("T1",)] == "trimmer"
    assert kinds[("RV1",)] == "varistor"
