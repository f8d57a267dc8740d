"""Slips of the keyboard on the command line, and what scripts can rely on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bench.cli import main
from bench.session.folders import open_build
from bench.settings import Settings
from tests.support.samples import HandClock


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str]:
    try:
        code = main([*argv])
    except SystemExit as end:
        code = int(str(end.code))
    return code, capsys.readouterr().err


@pytest.mark.parametrize(
    ("argv", "meant", "code"),
    [
        (("bild", "fog-filter"), "did you mean build", 2),
        (("build", "fog-filter", "--agian"), "did you mean --again", 2),
        (("builds", "--jsn"), "did you mean --json", 2),
        (("--dta", "x", "builds"), "did you mean --data", 2),
        (("help", "ketts"), "did you mean", 2),
        (("build", "fogfilter"), "did you mean fog-filter", 1),
        (("plan", "metronom"), "did you mean first-evening-metronome", 1),
    ],
)
def test_what_was_meant_is_named(
    argv: tuple[str, ...], meant: str, code: int, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ended, told = said(capsys, *argv)
    assert meant in told
    assert ended == code


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("brake_after_minutes = 10\n", "did you mean break_after_minutes"),
        ('[keys]\ndonne = "f5"\n', "did you mean done"),
        ("[case]\nrowz = [84]\n", "did you mean rows"),
    ],
)
def test_settings_and_keys_name_what_was_meant(
    text: str, meant: str, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own_data.mkdir(exist_ok=True)
    (own_data / "settings.toml").write_text(text, encoding="utf-8")
    _, told = said(capsys, "build", "fog-filter", "--plain")
    assert meant in told


def test_a_slip_of_data_makes_no_folder_and_names_the_nearest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "bench-data").mkdir()
    slip = tmp_path / "bnech-data"
    code, told = said(capsys, "builds", "--data", str(slip))
    assert code == 1
    assert "did you mean bench-data" in told
    assert not slip.exists()
    assert said(capsys, "builds", "--data", str(slip), "--new")[0] == 0


def test_json_says_its_version_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for argv in (("builds",), ("kits",), ("record",), ("find", "x"), ("plan", "fog-filter")):
        assert main([*argv, "--json", "--data", str(tmp_path)]) == 0
        assert next(iter(json.loads(capsys.readouterr().out).items())) == ("version", 1)


def test_a_part_is_found_in_the_logs_of_all_builds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for unit in ("Anna", "Bert"):
        build = open_build(tmp_path, "fog-filter", Settings(), HandClock(), unit=unit)
        while "TL074" not in str(build.progress.last_done):
            if build.view().wants_reading or build.view().danger:
                build.override_hold("no meter")
            build.done()
        build.note("TL074 of Bert") if unit == "Bert" else None
        build.undo() if unit == "Bert" else None
        build.close()
    assert main(["find", "tl074", "--data", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "Fog filter rev. A, Anna  (fog-filter-rev-a-anna)" in told
    assert "Fog filter rev. A, Bert" in told
    assert "TL074 of Bert" not in told, "what was undone is not found"
    assert (
        main(["find", "tl074", "done", "--json", "--build", "fog-filter-rev-a-anna", "--data", str(tmp_path)])
        == 0
    )
    rows = json.loads(capsys.readouterr().out)["found"]
    assert {row["build"] for row in rows} == {"fog-filter-rev-a-anna"}
    assert rows[0]["event"] == "done"
    assert main(["find", "nothing like it", "--data", str(tmp_path)]) == 0
    assert "No entry holds" in capsys.readouterr().out
