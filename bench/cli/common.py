"""What all sub-commands share: exit codes, output that a terminal can trust, folders and settings."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from bench.errors import Fault, SoldersideError
    from bench.settings import Settings

FINE, FAULTY, WRONG_USE, INTERRUPTED = 0, 1, 2, 130
"""Exit codes: all is well; the input has faults; the command line is wrong; stopped from the keyboard."""

PLAIN = "plain lines, for a screen reader or a braille display"
"""What the option `--plain` gives."""

Run = Callable[[argparse.Namespace], int]
"""Carries out a sub-command and returns an exit code."""
Add = Callable[[str, Run, str, str], argparse.ArgumentParser]
"""Adds a sub-command: its name, what runs it, what it is about, and an example without the program's name."""


_FEW = 8
"""So many choices are listed whatever comes near."""


class Parser(argparse.ArgumentParser):
    """argparse whose errors go to stderr as `what; hint`, with exit code 2; its help ends with an example."""

    example = ""
    """A command line to copy: it stays on one line."""

    def format_help(self) -> str:
        """The help, with the example below it."""
        told = super().format_help()
        return f"{told}\nExample: {self.example}\n" if self.example else told

    def error(self, message: str) -> NoReturn:
        """Say what is wrong, with the name that was meant where one comes near, and leave."""
        chosen = re.match(r"(.*invalid choice: '?([^']*?)'?) \(choose from (.*)\)$", message, re.DOTALL)
        if chosen is not None:
            from bench.parts.near import near

            choices = [each.strip(" '") for each in chosen[3].split(",")]
            meant = near(chosen[2], choices).rstrip("?")
            if meant and len(choices) > _FEW:
                message = f"{chosen[1]}; {meant}"
        self.exit(WRONG_USE, plain(f"{self.prog}: {message}; try {self.prog} --help") + "\n")


def plain(text: str) -> str:
    """Text for a terminal: what a person wrote cannot steer it."""
    from bench.ui.text import clean

    return clean(text, 2_000)


def say(text: str = "") -> None:
    """A line on stdout, cleaned; spaces in front of it stay."""
    print(plain(text))


def say_lines(text: str) -> int:
    """A text on stdout, line by line, so that nothing in it steers the terminal."""
    for line in text.splitlines():
        say(line)
    return FINE


def print_faults(error: SoldersideError, where: str = "solderside") -> None:
    """Every fault on stderr as `FILE:LINE: what; hint`; `where` stands for a fault in no file."""
    for fault in error.faults:
        print(plain(str(fault) if fault.where else f"{where}{fault}"), file=sys.stderr)


def fault_data(fault: Fault) -> dict[str, str]:
    """A fault as plain data."""
    return {"what": fault.what, "where": fault.where, "hint": fault.hint}


JSON_VERSION = 1
"""Of what is printed with `--json`: raised when a key goes or changes its meaning, not when one is added."""


def print_json(value: object, *, one_line: bool = False) -> None:
    """An object on stdout, its version first; characters that could steer a terminal become JSON escapes."""
    import msgspec

    try:
        body = msgspec.json.encode(value)[1:]
        data = b'{"version":%d%s%s' % (JSON_VERSION, b"" if body == b"}" else b",", body)
    except UnicodeEncodeError:  # half a surrogate pair, from a file name that is not UTF-8
        import json

        told = {"version": JSON_VERSION} | msgspec.to_builtins(value)
        print(json.dumps(told, indent=None if one_line else 2))
        return
    text = (data if one_line else msgspec.json.format(data, indent=2)).decode()
    print(text if text.isascii() and "\x7f" not in text else "".join(map(_escaped, text)))


def _escaped(char: str) -> str:
    """The character, or its JSON escape when it is neither printable nor the line's end."""
    if char.isprintable() or char == "\n":
        return char
    units = char.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at]:02x}{units[at + 1]:02x}" for at in range(0, len(units), 2))


def refuse_idle(args: argparse.Namespace, idle: dict[str, bool], why: str) -> None:
    """Leave, with exit code 2, when options were given that do nothing here: option -> whether it was."""
    given = [option for option, is_given in idle.items() if is_given]
    if given:
        args.misuse(f"{', '.join(given)}: {why}")


def data_of(args: argparse.Namespace) -> Path:
    """Where builds and settings lie; without `--new` a `--data` that is not there is a SoldersideError."""
    from bench.settings import data_folder

    given = getattr(args, "data", None)
    folder = data_folder(given)
    if given and not getattr(args, "new", False) and not folder.is_dir():
        raise _no_folder(folder)
    return folder


def _no_folder(folder: Path) -> SoldersideError:
    """What to say of a data folder that is not there: the one that was meant, or how to make it."""
    from bench.errors import SoldersideError
    from bench.parts.near import near

    try:
        beside = [each.name for each in folder.parent.iterdir() if each.is_dir()]
    except OSError:
        beside = []
    meant = near(folder.name, beside)
    hint = f"{meant} --new makes it" if meant else "--new makes it"
    return SoldersideError("there is no such data folder", str(folder), hint)


def settings_of(args: argparse.Namespace) -> Settings:
    """The builder's settings, with what the command line says instead; warnings go to stderr."""
    from msgspec.structs import replace

    from bench.settings import load_settings

    settings, warnings = load_settings(data_of(args))
    for warning in warnings:
        print(plain(str(warning)), file=sys.stderr)
    given: Any = getattr(args, "procedure", None)
    return replace(settings, procedure=given) if given else settings
