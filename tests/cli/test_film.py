"""`solderside chapters`: clips are named, chapters come out, and bad input is told in words."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import opentimelineio as otio
import pytest
import srt
import webvtt
from msgspec.structs import replace

from bench.cli import main, parser
from bench.cli.help import topic_text
from bench.log.file import LOG_NAME
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.ui.commands import Keymap
from bench.writeup.film.description import description, too_long
from tests.support.command_line import HOSTILE, assert_inert, data_from
from tests.support.samples import HandClock

NAME = "twin-board-oscillator-rev-b"


@pytest.fixture
def data(own_data: Path, kit_file: Path) -> Path:
    """A build filmed for three quarters of an hour, with two claps half an hour apart."""
    clock = HandClock(utc=1_927_820_000.0)
    build = open_build(own_data, str(kit_file), Settings(), clock)
    build.opened()
    clock.work(60)
    build.clap()
    for number in range(12):
        clock.work(150)
        build.done()
        if number == 3:
            build.snag(f"a bridge --> <b>U1</b> & {HOSTILE}", "U1")
        if number == 8:
            build.note("the iron at work", "show")
    build.clap("the last one")
    build.close()
    return own_data


def chapters(*arguments: str) -> int:
    return main(["chapters", NAME, *arguments])


def log_lines(data: Path) -> int:
    return len((data / "builds" / NAME / LOG_NAME).read_bytes().splitlines())


TWO_CLAPS = ("--clip", "one.mov", "--clap", "1=12.48", "--clap", "2=30:12.534", "--length", "31:10")


# -- naming ------------------------------------------------------------------------------------------
def test_a_clip_is_named_once_and_its_chapters_come_out(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = log_lines(data)
    assert chapters(*TWO_CLAPS) == 0
    said = capsys.readouterr()
    assert said.out.splitlines()[0].startswith("0:00 ")
    assert "A bridge --› ‹b›U1‹/b› &" in said.out
    assert "fitted through two marks, drift +30.0 ppm" in said.err
    assert "a third would show" in said.err
    assert log_lines(data) == before + 1
    assert chapters() == 0
    assert capsys.readouterr().out == said.out
    assert log_lines(data) == before + 1


def test_one_clap_or_a_start_will_do(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert chapters("--clip", "a", "--clap", "1=12.48", "--length", "31:10") == 0
    assert "its drift is not known" in capsys.readouterr().err
    assert chapters("--clip", "b", "--starts", "2031-02-02T17:34:07Z", "--length", "31:10") == 0
    assert "by the start that the camera's clock gave" in capsys.readouterr().err


def test_what_is_left_out_stays_as_it_was_said_before(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert chapters("--clip", "a", "--clap", "1=12.48") == 0
    assert chapters("--clip", "a", "--length", "31:10") == 0
    assert chapters("--clip", "a", "--clap", "1=13.48") == 0
    capsys.readouterr()
    (clip,) = data_from(capsys, "chapters", NAME, "--json")["clips"]
    assert (clip["length"], clip["length_known"], clip["marks"][0]["clip"]) == (1870.0, True, 13.48)


def test_the_example_of_the_manual_is_understood() -> None:
    text = topic_text("chapters", Keymap()).replace("\\\n", "")
    (example,) = [line.split()[1:] for line in text.splitlines() if line.startswith("    solderside chapters")]
    assert parser().parse_args(example).clap == ["1=12.48", "2=36:38.49"]


def test_the_filmed_clock_names_a_clip_too(data: Path) -> None:
    assert chapters("--clip", "a", "--shows", "17:34:20.5Z=12", "--length", "31:10") == 0


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--clip", "a", "--clap", "7=1"], "no clap 7 in the log; claps made: 1, 2"),
        (["--clip", "a", "--clap", "x"], "is not a clap"),
        (["--clip", "a", "--starts", "soon"], "is not a time of day"),
        (["--clip", "a", "--starts", "03:00:00Z"], "nobody was at work then on any day"),
        (["--clip", "a", "--clap", "1=1", "--length", "-3"], "is not a time in a clip"),
        (["--clip", "a", "--clap", "1=99:00", "--length", "31:10"], "past the clip's end"),
        (["--clip", " ", "--clap", "1=1"], "there is nothing in it"),
        (["--clip", "a"], "no clip is called 'a'"),
        ([], "no clip has been named yet"),
    ],
)  # fmt: skip
def test_what_cannot_be_named_is_refused_in_one_line_and_nothing_is_recorded(
    data: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], word: str
) -> None:
    before = log_lines(data)
    assert chapters(*arguments) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert word in said.err
    assert log_lines(data) == before


@pytest.mark.parametrize(
    "arguments",
    [
        ["--starts", "18:20:05"],
        ["--clap", "1=2"],
        ["--format", "srt"],
        ["--cut", "x", "--clip", "a"],
        ["--length", "3"],
    ],
)
def test_wrong_use_is_exit_code_2(data: Path, capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as left:
        chapters(*arguments)
    assert left.value.code == 2
    assert capsys.readouterr().err.rstrip().endswith("--help")


def test_while_another_window_has_the_build_open_a_clip_is_refused_and_chapters_are_read(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    build: Build = open_build(data, NAME, Settings(), HandClock())
    try:
        capsys.readouterr()
        assert chapters(*TWO_CLAPS) == 1
        assert "another window has this build open" in capsys.readouterr().err
        assert chapters() == 0
    finally:
        build.log.close()


# -- formats -----------------------------------------------------------------------------------------
def test_webvtt_is_read_back_with_as_many_cues_as_the_data_has_chapters(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chapters(*TWO_CLAPS)
    out = tmp_path / "one.vtt"
    assert chapters("--format", "vtt", "--out", str(out)) == 0
    capsys.readouterr()
    told = data_from(capsys, "chapters", NAME, "--json")["clips"][0]["chapters"]
    assert len(webvtt.read(str(out))) == len(told) >= 3


def test_data_has_marks_drift_chapters_and_moments(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chapters(*TWO_CLAPS)
    capsys.readouterr()
    (clip,) = data_from(capsys, "chapters", NAME, "--json")["clips"]
    assert clip["starts"] == "2031-02-02T17:34:07.520Z"
    assert [mark["mark"] for mark in clip["marks"]] == ["clap 1", "clap 2"]
    assert clip["drift_ppm"] == pytest.approx(30.0, abs=0.1)
    assert clip["drift_ppm_uncertainty"] is None
    assert {moment["kind"] for moment in clip["moments"]} == {"snag", "show"}


def test_moments_and_csv_are_inert(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chapters(*TWO_CLAPS)
    for arguments in (
        [],
        ["--moments"],
        ["--format", "csv"],
        ["--moments", "--format", "csv"],
        ["--format", "vtt"],
    ):
        capsys.readouterr()
        assert chapters(*arguments) == 0
        said = capsys.readouterr()
        assert "U1" in said.out
        assert_inert(said.out)
        assert_inert(said.err)


def test_a_webvtt_of_several_clips_asks_which(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chapters(*TWO_CLAPS)
    chapters("--clip", "two.mov", "--clap", "2=5")
    capsys.readouterr()
    assert chapters("--format", "vtt") == 1
    assert "one.mov, two.mov" in capsys.readouterr().err
    assert chapters("--format", "vtt", "--clip", "one.mov") == 0


def test_a_file_of_somebody_else_is_left_alone_unless_forced(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chapters(*TWO_CLAPS)
    out = tmp_path / "one.txt"
    out.write_text("mine", encoding="utf-8")
    assert chapters("--out", str(out)) == 1
    assert out.read_text(encoding="utf-8") == "mine"
    assert chapters("--out", str(out), "--force") == 0
    assert out.read_text(encoding="utf-8").startswith("0:00 ")


# -- cut lists ---------------------------------------------------------------------------------------
def test_a_cut_list_gives_the_chapters_of_the_film(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chapters(*TWO_CLAPS)
    cut = tmp_path / "cut.txt"
    cut.write_text("one.mov 0:00 5:00\none.mov 20:00 end\n", encoding="utf-8")
    capsys.readouterr()
    assert chapters("--cut", str(cut)) == 0
    said = capsys.readouterr()
    assert said.out.startswith("0:00 ")
    assert "Not in the film: 'A bridge" in said.err
    film = data_from(capsys, "chapters", NAME, "--cut", str(cut), "--json")["film"]
    assert film["length"] == pytest.approx(300 + 670)
    assert chapters("--cut", str(cut), "--format", "vtt") == 0
    assert len(webvtt.from_string(capsys.readouterr().out)) == len(film["chapters"])


def test_a_faulty_cut_list_lists_its_faults_with_their_lines(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chapters(*TWO_CLAPS)
    cut = tmp_path / "cut.txt"
    cut.write_text("one.mov 5:00 1:00\nno.mov 0 1\n", encoding="utf-8")
    capsys.readouterr()
    assert chapters("--cut", str(cut)) == 1
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[0] for line in lines] == [f"{cut}:1", f"{cut}:2"]
    assert chapters("--cut", str(tmp_path / "none.txt")) == 1
    assert "none.txt: there is no such file" in capsys.readouterr().err


def test_the_write_up_lists_clips_with_their_chapters(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chapters(*TWO_CLAPS)
    capsys.readouterr()
    assert main(["article", NAME, "--out", "-"]) == 0
    page = capsys.readouterr().out
    assert "## On film" in page
    assert "&lt;b&gt;U1&lt;/b&gt;" in page
    story = data_from(capsys, "article", NAME, "--json")
    assert [clap["number"] for clap in story["claps"]] == [1, 2]
    assert story["clips"][0]["name"] == "one.mov"
    assert len(story["clips"][0]["chapters"]) >= 3
    assert json.dumps(story["clips"][0]["chapters"][0]["seconds"]) == "0.0"


# -- moments, breaks, WebVTT -------------------------------------------------------------------------
def test_moments_of_a_cut_are_those_of_the_film(
    data: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    cut = tmp_path / "cut.txt"
    cut.write_text("one.mov 10:00 25:00\none.mov 0:00 10:00 8x\n")
    capsys.readouterr()
    assert chapters("--cut", str(cut)) == 0
    whole = capsys.readouterr().out
    assert chapters("--cut", str(cut), "--moments") == 0
    moments = capsys.readouterr().out
    assert moments != whole
    assert all(" to " in line for line in moments.splitlines())
    assert "A bridge --› ‹b›U1" in moments
    assert chapters("--cut", str(cut), "--moments", "--format", "csv") == 0
    assert ",snag," in capsys.readouterr().out


def test_a_webvtt_file_keeps_chapters_that_a_site_would_refuse(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (data / "settings.toml").write_text("chapters_shortest = 300.0\nchapters_fewest = 6\n")
    assert chapters(*TWO_CLAPS) == 0
    said = capsys.readouterr()
    few = said.out.splitlines()
    assert "some video sites need at least six" in said.err
    assert chapters("--format", "vtt") == 0
    said = capsys.readouterr()
    assert len(webvtt.from_string(said.out).captions) > len(few)
    assert "video sites" not in said.err


def test_breaks_are_chapters_only_if_asked_for(
    own_data: Path, kit_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = HandClock(utc=1_927_820_000.0)
    build = open_build(own_data, str(kit_file), Settings(), clock)
    build.opened()
    build.clap()
    clock.work(120)
    build.done()
    clock.work(60)
    build.break_begin()
    clock.work(300)
    build.break_end()
    clock.work(120)
    build.done()
    build.close()
    assert chapters("--clip", "a", "--clap", "1=0", "--length", "15:00") == 0
    assert "Break" not in capsys.readouterr().out
    assert chapters("--breaks") == 0
    told = capsys.readouterr().out.splitlines()
    at = next(number for number, line in enumerate(told) if line == "3:00 Break")
    assert told[at + 1].startswith("8:00 ")
    assert told[at + 1].endswith("(continued)")
    (own_data / "settings.toml").write_text("chapters_breaks = true\n")
    assert chapters() == 0
    assert capsys.readouterr().out.splitlines() == told


# -- the film kit ------------------------------------------------------------------------------------
def film(*arguments: str) -> int:
    return main(["film", NAME, *arguments])


def test_the_film_kit_has_all_that_goes_with_a_video(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert chapters(*TWO_CLAPS) == 0
    assert chapters("--clip", "wide.mov", "--clap", "1=5", "--length", "20:00") == 0
    capsys.readouterr()
    assert film("--minutes", "5") == 0
    said = capsys.readouterr()
    folder = data / "builds" / NAME / "film"
    assert set(map(Path, said.out.splitlines())) == {path for path in folder.rglob("*") if path.is_file()}
    assert "The film: " in said.err
    captions = list(srt.parse((folder / "captions.srt").read_text(), ignore_errors=False))
    assert len(captions) == len(webvtt.read(str(folder / "captions.vtt")).captions) > 3
    about = (folder / "description.txt").read_text()
    assert (folder / "chapters.txt").read_text() in about
    assert "the iron at work" not in about
    assert "- A bridge --› ‹b›U1‹/b› &" in about
    assert "Cautions\n" in about
    timeline = otio.adapters.read_from_file(str(folder / "timeline.otio"))
    assert [track.name for track in timeline.tracks][:1] == ["Film"]
    for path in folder.rglob("*"):
        if path.suffix in (".txt", ".srt", ".vtt", ".edl"):
            assert_inert(path.read_text(encoding="utf-8"))


def test_a_changed_cut_list_is_followed_and_a_new_proposal_keeps_it_beside(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    assert film() == 0
    folder = data / "builds" / NAME / "film"
    (folder / "cut-list.txt").write_text("one.mov 1:00 4:00 2x\n")
    capsys.readouterr()
    assert film() == 0
    assert "The film: 1:30, 1 cut," in capsys.readouterr().err
    assert (folder / "cut-list.txt").read_text() == "one.mov 1:00 4:00 2x\n"
    assert "001  ONE" in (folder / "timeline.edl").read_text()
    assert film("--propose") == 0
    assert "cut-list.before.txt" in capsys.readouterr().err
    assert (folder / "cut-list.before.txt").read_text() == "one.mov 1:00 4:00 2x\n"
    assert "x  # " in (folder / "cut-list.txt").read_text()


def test_a_description_changed_by_hand_is_kept_and_the_rest_written(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    assert film() == 0
    about = data / "builds" / NAME / "film" / "description.txt"
    about.write_text("mine")
    capsys.readouterr()
    assert film("--minutes", "3") == 1
    said = capsys.readouterr()
    assert "description.txt" in said.err
    assert "captions.srt" in said.out
    assert about.read_text() == "mine"


def test_without_a_clip_there_is_a_description_and_a_word(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert film() == 0
    said = capsys.readouterr()
    assert [Path(line).name for line in said.out.splitlines()] == ["description.txt"]
    assert "No clip has been named yet" in said.err


def test_without_the_library_all_but_its_timeline_is_written(
    data: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    monkeypatch.setitem(sys.modules, "opentimelineio", None)
    capsys.readouterr()
    assert film() == 0
    said = capsys.readouterr()
    assert "No timeline.otio: " in said.err
    assert "solderside[film]" in said.err
    assert "timeline.edl" in said.out
    assert "timeline.otio" not in said.out


def test_the_film_kit_goes_where_it_is_wanted(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert chapters(*TWO_CLAPS) == 0
    assert film("--out", str(tmp_path / "kit"), "--breaks") == 0
    assert (tmp_path / "kit" / "clips" / "one-mov.captions.srt").is_file()
    assert not (data / "builds" / NAME / "film").exists()


@pytest.mark.parametrize(
    "arguments", [["--minutes", "0"], ["--minutes", "3", "--cut", "x"], ["--propose", "--cut", "x"]]
)
def test_wrong_use_of_the_film_kit_is_exit_code_2(data: Path, arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as left:
        film(*arguments)
    assert left.value.code == 2


def test_the_description_of_a_deadly_kit_begins_with_its_caution(data: Path) -> None:
    build = open_build(data, NAME, Settings(), HandClock(utc=1_927_900_000.0))
    kit = replace(build.kit, hazards=("mains", "stored charge"), about="<b>A lamp</b>", tools=("iron", "iron"))
    text = description(kit, build.plan, build.progress, ())
    build.log.close()
    lines = text.splitlines()
    assert lines[2].startswith("CAUTION: Mains and stored charge: this kit can kill.")
    assert "Chapters" not in lines
    assert not set("<>") & set(text)
    assert text.count("- iron\n") == 1
    assert "licensed" in text
    assert too_long(text) == ""
    assert "5,000" in too_long("x" * 5001)


def test_the_description_names_each_check_that_was_overridden(own_data: Path) -> None:
    kit = shipped_kits_folder() / "first-evening-metronome.yaml"
    build = open_build(own_data, str(kit), Settings(), HandClock(utc=1_927_900_000.0))
    build.opened()
    while not build.view().wants_reading:
        build.done()
    assert "Overridden" not in description(build.kit, build.plan, build.progress, ())
    step = build.next_step
    assert step is not None
    build.override_hold("no <meter> that evening")
    text = description(build.kit, build.plan, build.progress, ())
    build.close()
    assert f"\nOverridden here, not met: make these checks in your own build\n- {step.stage}" in text
    assert f": {step.value} (no ‹meter› that evening)\n" in text


def test_clips_whose_names_no_list_can_hold_still_get_their_captions(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert chapters("--clip", "a\nb", "--clap", "1=5", "--length", "20:00") == 0
    capsys.readouterr()
    assert film() == 1
    said = capsys.readouterr()
    assert "cannot hold the clip name" in said.err
    assert "captions.srt" in said.out
    assert "timeline.otio" in said.out


def test_what_only_the_builder_can_say_stands_in_the_description(data: Path) -> None:
    build = open_build(data, NAME, Settings(), HandClock(utc=1_927_900_000.0))
    build.opened()
    for mark, text in (
        ("verdict", "It sings <loudly>."), ("learned", "Sort the bag first"), ("differently", "buy flux"),
        ("tools", "a 30 W iron"), ("thanks", "the neighbour with the scope"),
    ):  # fmt: skip
        build.note(text, mark)
    text = description(build.kit, build.plan, build.progress, ())
    build.close()
    for line in (
        "It sings ‹loudly›.", "- Sort the bag first", "- Next time: buy flux", "- a 30 W iron",
        "- Thanks to: the neighbour with the scope",
    ):  # fmt: skip
        assert f"\n{line}\n" in text
