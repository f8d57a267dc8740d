"""Files that are broken in seeded ways: each is read, or refused with a word; none ends in a traceback.

`SOLDERSIDE_FUZZ_CASES` sets how many cases there are in all, `SOLDERSIDE_FUZZ_SEED` another seed.
"""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.kit.load import parse_kit
from bench.log.amend import undone, with_corrections
from bench.log.event_text import describe
from bench.log.fold import fold
from bench.papers.lists import as_json, read_list
from bench.plan.procedure import parse_procedure, shipped_procedures
from bench.plan.stages import make_plan
from bench.settings import parse_settings, shipped_kits_folder
from bench.ui.text import clean
from bench.writeup.markdown import write_up
from bench.writeup.publish import whole_story
from tests.support.log_bytes import parse_log

CASES = int(os.environ.get("SOLDERSIDE_FUZZ_CASES", "10000"))
SEED = int(os.environ.get("SOLDERSIDE_FUZZ_SEED", "20310203"))

KIT = (shipped_kits_folder() / "first-evening-metronome.yaml").read_bytes()
PROCEDURES = [path.read_bytes() for path in shipped_procedures().values()]
WHOLE_KIT, WHOLE_PROCEDURE = parse_kit(KIT, "kit"), parse_procedure(PROCEDURES[0], "procedure")
WHOLE_PLAN = make_plan(WHOLE_KIT, WHOLE_PROCEDURE)
SETTINGS = b"""theme = "dark"
break_after_minutes = 15.0
step_size = 0
[meter]
name = "bench meter"
volts = [{full_scale = "6 V", resolution = "1 mV", percent = 0.5, counts = 2}]
[keys]
done = "f5 space"
"""
LOG = b"".join(
    b'{"event":"%s","n":%d,"at":"2031-02-03T18:2%d:05.120Z","mono":%d.5,"run":"a"%s}\n'
    % (tag, n, n % 10, n, more)
    for n, (tag, more) in enumerate(
        [
            (b"started", b',"log":1,"kit":"Metronome"'),
            (b"opened", b""),
            (b"done", b',"items":["main/R1","main/R2"],"value":"4k7","refs":["R1","R2"],"joints":4'),
            (b"noted", b',"text":"a tip","mark":"tip"'),
            (b"snagged", b',"what":"bridge","part":"R2","minutes":4.5,"fix":""'),
            (b"mended", b',"of":5,"fix":"braid","minutes":5'),
            (b"reading", b',"point":"TP1","text":"4.99 V","expect":"5 V","verdict":"in"'),
            (b"tracking pass", b',"trim":"Scale","points":[[0,130.8],[1,261]],"turned":[["RV1",0.5]]'),
            (b"held back", b',"items":["main/C1"],"value":"10u","refs":["C1"],"reason":"missing"'),
            (b"undone", b',"of":9'),
            (b"corrected", b',"of":5,"field":"what","to":"a bridge"'),
            (b"joints counted", b',"counted":40,"expected":42'),
            (b"gap settled", b',"seconds":900.5,"worked":false'),
            (b"closed", b""),
        ],
        1,
    )
)
LIST = b'Qty,Value,Parts\n2,4k7,"R1, R2"\n1,100n,C1\n1,TL072,U1\n3,1N4148,D1-D3\n1,B100k,RV1\n'
SPLICES: list[bytes] = [
    b"\x00", b"\x1b[2J", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\t", b"\xc3\x28", b"\n" * 50,
    "\u202e".encode(), "\u200b".encode(), "e\u0301\u0301".encode(), "漢".encode(), "Ω".encode(),
    b"{", b"}", b"[", b"]", b": ", b"- ", b"&a ", b"*a", b"!!python/object:os.system ", b"<<: ",
    b'"', b"'", b"#", b"|", b">", b"%", b"---\n", b"...\n", b"[" * 300,
    b"1e999", b"-1", b"NaN", b"99999999999999999999", b"1e-400", b"0x10", b"null", b"true",
    b"../../etc/passwd", b"A" * 5000, b"R1-R99999999",
]  # fmt: skip


def broken(chance: random.Random, whole: bytes) -> bytes:
    """The bytes of a file after a few accidents."""
    raw = bytearray(whole)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(raw) + 1)
        far = min(len(raw), at + chance.randint(1, 40))
        match chance.randrange(7):
            case 0:
                raw[at:far] = b""
            case 1:
                raw[at:at] = chance.choice(SPLICES)
            case 2 if at < len(raw):
                raw[at] ^= 1 << chance.randrange(8)
            case 3:
                raw[at:at] = raw[at:far]
            case 4:
                lines = bytes(raw).split(b"\n")
                chance.shuffle(lines)
                raw = bytearray(b"\n".join(lines))
            case 5:
                del raw[at:]
            case _:
                raw[at:far] = chance.choice(SPLICES)
    return bytes(raw)


def read_kit(raw: bytes) -> str:
    kit = parse_kit(raw, "kit.yaml")
    plan = make_plan(kit, WHOLE_PROCEDURE)
    return " ".join(step.value for step in plan.steps)


def read_procedure(raw: bytes) -> str:
    return " ".join(step.value for step in make_plan(WHOLE_KIT, parse_procedure(raw, "mine.yaml")).steps)


def read_settings(raw: bytes) -> str:
    settings, warnings = parse_settings(raw.decode("utf-8", "replace"), "settings.toml")
    return f"{settings} {warnings}"


def read_log(raw: bytes) -> str:
    events, remarks, _ = parse_log(raw, "log.jsonl")
    progress = fold(events)
    kept = with_corrections(events, undone(events))
    page = write_up(whole_story(WHOLE_KIT, WHOLE_PLAN, events, progress))
    return " ".join([*remarks, *map(describe, kept), page])


def read_parts(raw: bytes) -> str:
    return str(as_json(read_list(raw, "parts.csv")))


READERS: list[tuple[str, Callable[[bytes], str], list[bytes], float]] = [
    ("kit", read_kit, [KIT], 0.2),
    ("procedure", read_procedure, PROCEDURES, 0.15),
    ("settings", read_settings, [SETTINGS], 0.25),
    ("log", read_log, [LOG], 0.25),
    ("list", read_parts, [LIST], 0.15),
]


@pytest.mark.parametrize(("name", "read", "wholes", "share"), READERS, ids=[each[0] for each in READERS])
def test_a_broken_file_is_read_or_refused_with_a_word(
    name: str, read: Callable[[bytes], str], wholes: list[bytes], share: float
) -> None:
    chance = random.Random(f"{SEED} {name}")
    refused = 0
    for number in range(round(CASES * share)):
        raw = broken(chance, chance.choice(wholes))
        try:
            said = read(raw)
        except SoldersideError as error:
            refused += 1
            said = " ".join(str(fault) for fault in error.faults)
            assert said.strip(), (SEED, number)
        assert clean(said, 100_000).isprintable(), (SEED, number)
    assert 0 < refused < CASES * share or name in ("log", "list"), "either nothing or everything was broken"


def test_the_files_that_are_broken_here_can_be_read_whole() -> None:
    for _, read, wholes, _ in READERS:
        for whole in wholes:
            assert read(whole)


def test_a_path_in_a_kit_file_leads_nowhere(tmp_path: Path) -> None:
    """A kit's texts name no files: what looks like a path stays a text, and folders get safe names."""
    from bench.session.event_writer import SystemClock
    from bench.session.folders import open_build
    from bench.settings import Settings

    text = KIT.decode().replace("name: ", "name: ../../../escaped/", 1)
    kit = tmp_path / "kit.yaml"
    kit.write_text(text, encoding="utf-8")
    data = tmp_path / "data"
    build = open_build(data, str(kit), Settings(), SystemClock())
    build.close()
    inside = build.log.folder.resolve()
    assert inside.is_relative_to((data / "builds").resolve())
    assert ".." not in inside.name
