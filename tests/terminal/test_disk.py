"""A disk that fails under the running program: said at once, nothing shown as done, and work can go on."""

from __future__ import annotations

import shutil
import signal
import sys
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")
pytest.importorskip("resource", reason="needs limits for files, as POSIX has them")
import resource

from tests.support.at_bench import LARGE, SMALL, at_bench, log_of, place_of, walk

if not hasattr(resource, "prlimit"):
    pytest.skip("needs Linux to limit another process", allow_module_level=True)


def build_folder(data: Path) -> Path:
    return next((data / "builds").glob("*/log.jsonl")).parent


def test_a_full_disk_is_said_at_once_and_the_key_works_when_there_is_room_again(tmp_path: Path) -> None:
    """A limit on the size of files makes the system refuse the write, as a full disk does."""
    assert signal.getsignal(signal.SIGXFSZ) == signal.SIG_IGN, "Python leaves the error to the write"
    with at_bench(LARGE, tmp_path) as terminal:
        walk(terminal, "step 5 of")
        before, events = place_of(terminal), len(log_of(tmp_path))
        size = (build_folder(tmp_path) / "log.jsonl").stat().st_size
        resource.prlimit(terminal.pid, resource.RLIMIT_FSIZE, (size + 40, resource.RLIM_INFINITY))
        for _ in range(3):
            terminal.send("space")
            terminal.wait("ot written")
            terminal.settle()
            assert place_of(terminal) == before
        assert len(log_of(tmp_path)) == events
        assert (build_folder(tmp_path) / "log.jsonl").stat().st_size == size, "half a line was left"
        resource.prlimit(terminal.pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        terminal.send("space")
        terminal.wait("step 1 of")
    assert [event["event"] for event in log_of(tmp_path)[events:]] == ["done"]


def test_a_folder_that_is_deleted_is_said_at_once_and_goes_on_from_a_copy(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "step 2 of")
        before = place_of(terminal)
        saved = tmp_path / "saved"
        shutil.copytree(build_folder(tmp_path), saved)
        shutil.rmtree(build_folder(tmp_path))
        terminal.send("space")
        terminal.wait("deleted")
        terminal.settle()
        assert place_of(terminal) == before
        terminal.send("q")
        terminal.wait_exit()
    shutil.copytree(saved, tmp_path / "builds" / "first-evening-metronome-rev-a")
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 2 of")


def test_a_folder_that_is_moved_away_still_takes_what_is_done(tmp_path: Path) -> None:
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "step 2 of")
        events = len(log_of(tmp_path))
        folder = build_folder(tmp_path)
        folder.rename(tmp_path / "elsewhere")
        terminal.send("space")
        terminal.wait("step 5 of")
        (tmp_path / "elsewhere").rename(folder)
        assert len(log_of(tmp_path)) == events + 3, "three tasks are done with one press"


def test_a_log_written_on_by_another_program_is_not_written_over(tmp_path: Path) -> None:
    """As when a folder is kept in step with another computer that has the build open too."""
    with at_bench(SMALL, tmp_path) as terminal:
        walk(terminal, "step 2 of")
        log = build_folder(tmp_path) / "log.jsonl"
        line = b'{"event":"noted","n":99,"at":"2031-02-03T18:20:05.120Z","mono":1,"run":"b","text":"there"}\n'
        theirs = log.read_bytes() + line
        log.write_bytes(theirs)
        terminal.send("space")
        terminal.wait("another program")
        terminal.settle()
        assert log.read_bytes() == theirs
        terminal.send("q")
        terminal.wait_exit()
    with at_bench(SMALL, tmp_path) as terminal:
        terminal.wait("step 2 of")
        terminal.send("space")
        terminal.wait("step 5 of")


@pytest.mark.skipif(sys.platform == "win32", reason="permissions of POSIX")
def test_a_data_folder_that_cannot_be_made_is_a_word_and_no_traceback(tmp_path: Path) -> None:
    (tmp_path / "builds").write_text("a file stands where the folder should be", encoding="utf-8")
    with at_bench(SMALL, tmp_path) as terminal:
        assert terminal.wait_exit() == 1
        assert "Traceback" not in terminal.text
        assert "builds" in terminal.text
