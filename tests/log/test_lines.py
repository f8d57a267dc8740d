"""Lines of a log that were changed, copied, lost or numbered wrong: each is found, and hides nothing else."""

from __future__ import annotations

import random
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec
import pytest

from bench.errors import LogError
from bench.log import events as ev
from bench.log.file import LOG_NAME, LogFile, first_event, read_log
from bench.log.lines import Recovery, decoded, encoded
from tests.support.log_bytes import parse_log

AT = "2031-02-03T18:20:05.120Z"


def story(count: int = 36, run: str = "a") -> list[ev.AnyEvent]:
    """The first events of a build: mostly parts done."""
    events: list[ev.AnyEvent] = [ev.Started(n=1, at=AT, mono=0.0, run=run, log=1, kit="Lamp wobbler")]
    for n in range(2, count + 1):
        common: dict[str, Any] = {"n": n, "at": AT, "mono": float(n), "run": run}
        if n % 9 == 0:
            events.append(ev.Noted(**common, text=f"note {n} of {run}"))
        else:
            events.append(
                ev.Done(**common, stage="Flat parts", items=(f"main/R{n}",), value="4k7", refs=(f"R{n}",))
            )
    return events


def bare(event: ev.AnyEvent) -> bytes:
    """The line as it was written before lines had checksums."""
    return msgspec.json.encode(event) + b"\n"


def renumbered(event: ev.AnyEvent, n: int) -> ev.AnyEvent:
    changed: ev.AnyEvent = msgspec.structs.replace(event, n=n)
    return changed


def done_items(events: Sequence[ev.AnyEvent]) -> set[str]:
    return {item for event in events if isinstance(event, ev.Done) for item in event.items}


def test_the_checksum_is_crc_32_of_all_that_stands_before_it() -> None:
    # The check value of CRC-32/ISO-HDLC for "123456789" (catalogues of CRC algorithms print it; from memory).
    assert zlib.crc32(b"123456789") == 0xCBF43926
    line = encoded(story(2)[1])
    body, _, rest = line.partition(b',"crc":"')
    assert rest == b'%08x"}\n' % zlib.crc32(body)
    assert msgspec.json.decode(line)["crc"] == rest[:8].decode()


def test_a_log_from_before_checksums_is_read_as_before_and_goes_on_with_them(tmp_path: Path) -> None:
    events = story(12)
    (tmp_path / LOG_NAME).write_bytes(b"".join(map(bare, events)))
    with LogFile(tmp_path) as log:
        assert log.events == events
        assert log.remarks == []
        log.append(renumbered(story(3)[2], 13))
    with LogFile(tmp_path) as again:
        assert len(again.events) == 13
        assert again.remarks == []


def test_every_changed_byte_is_found() -> None:
    """Each of some 9,000 one-byte changes leaves the events as they were, or is told with its line."""
    events = story(12)
    raw = b"".join(map(encoded, events))
    chance = random.Random(1)
    for at in range(len(raw)):
        for new in {ord("9"), ord("\n"), ord('"'), chance.randrange(256), raw[at] ^ 1, raw[at] ^ 32} - {
            raw[at]
        }:
            found, remarks, torn = parse_log(raw[:at] + bytes((new,)) + raw[at + 1 :], "log")
            assert remarks or torn or found == events, (at, new)
            assert len(found) >= len(events) - 2


def test_without_checksums_a_wrong_number_that_stands_alone_is_one_bad_line() -> None:
    """A number that jumps hides no later work, whether lines carry checksums or not."""
    events = story()
    for write in (bare, encoded):
        for at in range(1, len(events) - 1):
            for number in (92, 3, 0, 1_000_000, -1):
                if number == events[at].n:
                    continue
                lines = [write(event) for event in events]
                lines[at] = write(renumbered(events[at], number))
                found, remarks, _ = parse_log(b"".join(lines), "log")
                assert done_items(found) == done_items(events), (at, number)
                assert [event.n for event in found] == list(range(1, 37))
                assert len(remarks) == 1
                assert remarks[0].startswith(f"log:{at + 1}: numbered {number} where {at + 1} is due")


def test_a_stray_line_between_two_that_follow_each_other_is_passed_over() -> None:
    events = story(6)
    lines = [*map(encoded, events[:4]), encoded(renumbered(story(9)[8], 77)), *map(encoded, events[4:])]
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert found == events
    assert len(remarks) == 1
    assert "log:5: numbered 77, but 5 comes next, skipped: 'note: note 9 of a'" in remarks[0]


def test_lines_that_are_gone_are_told_and_what_follows_is_read() -> None:
    events = story(20)
    found, remarks, _ = parse_log(b"".join(map(encoded, [*events[:8], *events[11:]])), "log")
    assert found == [*events[:8], *events[11:]]
    assert remarks == ["log:9: events 9 to 11 are missing before this line"]


def test_a_copy_is_told_from_a_repetition_and_both_sides_are_shown() -> None:
    here, there = story(20), story(22, run="b")
    repeated = b"".join(map(encoded, [*here, *here[15:18]]))
    found, remarks, _ = parse_log(repeated, "log")
    assert found == here
    assert [remark.split(":", 2)[2] for remark in remarks] == [
        f" event {n} again, as in line {n}, skipped" for n in (16, 17, 18)
    ]
    found, remarks, _ = parse_log(b"".join(map(encoded, [*here, *there[15:]])), "log")
    assert found == [*here, *there[20:]]
    assert len(remarks) == 5
    assert remarks[2].startswith(
        "log:23: event 18 differs from the one in line 18, which counts: there 'note: note 18"
    )
    assert "of a' at" in remarks[2]
    assert "of b' at" in remarks[2]


def test_a_line_nested_a_thousand_deep_is_one_bad_line(tmp_path: Path) -> None:
    events = story(4)
    for bomb in (b"[" * 1000, b'{"a":' * 5000, b'{"event":"noted","n":2,"x":' + b"[" * 100_000):
        found, remarks, _ = parse_log(b"".join([*map(encoded, events), bomb, b"\n"]), "log")
        assert found == events
        assert remarks == ["log:5: not an event, skipped"]
        assert parse_log(bomb, "log") == ([], [], bomb)
        (tmp_path / LOG_NAME).write_bytes(bomb + b"\n")
        assert first_event(tmp_path) is None


def test_a_line_that_an_older_version_added_is_read_with_a_word() -> None:
    events = story(6)
    lines = [*map(encoded, events[:3]), *map(bare, events[3:])]
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert found == events
    assert len(remarks) == 1
    assert remarks[0].startswith("log:4: no checksum on 3 lines from here to line 6")


@pytest.mark.parametrize("line_end", [b"\n", b"\r\n"])
def test_checksums_hold_whatever_the_line_ends(line_end: bytes) -> None:
    events = story(5)
    raw = b"".join(encoded(event)[:-1] + line_end for event in events)
    assert parse_log(raw, "log") == (events, [], b"")
    with pytest.raises(ValueError, match="changed after it was written"):
        decoded(raw.split(line_end)[1].replace(b"4k7", b"47k"))


def test_a_long_log_is_read_block_by_block_without_a_difference(tmp_path: Path) -> None:
    events = story(60_000)
    path = tmp_path / LOG_NAME
    path.write_bytes(b"".join(map(encoded, events)))
    assert path.stat().st_size > 2 * (1 << 22)
    found, size, ended = read_log(path)
    assert (size, ended) == (path.stat().st_size, True)
    assert found.events == events
    assert found.remarks == []
    assert found.events[100].stage is found.events[59_000].stage


def test_steps_go_into_no_file_that_was_renamed_aside(tmp_path: Path) -> None:
    """A program that keeps folders in step may put another file in the log's place while it is open."""
    from bench.errors import LogError

    with LogFile(tmp_path) as log:
        for event in story(3):
            log.append(event)
        path = tmp_path / LOG_NAME
        aside = path.rename(tmp_path / "log (conflict).jsonl")
        with pytest.raises(LogError, match="moved the log aside"):
            log.append(story(4)[3])
        path.write_bytes(aside.read_bytes())
        with pytest.raises(LogError, match="moved the log aside"):
            log.append(story(4)[3])
        assert path.read_bytes() == aside.read_bytes()


@pytest.mark.parametrize(
    "line",
    [
        b'{"event":"noted"}',
        b'{"log":"2"}',
        b'{"log":1}',
        b"[9]",
        b"9",
        b'{"event":"started","n":1,"log":0.5}',
        b"null",
    ],
)
def test_a_line_of_sound_json_that_is_no_event_is_one_bad_line_and_no_newer_log(line: bytes) -> None:
    events = story(4)
    found, remarks, _ = parse_log(b"".join([*map(encoded, events), line, b"\n"]), "log")
    assert found == events
    assert len(remarks) == 1
    assert remarks[0].startswith("log:5: ")
    assert remarks[0].endswith(", skipped")


def test_an_event_passed_over_is_told_in_sixty_signs_and_with_its_time() -> None:
    def told(text: str) -> str:
        stray = ev.Noted(n=77, at=AT, mono=1.0, run="a", text=text)
        lines = [*map(encoded, story(4)), encoded(stray), encoded(renumbered(story(3)[2], 5))]
        _, remarks, _ = parse_log(b"".join(lines), "log")
        return remarks[0].partition("skipped: ")[2]

    fits = "x" * (60 - len("note: "))
    assert told(fits) == f"'note: {fits}' at {AT}"
    assert told(f"{fits}y") == f"'note: {fits}...' at {AT}"


def test_one_missing_event_is_told_in_the_singular_and_lines_lost_before_are_not_told_twice() -> None:
    events = story(12)
    found, remarks, _ = parse_log(b"".join(map(encoded, [*events[:5], *events[6:]])), "log")
    assert found == [*events[:5], *events[6:]]
    assert remarks == ["log:6: event 6 is missing before this line"]
    lines = [*map(encoded, events)]
    lines[4:6] = [b"rubbish\n", b"more rubbish\n"]
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert found == [*events[:4], *events[6:]]
    assert [each.split(":")[1] for each in remarks] == ["5", "6"]
    del lines[5]
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert [each.split(":")[1] for each in remarks] == ["5", "6"]
    assert "event 5 is missing" not in remarks[1]


def test_two_wrong_numbers_in_a_row_are_each_read_as_the_number_that_is_due() -> None:
    events = story(20)
    lines = [*map(encoded, events)]
    lines[8], lines[9] = encoded(renumbered(events[8], 90)), encoded(renumbered(events[9], 71))
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert found == events
    assert [each.partition(": ")[2] for each in remarks] == [
        "numbered 90 where 9 is due, read as 9",
        "numbered 71 where 10 is due, read as 10",
    ]


def test_one_line_without_a_checksum_is_told_as_one() -> None:
    events = story(6)
    lines = [*map(encoded, events[:3]), bare(events[3]), *map(encoded, events[4:])]
    found, remarks, _ = parse_log(b"".join(lines), "log")
    assert found == events
    assert remarks == ["log:4: no checksum on this line: an older version, or a change; read all the same"]


def test_a_first_line_that_cannot_be_read_is_a_newer_log_only_while_its_checksum_holds() -> None:
    body = b'{"event":"begun","n":1,"log":99'
    line = body + b',"crc":"%08x"}\n' % zlib.crc32(body)
    with pytest.raises(LogError, match="newer version"):
        parse_log(line, "log")
    found, remarks, _ = parse_log(line.replace(b'"log":99', b'"log":98') + encoded(story(1)[0]), "log")
    assert found == story(1)
    assert len(remarks) == 1


def test_a_text_that_many_events_of_a_long_log_say_is_kept_once() -> None:
    common: dict[str, Any] = {
        "at": AT, "run": "a1b2c3", "stage": "Flat parts", "board": "main", "step": "main/R1",
        "items": ("main/R1",), "refs": ("R1",), "value": "4k7",
    }  # fmt: skip
    lines = [encoded(story(1)[0]), *(encoded(ev.Done(n=n, mono=float(n), **common)) for n in (2, 3))]
    recovery = Recovery("here", share=True)
    recovery.read([b"".join(lines)])
    _, first, second = recovery.events
    for name in ("run", "stage", "board", "step", "items", "refs"):
        assert getattr(first, name) == common[name]
        assert getattr(first, name) is getattr(second, name)
