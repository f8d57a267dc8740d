"""The article on the disk: whole or not at all, and never at the cost of somebody's words."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.errors import Refused, SoldersideError
from bench.writeup.commonmark import begins, empty_place, ends
from bench.writeup.keep_own_text import own_words, save, with_own_words
from bench.writeup.markdown import write_up
from bench.writeup.story import tell
from tests.support.story_bench import KIT, PLAN, whole_build

EVENTS = whole_build()
PAGE = write_up(tell(KIT, PLAN, EVENTS))
EARLY = write_up(tell(KIT, PLAN, EVENTS[:12]))


def put_in(path: Path, place: str, words: str) -> None:
    """Type words into a place, as a builder would."""
    text = path.read_text(encoding="utf-8")
    assert begins(place) in text
    path.write_text(text.replace(begins(place), f"{begins(place)}\n{words}"), encoding="utf-8")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "build.md"


# -- writing -----------------------------------------------------------------------------------------
def test_a_page_is_written_with_a_first_line_that_says_whose_it_is(path: Path) -> None:
    written = save(path, PAGE)
    first, _, rest = path.read_text(encoding="utf-8").partition("\n")
    assert first.startswith("<!-- solderside wrote this page (check ")
    assert first.endswith("-->")
    assert "--" not in first[4:-3]
    assert rest == PAGE
    assert (written.path, written.changed, written.own_words, written.kept_as) == (path, True, (), None)


def test_the_same_page_again_leaves_the_file_alone(path: Path) -> None:
    save(path, PAGE)
    before = path.stat()
    assert not save(path, PAGE).changed
    assert path.stat().st_mtime_ns == before.st_mtime_ns
    assert path.stat().st_ino == before.st_ino


def test_a_page_of_an_earlier_state_is_replaced(path: Path) -> None:
    save(path, EARLY)
    assert save(path, PAGE).changed
    assert path.read_text(encoding="utf-8").partition("\n")[2] == PAGE
    assert [each.name for each in path.parent.iterdir()] == ["build.md"]


def test_file_permissions_are_kept(path: Path) -> None:
    save(path, EARLY)
    path.chmod(0o640)
    save(path, PAGE)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(path: Path, tmp_path: Path) -> None:
    (tmp_path / "blog").mkdir()
    real = tmp_path / "blog" / "post.md"
    save(real, EARLY)
    (tmp_path / "blog" / "latest.md").symlink_to("post.md")
    path.symlink_to(Path("blog") / "latest.md")
    save(path, PAGE)
    assert path.is_symlink()
    assert (tmp_path / "blog" / "latest.md").is_symlink()
    assert PAGE in real.read_text(encoding="utf-8")


# -- never half a file -------------------------------------------------------------------------------
@pytest.mark.parametrize("step", ["replace", "fsync"])
@pytest.mark.parametrize("old", [True, False])
def test_when_the_disk_fails_the_old_page_stays_whole_and_nothing_is_left_behind(
    path: Path, monkeypatch: pytest.MonkeyPatch, step: str, old: bool
) -> None:
    if old:
        save(path, EARLY)
    before = {each.name: each.read_bytes() for each in path.parent.iterdir()}

    def fails(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr({"replace": Path, "fsync": os}[step], step, fails)
        with pytest.raises(SoldersideError, match="cannot be written \\(No space left on device\\)") as told:
            save(path, PAGE)
    assert told.value.where == str(path)
    assert {each.name: each.read_bytes() for each in path.parent.iterdir()} == before


def test_a_stop_in_the_middle_leaves_no_temporary_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stops(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stops)
    with pytest.raises(KeyboardInterrupt):
        save(path, PAGE)
    assert list(path.parent.iterdir()) == []


def test_a_reader_sees_the_old_page_or_the_new_one(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    save(path, EARLY)
    old = path.read_bytes()
    seen: list[bytes] = []
    real = os.fsync

    def looks(handle: int) -> None:
        seen.append(path.read_bytes())
        real(handle)

    monkeypatch.setattr(os, "fsync", looks)
    save(path, PAGE)
    assert seen[0] == old
    assert set(seen) <= {old, path.read_bytes()}


def test_when_the_old_file_cannot_be_kept_it_is_not_overwritten(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    path.write_bytes(b"mine")
    monkeypatch.setattr("bench.writeup.output_files.keep_beside", fails)
    with pytest.raises(SoldersideError, match="cannot be written"):
        save(path, PAGE, force=True)
    assert path.read_bytes() == b"mine"


def test_a_link_to_itself_is_a_clear_error(path: Path) -> None:
    path.symlink_to(path)
    with pytest.raises(SoldersideError, match="cannot be read"):
        save(path, PAGE)


def test_a_folder_that_does_not_exist_is_a_clear_error(tmp_path: Path) -> None:
    with pytest.raises(SoldersideError, match="No such file or directory") as told:
        save(tmp_path / "none" / "build.md", PAGE)
    assert "check the folder" in told.value.hint


def test_a_folder_in_place_of_a_file_is_a_clear_error(tmp_path: Path) -> None:
    with pytest.raises(SoldersideError, match="this is a folder"):
        save(tmp_path, PAGE, force=True)


def test_a_file_that_cannot_be_read_is_a_clear_error(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> bytes:
        raise PermissionError(13, "Permission denied")

    save(path, PAGE)
    monkeypatch.setattr(os, "open", fails)
    with pytest.raises(SoldersideError, match="cannot be read \\(Permission denied\\)"):
        save(path, PAGE)


# -- other people's files ----------------------------------------------------------------------------
@pytest.mark.parametrize(
    "foreign",
    [b"", b"# My own page\n", b"\xff\xfe\x00", b"<!-- solderside wrote this page -->\n", PAGE.encode()],
)
def test_a_file_that_this_program_did_not_write_is_refused(path: Path, foreign: bytes) -> None:
    path.write_bytes(foreign)
    with pytest.raises(Refused, match="did not write"):
        save(path, PAGE)
    assert path.read_bytes() == foreign
    assert [each.name for each in path.parent.iterdir()] == ["build.md"]


def test_by_force_it_is_overwritten_and_kept_beside_each_time(path: Path) -> None:
    for number, foreign in enumerate((b"one", b"two", b"three")):
        path.write_bytes(foreign)
        kept = save(path, PAGE, force=True).kept_as
        assert kept is not None
        assert kept.name == ("build.before.md", "build.before-2.md", "build.before-3.md")[number]
        assert kept.read_bytes() == foreign
        assert PAGE in path.read_text(encoding="utf-8")


def test_a_page_changed_by_hand_outside_the_places_is_refused(path: Path) -> None:
    save(path, EARLY)
    changed = path.read_text(encoding="utf-8").replace("Tips", "My tips").replace("Building", "How I built")
    path.write_text(changed, encoding="utf-8")
    with pytest.raises(Refused, match="changed by hand outside the places"):
        save(path, PAGE)
    assert path.read_text(encoding="utf-8") == changed
    written = save(path, PAGE, force=True)
    assert written.kept_as is not None
    assert written.kept_as.read_text(encoding="utf-8") == changed


def test_force_on_a_page_of_ours_keeps_no_copy(path: Path) -> None:
    save(path, EARLY)
    assert save(path, PAGE, force=True).kept_as is None


# -- the builder's own words -------------------------------------------------------------------------
def test_words_in_a_place_survive_rewriting(path: Path) -> None:
    save(path, EARLY)
    put_in(path, "opening", "I built this for **the van**.\n\n![front](front.jpg)")
    written = save(path, PAGE)
    text = path.read_text(encoding="utf-8")
    assert written.own_words == ("opening",)
    assert (
        f"{begins('opening')}\n\nI built this for **the van**.\n\n![front](front.jpg)\n\n{ends('opening')}"
        in text
    )
    assert "## What was measured" in text
    assert not save(path, PAGE).changed


def test_words_in_a_place_that_is_gone_are_kept_near_the_end(path: Path) -> None:
    save(path, EARLY)
    put_in(path, "still to do", "Next week: the panel.")
    assert save(path, PAGE).own_words == ("still to do",)
    text = path.read_text(encoding="utf-8")
    assert "## Still to do" not in text
    assert text.index("Next week: the panel.") > text.index("## For the next builder")
    assert not save(path, PAGE).changed
    save(path, EARLY)
    text = path.read_text(encoding="utf-8")
    assert text.count("Next week: the panel.") == 1
    assert text.index("Next week: the panel.") < text.index("## The story")


def test_an_editor_that_changes_line_ends_marks_and_blanks_does_not_count_as_a_change(path: Path) -> None:
    save(path, EARLY)
    put_in(path, "closing", "Bye.")
    text = path.read_text(encoding="utf-8").replace("\n\n## ", "\n\n\n## ").replace(" |\n", " | \n")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert save(path, PAGE).own_words == ("closing",)
    assert b"\r" not in path.read_bytes()


@pytest.mark.parametrize(
    ("broken", "said", "line"),
    [
        (f"a\n{begins('opening')}\nwords\n", "the place 'opening' has no end", 2),
        (f"{begins('opening')}\nwords\n{begins('time')}\n{ends('time')}", "the place 'opening' has no end", 1),
        (f"{empty_place('time')}\n{empty_place('time')}", "the place 'time' appears twice", 3),
    ],
)
def test_a_place_without_an_end_or_there_twice_is_a_clear_error(broken: str, said: str, line: int) -> None:
    with pytest.raises(SoldersideError) as told:
        own_words(broken, "build.md")
    assert (told.value.what, told.value.where) == (said, f"build.md:{line}")
    assert told.value.hint


def test_a_page_whose_places_are_broken_is_refused_and_by_force_kept(path: Path) -> None:
    save(path, EARLY)
    broken = path.read_text(encoding="utf-8").replace(ends("opening"), "My words")
    path.write_text(broken, encoding="utf-8")
    with pytest.raises(SoldersideError):
        save(path, PAGE)
    assert path.read_text(encoding="utf-8") == broken
    kept = save(path, PAGE, force=True).kept_as
    assert kept is not None
    assert "My words" in kept.read_text(encoding="utf-8")


def test_a_mark_pasted_into_a_place_is_refused_before_words_are_lost(path: Path) -> None:
    save(path, EARLY)
    put_in(path, "opening", f"Words\n{begins('time')}")
    before = path.read_bytes()
    with pytest.raises(SoldersideError, match="the place 'opening' has no end"):
        save(path, PAGE)
    assert path.read_bytes() == before


def test_words_that_look_like_the_first_line_or_an_end_of_another_place_are_only_words(path: Path) -> None:
    save(path, EARLY)
    put_in(path, "opening", f"<!-- solderside wrote this page (check 0) -->\n{ends('closing')}\n# Mine")
    save(path, PAGE)
    assert own_words(path.read_text(encoding="utf-8"))["opening"].endswith("# Mine")
    assert not save(path, PAGE).changed


def test_a_page_without_places_takes_lost_words_before_its_last_line() -> None:
    assert with_own_words("a\nb", {"opening": "x"}).startswith("a\n<!-- your words: opening -->\n\nx\n")


WORDS = st.text(max_size=60).filter(
    lambda text: "your words" not in text and not any(0xD800 <= ord(char) < 0xE000 for char in text)
)


@given(st.dictionaries(st.sampled_from(["opening", "snags", "closing", "a place of old"]), WORDS))
@settings(max_examples=150)
def test_any_words_survive_any_number_of_rewritings(words: dict[str, str]) -> None:
    kept = {place: text.strip("\n") for place, text in words.items() if text.strip()}
    page = with_own_words(PAGE, words)
    for _ in range(3):
        found = {place: text for place, text in own_words(page).items() if text}
        assert found == kept
        assert with_own_words(PAGE, found) == page
        page = with_own_words(PAGE, found)


@given(words=WORDS)
@settings(max_examples=40)
def test_any_words_survive_on_the_disk(words: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("page") / "build.md"
    save(path, EARLY)
    text = path.read_text(encoding="utf-8").replace(begins("closing"), f"{begins('closing')}\n{words}")
    path.write_bytes(text.encode())
    save(path, PAGE)
    found = own_words(path.read_bytes().decode())["closing"]
    assert found == (f"{words}\n".replace("\r\n", "\n").strip("\n") if words.strip() else "")
    assert not save(path, PAGE).changed
