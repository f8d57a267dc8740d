"""Every place of the command table in plain lines: what the screen can do, lines can do too."""

from __future__ import annotations

import io
import os
import pty
import sys
import time
from collections.abc import Iterable
from pathlib import Path

import pytest

from bench.batch.store import load_batch
from bench.cli import main
from bench.log import events as ev
from bench.plain.article import ArticlePlace
from bench.plain.build_rows import Bag, Checks, LogRows
from bench.plain.fault import FaultRows
from bench.plain.film import Film
from bench.plain.parts_list import Columns, PartsList
from bench.plain.place import Place
from bench.plain.session import PlainSession
from bench.plain.shelf import BatchRows, Shelf
from bench.plain.trims import Trims
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import build_folders, open_build, read_back
from bench.settings import Settings, shipped_kits_folder
from bench.ui.commands import COMMANDS
from bench.ui.form_table import FORMS

METRONOME = shipped_kits_folder() / "first-evening-metronome.yaml"
PLACES: tuple[type[Place], ...] = (
    PlainSession, Bag, Checks, LogRows, Film, Trims, FaultRows, ArticlePlace, Shelf, BatchRows, PartsList,
    Columns,
)  # fmt: skip
TO_LOOK_AT = {
    "mark": "a mark on the clock that fills the screen", "clock": "a clock to film",
    "step": "back from the map, which is said, not drawn",
    "edit": "an editor fills the screen", "page": "a page in a browser", "copy_path": "a clipboard",
    "other_look": "colours", "up": "scrolls a card", "down": "scrolls a card",
    "open_list": "a path is typed", "all_papers": "a path is typed", "type_path": "a path is typed",
    "right": "asked one by one", "another": "asked one by one", "all_agree": "asked one by one",
}  # fmt: skip
"""Commands without a counterpart in lines, and why."""


def make_build(folder: Path, _: object) -> Build:
    return open_build(folder.parent.parent, str(METRONOME), Settings(), SystemClock())


def talk(build: Build, *lines: str) -> list[str]:
    """What is said while these lines are typed."""
    typed, said = iter(lines), list[str]()

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, said.append).run()
    return said


def shelf(
    data: Path, lines: Iterable[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> str:
    """What the program says of the shelf in lines while these are typed; not wrapped."""
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    assert main(["--plain", "--data", str(data)]) == 0
    return capsys.readouterr().out


def test_every_command_of_every_place_works_in_lines_or_is_a_matter_of_looking() -> None:
    here = {place.place: place for place in PLACES}
    missing = {
        (place, command.name)
        for command in COMMANDS
        for place in command.places
        if place in here
        and command.name not in TO_LOOK_AT
        and not command.name.startswith("answer_")
        and not hasattr(here[place], f"do_{command.name}")
        and not (command.name in FORMS and place != "shelf")
    }
    assert not missing
    assert set(TO_LOOK_AT) <= {command.name for command in COMMANDS}


def test_a_correction_an_undo_and_a_return_in_the_log(build: Build) -> None:
    said = talk(build, "note", "a bridgge", "log", "edit", "a bridge", "x", "x", "q")
    assert [note.text for note in build.progress.notes] == ["a bridge"]
    assert [ev.tag_of(event) for event in build.events[-4:]] == ["corrected", "undone", "undone", "closed"] or [
        ev.tag_of(event) for event in build.events[-3:]
    ] == ["corrected", "undone", "undone"]
    assert any(line.startswith("Undone: ") for line in said)
    assert any(line.startswith("Restored: ") for line in said)


def test_any_check_can_be_read_long_before_its_step(build: Build) -> None:
    rows = Checks(PlainSession(build, Settings(), str, lambda _: None).desk, build).rows()
    at = next(number for number, row in enumerate(rows, 1) if "expect" in row)
    talk(build, "meter", str(at), "r", "1.5k", "back")
    assert build.progress.readings[-1].text == "1.5k"


def test_where_to_look_is_gone_through_line_by_line(build: Build) -> None:
    said = talk(
        build, "f", "no sound at all", "all right", "x", "a dry joint", "s", "dry joint", "", "again", "", "q"
    )
    settled = [event for event in build.events if isinstance(event, ev.SuspicionSettled)]
    assert [each.found for each in settled] == [False, True]
    assert [snag.what for snag in build.progress.snags] == ["dry joint"]
    assert any(line.startswith("2 of ") for line in said)


def test_the_write_up_is_read_and_written(build: Build) -> None:
    said = talk(build, "o", "page down", "a", "q")
    assert sum(line.startswith("Written: ") for line in said) >= 3
    assert any(line.startswith("10: ") for line in said)


def test_the_shelf_starts_a_kit_keeps_a_batch_and_comes_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = shelf(
        tmp_path, ["2", "b", "batch", "r", "back", "open", "done", "k", "1", "record", "q"], monkeypatch, capsys
    )
    assert "1 of 1: " in said
    assert "Mark the errata" in said or "Count the parts" in said
    assert len(load_batch(tmp_path).kits) == 1
    latest = next(build_folders(tmp_path), None)
    assert latest is not None
    _, progress, build = read_back(tmp_path, latest, Settings())
    assert len(progress.done) == 1
    build.log.close()


def test_a_makers_list_is_read_asked_about_and_built(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = tmp_path / "parts.csv"
    parts.write_text("Reference,Value,Qty\nR1,10k,1\nR2 R3,4k7,3\nC1,100n,1\n", encoding="utf-8")
    data = tmp_path / "data"
    data.mkdir()
    monkeypatch.chdir(tmp_path)
    said = shelf(
        data,
        ["r", "1", "1", "make", "write the kit", "Small amp", "", "", "b", "q"],
        monkeypatch,
        capsys,
    )
    assert "1 question left." in said
    assert (data / "kits" / "small-amp.yaml").is_file()
    assert any(build_folders(data))


def test_a_terminal_that_cannot_place_its_cursor_gets_plain_lines_with_a_word(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    assert main(["build", str(METRONOME), "--data", str(tmp_path)]) == 0
    assert capsys.readouterr().out.startswith("This terminal (TERM=dumb)")


def test_the_end_of_a_wait_is_told_while_nobody_types(tmp_path: Path) -> None:
    pid, terminal = pty.fork()
    if pid == 0:
        arguments = [sys.executable, "-m", "bench.cli", "build", "first-evening-metronome", "--plain", "--data"]
        os.execv(sys.executable, [*arguments, str(tmp_path)])
    heard = b""

    def hear_until(text: bytes, seconds: float) -> None:
        nonlocal heard
        end = time.monotonic() + seconds
        while text not in heard and time.monotonic() < end:
            heard += os.read(terminal, 4096)

    hear_until(b"> ", 20)
    os.write(terminal, b"wait\n0.02\nthe glue\n")
    hear_until(b"Wait over: the glue.", 20)
    os.write(terminal, b"q\n")
    assert b"Wait over: the glue." in heard
    os.waitpid(pid, 0)
    os.close(terminal)


@pytest.mark.parametrize("keys", [("f9",), ("/", "f9")])
def test_the_film_kit_is_written_in_plain_lines_too(build: Build, keys: tuple[str, ...]) -> None:
    said = talk(build, *keys, "q", "q")
    assert any("1 file written" in line for line in said)
    assert any("No clip has been named yet" in line for line in said)
    assert (build.log.folder / "film" / "description.txt").is_file()


def test_a_word_that_means_nothing_is_answered_with_what_may_be_meant(build: Build) -> None:
    said = talk(build, "doen", "all there", "q")
    assert "There is no command doen here; did you mean done?" in said
    assert "There is no command all there here; it works in: counting the bag." in said


def test_no_sign_of_the_screen_is_said(build: Build) -> None:
    rows = Checks(PlainSession(build, Settings(), str, lambda _: None).desk, build).rows()
    at = next(number for number, row in enumerate(rows, 1) if "expect >" in row)
    said = talk(build, "f5", str(at), "r", "100k", "say again", "q")
    assert any(line.startswith("in: 100 kohm") for line in said)
    assert not set("✓✗▲◆≠Ω·»▼") & set("".join(said))


def test_coming_back_with_nothing_changed_the_step_is_not_read_out_again(build: Build) -> None:
    said = talk(build, "log", "back", "bag", "x", "another", "", "back", "back", "q")
    same = [at for at, line in enumerate(said) if line.startswith("At the bench, the step as before; back")]
    assert len(same) == 2
    step = build.next_step
    assert step is not None
    assert sum(line.startswith(step.value) for line in said) == 2, "at the start, and when it was asked for"
