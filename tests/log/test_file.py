"""The log on disk: what is shown as done is on the disk, and every damage is survived and told."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import LogError
from bench.files import MEGABYTE
from bench.log import events as ev
from bench.log.file import LOCK_NAME, LOG_NAME, LogFile, first_event, read_log
from tests.support.log_bytes import parse_log

AT = "2031-02-03T18:20:05.120Z"


def started(n: int = 1, log: int = ev.LOG_VERSION) -> ev.Started:
    return ev.Started(n=n, at=AT, mono=0.0, run="a", log=log, kit="Lamp wobbler")


def note(n: int, text: str = "x") -> ev.Noted:
    return ev.Noted(n=n, at=AT, mono=float(n), run="a", text=text)


def written(folder: Path, *events: ev.AnyEvent) -> Path:
    with LogFile(folder) as log:
        for event in events:
            log.append(event)
    return folder / LOG_NAME


def test_what_was_appended_is_read_back_in_order(tmp_path: Path) -> None:
    written(tmp_path, started(), note(2, "a\nb\x1b[31m"), note(3, "µΩ"))
    with LogFile(tmp_path) as log:
        assert log.events == [started(), note(2, "a\nb\x1b[31m"), note(3, "µΩ")]
        assert log.remarks == []


def test_each_event_is_one_line_of_json(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2, "two\nlines"))
    lines = path.read_bytes().splitlines()
    assert [msgspec.json.decode(line)["event"] for line in lines] == ["started", "noted"]


def test_every_event_reaches_the_disk_before_append_returns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[int] = []
    real = os.fsync

    def counting(fd: int) -> None:
        synced.append(os.fstat(fd).st_size)
        real(fd)

    with LogFile(tmp_path) as log:
        monkeypatch.setattr(os, "fsync", counting)
        log.append(started())
        log.append(note(2))
        assert synced[-1] == (tmp_path / LOG_NAME).stat().st_size
        assert len(synced) == 2


def test_a_log_cut_at_every_byte_still_opens_and_says_what_it_set_aside(tmp_path: Path) -> None:
    events: list[ev.AnyEvent] = [started(), note(2, "ä"), note(3, "longer text"), note(4)]
    whole = written(tmp_path / "whole", *events).read_bytes()
    ends = [position + 1 for position, byte in enumerate(whole) if byte == 10]
    for cut in range(len(whole) + 1):
        folder = tmp_path / f"cut-{cut}"
        folder.mkdir()
        (folder / LOG_NAME).write_bytes(whole[:cut])
        complete = sum(end <= cut or end == cut + 1 for end in ends)
        with LogFile(folder) as log:
            assert log.events == events[:complete], cut
            torn = whole[:cut][ends[complete - 1] if complete and ends[complete - 1] <= cut else 0 :]
            if cut and not any(cut in (end, end - 1) for end in ends):
                aside = list(folder.glob("log.torn-*.txt"))
                assert [each.read_bytes() for each in aside] == [torn]
                assert "torn" in log.remarks[0]
            log.append(note(len(log.events) + 1, "goes on"))
        events_again, bad, rest = parse_log((folder / LOG_NAME).read_bytes(), "log")
        assert [event.n for event in events_again] == list(range(1, complete + 2))
        assert not bad
        assert not rest


def test_a_bad_line_in_the_middle_is_reported_with_its_number_and_passed_over(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2), note(3))
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + b'{"event":"noted","n":2,"at"\xff\n' + lines[2])
    before = path.read_bytes()
    with LogFile(tmp_path) as log:
        assert [event.n for event in log.events] == [1, 3]
        assert f"{path}:2: not an event, skipped" in log.remarks
        assert len(log.remarks) == 1
    assert path.read_bytes() == before


def test_lines_that_stand_twice_are_read_once(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2), note(3))
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([lines[0], lines[1], lines[1], lines[2]]))
    with LogFile(tmp_path) as log:
        assert [event.n for event in log.events] == [1, 2, 3]
        assert len(log.remarks) == 1


def test_line_ends_of_another_system_are_understood(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2))
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    with LogFile(tmp_path) as log:
        assert len(log.events) == 2


@pytest.mark.parametrize(
    "line",
    [
        msgspec.json.encode(started(log=ev.LOG_VERSION + 1)),
        b'{"event":"begun","log":99,"n":1,"who":"unknown to this version"}',
    ],
)
def test_a_log_from_a_newer_version_is_refused_and_left_alone(tmp_path: Path, line: bytes) -> None:
    path = tmp_path / LOG_NAME
    path.write_bytes(line + b"\n")
    with pytest.raises(LogError, match="newer version"):
        LogFile(tmp_path)
    assert path.read_bytes() == line + b"\n"


def test_a_second_window_reads_and_cannot_write(tmp_path: Path) -> None:
    with LogFile(tmp_path) as first:
        first.append(started())
        with LogFile(tmp_path) as second:
            assert second.read_only
            assert "another window" in second.why_read_only
            assert second.events == [started()]
            with pytest.raises(LogError, match="another window"):
                second.append(note(2))
        first.append(note(2))
    with LogFile(tmp_path) as third:
        assert not third.read_only


def test_a_lock_file_left_by_a_crash_does_not_lock_anybody_out(tmp_path: Path) -> None:
    written(tmp_path, started())
    (tmp_path / "log.lock").write_text("stale")
    with LogFile(tmp_path) as log:
        assert not log.read_only


def _no_space(*_: object) -> int:
    raise OSError(errno.ENOSPC, "No space left on device")


def _half(real: Callable[[int, bytes], int]) -> Callable[[int, bytes], int]:
    return lambda fd, data: real(fd, data[: len(data) // 2])


@pytest.mark.parametrize("failing", ["write", "fsync", "half"])
def test_an_event_that_cannot_be_written_leaves_no_trace_and_can_be_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    with LogFile(tmp_path) as log:
        log.append(started())
        before = (tmp_path / LOG_NAME).read_bytes()
        with monkeypatch.context() as broken:
            if failing == "half":
                broken.setattr(os, "write", _half(os.write))
            else:
                broken.setattr(os, failing, _no_space)
            with pytest.raises(LogError, match="not written"):
                log.append(note(2))
        assert (tmp_path / LOG_NAME).read_bytes() == before
        assert log.events == [started()]
        log.append(note(2))
    with LogFile(tmp_path) as again:
        assert [event.n for event in again.events] == [1, 2]


def test_a_log_changed_or_deleted_by_another_program_is_noticed(tmp_path: Path) -> None:
    with LogFile(tmp_path) as log:
        log.append(started())
        with (tmp_path / LOG_NAME).open("ab") as other:
            other.write(b"from elsewhere\n")
        with pytest.raises(LogError, match="another program"):
            log.append(note(2))
        assert (tmp_path / LOG_NAME).read_bytes().endswith(b"from elsewhere\n"), "what others wrote stays"
    with LogFile(tmp_path / "other") as log:
        log.append(started())
        (tmp_path / "other" / LOG_NAME).unlink()
        with pytest.raises(LogError, match="deleted"):
            log.append(note(2))


def test_the_first_event_can_be_had_without_the_rest(tmp_path: Path) -> None:
    written(tmp_path, started(), note(2))
    assert first_event(tmp_path) == started()
    assert first_event(tmp_path / "nowhere") is None


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_with_a_word(raw: bytes) -> None:
    try:
        events, _, torn = parse_log(raw, "log")
    except LogError as error:
        assert error.what  # noqa: PT017
    else:
        assert raw.endswith(torn)
        assert all(isinstance(event, ev.Event) for event in events)


def test_closing_twice_lets_go_of_nothing_else(tmp_path: Path) -> None:
    log = LogFile(tmp_path)
    log.close()
    other = (tmp_path / "other.txt").open("w", encoding="utf-8")
    standard = os.fstat(0)
    log.close()
    assert os.fstat(0) == standard
    other.write("still open")
    other.close()
    assert log.read_only
    assert log.why_read_only == "the log is closed"


def test_what_is_torn_off_again_at_one_place_is_kept_beside_what_was_torn_off_before(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2))
    whole = path.read_bytes()
    for torn in (b'{"event":"noted","n":3', b'{"event":"no', b"{"):
        path.write_bytes(whole + torn)
        with LogFile(tmp_path) as log:
            assert log.events == [started(), note(2)]
            (said,) = log.remarks
            assert f"its {len(torn)} bytes are kept in log.torn-at-{len(whole)}" in said
        assert path.read_bytes() == whole
    kept = {each.name: each.read_bytes() for each in tmp_path.glob("log.torn-*")}
    assert kept == {
        f"log.torn-at-{len(whole)}.txt": b'{"event":"noted","n":3',
        f"log.torn-at-{len(whole)}-2.txt": b'{"event":"no',
        f"log.torn-at-{len(whole)}-3.txt": b"{",
    }


def test_a_whole_last_line_without_its_end_gets_one_and_is_followed_by_the_next(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2))
    whole = path.read_bytes()
    path.write_bytes(whole.removesuffix(b"\n"))
    with LogFile(tmp_path) as log:
        assert (log.events, log.remarks) == ([started(), note(2)], [])
        assert path.read_bytes() == whole
        log.append(note(3))
    with LogFile(tmp_path) as log:
        assert log.events == [started(), note(2), note(3)]


def test_a_log_that_is_only_read_is_left_torn_and_says_so(tmp_path: Path) -> None:
    path = written(tmp_path, started(), note(2))
    torn = path.read_bytes() + b'{"event":"no'
    path.write_bytes(torn)
    with LogFile(tmp_path, read_only=True) as log:
        assert log.events == [started(), note(2)]
        assert "the last line is torn (12 bytes) and is not read" in log.remarks[0]
    assert path.read_bytes() == torn
    assert not list(tmp_path.glob("log.torn-*"))


def test_a_new_log_and_what_was_torn_off_are_in_their_folder_for_good_before_work_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new file survives a power cut only once its folder is on the disk too: fsync(2)."""
    synced: list[list[str]] = []

    def sync(folder: Path) -> None:
        synced.append(sorted(f"{each.name} {each.stat().st_size}" for each in folder.glob("log.[jt]*")))

    monkeypatch.setattr("bench.log.file.sync_folder", sync)
    log = LogFile(tmp_path)
    assert [each[0].split()[0] for each in synced] == [LOG_NAME]
    log.append(started())
    log.close()
    LogFile(tmp_path).close()
    assert len(synced) == 1, "nothing new, nothing to wait for"
    whole = log.path.stat().st_size
    with log.path.open("ab") as file:
        file.write(b"torn")
    flushed: list[int] = []
    monkeypatch.setattr(os, "fsync", lambda fd: flushed.append(os.fstat(fd).st_size))
    LogFile(tmp_path).close()
    assert flushed == [len(b"torn"), whole], "what is torn off first, then the log without it"
    assert synced[1:] == [[f"{LOG_NAME} {whole + 4}", f"log.torn-at-{whole}.txt 4"]], (
        "kept before it is cut off"
    )


@pytest.mark.parametrize("name", [LOG_NAME, LOCK_NAME])
def test_a_link_in_a_strangers_folder_is_not_written_through(tmp_path: Path, name: str) -> None:
    build = tmp_path / "build"
    path, elsewhere = written(build, started()), tmp_path / "elsewhere"
    elsewhere.write_bytes(path.read_bytes() if name == LOG_NAME else b"")
    before = elsewhere.read_bytes()
    (build / name).unlink(missing_ok=True)
    (build / name).symlink_to(elsewhere)
    with LogFile(build) as log:
        assert log.read_only
        assert log.why_read_only == f"the log cannot be written ({name} is a link, not a file)"
    assert elsewhere.read_bytes() == before


def test_a_log_that_cannot_be_had_says_why(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="there is no log here"):
        LogFile(tmp_path, read_only=True)
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(LogError, match="the build's folder cannot be written"):
        LogFile(tmp_path / "file")
    (tmp_path / "odd" / LOG_NAME).mkdir(parents=True)
    with pytest.raises(LogError):
        LogFile(tmp_path / "odd", read_only=True)
    assert first_event(tmp_path) is None
    with (tmp_path / LOG_NAME).open("wb") as file:
        file.truncate(500 * MEGABYTE + 1)
    with pytest.raises(LogError, match="500 MB"):
        read_log(tmp_path / LOG_NAME)


def test_a_torn_log_that_cannot_be_mended_is_read_and_not_written_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    (tmp_path / LOG_NAME).write_bytes(b"{torn")
    monkeypatch.setattr(os, "ftruncate", refuse)
    with LogFile(tmp_path) as log:
        assert log.why_read_only == "the log cannot be mended (No space left on device)"
        assert (tmp_path / LOG_NAME).read_bytes() == b"{torn"
