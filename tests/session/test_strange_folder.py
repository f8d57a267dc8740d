"""A build's folder that came from a stranger is data: nothing outside of it is written, run or taken in."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bench.cli import main
from bench.kit.load import load_kit
from bench.session.folders import start
from bench.settings import Settings, shipped_kits_folder
from bench.writeup.film.kit import Wanted, publish_film
from bench.writeup.photos.copies import take_in
from bench.writeup.photos.matching import match
from tests.support.photographs import photo
from tests.support.samples import START, HandClock

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"
SECRET = b"what nobody else is to see"
COMMANDS = (
    ("builds",),
    ("record",),
    ("article", "strange", "--format", "markdown,html,json"),
    ("article", "strange", "--format", "markdown,html", "--force"),
    ("article", "strange", "--out", "PAGES/"),
    ("shortage", "strange", "--force"),
    ("help-request", "strange", "--force"),
    ("sheet", "strange", "--what", "all", "--force"),
    ("chapters", "strange", "--clip", "two.mov", "--starts", "2026-03-01 10:00:05", "--length", "20:00"),
    ("film", "strange"),
    ("photos", "strange", "CAMERA"),
    ("article", "strange", "--force"),
)


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with one build that has a photo, pages and chapters."""
    data = tmp_path_factory.mktemp("sound")
    clock = HandClock()
    build = start(data, load_kit(KIT), KIT, Settings(), clock)
    for _ in range(3):
        clock.work(40)
        build.done()
    photo(data / "camera" / "one.jpg", START + 50)
    take_in(build, match(build, data / "camera"))
    build.clap()
    publish_film(build, Settings(), Wanted())
    build.log.close()
    build.log.folder.rename(data / "builds" / "strange")
    return data


def _with_copy(name: str) -> Callable[[Path, Path], None]:
    """The log says that the copy of its photo is called so; the line's checksum is left out, as of old."""

    def change(folder: Path, _: Path) -> None:
        log = folder / "log.jsonl"
        lines = [
            re.sub(rb',"seal":"[0-9a-f]*"|,"[a-z]+":"[0-9a-f]{8}"(?=}$)', b"", line)
            for line in log.read_bytes().splitlines()
        ]
        events = [json.loads(line) for line in lines]
        for event in events:
            for each in event.get("photos", ()):
                each["copy"] = name
        log.write_text("".join(json.dumps(event) + "\n" for event in events))

    return change


def _link(name: str, to: str) -> Callable[[Path, Path], None]:
    """This name in the build's folder is a link to that name outside."""

    def change(folder: Path, outside: Path) -> None:
        path = folder / name
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
        path.parent.mkdir(exist_ok=True)
        path.symlink_to(outside / to)

    return change


def _copy_as(make: Callable[[Path, Path], None]) -> Callable[[Path, Path], None]:
    """The copy of the photo that the log names is something else."""

    def change(folder: Path, outside: Path) -> None:
        copy = next((folder / "photos").glob("*.jpg"))
        copy.unlink()
        make(copy, outside)

    return change


def _claims_all(folder: Path, outside: Path) -> None:
    """The list of what was written says that a file outside is ours."""
    files = [path for path in outside.iterdir() if path.is_file()]
    mine = {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}
    (folder / "written.json").write_text(json.dumps(mine))
    _link("article.html", "mine.html")(folder, outside)


TRICKS: dict[str, Callable[[Path, Path], None]] = {
    **{
        f"copy {name!r}": _with_copy(name)
        for name in (
            "../evil.sh", "../../../outside/new.jpg", "/etc/passwd", "..", ".", "", "a/../../x.jpg",
            "..\\..\\evil.jpg",
            "C:\\evil.jpg", "\\\\host\\share\\x.jpg", "x\0.jpg", "~/x.jpg", "x.jpg/", "x.html",
            "one.jpg:stream", "%2e%2e/x.jpg", f"{'x' * 5000}.jpg", "\u202egpj.x", "one.jpg\n", '"><script>.jpg',
        )
    },
    "photos leads out": _link("photos", "."),
    "photos leads nowhere": _link("photos", "new-photos"),
    "film leads out": _link("film", "."),
    "film leads nowhere": _link("film", "new-film"),
    "clips of a film lead out": _link("film/clips", "."),
    "a cut list leads to a file": _link("film/cut-list.txt", "mine.md"),
    "a description leads to a new file": _link("film/description.txt", "new.txt"),
    "the page leads to a file": _link("article.html", "mine.html"),
    "the page leads to a new file": _link("article.html", "new.html"),
    "the words lead to a file": _link("article.md", "mine.md"),
    "the words lead to a new file": _link("article.md", "new.md"),
    "the data lead to a new file": _link("article.json", "new.json"),
    "a sheet leads to a new file": _link("sheet-all.html", "new.html"),
    "the shortage list leads out": _link("shortage.md", "new.md"),
    "the letter leads out": _link("help-request.md", "new.md"),
    "the log leads out": _link("log.jsonl", "log.jsonl"),
    "the lock leads to a file": _link("log.lock", "mine.md"),
    "the lock leads to a new file": _link("log.lock", "new.lock"),
    "the list leads out": _link("written.json", "mine.json"),
    "the list claims all": _claims_all,
    "a copy is a link": _copy_as(lambda copy, outside: copy.symlink_to(outside / "secret.jpg")),
    "a copy is a pipe": _copy_as(lambda copy, _: os.mkfifo(copy)),
    "a copy is a device": _copy_as(lambda copy, _: copy.symlink_to("/dev/zero")),
    "a copy is a folder": _copy_as(lambda copy, _: copy.mkdir()),
}  # fmt: skip


@pytest.fixture(autouse=True)
def called_off() -> Iterator[None]:
    """Nothing here may hang."""

    def hangs(*_: object) -> None:
        raise AssertionError("it hangs")

    before = signal.signal(signal.SIGALRM, hangs)
    signal.alarm(120)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


def _all_in(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _names(root: Path) -> set[Path]:
    return {*root.iterdir(), *(root / "data" / "builds").iterdir()}


@pytest.mark.parametrize("trick", TRICKS)
def test_a_strangers_build_writes_nothing_outside_and_takes_nothing_in(
    trick: str, sound: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, outside, pages = tmp_path / "data", tmp_path / "outside", tmp_path / "pages"
    shutil.copytree(sound, data)
    folder = data / "builds" / "strange"
    outside.mkdir()
    pages.mkdir()
    for name in ("mine.html", "mine.md", "mine.json"):
        (outside / name).write_bytes(b"mine")
    shutil.copy(folder / "log.jsonl", outside / "log.jsonl")
    (outside / "secret.jpg").write_bytes(SECRET)
    TRICKS[trick](folder, outside)
    before = _all_in(outside)
    names = _names(tmp_path)
    for words in COMMANDS:
        named = {"CAMERA": str(data / "camera"), "PAGES/": f"{pages}/"}
        code = main([*(named.get(word, word) for word in words), "--data", str(data)])
        out = capsys.readouterr()
        assert code in (0, 1)
        assert "Traceback" not in out.err
    assert _all_in(outside) == before, "something outside was written"
    assert _names(tmp_path) == names
    for name, page in {**_all_in(pages), **_own_files(folder)}.items():
        assert SECRET not in page, f"{name} holds a file from outside"
        assert b"<script" not in page.replace(b"&lt;script", b"")


def _own_files(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.glob("*.html") if not path.is_symlink()}


def test_every_page_forbids_scripts_and_requests(sound: Path, tmp_path: Path) -> None:
    """Content Security Policy Level 3, 3.3: a policy in a meta element of the head."""
    data = tmp_path / "data"
    shutil.copytree(sound, data)
    for words in (
        ("article", "strange"),
        ("sheet", "strange", "--what", "all"),
        ("sheet", "--out", f"{tmp_path}/p.html"),
    ):
        assert main([*words, "--data", str(data)]) == 0
    pages = [*(data / "builds" / "strange").glob("*.html"), tmp_path / "p.html"]
    assert len(pages) == 3
    for page in pages:
        head = page.read_text().partition("<style>")[0]
        policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', head)
        assert policy, f"{page.name} has no policy"
        assert "default-src 'none'" in policy[1]
        assert "script-src" not in policy[1]
        assert "http" not in policy[1]
