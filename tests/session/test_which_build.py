"""Which build a kit file goes with, and the copies of kit and procedure that a build goes by."""

from __future__ import annotations

import asyncio
import hashlib
import os
from pathlib import Path
from typing import Any

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.kit.load import kit_of
from bench.session.build import Build
from bench.session.folders import open_build
from bench.session.own_files import keep_copy, sound_copy
from bench.session.which_build import WhichBuild
from bench.settings import Settings
from bench.tui.app import BenchApp
from tests.support.samples import HandClock
from tests.support.screens import headless, screen_text

KIT = """\
kit: 1
name: Ember lamp
maker: Lantern Yard Workshop
revision: A
boards:
  - name: main
    parts:
      - {refs: R1-R4, value: 47R}
      - {refs: R5, value: 1k}
"""


def put(folder: Path, text: str = KIT, name: str = "ember.yaml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def opened(folder: Path, named: Path | str, **how: Any) -> Build:
    return open_build(folder / "data", str(named), Settings(), HandClock(), **how)


def begun(folder: Path, text: str = KIT) -> Build:
    build = opened(folder, put(folder, text))
    while not any("R1" in item for item in build.progress.done):
        build.done()
    build.close()
    return build


def test_the_same_name_and_revision_of_another_maker_is_another_build(tmp_path: Path) -> None:
    first = begun(tmp_path)
    other = opened(tmp_path, put(tmp_path, KIT.replace("Lantern Yard", "Harbour Light"), "other.yaml"))
    assert other.log.folder != first.log.folder
    assert not other.progress.done
    other.close()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("revision: A", "revision: B", "this is revision B of the kit of the build"),
        ("revision: A\n", "", "an edition without a revision"),
        ("name: Ember lamp", "name: Cinder lamp", "and is Cinder lamp rev. A now"),
        ("maker: Lantern Yard Workshop", "maker: Harbour Light", "of Lantern Yard Workshop, and is"),
        ("maker: Lantern Yard Workshop\n", "", "this kit is of no maker"),
    ],
)
def test_another_edition_in_the_same_file_is_asked_about(tmp_path: Path, old: str, new: str, said: str) -> None:
    first = begun(tmp_path)
    path = put(tmp_path, KIT.replace(old, new))
    with pytest.raises(WhichBuild) as caught:
        opened(tmp_path, path)
    assert said in caught.value.what
    assert "--go-on" in caught.value.hint
    assert "--again" in caught.value.hint
    on = opened(tmp_path, path, go_on=True)
    assert on.log.folder == first.log.folder
    assert len(on.progress.done) == len(first.progress.done)
    on.close()
    again = opened(tmp_path, path)  # asked once
    assert again.log.folder == first.log.folder
    again.close()


def test_a_new_revision_can_be_begun_anew(tmp_path: Path) -> None:
    first = begun(tmp_path)
    path = put(tmp_path, KIT.replace("revision: A", "revision: B"))
    new = opened(tmp_path, path, again=True)
    assert new.log.folder != first.log.folder
    new.close()
    assert opened_folder(tmp_path, path) == new.log.folder


def opened_folder(folder: Path, path: Path) -> Path:
    build = opened(folder, path)
    build.close()
    return build.log.folder


def test_a_revision_in_another_file_is_asked_about_too(tmp_path: Path) -> None:
    begun(tmp_path)
    with pytest.raises(WhichBuild, match="revision B"):
        opened(tmp_path, put(tmp_path, KIT.replace("revision: A", "revision: B"), "ember-b.yaml"))


def test_options_that_mean_nothing_are_refused_with_a_word(tmp_path: Path) -> None:
    build = begun(tmp_path)
    path = tmp_path / "ember.yaml"
    with pytest.raises(SoldersideError, match="is a build of this very kit"):
        opened(tmp_path, path, go_on=True)
    with pytest.raises(SoldersideError, match="started from its kit"):
        opened(tmp_path, build.name, again=True)
    with pytest.raises(SoldersideError, match="is continued anyway"):
        opened(tmp_path, build.name, go_on=True)
    other = put(tmp_path, KIT.replace("Ember lamp", "Soot lamp"), "soot.yaml")
    with pytest.raises(SoldersideError, match="there is no build of a kit like this"):
        opened(tmp_path, other, go_on=True)


def test_a_procedure_for_a_build_that_has_one_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = begun(tmp_path)
    asked = Settings(procedure="signal-flow")
    with pytest.raises(SoldersideError, match="keeps the procedure it was started with, low to high"):
        open_build(tmp_path / "data", build.name, asked, HandClock(), procedure_given=True)
    same = open_build(tmp_path / "data", build.name, Settings(), HandClock(), procedure_given=True)
    same.close()
    arguments = ["build", build.name, "--plain", "--procedure", "signal-flow", "--data", str(tmp_path / "data")]
    assert main(arguments) != 0
    assert "started with, low to high" in capsys.readouterr().err


def test_without_a_terminal_the_question_is_an_error_that_says_how(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    begun(tmp_path)
    path = put(tmp_path, KIT.replace("revision: A", "revision: B"))
    assert main(["build", str(path), "--plain", "--data", str(tmp_path / "data")]) != 0
    said = capsys.readouterr().err
    assert "this is revision B of the kit of the build" in said
    assert "--go-on goes on with it, --again starts anew" in said


@pytest.mark.parametrize(("key", "goes_on"), [("g", True), ("n", False)])
def test_on_screen_it_is_one_key(tmp_path: Path, key: str, goes_on: bool) -> None:
    first = begun(tmp_path)
    path = put(tmp_path, KIT.replace("revision: A", "revision: B"))
    app = BenchApp(tmp_path / "data", Settings(), HandClock())
    with pytest.raises(WhichBuild) as caught:
        opened(tmp_path, path)
    app.which = (str(path), caught.value.what)

    async def act() -> None:
        async with headless(app, (80, 24)) as pilot:
            assert "revision B of the kit" in " ".join(screen_text(app).split())
            await pilot.press(key)
            await pilot.pause()
            assert app.build is not None
            assert (app.build.log.folder == first.log.folder) is goes_on
            app.close_build()

    asyncio.run(act())


def test_a_procedure_asked_for_with_a_new_revision_is_not_passed_over(tmp_path: Path) -> None:
    begun(tmp_path)
    path = put(tmp_path, KIT.replace("revision: A", "revision: B"))
    app = BenchApp(tmp_path / "data", Settings(procedure="signal-flow"), HandClock())
    app.which, app.procedure_given = (str(path), "Which?"), True

    async def act() -> None:
        async with headless(app, (120, 40)) as pilot:
            await pilot.press("g")
            await pilot.pause()
            assert app.build is None
            assert "keeps the procedure it was started with" in " ".join(screen_text(app).split())

    asyncio.run(act())


# -- the copies ---------------------------------------------------------------------------------------
def copy_in(build: Build, what: str) -> Path:
    (found,) = build.log.folder.glob(f"{what}-*.yaml")
    return found


@pytest.mark.parametrize("damage", ["empty", "edited", "gone"])
@pytest.mark.parametrize("what", ["kit", "procedure"])
def test_a_copy_that_is_not_what_was_kept_is_told_and_made_anew(tmp_path: Path, what: str, damage: str) -> None:
    build = begun(tmp_path)
    copy = copy_in(build, what)
    whole = copy.read_bytes()
    if damage == "gone":
        copy.unlink()
    else:
        copy.write_bytes(b"" if damage == "empty" else whole.replace(b"47R", b"51R") + b"\n# mine\n")
    again = opened(tmp_path, build.name)
    words = " ".join(again.log.remarks)
    assert "copy of its" in words
    assert "made anew" in words
    assert copy.read_bytes() == whole
    assert again.kit_watch.changes() == ()
    again.close()
    quiet = opened(tmp_path, build.name)
    assert not quiet.log.remarks
    quiet.close()


def test_an_edited_copy_is_never_used_without_a_word(tmp_path: Path) -> None:
    build = begun(tmp_path)
    copy = copy_in(build, "kit")
    copy.write_bytes(copy.read_bytes().replace(b"47R", b"51R"))
    (tmp_path / "ember.yaml").unlink()
    again = opened(tmp_path, build.name)
    assert any("as somebody changed it" in remark for remark in again.log.remarks)
    assert [change.words for change in again.kit_watch.changes()] == ["R1-R4: 47R is now 51R"]
    again.close()


def test_without_the_kit_file_the_newest_sound_copy_is_used_with_a_word(tmp_path: Path) -> None:
    build = begun(tmp_path)
    path = put(tmp_path, KIT.replace("value: 1k", "value: 2k"))
    later = opened(tmp_path, path)
    later.close()
    copies = sorted(build.log.folder.glob("kit-*.yaml"), key=lambda each: each.stat().st_mtime)
    assert len(copies) == 2
    newest = build.log.folder / f"kit-{hashlib.sha256(path.read_bytes()).hexdigest()[:12]}.yaml"
    newest.write_bytes(b"")
    path.unlink()
    again = opened(tmp_path, build.name)
    assert any("newest other copy" in remark for remark in again.log.remarks)
    again.close()


def test_a_kit_file_that_changed_since_replaces_a_lost_copy_and_is_compared(tmp_path: Path) -> None:
    build = begun(tmp_path)
    copy_in(build, "kit").unlink()
    put(tmp_path, KIT.replace("47R", "51R"))
    again = opened(tmp_path, build.name)
    assert any("not as it was" in remark for remark in again.log.remarks)
    assert [change.words for change in again.kit_watch.changes()] == ["R1-R4: 47R is now 51R"]
    again.close()


def test_the_copy_is_what_was_read_even_when_the_file_changes_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = put(tmp_path)

    def and_then_it_changes(*args: object, **how: object) -> object:
        found = kit_of(*args, **how)  # type: ignore[arg-type]
        path.write_text(KIT.replace("47R", "51R"), encoding="utf-8")
        return found

    monkeypatch.setattr("bench.session.folders.kit_of", and_then_it_changes)
    build = opened(tmp_path, path)
    assert copy_in(build, "kit").read_text(encoding="utf-8") == KIT
    build.close()


def test_a_sound_copy_is_left_alone(tmp_path: Path) -> None:
    data = KIT.encode()
    digest = hashlib.sha256(data).hexdigest()
    keep_copy(tmp_path, "kit", data, digest)
    (copy,) = tmp_path.glob("kit-*.yaml")
    os.utime(copy, (1, 1))
    keep_copy(tmp_path, "kit", data, digest)
    assert copy.stat().st_mtime == 1
    assert sound_copy(tmp_path, "kit", digest) == data
