"""The command line. Each sub-command imports what it needs when it runs."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from bench import __version__
from bench.cli.common import FAULTY, FINE, INTERRUPTED, Parser, print_faults
from bench.cli.table import TABLE, add_argument
from bench.errors import SoldersideError


def parser(only: str = "") -> argparse.ArgumentParser:
    """The whole command line; with the name of a sub-command, as much of it as that one needs."""
    common = Parser(add_help=False)
    add_argument(common, "--data DIR: folder for builds and settings (also SOLDERSIDE_DATA)", anywhere=True)
    add_argument(common, "--new: make the folder of --data where none is", anywhere=True)
    whole = Parser(
        prog="solderside",
        description="A bench companion for people who build electronics kits by hand: one step at a time, "
        "a log that is never lost, and an article at the end. "
        "On its own it opens the build under way that was last worked on, or the shelf.",
        epilog="The options of a command: solderside COMMAND --help. The manual: solderside help.",
        parents=[common],
    )
    whole.example = "solderside build first-evening-metronome"
    add_argument(whole, "--plain")
    whole.add_argument("--version", action="version", version=f"solderside {__version__}")
    whole.set_defaults(plain=False)
    commands = whole.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser)
    for name, entry in TABLE.items() if only not in TABLE else ((only, TABLE[only]),):
        sub: Parser = commands.add_parser(name, help=entry.about, description=entry.about, parents=[common])
        sub.example = f"solderside {entry.example}"
        sub.set_defaults(misuse=sub.error)
        for line in entry.arguments:
            add_argument(sub, line, anywhere=line == "--plain")
    return whole


def _command_in(argv: Sequence[str]) -> str:
    """The sub-command that a command line names, empty when it has to be read in full to know.

    >>> _command_in(["--data", "plan", "build", "kit.yaml"]), _command_in(["--help"])
    ('build', '')
    """
    words = iter(argv)
    for word in words:
        if word == "--data":
            next(words, None)
        elif not word.startswith("-"):
            return word
        elif not word.startswith("--data="):
            return ""
    return ""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code: 0 fine, 1 faults in the input, 2 wrong use."""
    argv = sys.argv[1:] if argv is None else argv
    command = _command_in(argv)
    if command and command not in TABLE:
        parser().error(_no_command(command))
    whole = parser(command)
    first = argv[0].partition("=")[0] if argv else ""
    known = any(each.startswith(first) for each in whole._option_string_actions)
    if first.startswith("--") and not command and not known:
        whole.error(_no_option([first], whole, command))
    args, strange = whole.parse_known_args(argv)
    if strange:
        (getattr(args, "misuse", None) or whole.error)(_no_option(strange, whole, command))
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal without ohm signs is no fault
    try:
        code = _run(args)
        if sys.stdout is not None:
            sys.stdout.flush()
        return code
    except SoldersideError as error:
        print_faults(error, args.command or "solderside")
        return FAULTY
    except BrokenPipeError:  # whoever read our words has read enough
        _drop_output()
        return FINE
    except OSError as error:
        print_faults(
            SoldersideError(error.strerror or "it cannot be read or written", str(error.filename or "stdout"))
        )
        _drop_output()
        return FAULTY
    except KeyboardInterrupt:
        return _interrupted()


def _interrupted() -> int:
    """Say so, in place of what a long command shows of its progress."""
    if sys.stderr is not None:
        print("\r\x1b[Kstopped" if sys.stderr.isatty() else "stopped", file=sys.stderr)
    return INTERRUPTED


def _no_command(word: str) -> str:
    """What is wrong with a word in place of a command, and what may be meant: a command, or a kit to build."""
    from bench.parts.english import near
    from bench.session.kit_names import ENDINGS
    from bench.settings import shipped_kits_folder

    kits = {path.stem for path in shipped_kits_folder().glob("*.yaml")}
    is_kit = word in kits or word.lower().endswith(ENDINGS)
    meant = near("article" if word == "retro" else word, TABLE)  # its old name
    hint = f"did you mean solderside build {word}?" if is_kit else meant
    return f"there is no command {word!r}{hint and '; '}{hint.rstrip('?')}"


def _no_option(strange: Sequence[str], whole: argparse.ArgumentParser, command: str) -> str:
    """What is wrong with words that no option takes, and which option comes near."""
    from bench.parts.english import near

    options = set(whole._option_string_actions)
    for action in whole._actions:
        if isinstance(action, argparse._SubParsersAction) and command in action.choices:
            options |= set(action.choices[command]._option_string_actions)
    words = [word for word in strange if word.startswith("-")]
    hint = near(words[0].partition("=")[0], sorted(options)).rstrip("?") if words else ""
    return f"unrecognized arguments: {' '.join(strange)}{hint and '; '}{hint}"


def _run(args: argparse.Namespace) -> int:
    """Run the sub-command by its function; without one, the shelf."""
    module, name = (TABLE[args.command].module, args.command) if args.command else ("build", "shelf")
    code: int = getattr(import_module(f"bench.cli.{module}"), "_" + name.replace("-", "_"))(args)
    return code


def _drop_output() -> None:
    """Let what is still to be written go nowhere, so that leaving does not fail over it."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
