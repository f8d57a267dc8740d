"""A folder of photos on the disk: read, matched, copied, recorded, told in the article."""

from __future__ import annotations

import os
import re
from datetime import UTC, timedelta, timezone
from pathlib import Path
from urllib.parse import unquote

import pytest

from bench.errors import LogError, SoldersideError
from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.log.file import LogFile
from bench.session.build import Build
from bench.settings import Settings
from bench.ui.commands import Keymap
from bench.ui.form_table import FORMS
from bench.ui.forms import Form, Situation
from bench.writeup import output_files
from bench.writeup.photos import matching as photos
from bench.writeup.photos import web_copy as webcopy
from bench.writeup.photos.copies import COPIES, copy_bytes, take_in
from bench.writeup.photos.matching import Match, match, read_folder
from bench.writeup.pictures import caption_of, photos_by_stage
from bench.writeup.publish import page_of, publish, story_of, targets_of, whole_story
from tests.support.markdown_pages import parser
from tests.support.photographs import GPS_IFD, at, evening, local, photo, segments
from tests.support.samples import HandClock, small_build

CAMERA_ERROR = -151.0
"""Seconds by which the camera's clock is behind in these tests."""


def make_build(folder: Path, clock: HandClock) -> Build:
    return evening(folder, clock)


@pytest.fixture
def camera(tmp_path: Path) -> Path:
    """An evening's photos on a camera whose clock is behind."""
    folder = tmp_path / "camera"
    for number, seconds in enumerate((20, 60, 140, 340, 600, 990), 1):
        photo(folder / f"IMG_{number:04d}.jpg", at(seconds) + CAMERA_ERROR)
    photo(folder / "IMG_0009.jpg", at(-3 * 86400))
    return folder


def situation(build: Build) -> Situation:
    return Situation(build=build, step=None, settings=Settings(), keymap=Keymap(), data=None)


def taken_in(build: Build, folder: Path, *clocks: str, **more: object) -> Match:
    return take_in(build, match(build, folder, clocks, zone=UTC, **more))  # type: ignore[arg-type]


def clock_of(seconds: float) -> str:
    return local(seconds)[11:]


def state(folder: Path) -> dict[str, tuple[bytes, int, int, int]]:
    """Bytes, time of change, size and mode of every file."""
    found = {}
    for path in sorted(each for each in folder.rglob("*") if each.is_file()):
        stat = path.stat()
        found[str(path.relative_to(folder))] = (path.read_bytes(), stat.st_mtime_ns, stat.st_size, stat.st_mode)
    return found


# -- matching ----------------------------------------------------------------------------------------
def test_one_photo_of_the_bench_clock_puts_every_photo_in_its_stage(build: Build, camera: Path) -> None:
    found = taken_in(build, camera, f"IMG_0001.jpg={clock_of(20)}")
    assert [(each.photo.file, each.spot.place) for each in found.photos] == [
        ("IMG_0002.jpg", ("Flat parts", "main")),
        ("IMG_0003.jpg", ("Flat parts", "main")),
        ("IMG_0004.jpg", ("Flat parts", "control")),
        ("IMG_0005.jpg", ("Flat parts", "control")),
        ("IMG_0006.jpg", ("Before power", "")),
    ]
    assert found.photos[1].about == "D1 sat the wrong way round"
    assert found.batches[0].seconds == (-CAMERA_ERROR,)
    assert {each.file: each.why for each in found.left_out} == {
        "IMG_0001.jpg": "the photo of the bench clock", "IMG_0009.jpg": "3 days before the build began",
    }  # fmt: skip


def test_without_a_clock_photo_the_same_photos_fall_elsewhere(build: Build, camera: Path) -> None:
    found = match(build, camera, zone=UTC)
    assert [each.photo.file for each in found.photos][:2] == ["IMG_0001.jpg", "IMG_0002.jpg"]
    assert found.photos[0].spot.doubt == "taken 2 min 11 s before the program was opened"
    assert "taken as right" in next(iter(found.remarks.values()))


def test_the_builders_zone_is_used_where_the_photos_have_none(build: Build, tmp_path: Path) -> None:
    folder = tmp_path / "camera"
    photo(folder / "a.jpg", local(150, hours=5.5))
    photo(folder / "b.jpg", local(150, hours=-3), offset="-03:00")
    zone = timezone(timedelta(hours=5, minutes=30))
    found = match(build, folder, zone=zone)
    assert [each.photo.at for each in found.photos] == [found.photos[0].photo.at] * 2
    assert {each.photo.source for each in found.photos} == {"camera", "camera with zone"}


def test_fractions_of_a_second_order_a_burst(build: Build, tmp_path: Path) -> None:
    for name, subsec in (("c.jpg", "9"), ("a.jpg", "75"), ("b.jpg", "1")):
        photo(tmp_path / "camera" / name, local(150), subsec=subsec)
    found = match(build, tmp_path / "camera", zone=UTC)
    assert [each.photo.file for each in found.photos] == ["b.jpg", "a.jpg", "c.jpg"]


def test_a_photo_without_exif_goes_by_its_file_and_says_so(build: Build, tmp_path: Path) -> None:
    photo(tmp_path / "camera" / "plain.png", make="", file_time=at(150))
    photo(tmp_path / "camera" / "wrong.jpg", "2031:02:30 18:20:05", file_time=at(160))
    plain, wrong = match(build, tmp_path / "camera", zone=UTC).photos
    assert plain.photo.source == wrong.photo.source == "file"
    assert "the file's time is used" in plain.photo.doubt
    assert "its date is impossible (2031:02:30 18:20:05)" in wrong.photo.doubt


@pytest.mark.parametrize("ending", ["jpg", "png", "webp"])
def test_the_date_is_read_from_every_format_that_pillow_reads(
    build: Build, tmp_path: Path, ending: str
) -> None:
    photo(tmp_path / "camera" / f"a.{ending}", local(150), offset="+00:00", file_time=0.0)
    (shown,) = taken_in(build, tmp_path / "camera").photos
    assert shown.photo.source == "camera with zone"
    assert shown.photo.at == stamp_text(at(150))


def test_a_damaged_exif_leaves_the_photo_to_its_file_time(build: Build, tmp_path: Path) -> None:
    path = photo(tmp_path / "camera" / "a.jpg", local(150))
    raw = path.read_bytes()
    place = raw.index(b"Exif\0\0") + 10
    path.write_bytes(raw[:place] + b"\xff\xff\xff\xff" + raw[place + 4 :])  # where its first list lies
    os.utime(path, (at(100), at(100)))
    (shown,) = taken_in(build, path.parent).photos
    assert shown.photo.source == "file"


def test_the_time_of_the_position_is_ignored(build: Build, tmp_path: Path) -> None:
    from PIL import Image

    exif = Image.Exif()
    place = exif.get_ifd(GPS_IFD)
    place[7], place[29] = (18.0, 20.0, 5.0), "2031:02:03"
    path = tmp_path / "camera" / "a.jpg"
    path.parent.mkdir()
    Image.new("RGB", (8, 8)).save(path, exif=exif)
    os.utime(path, (at(100), at(100)))
    assert match(build, path.parent, zone=UTC).photos[0].photo.source == "file"


def test_sub_folders_are_read_and_what_asked_to_be_left_out_is(build: Build, tmp_path: Path) -> None:
    photo(tmp_path / "camera" / "100" / "a.jpg", local(100))
    photo(tmp_path / "camera" / "101" / "b.jpg", local(150))
    photo(tmp_path / "camera" / ".thumbnails" / "c.jpg", local(150))
    found = match(build, tmp_path / "camera", zone=UTC, without=["b*"])
    assert [each.photo.file for each in found.photos] == ["100/a.jpg"]
    assert [(each.file, each.why) for each in found.left_out] == [("101/b.jpg", "left out as you asked")]


# -- what stays and what is written ------------------------------------------------------------------
def test_the_originals_keep_every_byte_and_their_times(build: Build, camera: Path) -> None:
    before = state(camera)
    taken_in(build, camera, f"IMG_0001.jpg={clock_of(20)}")
    publish(build, targets_of(build))
    assert state(camera) == before


def test_copies_have_safe_names_and_hold_no_position(build: Build, tmp_path: Path) -> None:
    from PIL import Image

    exif = Image.Exif()
    exif.get_ifd(GPS_IFD)[27] = b"ASCII\0\0\052.518"
    name = "übel $(x) [a](b) <script>.JPG"
    folder = tmp_path / "camera"
    folder.mkdir()
    Image.new("RGB", (2000, 1000), "red").save(folder / name, "JPEG", exif=exif)
    os.utime(folder / name, (at(100), at(100)))
    (shown,) = taken_in(build, folder).photos
    assert re.fullmatch(r"[a-z0-9-]+\.jpg", shown.photo.copy)
    data = (build.log.folder / COPIES / shown.photo.copy).read_bytes()
    assert b"52.518" not in data
    assert not {marker for marker, _ in segments(data)} & {0xE1, 0xE2, 0xED, 0xFE}
    assert (shown.photo.width, shown.photo.height) == (1280, 640)


def test_matched_again_nothing_is_written_twice_and_what_was_said_is_remembered(
    build: Build, camera: Path
) -> None:
    first = taken_in(build, camera, f"IMG_0001.jpg={clock_of(20)}")
    before = state(build.log.folder / COPIES)
    again = take_in(build, match(build, camera, (), photos.earlier(build, camera), UTC))
    assert again.photos == first.photos
    assert state(build.log.folder / COPIES) == before
    assert sum(isinstance(event, ev.PhotosMatched) for event in build.events) == 2


def test_a_damaged_copy_is_made_anew(build: Build, camera: Path) -> None:
    first = taken_in(build, camera)
    path = build.log.folder / COPIES / first.photos[0].photo.copy
    whole = path.read_bytes()
    path.write_bytes(b"torn")
    taken_in(build, camera)
    assert path.read_bytes() == whole


def test_the_same_picture_twice_is_told_once(build: Build, tmp_path: Path) -> None:
    one = photo(tmp_path / "camera" / "a.jpg", local(100))
    (tmp_path / "camera" / "copy of a.jpg").write_bytes(one.read_bytes())
    found = taken_in(build, tmp_path / "camera")
    assert len(found.photos) == 1
    assert [each.why for each in found.left_out] == ["the same picture as a.jpg"]


def test_two_photos_of_one_name_do_not_meet(build: Build, tmp_path: Path) -> None:
    photo(tmp_path / "camera" / "one" / "a.jpg", local(100))
    photo(tmp_path / "camera" / "two" / "a.jpg", local(150))
    found = taken_in(build, tmp_path / "camera")
    assert len({each.photo.copy for each in found.photos}) == 2


# -- bad input ---------------------------------------------------------------------------------------
def test_bad_files_are_left_out_with_a_word_and_the_rest_goes_on(
    build: Build, camera: Path, tmp_path: Path
) -> None:
    whole = photo(tmp_path / "whole.jpg", local(100), size=(400, 300)).read_bytes()
    (camera / "cut.jpg").write_bytes(whole[: len(whole) // 2])
    (camera / "empty.jpg").write_bytes(b"")
    (camera / "text.jpg").write_text("hello")
    (camera / "notes.txt").write_text("hello")
    (camera / "out.jpg").symlink_to(tmp_path / "whole.jpg")
    (camera / "in.jpg").symlink_to(camera / "IMG_0001.jpg")
    (camera / "away").symlink_to(tmp_path)
    (camera / "gone.jpg").symlink_to(camera / "nothing.jpg")
    os.utime(camera / "cut.jpg", (at(100), at(100)))
    if hasattr(os, "mkfifo"):
        os.mkfifo(camera / "pipe.jpg")
    found = taken_in(build, camera)
    why = {each.file: each.why for each in found.left_out}
    assert "cut off" in why["cut.jpg"]
    assert "empty" in why["empty.jpg"]
    assert "not a picture" in why["text.jpg"]
    assert why["out.jpg"] == "a link that leads out of the folder"
    assert why["in.jpg"] == "a link to another file of the folder"
    assert "link" in why["gone.jpg"]
    assert why.get("pipe.jpg", "not a regular file") == "not a regular file"
    assert found.others == 1
    assert {each.photo.file for each in found.photos} >= {f"IMG_{number:04d}.jpg" for number in (1, 2, 3, 4, 5)}
    assert not any("whole" in each.photo.file for each in found.photos)


@pytest.mark.parametrize("what", ["nothing", "a file"])
def test_a_folder_that_is_none_is_said(build: Build, tmp_path: Path, what: str) -> None:
    target = tmp_path / "x"
    if what == "a file":
        target.write_text("x")
    with pytest.raises(SoldersideError, match=str(target)):
        read_folder(target)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_photos_in_a_folder_that_cannot_be_written_are_copied_all_the_same(build: Build, camera: Path) -> None:
    camera.chmod(0o555)
    try:
        assert len(taken_in(build, camera).photos) == 6
    finally:
        camera.chmod(0o755)


def test_where_copies_cannot_be_written_nothing_is_recorded(build: Build, camera: Path) -> None:
    (build.log.folder / COPIES).write_text("in the way")
    before = build.events
    with pytest.raises(SoldersideError) as said:
        taken_in(build, camera)
    assert "cannot be written" in said.value.what
    assert build.events == before


def test_a_disk_that_fills_up_stops_it_and_nothing_is_recorded(
    build: Build, camera: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(output_files, "write_whole", full)
    before = build.events
    with pytest.raises(SoldersideError, match="No space left"):
        taken_in(build, camera)
    assert build.events == before


def test_a_build_that_is_open_elsewhere_is_left_alone(build: Build, camera: Path) -> None:
    other = Build(build.kit, build.plan, LogFile(build.log.folder), build.clock)
    with pytest.raises(LogError, match="another window"):
        taken_in(other, camera)
    assert not (build.log.folder / COPIES).exists()


def test_more_files_than_a_build_can_have_are_refused(
    build: Build, camera: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "MOST_FILES", 3)
    with pytest.raises(SoldersideError, match="more than 3 files"):
        read_folder(camera)


def test_one_picture_at_a_time_is_held(build: Build, camera: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many photos there are: no picture is open while the next is read."""
    open_now, most = 0, 0
    real = webcopy.web_copy

    def counting(path: Path, *more: int) -> webcopy.WebCopy:
        nonlocal open_now, most
        open_now += 1
        most = max(most, open_now)
        made = real(path, *more)
        open_now -= 1
        return made

    monkeypatch.setattr(webcopy, "web_copy", counting)
    told: list[tuple[str, int, int]] = []
    take_in(
        build, match(build, camera, zone=UTC, tell=lambda *how: told.append(how)), lambda *how: told.append(how)
    )
    assert most == 1
    assert ("reading", 7, 7) in told
    assert ("copying", 6, 6) in told


# -- the article -------------------------------------------------------------------------------
def test_the_page_shows_photos_under_their_stages_with_captions(build: Build, camera: Path) -> None:
    taken_in(build, camera, f"IMG_0001.jpg={clock_of(20)}")
    build.caption_photo("IMG_0004.jpg", 'A *starred* <b>caption</b> ](x) "quoted"')
    story = whole_story(build.kit, build.plan, build.events, build.progress)
    assert [place for place, _ in photos_by_stage(story)] == [
        ("Flat parts", "main"), ("Flat parts", "control"), ("Before power", ""),
    ]  # fmt: skip
    page = page_of(build)
    html = parser().render(page)
    sources = re.findall(r'<img src="([^"]+)"', html)
    assert len(sources) == len(set(sources)) == len(story.photos)
    lead = next(row for row in story.photos if row.caption)
    rest = [f"photos/{row.file}" for row in story.photos if row is not lead]
    assert sources == [f"photos/{lead.file}", *rest], "the one with a caption over the article"
    assert all((build.log.folder / source).is_file() for source in sources)
    assert "<b>caption" not in html
    assert html.count("A *starred* &lt;b&gt;caption&lt;/b&gt; ](x) &quot;quoted&quot;") >= 2, (
        "caption and alt text"
    )
    assert 'alt="D1 sat the wrong way round (Flat parts, main board)"' in html
    assert all(alt.strip() for alt in re.findall(r'alt="([^"]*)"', html))


def test_a_page_elsewhere_takes_its_photos_along(build: Build, camera: Path, tmp_path: Path) -> None:
    taken_in(build, camera)
    (tmp_path / "my blog").mkdir()
    target = tmp_path / "my blog" / "the lamp (1).md"
    publish(build, {"markdown": target})
    sources = re.findall(r'<img src="([^"]+)"', parser().render(target.read_text(encoding="utf-8")))
    assert sources
    for source in sources:
        assert unquote(source).startswith("the lamp (1)-photos/")
        assert (target.parent / unquote(source)).read_bytes()[:2] == b"\xff\xd8"
    before = state(target.parent)
    assert not publish(build, {"markdown": target})[0].changed
    assert state(target.parent) == before


def test_a_copy_that_is_gone_is_said_with_what_to_do(build: Build, camera: Path, tmp_path: Path) -> None:
    taken_in(build, camera)
    story = whole_story(build.kit, build.plan, build.events, build.progress)
    assert copy_bytes(build.log.folder, story.photos[0])[:2] == b"\xff\xd8"
    (build.log.folder / COPIES / story.photos[0].file).unlink()
    for outcome in publish(build, {"markdown": tmp_path / "page.md", "html": tmp_path / "page.html"}):
        assert outcome.problem is not None
        assert "solderside photos BUILD" in outcome.problem.hint
        assert not outcome.path.exists(), "no page with holes in it"


def test_a_build_without_photos_has_no_section_for_them(tmp_path: Path) -> None:
    build = small_build(tmp_path / "lamp")
    build.opened()
    build.done()
    assert "Photos" not in page_of(build)
    assert whole_story(build.kit, build.plan, build.events, build.progress).photos == ()


def test_undo_takes_the_photos_out_of_the_page(build: Build, camera: Path) -> None:
    taken_in(build, camera)
    assert "## Photos" in page_of(build)
    build.undo()
    assert "## Photos" not in page_of(build)


def test_a_photo_without_words_is_told_by_the_step_under_way_and_captioned_at_the_article(
    build: Build, camera: Path
) -> None:
    with pytest.raises(SoldersideError, match="no photo"):
        FORMS["captions"].ask(situation(build))
    taken_in(build, camera, f"IMG_0001.jpg={clock_of(20)}")
    story = story_of(build)
    told = [caption_of(story, row) for row in story.photos]
    assert told[1:4] == ["D1 sat the wrong way round", "100k, R1, R2", "Flat parts, control board, 17:56"]
    form = FORMS["captions"].ask(situation(build))
    assert isinstance(form, Form)
    assert form.questions[2].hint == "Enter keeps it: 100k, R1, R2."
    answers = [question.given for question in form.questions]
    assert form.record((*answers[:2], "two of a kind", *answers[3:])) == "1 caption recorded."
    assert caption_of(story_of(build), story_of(build).photos[2]) == "two of a kind"
    again = FORMS["captions"].ask(situation(build))
    assert isinstance(again, Form)
    assert again.questions[-1].given == "two of a kind"
    assert again.record(tuple(question.given for question in again.questions)) == "Nothing changed."
