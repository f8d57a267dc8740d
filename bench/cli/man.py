"""The sub-command that prints the program's man page, made from the command line's own description."""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
from collections.abc import Iterator

from bench import __version__
from bench.cli.common import FAULTY, FINE, INTERRUPTED, WRONG_USE, Parser

_AFTER = (
    ("PLAIN LINES", (
        (". (a dot alone)", "Cancels a question; where none is open it does nothing."),
        ("one", "Ticks the next part of a step that has several, and says which."),
        ("help, help all", "The words needed most; every word."),
    )),
    ("EXIT STATUS", (
        (str(FINE), "All is well."),
        (str(FAULTY), "The input has faults; they are on standard error."),
        (str(WRONG_USE), "The command line is wrong."),
        (str(INTERRUPTED), "Stopped from the keyboard."),
    )),
    ("ENVIRONMENT", (
        ("SOLDERSIDE_DATA", "The data folder, where --data does not name one."),
        ("NO_COLOR", "Where it is set, no colour is sent."),
        ("COLUMNS", "How wide plain lines are."),
        ("TERM", "With dumb, plain lines in place of a screen."),
        ("LC_ALL, LC_CTYPE, LANG", "With C or POSIX the screen is drawn in ASCII."),
    )),
    ("FILES", (
        ("~/.local/share/solderside", "Builds, kits and settings.toml, unless SOLDERSIDE_DATA says otherwise."),
    )),
)  # fmt: skip
"""What follows the commands: sections of what is explained and how."""
CAUTION = (
    "Mains and high voltage kill. Local regulations and licensed practice come first, and nothing that this "
    "program shows stands above them. Its cautions are not complete: solderside help cautions."
)


def _man(_: argparse.Namespace) -> int:
    from bench.cli import parser

    page = man_page(parser())
    viewer = shutil.which("man")
    if viewer and sys.stdout is not None and sys.stdout.isatty():
        return subprocess.run([viewer, "-l", "-"], input=page.encode(), check=False).returncode
    print(page, end="")
    return FINE


def man_page(whole: argparse.ArgumentParser) -> str:
    """The page in the man macros of roff (groff_man(7)), section 1."""
    return "\n".join(_lines(whole)) + "\n"


def _lines(whole: argparse.ArgumentParser) -> Iterator[str]:
    from bench.cli.help import TOPICS

    (commands,) = (each for each in whole._actions if isinstance(each, argparse._SubParsersAction))
    yield f'.TH SOLDERSIDE 1 "" "solderside {__version__}" "User Commands"'
    yield from (".SH NAME", r"solderside \- a bench companion for people who build electronics kits by hand")
    yield from (".SH SYNOPSIS", *_usage(whole), *_usage(whole, "COMMAND ..."))
    yield from (
        ".SH DESCRIPTION",
        _text(whole.description or ""),
        ".PP",
        r"\fBsolderside help\fR prints a manual;",
    )
    yield _text(f"its topics are {', '.join(TOPICS[:-1])} and {TOPICS[-1]}.")
    yield from (".SH CAUTION", _text(CAUTION), ".SH OPTIONS", *_arguments(whole))
    yield ".SH COMMANDS"
    for name, each in commands.choices.items():
        yield from (f".SS {_text(name)}", *_usage(each, name), ".PP", _text(each.description or ""))
        yield from _arguments(each)
        if isinstance(each, Parser) and each.example:
            yield from (".PP", "Example:", ".PP", ".EX", _text(f"    {each.example}"), ".EE")
    for title, explained in _AFTER:
        yield f".SH {title}"
        for word, about in explained:
            yield from (".TP", rf".B {_text(word)}", _text(about))


def _usage(parser: argparse.ArgumentParser, name: str = "") -> Iterator[str]:
    """How a command is called: its name in bold, options in brackets."""
    if name == "COMMAND ...":
        yield from (".br", r".B solderside", r"[\fB\-\-data\fR \fIDIR\fR] \fICOMMAND\fR ...")
        return
    yield rf".B solderside {_text(name)}".rstrip()
    for action in parser._actions:
        if isinstance(action, argparse._HelpAction | argparse._SubParsersAction):
            continue
        said = _called(action, r"\fR|\fB") if action.option_strings else _value(action)
        yield said if action.required and action.nargs not in ("?", "*") else f"[{said}]"


def _arguments(parser: argparse.ArgumentParser) -> Iterator[str]:
    """Each argument and option with what it means; those that every command has only once."""
    for action in parser._actions:
        if isinstance(action, argparse._HelpAction | argparse._SubParsersAction):
            continue
        if "--data" in action.option_strings and parser.prog != "solderside":
            continue
        said = _called(action, r"\fR, \fB") if action.option_strings else _value(action)
        yield from (".TP", said, _text(action.help or "").replace("%%", "%"))


def _called(action: argparse.Action, between: str) -> str:
    names = between.join(map(_text, action.option_strings))
    value = _value(action)
    return rf"\fB{names}\fR {value}".rstrip()


def _value(action: argparse.Action) -> str:
    if action.nargs == 0:
        return ""
    words = action.metavar or ("|".join(map(str, action.choices)) if action.choices else action.dest.upper())
    said = " ".join(words) if isinstance(words, tuple) else str(words)
    return rf"\fI{_text(said)}\fR" + (" ..." if action.nargs in ("+", "*") else "")


def _text(text: str) -> str:
    """Text that roff sets as it stands."""
    said = text.replace("\\", r"\e").replace("-", r"\-").replace("'", r"\(aq").replace("^", r"\(ha")
    return rf"\&{said}" if said.startswith(".") else said
