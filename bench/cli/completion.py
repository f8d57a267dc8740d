"""The sub-command that prints what a shell needs to complete command lines; shtab writes it."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Iterator

from bench.cli.common import FINE, Add

SHELLS = ("bash", "fish", "zsh")
_NAMES = (
    'cd "${SOLDERSIDE_DATA:-$1}/builds" 2>/dev/null || exit; '
    'for log in */%s; do if [ -f "$log" ]; then echo "${log%%/*}"; fi; done'
)
"""For `sh`: the names of all builds, without a start of the program, which takes longer than Tab may."""
_BASH = """
_solderside_builds_File() {{ compgen -W "$({names})" -- "$1"; compgen -f -- "$1"; }}
"""
_ZSH = """
(( $+functions[compdef] )) || {{ autoload -Uz compinit && compinit; }}
_solderside_builds() {{ local -a names=(${{(f)"$({names})"}}); compadd -a names; }}
_solderside_builds_File() {{ _alternative 'builds:build:_solderside_builds' 'files:file:_files'; }}
"""
_FISH = """
function _solderside_builds_File; {names}; __fish_complete_path (commandline -ct); end
"""
_BUILDS = "_solderside_builds_File"
"""The shell function that offers builds and files; by this end of its name shtab knows that there are files."""
_FILES = frozenset(("FILE", "LIST", "OUT.yaml", "WAV", "POINTS"))
_FOLDERS = frozenset(("DIR", "FOLDER"))


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    completion = add_command(
        "completion", _completion, "What your shell needs to complete command lines.", "completion bash"
    )
    completion.add_argument("shell", choices=SHELLS, help="the shell to complete in")


def _completion(args: argparse.Namespace) -> int:
    from bench.cli import parser

    print(script(parser(), args.shell))
    return FINE


def script(whole: argparse.ArgumentParser, shell: str) -> str:
    """A completion script for `bash`, `fish` or `zsh`, made from the command line's own description.

    It completes commands, options, words out of a few, files where one is asked for, and names of builds.
    For zsh the mark of words that may be repeated is put right (`*:`); that of shtab 1 takes a single word.
    """
    import shtab

    for action in _actions(whole):
        wanted, about = str(action.metavar or ""), action.help or ""
        if wanted in _FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
        elif wanted in _FILES or (wanted == "KIT" and "build" not in about):
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif wanted in ("BUILD", "KIT", "KIT|BUILD"):
            action.complete = _builds_and_files()  # type: ignore[attr-defined]
    told = shtab.complete(whole, shell)
    return re.sub(r'^( *")\(\*\)::?', r"\1*:", told, flags=re.MULTILINE) if shell == "zsh" else told


def _builds_and_files() -> dict[str, object]:
    """What completes the name of a build or of a file in each shell, as shtab takes it."""
    from bench.log.file import LOG_NAME
    from bench.settings import data_folder

    names = f"sh -c {shlex.quote(_NAMES % LOG_NAME)} sh {shlex.quote(str(data_folder()))}"
    preamble = {"bash": _BASH, "zsh": _ZSH, "fish": _FISH}
    return {
        "bash": _BUILDS,
        "zsh": _BUILDS,
        "fish": f"({_BUILDS})",
        "preamble": {shell: text.format(names=names) for shell, text in preamble.items()},
    }


def _actions(whole: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    for action in whole._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for each in action.choices.values():
                yield from _actions(each)
