"""The sub-command that prints the manual: one text for each topic, the reference of kit files among them."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.common import FINE, say_lines, settings_of

if TYPE_CHECKING:
    from bench.ui.commands import Keymap

TOPICS = (
    "bench", "keys", "cautions", "kit", "lists", "procedure", "settings", "files", "batch", "time", "trims",
    "faults", "sheets", "article", "photos", "chapters", "film", "plain", "shelf", "scripts",
)  # fmt: skip
"""What the manual is about, in the order in which it is listed."""
WIDTH = 80
"""Columns that every topic fits into."""
_TEXTS = Path(__file__).parent / "topics"


def _help(args: argparse.Namespace) -> int:
    from bench.ui.commands import Keymap

    if not args.topic:
        return say_lines(contents())
    if args.topic not in TOPICS:
        from bench.cli import parser

        parser(args.topic).parse_args([args.topic, "--help"])
        return FINE
    return say_lines(topic_text(args.topic, Keymap(settings_of(args).keys)))


def contents() -> str:
    """The topics with their headlines, and how to read one."""
    lines = [f"  {name:<10} {_source(name).partition(chr(10))[0].lstrip('# ')}" for name in TOPICS]
    return "\n".join(
        (
            "The manual. Read a topic with: solderside help TOPIC",
            "",
            *lines,
            "",
            "solderside COMMAND --help lists the options of a command.",
        )
    )


def topic_text(name: str, keymap: Keymap) -> str:
    """A topic of the manual; `keymap` gives the keys of the builder who reads it.

    A line `@conditions` or `@keys` stands for what the program's own tables say.
    """
    fill = {"@conditions": lambda: _conditions(), "@keys": lambda: _keys(keymap)}
    lines: list[str] = []
    for line in _source(name).splitlines():
        lines += fill[line]() if line in fill else (line,)
    return "\n".join(lines)


def _source(name: str) -> str:
    """The text of a topic as its file has it; that of kit files ships with the example kits."""
    from bench.settings import shipped_kits_folder

    path = shipped_kits_folder() / "README.md" if name == "kit" else _TEXTS / f"{name}.md"
    return path.read_text(encoding="utf-8")


def _conditions() -> Iterator[str]:
    """What a rule of a procedure can ask, one entry for each key."""
    from bench.plan.conditions import CONDITIONS

    for each in CONDITIONS.values():
        yield from _entry(f"- `{each.key}`: {each.about}.", "  ")
        if each.example != "yes":
            yield f"  `{each.key}: {each.example}`"


def _keys(keymap: Keymap) -> Iterator[str]:
    """Every command of every place with its keys and the name that `[keys]` knows it by."""
    from bench.ui.commands import COMMANDS, TITLES, commands_of

    common = [command for command in COMMANDS if set(command.places) >= set(TITLES) - {"clock", "map"}]
    yield from ("## Everywhere", "")
    for command in common:
        yield from _key_lines(keymap, command.name, command.help)
    for place in TITLES:
        yield from ("", f"## {TITLES[place].capitalize()}", "")
        for command in commands_of(place):
            if command not in common:
                yield from _key_lines(keymap, command.name, command.help)


def _key_lines(keymap: Keymap, name: str, about: str) -> Iterator[str]:
    keys = " or ".join(keymap.keys_of(name)) or "(no key)"
    yield from _entry(f"- {keys:<14} {about} `{name}`", " " * 17)


def _entry(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=indent, break_on_hyphens=False)
