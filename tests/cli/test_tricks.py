"""Every argument and file that the command line reads, given something that is no honest input.

Each is refused in words, or taken for what it is; none hangs, takes gigabytes or ends in a traceback. A case
that takes ten seconds is called off, where each should take a fraction of one.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from bench.cli import main
from bench.settings import shipped_kits_folder
from tests.support.command_line import PROGRAM, ROOT, a_whole_build
from tests.support.photographs import photo
from tests.support.samples import START
from tests.support.tricks import TRICKS, Trick, endless_device, link_to_itself, pipe

resource = pytest.importorskip("resource", reason="needs limits on memory, as POSIX has them")

KIT = str(shipped_kits_folder() / "first-evening-metronome.yaml")
SECONDS = 60
MEMORY = 2_000_000_000

GIVEN = {
    "read": ("read", "{}"),
    "read xlsx": ("read", "{}.xlsx"),
    "read ods": ("read", "{}.ods"),
    "read html": ("read", "{}.html"),
    "placement": ("read", "LIST", "--kit", "OUT", "--placement", "{}"),
    "track": ("track", "{}"),
    "pitch": ("pitch", "{}"),
    "check": ("check", "{}"),
    "plan": ("plan", "{}"),
    "build": ("build", "{}", "--plain"),
    "batch": ("batch", "{}"),
    "sheet": ("sheet", "{}"),
    "identify": ("identify", "4k7", "--kit", "{}"),
    "plan procedure": ("plan", KIT, "--procedure", "{}"),
    "sheet procedure": ("sheet", "--procedure", "{}", "--out", "-"),
    "build procedure": ("build", KIT, "--plain", "--procedure", "{}"),
    "cut list": ("chapters", "lamp", "--cut", "{}"),
    "film cut list": ("film", "lamp", "--cut", "{}"),
    "film out": ("film", "lamp", "--out", "{}"),
    "photos": ("photos", "lamp", "{}", "--look"),
    "sheet out": ("sheet", KIT, "--out", "{}"),
    "article out md": ("article", "lamp", "--out", "{}.md"),
    "article out html": ("article", "lamp", "--out", "{}.html"),
    "shortage out": ("shortage", "lamp", "--out", "{}"),
    "data": ("builds", "--new", "--data", "{}"),
}
"""What is given by name on the command line; `lamp` is a build."""
FOUND = {
    "settings.toml": ("plan", KIT),
    "keys.toml": ("build", KIT, "--plain"),
    "batch.toml": ("batch",),
    "makers.toml": ("read", "LIST", "--maker", "Lantern Yard", "--remember"),
    "builds": ("builds",),
    "builds/lamp/log.jsonl": ("builds",),
    "builds/lamp/log.lock": ("photos", "lamp", "PHOTOS"),
    "builds/lamp/photos": ("photos", "lamp", "PHOTOS"),
    "builds/lamp/article.md": ("article", "lamp"),
    "builds/lamp/article.html": ("article", "lamp"),
    "builds/lamp/written.json": ("article", "lamp"),
    "builds/lamp/sheet-stages.html": ("sheet", "lamp"),
    "camera/one.jpg": ("photos", "lamp", "PHOTOS", "--look"),
    "kits/own.yaml": ("check", "DATA/kits/own.yaml"),
    "cache": ("plan", KIT),
}
"""What the program finds by itself in its data folder, and a command that reads it."""
TAKEN = {
    ("folder", "photos"), ("folder", "data"), ("folder", "builds"), ("folder", "cache"),
    ("folder", "builds/lamp/photos"), ("many_toml_keys", "batch.toml"),
}  # fmt: skip
"""Tricks that are just what is wanted there."""


@pytest.fixture(scope="module")
def lamp(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with one build, to be copied."""
    data = tmp_path_factory.mktemp("lamp")
    a_whole_build(data)
    photo(data / "camera" / "two.jpg", START + 50)
    return data


@pytest.fixture(autouse=True)
def bounded() -> Iterator[None]:
    """Calls off what hangs, and refuses memory by the gigabyte."""

    def hangs(*_: object) -> None:
        raise AssertionError(f"it hangs: nothing came in {SECONDS} s")

    before, limits = signal.signal(signal.SIGALRM, hangs), resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (_memory() + MEMORY, limits[1]))
    signal.alarm(SECONDS)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)
    resource.setrlimit(resource.RLIMIT_AS, limits)


def _memory() -> int:
    """Bytes of address space in use."""
    return int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")


def _run(
    words: tuple[str, ...], path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> tuple[int, str]:
    parts, data, photos = tmp_path / "list.csv", tmp_path / "data", tmp_path / "data" / "camera"
    parts.write_text("Ref,Value\nR1,10k\nR2,4k7\n")
    photos.mkdir(exist_ok=True)
    named = {"LIST": str(parts), "OUT": str(tmp_path / "out.yaml"), "PHOTOS": str(photos)}
    filled = [named.get(word, word).replace("DATA", str(data)).replace("{}", str(path)) for word in words]
    code = main([*filled, *(() if "--data" in filled else ("--new", "--data", str(data)))])
    out, said = capsys.readouterr()
    assert code in (0, 1), "neither fine nor a fault in the input"
    assert "Traceback" not in said
    if code:
        assert re.search(r": .*\w+ \w+", said), f"no words: {said!r}"
    return code, out + said


@pytest.mark.parametrize("trick", TRICKS, ids=lambda trick: trick.__name__)
@pytest.mark.parametrize("what", GIVEN)
def test_whatever_is_named_on_the_command_line_is_refused_in_words(
    what: str, trick: Trick, lamp: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(lamp, tmp_path / "data")
    word = next(word for word in GIVEN[what] if "{}" in word)
    trick(Path(word.replace("{}", str(tmp_path / "given"))))
    code, _ = _run(GIVEN[what], tmp_path / "given", tmp_path, capsys)
    if trick in (pipe, endless_device, link_to_itself) and what != "data":
        assert code == 1


@pytest.mark.parametrize("trick", TRICKS, ids=lambda trick: trick.__name__)
@pytest.mark.parametrize("what", FOUND)
def test_whatever_stands_in_the_data_folder_is_refused_or_passed_over(
    what: str, trick: Trick, lamp: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = tmp_path / "data"
    shutil.copytree(lamp, data)
    path = data / what
    path.parent.mkdir(exist_ok=True)
    shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    if what == "keys.toml":
        (data / "settings.toml").write_text('keymap = "keys.toml"\n')
    trick(path)
    _, said = _run(FOUND[what], path, tmp_path, capsys)
    if what.endswith((".toml", "builds")) and (trick.__name__, what) not in TAKEN:
        assert Path(what).name in said, "what is wrong is named"


@pytest.mark.parametrize(
    "words", [("track", "-"), ("pitch", "-"), ("build", KIT, "--plain")], ids=lambda words: words[0]
)
def test_an_endless_standard_input_is_refused(words: tuple[str, ...], tmp_path: Path) -> None:
    with Path("/dev/zero").open("rb") as endless:
        done = subprocess.run(
            [*PROGRAM, *words, "--new", "--data", str(tmp_path)], stdin=endless, capture_output=True, cwd=ROOT,
            timeout=60, check=False,
        )  # fmt: skip
    assert done.returncode in (0, 1)
    assert b"Traceback" not in done.stderr
    if words[1] == "-":
        assert b"larger than any" in done.stderr


def test_a_folder_of_builds_that_may_not_be_read_is_told_and_one_build_that_may_not_hides_no_other(
    lamp: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(lamp, tmp_path / "data")
    closed = tmp_path / "data" / "builds"

    def may_not(*_: object) -> Iterator[Path]:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "iterdir", may_not)
        code, said = _run(("builds",), tmp_path, tmp_path, capsys)
    assert code == 1
    assert f"{closed}: the folder of builds cannot be read (Permission denied)" in said
    assert "No builds yet" not in said
    (closed / "another").mkdir()
    looks = Path.is_file

    def looked(self: Path) -> bool:
        return bool(may_not()) if self.parent.name == "another" else looks(self)

    monkeypatch.setattr(Path, "is_file", looked)
    assert "lamp" in _run(("builds",), tmp_path, tmp_path, capsys)[1]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("read", "LIST", "--placement", "x.csv"), "--placement: goes into a kit file; give --kit"),
        (("read", "LIST", "--name", "Lamp"), "--name: goes into a kit file; give --kit"),
        (
            ("read", "LIST", "--maker", "X", "--forget", "--remember"),
            "--remember: cannot be combined",
        ),
        (
            ("read", "LIST", "--maker", "X", "--forget", "--kit", "OUT"),
            "--kit: cannot be combined",
        ),
        (
            ("read", "LIST", "--maker", "X", "--forget", "--column", "Value=notes"),
            "--column: cannot be combined",
        ),
        (("article", "lamp", "--json", "--out", "OUT"), "--out: cannot be combined"),
        (("article", "lamp", "--json", "--format", "html", "--force"), "--format, --force: cannot be combined"),
        (("article", "lamp", "--out", "-", "--force"), "--force: has no effect with --out -"),
        (("sheet", KIT, "--out", "-", "--force"), "--force: has no effect with --out -"),
        (("shortage", "lamp", "--out", "-", "--force"), "--force: has no effect with --out -"),
        (("help-request", "lamp", "--out", "-", "--force"), "--force: has no effect with --out -"),
        (("chapters", "lamp", "--json", "--out", "OUT"), "--out: cannot be combined"),
        (("chapters", "lamp", "--force"), "--force: only a file that --out names"),
        (("chapters", "lamp", "--moments", "--format", "vtt"), "--moments: goes with text or csv"),
        (("photos", "lamp", "--look", "--caption", "a.jpg=x"), "--caption: cannot be combined"),
        (("photos", "lamp", "--caption", "a.jpg=x", "--zone", "+01:00"), "--zone: with --caption alone"),
        (("plan", "lamp", "--procedure", "by-section"), "--procedure: lamp has a procedure of its own"),
        (("batch", "lamp", "--procedure", "by-section"), "--procedure: each of these is being built"),
        (("builds", "--names", "--json"), "--names: cannot be combined"),
    ],
    ids=lambda case: " ".join(case)[-40:] if isinstance(case, tuple) else "",
)
def test_an_option_that_would_do_nothing_is_refused(
    words: tuple[str, ...], said: str, lamp: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(lamp, tmp_path / "data")
    with pytest.raises(SystemExit) as left:
        _run(words, tmp_path, tmp_path, capsys)
    assert left.value.code == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out.yaml").exists()


@pytest.mark.parametrize(("boards", "code"), [(2000, 0), (2001, 1)])
def test_a_kit_of_more_than_two_thousand_boards_is_no_kit(
    boards: int, code: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = "".join(f"  - name: b{n}\n    parts: [{{refs: R1, value: 10k}}]\n" for n in range(boards))
    (tmp_path / "many.yaml").write_text(f"kit: 1\nname: Many\nboards:\n{rows}")
    assert main(["check", str(tmp_path / "many.yaml"), "--new", "--data", str(tmp_path)]) == code
    assert ("more than 2000 boards in one kit" in capsys.readouterr().err) is bool(code)
