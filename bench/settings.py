"""The builder's settings (one TOML file) and the folders where things lie."""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_type_hints

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import Fault, FileFaults, SoldersideError
from bench.files import home_path, make_folder, parse_toml, read_text_file, stands, write_whole
from bench.parts.english import near_or

SETTINGS_NAME = "settings.toml"
_MOST_BYTES = 200_000
_MOST_WARNINGS = 20


class Settings(Struct, frozen=True, kw_only=True):
    """What a builder can choose; every field has a default that works."""

    theme: str = "auto"
    """`auto`, `dark`, `light` or `contrast`."""
    large_type: str = "auto"
    """`blocks`, `ascii` for a terminal without block characters, or `auto`: by the output's encoding."""
    break_after_minutes: float = 15.0
    """A longer time without a key is asked about, in minutes."""
    step_size: int = 0
    """Most designators in one step; 0 leaves it to the procedure."""
    procedure: str = "low-to-high"
    """Procedure for new builds: the name of one that ships, or a path."""
    hourly_rate: float = 0.0
    """What an hour at the bench costs, in the currency of the kits' prices; 0 leaves it out."""
    units_by: str = "value"
    """With several units side by side: `value`, each step on all units before the next step, or `stage`."""
    look_back: int = 3
    """How many steps to offer to look at again after an interruption."""
    repeat_milliseconds: int = 250
    """The same key again sooner than this many milliseconds is a held-down key; a pedal may want 700, 0 takes
    every press."""
    rest_after_minutes: float = 90.0
    """After so much bench time without a break a rest is suggested, once, in minutes; 0 for never. 90 is common
    practice, no source."""
    plain: bool = False
    """True: plain lines instead of a screen."""
    speak: str = ""
    """Command that reads a line from its standard input and speaks it, such as `espeak-ng`; empty: silence."""
    speak_while_filming: bool = True
    """False: after a clap nothing is spoken until the step is asked to be heard again."""
    mouse: bool = True
    """True: taps and the wheel work; False leaves the mouse to the terminal, to mark and copy text."""
    sound: bool = False
    """True: the terminal's bell, once for done, twice for out of tolerance, three times when a wait is over,
    four times for a clap."""
    keymap: str = ""
    """A TOML file of keys, each line `command = "key"`, as seen from the data folder; `[keys]` wins."""
    clock_frames: int = 0
    """Frames a second that the clock for the camera counts; 0 shows tenths of a second."""
    caption_file: str = ""
    """A text file that always holds the step on the bench, for a streaming program, as seen from the data
    folder; empty for none."""
    film_minutes: float = 12.0
    """How long a proposed film is to be, in minutes."""
    film_frames: float = 25.0
    """Frames a second of the film, one of `FRAME_RATES`."""
    chapters_from_zero: bool = True
    """True: the first chapter begins at 0:00, as video sites ask."""
    chapters_fewest: int = 3
    """Fewer chapters than this are said to be too few."""
    chapters_shortest: float = 10.0
    """No chapter is shorter than this, in seconds."""
    chapters_breaks: bool = False
    """True: breaks are chapters too."""
    paper: str = "A4"
    """What is in the printer: `A4` or `letter`."""
    label_sheet: str = ""
    """The adhesive sheet for labels, such as `a4-24` or `A4 3x8 70x37`; empty to cut them apart."""
    meter: dict[str, Any] = {}
    """The builder's meter: `accuracy` as `basic`, `good` or `precise`, or its ranges one by one; see
    `measure.meter`. Empty: a modest hand-held."""
    case: dict[str, Any] = {}
    """The rack that modules go into and its supply; see `plan.cases`. Empty: not known."""
    keys: dict[str, str] = {}
    """Command name -> key, such as `done = "f5"`."""


_USUAL = Settings()
_LIMITS: dict[str, tuple[float, float]] = {
    "break_after_minutes": (1.0, 600.0),
    "step_size": (0, 100),
    "look_back": (0, 20),
    "repeat_milliseconds": (0, 2000),
    "clock_frames": (0, 60),
    "hourly_rate": (0.0, 10_000.0),
    "rest_after_minutes": (0.0, 600.0),
    "film_minutes": (0.5, 600.0),
    "film_frames": (1.0, 120.0),
    "chapters_fewest": (0, 50),
    "chapters_shortest": (0.1, 600.0),
}
FRAME_RATES = (23.976, 24.0, 25.0, 29.97, 30.0, 50.0, 59.94, 60.0)
"""Frames a second that a film can have."""
_CHOICES = {
    "theme": ("auto", "dark", "light", "contrast"),
    "large_type": ("auto", "blocks", "ascii"),
    "paper": ("A4", "letter"),
    "units_by": ("value", "stage"),
}


def data_folder(given: str | None = None) -> Path:
    """Where builds lie: `--data`, else SOLDERSIDE_DATA, else the system's place for a user's data."""
    chosen = given or os.environ.get("SOLDERSIDE_DATA")
    if chosen:
        return home_path(chosen)
    import platformdirs

    return Path(platformdirs.user_data_dir("solderside", appauthor=False))


def cache_folder(data: Path) -> Path:
    """Where parsed kits are kept; everything in it can be deleted at any time."""
    return data / "cache"


def builds_folder(data: Path) -> Path:
    """One folder for each build lies in here."""
    return data / "builds"


def sheets_folder(data: Path) -> Path:
    """Pages for the printer about kits that are not being built."""
    return data / "sheets"


def exports_folder(data: Path) -> Path:
    """Builds written into one file each, to carry to another computer."""
    return data / "exports"


def editor(environment: Mapping[str, str]) -> list[str]:
    """The command of the builder's editor, `VISUAL` or `EDITOR`; raises SoldersideError where there is none."""
    command = environment.get("VISUAL") or environment.get("EDITOR") or ""
    try:
        words = shlex.split(command)
    except ValueError:
        words = []
    if not words:
        raise SoldersideError("no editor is set", "EDITOR", "set it, such as: export EDITOR=nano")
    if shutil.which(words[0]) is None:
        raise SoldersideError(
            f"the editor {words[0]} is not there", "EDITOR", "set it, such as: export EDITOR=nano"
        )
    return words


def kits_folder(data: Path) -> Path:
    """Kit files that the builder had made from makers' lists."""
    return data / "kits"


def makers_file(data: Path) -> Path:
    """What each maker's columns hold."""
    return data / "makers.toml"


def shipped_kits_folder() -> Path:
    """The example kits: inside an installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "shipped_kits"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "kits"


def load_settings(data: Path) -> tuple[Settings, tuple[Fault, ...]]:
    """The settings in `data`, and warnings about unknown keys.

    Raises FileFaults when the file is not TOML or a value cannot be used; no file means the defaults.
    """
    path = data / SETTINGS_NAME
    if not stands(path):
        return Settings(), ()
    text = read_text_file(path, _MOST_BYTES, "settings file")
    settings, warnings = parse_settings(text, str(path))
    return _with_keymap(settings, data), warnings


def _with_keymap(settings: Settings, data: Path) -> Settings:
    """The settings with the keys of the builder's keymap file under their own."""
    if not settings.keymap:
        return settings
    path = data / home_path(settings.keymap)
    try:
        keys = parse_toml(read_text_file(path, _MOST_BYTES, "keymap"))
    except SoldersideError as error:
        hint = f"mend the path in {SETTINGS_NAME}, or leave the line out"
        raise SoldersideError(error.what, str(path), hint) from error
    except ValueError as error:
        raise SoldersideError("the keymap is not TOML", str(path), 'write lines such as done = "f5"') from error
    problem = _problem("keys", keys)
    if problem:
        raise SoldersideError(
            problem[0], str(path), 'write lines such as done = "f5", with no table around them'
        )
    return replace(settings, keys=keys | settings.keys)


def where_key_stands(settings: Settings, data: Path, command: str) -> str:
    """File and line that give a command its keys; empty where none does."""
    line_of_it = re.compile(rf"""\s*(?:keys\s*\.\s*)?["']?{re.escape(command)}["']?\s*=""")
    for path in (data / SETTINGS_NAME, *([data / home_path(settings.keymap)] if settings.keymap else ())):
        with contextlib.suppress(SoldersideError):
            lines = read_text_file(path, _MOST_BYTES, "settings").splitlines()
            if number := next((at for at, line in enumerate(lines, 1) if line_of_it.match(line)), 0):
                return f"{path}:{number}"
    return ""


def parse_settings(text: str, where: str) -> tuple[Settings, tuple[Fault, ...]]:
    """Settings from TOML text; see `load_settings`."""
    try:
        raw = parse_toml(text)
    except ValueError as error:
        line = re.search(r"at line (\d+)", str(error))
        at = f"{where}:{line[1]}" if line else where
        raise FileFaults(
            [Fault(what="this is not TOML", where=at, hint='write key = value, texts in "quotes"')]
        ) from error
    faults: list[Fault] = []
    chosen: dict[str, Any] = {}
    names = {key: key.replace("-", "_").replace(" ", "_") for key in raw}
    strange = [key for key, name in names.items() if name not in Settings.__struct_fields__]
    warnings = [
        Fault(
            what=f"unknown setting {key!r}",
            where=_at(where, text, key),
            hint=near_or(names[key], Settings.__struct_fields__),
        )
        for key in strange[:_MOST_WARNINGS]
    ]
    if len(strange) > _MOST_WARNINGS:
        more = f"{len(strange) - _MOST_WARNINGS} more unknown settings"
        warnings.append(Fault(what=more, where=where, hint="is it the right file?"))
    for key, value in raw.items():
        name = names[key]
        if name not in Settings.__struct_fields__:
            continue
        problem = _problem(name, value)
        if problem:
            faults.append(Fault(what=f"{key}: {problem[0]}", where=_at(where, text, key), hint=problem[1]))
        else:
            chosen[name] = float(value) if isinstance(getattr(_USUAL, name), float) else value
    if faults:
        raise FileFaults(faults)
    return Settings(**chosen), tuple(warnings)


def _problem(name: str, value: object) -> tuple[str, str] | None:
    """What is wrong with a setting's value and what would be right, or None."""
    if name in _LIMITS:
        return _number_problem(name, value)
    check = {"meter": _meter_problem, "case": _case_problem, "keys": _keys_problem}.get(name)
    if check is not None:
        return check(value)
    usual = getattr(_USUAL, name)
    if isinstance(usual, bool):
        return None if isinstance(value, bool) else ("neither on nor off", "write true or false")
    if not isinstance(value, str) or not (value or not usual):
        return "not a text", 'write it in "quotes"'
    if name == "speak":
        return _command_problem(value)
    choices = _CHOICES.get(name, ())
    if choices and value not in choices:
        return f"there is no {name.replace('_', ' ')} {value!r}", f"choose one of {', '.join(choices)}"
    return None


def _command_problem(value: str) -> tuple[str, str] | None:
    try:
        shlex.split(value)
    except ValueError:
        return "a quotation mark in the command is not closed", 'write it as in a shell: "espeak-ng -s 150"'
    return None


def _number_problem(name: str, value: object) -> tuple[str, str] | None:
    low, high = _LIMITS[name]
    whole = get_type_hints(Settings)[name] is int
    if (
        isinstance(value, int if whole else int | float)
        and not isinstance(value, bool)
        and low <= value <= high
    ):
        rates = ", ".join(f"{rate:g}" for rate in FRAME_RATES)
        fits = name != "film_frames" or value in FRAME_RATES
        return None if fits else (f"no film has {value:g} frames a second", f"choose one of {rates}")
    return "not a number in range", f"write a {'whole ' if whole else ''}number from {low:g} to {high:g}"


def _keys_problem(value: object) -> tuple[str, str] | None:
    if isinstance(value, dict) and all(isinstance(key, str) and key for key in value.values()):
        return None
    return "not a table of keys", 'write [keys] and lines such as done = "f5"'


def _meter_problem(value: object) -> tuple[str, str] | None:
    if not isinstance(value, dict):
        ranges = "[[meter.volts]] with full_scale, resolution, percent, counts"
        return "not a table", f'write [meter] and accuracy = "good", or {ranges}'
    from bench.measure.verdict.meter import meter_from

    try:
        if value:
            meter_from(value)
    except SoldersideError as error:
        return error.what, error.hint
    return None


def _case_problem(value: object) -> tuple[str, str] | None:
    if not isinstance(value, dict):
        return "not a table", 'write [case] and lines such as width = "84 HP"'
    from bench.kit.case import case_from

    try:
        case_from(value)
    except SoldersideError as error:
        return error.what, error.hint
    return None


def _at(where: str, text: str, key: str) -> str:
    for number, line in enumerate(text.splitlines(), 1):
        if re.match(rf"""\s*\[?\s*["']?{re.escape(key)}\b""", line):
            return f"{where}:{number}"
    return f"{where}:1"


def keep_meter(data: Path, accuracy: str) -> dict[str, Any]:
    """Add the meter's accuracy class to the settings file, and leave all else in it as it stands.

    Returns the setting as it is now. Raises SoldersideError when the file has a meter already or cannot be
    written.
    """
    path = data / SETTINGS_NAME
    text = read_text_file(path, _MOST_BYTES, "settings file") if stands(path) else ""
    try:
        known = "meter" in parse_toml(text)
    except ValueError as error:
        raise SoldersideError("the settings cannot be read", str(path), "mend or remove the file") from error
    if known:
        raise SoldersideError("the settings have a meter already", str(path), "change it there")
    _write_whole(data, f'{text.rstrip()}\n\n[meter]\naccuracy = "{accuracy}"\n'.lstrip())
    return {"accuracy": accuracy}


def keep_theme(data: Path, theme: str) -> None:
    """Put the look into the settings file, and leave all else in it as it stands; raises SoldersideError."""
    path = data / SETTINGS_NAME
    text = read_text_file(path, _MOST_BYTES, "settings file") if stands(path) else ""
    table = re.search(r"^[ \t]*\[", text, re.MULTILINE)
    top, tables = (text[: table.start()], text[table.start() :]) if table else (text, "")
    line = f'theme = "{theme}"'
    top, found = re.subn(r"^[ \t]*[\"']?theme[\"']?[ \t]*=.*$", line, top, flags=re.MULTILINE)
    _write_whole(data, (top if found else f"{line}\n{top}") + tables)


def _write_whole(data: Path, text: str) -> None:
    path = data / SETTINGS_NAME
    try:
        make_folder(data)
        write_whole(path, text.encode())
    except OSError as error:
        raise SoldersideError(f"the settings cannot be written ({error.strerror})", str(path), "") from error
