"""What all sub-commands share: exit codes, output that a terminal can trust, folders and settings."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from bench.errors import Fault, SoldersideError
    from bench.settings import Settings

FINE, FAULTY, WRONG_USE, INTERRUPTED = 0, 1, 2, 130
"""Exit codes: all is well; the input has faults; the command line is wrong; stopped from the keyboard."""

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
            from bench.parts.english import near

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


def aside(text: str) -> None:
    """A line on stderr, cleaned: what is odd, or was done besides."""
    print(plain(text), file=sys.stderr)


def say_lines(text: str) -> int:
    """A text on stdout, line by line, so that nothing in it steers the terminal."""
    for line in text.splitlines():
        say(line)
    return FINE


def print_faults(error: SoldersideError, where: str = "solderside") -> None:
    """Every fault on stderr as `FILE:LINE: what; hint`; `where` stands for a fault in no file."""
    for fault in error.faults:
        aside(str(fault) if fault.where else f"{where}{fault}")


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


def refuse_idle(args: argparse.Namespace, why: str, *options: str, when: object = True) -> None:
    """Leave, with exit code 2, where any of these options is given `when` it does nothing."""
    told = vars(args)
    given = [each for each in options if told[each[2:].replace("-", "_")] not in (None, False, "", [])]
    if given and when:
        args.misuse(f"{', '.join(given)}: {why}")


def no_idle_force(args: argparse.Namespace) -> None:
    """Leave where a file may be replaced and none is written."""
    refuse_idle(args, "has no effect with --out -", "--force", when=args.out == "-")


def write(args: argparse.Namespace, text: str, folder: Path, name: str) -> int:
    """Put a page where it was asked for, on the terminal or in a file, else into `folder`."""
    from bench.writeup.output_files import save_whole

    no_idle_force(args)
    if args.out == "-":
        sys.stdout.write(text)
        return FINE
    saved = save_whole(Path(args.out) if args.out else folder / name, text.encode(), folder, force=args.force)
    say(str(saved.path))
    if saved.kept_as:
        aside(f"the old file is kept as {saved.kept_as}")
    return FINE


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
    from bench.parts.english import near

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
        aside(str(warning))
    given: Any = getattr(args, "procedure", None)
    return replace(settings, procedure=given) if given else settings
