"""Whatever the bytes: a reading or one clear error, in bounded time and memory, never a traceback."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.kit.load import parse_kit
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered
from bench.papers.doubts.settle import settle
from bench.papers.lists import as_json, read_list
from bench.papers.placement import read_placement
from bench.papers.to_kit import kit_file_from
from tests.support.reading_samples import SAMPLES

SIGNS = list("R1C2U9kKµΩn0.,;:|\t \n\r\"'<>/td*-_()[]#=+~&\\x00é部")
QUICK = settings(max_examples=150)


def take(data: bytes, name: str = "list.txt") -> None:
    """Read bytes as a list, as a kit and as placements; only errors with a hint are let through."""

    def into_kit() -> None:
        reading = read_list(data, name)
        json.dumps(as_json(reading))
        parse_kit(kit_file_from(reading).encode(), name)
        settled = settle(reading)
        rulings = []
        for doubt in settled.questions[:40]:
            for answer in answers(settled, doubt):
                if not answer.typed:
                    rulings.append(answered(doubt, answer))
        after = settle(reading, rulings).reading
        if after.parts:
            parse_kit(kit_file_from(after).encode(), name)

    for read in (into_kit, lambda: read_placement(data, name)):
        refused = None
        try:
            read()
        except SoldersideError as error:
            refused = error
        assert refused is None or (refused.what and refused.hint)


@QUICK
@given(st.binary(max_size=600))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    take(data)


@QUICK
@given(st.text(alphabet=SIGNS, max_size=500))
def test_any_text_of_list_like_signs_is_read(text: str) -> None:
    take(text.encode())


@QUICK
@given(
    st.lists(
        st.lists(
            st.sampled_from(
                [
                    "R1",
                    "R1-R4",
                    "C3,",
                    "10k",
                    "100n",
                    "Ref",
                    "Value",
                    "Qty",
                    "2",
                    "",
                    "GAIN",
                    "R0603",
                    "<td>",
                    "|",
                    "---",
                    "T37-2",
                    "U$1",
                    "R1-R9999",
                ]
            ),
            min_size=1,
            max_size=6,
        ),
        max_size=12,
    ),
    st.sampled_from([",", ";", "\t", " | ", "   ", " "]),
)
def test_any_table_of_likely_cells_is_read(rows: list[list[str]], sign: str) -> None:
    take("\n".join(sign.join(row) for row in rows).encode())


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_a_damaged_list_is_read_or_refused(sample: Path) -> None:
    """Lists with bytes changed, cut out, doubled and swapped."""
    chance = random.Random(sample.name)
    data = sample.read_bytes()
    for _ in range(12):
        damaged = bytearray(data)
        for _ in range(chance.randint(1, 8)):
            at = chance.randrange(len(damaged) or 1)
            match chance.randrange(4):
                case 0:
                    damaged[at : at + 1] = chance.randbytes(1)
                case 1:
                    del damaged[at : at + chance.randint(1, 40)]
                case 2:
                    damaged[at:at] = damaged[at : at + chance.randint(1, 60)]
                case _:
                    damaged[at:at] = chance.choice(
                        [b'"', b"|", b"\n", b",", b"\t", b"<td>", b"\x00", b"\xff", b"R1-R1999", b"("]
                    )
        take(bytes(damaged), sample.name)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"%PDF-1.7 ...", "PDF"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"\x1f\x8b\x08", "compressed"),
        (bytes(range(256)) * 20, "not text"),
        (b"\x00" * 5000, "not text"),
        (b"PK\x03\x04rest", "damaged"),
    ],
)
def test_what_is_no_text_is_refused_with_a_hint(data: bytes, what: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        read_list(data, "list.bin")
    assert what in caught.value.what
    assert caught.value.where == "list.bin"
    assert caught.value.hint


def test_an_empty_file_and_prose_have_no_parts_and_say_so() -> None:
    for data in (b"", b"\n\n", b"There is nothing to build here.\nReally.\n"):
        reading = read_list(data, "empty.txt")
        assert reading.parts == ()
        assert any("no parts" in doubt.what for doubt in reading.doubts)


def thousand_lines() -> bytes:
    values = ["10k", "4k7", "100n", "22p", "47u 25V", "TL072", "1N4148", "BC547", "1M", "B100k"]
    rows = [
        f'4,{values[at % 10]},"R{4 * at}, R{4 * at + 1}, R{4 * at + 2}, R{4 * at + 3}"' for at in range(1, 1000)
    ]
    return "\n".join(["Qty,Value,Parts", *rows]).encode()


def test_a_list_of_a_thousand_lines_is_read_whole() -> None:
    reading = read_list(thousand_lines(), "long.csv")
    assert len(reading.parts) == 999
    assert sum(len(part.refs) for part in reading.parts) == 4 * 999


def large(kind: str) -> bytes:
    chance = random.Random(kind)
    size = 5_000_000
    match kind:
        case "list":
            line = "R{0},10k,0207,a resistor\n"
            return "".join(line.format(at) for at in range(250_000)).encode()[:size]
        case "signs":
            return bytes(chance.choices(b'R1C2 ,;|\t\n<td>"kn0159-*()[]', k=size))
        case "one line":
            return b"R1,10k," * (size // 7)
        case "ranges":
            return b"R1-R2000 10k\n" * (size // 13)
        case "tags":
            return b"<table><tr><td>R1<td>10k" * (size // 24)
        case "gaps":
            return (b"R1   10k   " * 15 + b"\n") * (size // 166)
        case "quotes":
            return b'R1,"10k\n' * (size // 8)
        case "pipes":
            return (b"|" * 200 + b"\n") * (size // 201)
        case _:
            return chance.randbytes(size)


KINDS = ["list", "signs", "one line", "ranges", "tags", "gaps", "quotes", "pipes", "noise"]


def test_five_megabytes_of_anything_are_read_or_refused_in_less_than_200_megabytes(tmp_path: Path) -> None:
    for kind in KINDS:
        (tmp_path / kind).write_bytes(large(kind))
    code = """
import resource, sys
from contextlib import suppress
from pathlib import Path
from bench.errors import SoldersideError
from bench.papers.lists import read_list
for name in sys.argv[1:]:
    data = Path(name).read_bytes()
    with suppress(SoldersideError):
        read_list(data, "large")
    del data
status = Path("/proc/self/status")  # the other figure is inherited from whoever started this
lines = status.read_text().splitlines() if status.exists() else []
peaks = [int(line.split()[1]) for line in lines if line.startswith("VmHWM")]
print(*peaks or [resource.getrusage(resource.RUSAGE_SELF).ru_maxrss])
"""
    command = [sys.executable, "-c", code, *(str(tmp_path / kind) for kind in KINDS)]
    root = Path(__file__).resolve().parents[2]
    peak = float(subprocess.run(command, capture_output=True, text=True, check=True, cwd=root).stdout)
    kilobytes = peak / 1024 if sys.platform == "darwin" else peak
    assert kilobytes < 200_000


@pytest.mark.parametrize(
    "unit", ["1", "1.", "1-", "`1", "R1-,", "\t|](", "R1=", "(,R1*", "&*|[]", "<td<", "10k "]
)
@pytest.mark.parametrize("width", [200, 20_000])
def test_long_runs_of_one_sign_take_less_than_two_seconds(unit: str, width: int) -> None:
    line = (unit * width)[:width]
    data = ("Ref,Value\n" + f"{line}\n" * (600_000 // width)).encode()
    begin = time.process_time()
    read_list(data, "runs.txt")
    assert time.process_time() - begin < 2


def test_what_was_not_read_of_a_large_file_is_said() -> None:
    reading = read_list(large("list"), "large.csv")
    assert any("longer than any parts list" in doubt.what for doubt in reading.doubts)
