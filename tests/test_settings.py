"""Settings: defaults that work, and clear words for what cannot be used."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import FileFaults, SoldersideError
from bench.settings import Settings, data_folder, load_settings, parse_settings, where_key_stands
from bench.ui.commands import keymap_faults


def test_no_file_means_the_defaults(tmp_path: Path) -> None:
    assert load_settings(tmp_path) == (Settings(), ())


def test_what_is_written_is_loaded(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text(
        'theme = "light"\nstep_size = 6\nbreak_after_minutes = 20.0\n\n[keys]\ndone = "f5"\n'
    )
    chosen = Settings(theme="light", step_size=6, break_after_minutes=20.0, keys={"done": "f5"})
    assert load_settings(tmp_path) == (chosen, ())


def test_an_unknown_key_is_a_warning_with_its_line(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text('theme = "dark"\n\ncolour = "red"\n')
    settings, warnings = load_settings(tmp_path)
    assert settings.theme == "dark"
    assert [warning.where for warning in warnings] == [f"{tmp_path / 'settings.toml'}:3"]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("theme = dark\n", 1),
        ('theme = "pink"\n', 1),
        ("\nstep_size = -1\n", 2),
        ("break_after_minutes = true\n", 1),
        ("break_after_minutes = nan\n", 1),
        ('keys = "f5"\n', 1),
        ("[keys]\ndone = 5\n", 1),
        ("step_size = 2.5\n", 1),
    ],
)
def test_a_value_that_cannot_be_used_is_a_fault_with_line_and_hint(text: str, line: int) -> None:
    with pytest.raises(FileFaults) as caught:
        parse_settings(text, "settings.toml")
    fault = caught.value.faults[0]
    assert fault.where == f"settings.toml:{line}"
    assert fault.hint


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(FileFaults) as caught:
        parse_settings('theme = "pink"\nstep_size = 1000\n', "s")
    assert len(caught.value.faults) == 2


def test_settings_that_are_not_text_are_refused_with_a_word(tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SoldersideError, match="UTF-8"):
        load_settings(tmp_path)


@given(st.text(max_size=200))
def test_any_text_gives_settings_or_faults(text: str) -> None:
    try:
        parse_settings(text, "s")
    except FileFaults as error:
        assert all(fault.where.startswith("s") for fault in error.faults)  # noqa: PT017


def test_the_data_folder_is_the_one_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("SOLDERSIDE_DATA", str(tmp_path / "env"))
    assert data_folder() == tmp_path / "env"
    assert data_folder(str(tmp_path / "given")) == tmp_path / "given"


def test_a_keymap_with_an_unknown_command_or_one_key_twice_is_faulty() -> None:
    assert not keymap_faults({"done": "f5 space"}, "s")
    assert "no command" in keymap_faults({"dance": "d"}, "s")[0].what
    assert "no key is called 'spacebar'" in keymap_faults({"done": "spacebar"}, "s")[0].what
    assert "done would take the key 'u' of undo (at the bench)" in keymap_faults({"done": "u"}, "s")[0].what
    assert "quit would take the key 'space' of done" in keymap_faults({"quit": "space"}, "s")[0].what
    assert not keymap_faults({"quit": "x"}, "s")
    assert not keymap_faults({"done": "u", "undo": "backspace"}, "s")
    assert not keymap_faults({"undo": "z"}, "s"), "a print-out stays in the palette"
    assert "both" in keymap_faults({"done": "z", "undo": "z"}, "s")[0].what


def test_a_file_of_thousands_of_strange_settings_is_told_in_a_few_lines() -> None:
    text = "".join(f"a{number} = 1\n" for number in range(20_000))
    _, warnings = parse_settings(text, "settings.toml")
    assert len(warnings) == 21
    assert warnings[-1].what == "19980 more unknown settings"
    assert warnings[4].where == "settings.toml:5"


def test_faults_of_keys_name_file_and_line_of_settings_and_keymap(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('\nnoote = "x"\n', encoding="utf-8")
    (tmp_path / "settings.toml").write_text(
        'keymap = "mine.toml"\n[keys]\ndone = "spacebar"\n', encoding="utf-8"
    )
    settings, _ = load_settings(tmp_path)
    faults = keymap_faults(settings.keys, "s", lambda name: where_key_stands(settings, tmp_path, name))
    assert {(each.what.split(";")[0], each.where) for each in faults} >= {
        ("no command is called 'noote'", str(tmp_path / "mine.toml") + ":2"),
        ("done: no key is called 'spacebar'", str(tmp_path / "settings.toml") + ":3"),
    }
    assert any("did you mean note" in each.hint for each in faults)
