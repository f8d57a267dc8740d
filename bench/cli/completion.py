"""The sub-command that prints what a shell needs to complete command lines; shtab writes it."""

from __future__ import annotations

import argparse
import re
import shlex
from collections.abc import Iterator

from bench.cli.common import FINE

SHELLS = ("bash", "fish", "zsh")
_BUILD_NAMES = (
    'cd "${SOLDERSIDE_DATA:-$1}/builds" 2>/dev/null || exit; '
    'for log in */%s; do if [ -f "$log" ]; then echo "${log%%/*}"; fi; done'
)
"""For `sh`: the names of all builds, without a start of the program, which takes longer than Tab may."""
_KIT_NAMES = (
    'for kit in "${SOLDERSIDE_DATA:-$1}"/kits/*.yaml "$2"/*.yaml; do '
    'if [ -f "$kit" ]; then kit="${kit##*/}"; echo "${kit%.yaml}"; fi; done'
)
"""For `sh`: the names of the builder's own kits and of those that ship."""
_BASH = """
_solderside_builds_File() {{ compgen -W "$({builds})" -- "$1"; compgen -f -- "$1"; }}
_solderside_kits_File() {{ compgen -W "$({kits})" -- "$1"; compgen -f -- "$1"; }}
_solderside_both_File() {{ compgen -W "$({builds}; {kits})" -- "$1"; compgen -f -- "$1"; }}
"""
_ZSH = """
(( $+functions[compdef] )) || {{ autoload -Uz compinit && compinit; }}
_solderside_builds() {{ local -a names=(${{(f)"$({builds})"}}); compadd -a names; }}
_solderside_kits() {{ local -a names=(${{(f)"$({kits})"}}); compadd -a names; }}
_solderside_builds_File() {{ _alternative 'builds:build:_solderside_builds' 'files:file:_files'; }}
_solderside_kits_File() {{ _alternative 'kits:kit:_solderside_kits' 'files:file:_files'; }}
_solderside_both_File() {{
  _alternative 'builds:build:_solderside_builds' 'kits:kit:_solderside_kits' 'files:file:_files'
}}
"""
_FISH = """
function _solderside_builds_File; {builds}; __fish_complete_path (commandline -ct); end
function _solderside_kits_File; {kits}; __fish_complete_path (commandline -ct); end
function _solderside_both_File; {builds}; {kits}; __fish_complete_path (commandline -ct); end
"""
_OFFERS = {
    "BUILD": "_solderside_builds_File", "KIT": "_solderside_kits_File", "KIT|BUILD": "_solderside_both_File"
}  # fmt: skip
"""What an argument names -> the shell function that offers it; by its ending shtab knows that files go too."""
_FILES = frozenset(("FILE", "LIST", "OUT.yaml", "WAV", "POINTS"))
_FOLDERS = frozenset(("DIR", "FOLDER"))


def _completion(args: argparse.Namespace) -> int:
    from bench.cli import parser

    print(script(parser(), args.shell))
    return FINE


def script(whole: argparse.ArgumentParser, shell: str) -> str:
    """A completion script for `bash`, `fish` or `zsh`, made from the command line's own description.

    It completes commands, options, words out of a few, files, and names of builds and kits. For zsh
    the mark of words that may be repeated is put right (`*:`); that of shtab 1 takes a single word.
    """
    import shtab

    for action in _actions(whole):
        wanted = str(action.metavar or "")
        if wanted in _FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
        elif wanted in _FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif wanted in _OFFERS:
            action.complete = _names_and_files(_OFFERS[wanted])  # type: ignore[attr-defined]
    told = shtab.complete(whole, shell)
    return re.sub(r'^( *")\(\*\)::?', r"\1*:", told, flags=re.MULTILINE) if shell == "zsh" else told


def _names_and_files(offer: str) -> dict[str, object]:
    """What completes the name of a build, of a kit or of a file in each shell, as shtab takes it."""
    from bench.log.file import LOG_NAME
    from bench.settings import data_folder, shipped_kits_folder

    data, kits = shlex.quote(str(data_folder())), shlex.quote(str(shipped_kits_folder()))
    names = {
        "builds": f"sh -c {shlex.quote(_BUILD_NAMES % LOG_NAME)} sh {data}",
        "kits": f"sh -c {shlex.quote(_KIT_NAMES)} sh {data} {kits}",
    }
    preamble = {"bash": _BASH, "zsh": _ZSH, "fish": _FISH}
    return {
        "bash": offer,
        "zsh": offer,
        "fish": f"({offer})",
        "preamble": {shell: text.format(**names) for shell, text in preamble.items()},
    }


def _actions(whole: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    for action in whole._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for each in action.choices.values():
                yield from _actions(each)
