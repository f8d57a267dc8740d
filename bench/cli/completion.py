"""The sub-command that prints what a shell needs to complete command lines."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Iterator

from bench.cli.common import FINE, Add

FILES = "-o default -o bashdefault"
_BASH = """# solderside: completion for bash; load it with: eval "$(solderside completion bash)"
_solderside() {{
    local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} command= each
    COMPREPLY=()
    for each in "${{COMP_WORDS[@]:1:COMP_CWORD-1}}"; do
        case $each in {names}) command=$each; break ;; esac
    done
    case "$command $before" in
{choices}
    esac
    case "$word" in
        -*)
            case $command in
{options}
            esac ;;
        *)
            case $command in
                "") COMPREPLY=($(compgen -W {commands} -- "$word")) ;;
                {builds}) COMPREPLY=($(compgen -W "$(solderside builds --names 2>/dev/null)" -- "$word")) ;;
            esac ;;
    esac
}}
complete {files} -F _solderside solderside
"""
_ZSH = """# solderside: completion for zsh; load it with: eval "$(solderside completion zsh)"
autoload -U +X compinit bashcompinit && compinit && bashcompinit
"""


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    completion = add_command(
        "completion", _completion, "What your shell needs to complete command lines.", "completion bash"
    )
    completion.add_argument("shell", choices=("bash", "fish", "zsh"), help="the shell to complete in")


def _completion(args: argparse.Namespace) -> int:
    from bench.cli import parser

    print(script(parser(), args.shell), end="")
    return FINE


def script(whole: argparse.ArgumentParser, shell: str) -> str:
    """A completion script for `bash`, `fish` or `zsh`, made from the command line's own description.

    File names are completed by the shell itself; names of builds come from `solderside builds --names`.
    """
    commands = dict(_commands(whole))
    if shell == "fish":
        return "".join(f"{line}\n" for line in _fish(whole, commands))
    tables = {"": whole} | commands
    options = [
        f"                {shlex.quote(name)}) COMPREPLY=($(compgen -W {shlex.quote(' '.join(_flags(each)))} "
        '-- "$word")) ;;'
        for name, each in tables.items()
    ]
    choices = [
        f"        {shlex.quote(f'{name} {flag}')}) COMPREPLY=($(compgen -W {shlex.quote(' '.join(words))} "
        '-- "$word")); return ;;'
        for name, each in tables.items()
        for flag, words in _choices(each)
    ]
    bash = _BASH.format(
        names="|".join(commands),
        commands=shlex.quote(" ".join(commands)),
        options="\n".join(options),
        choices="\n".join(choices) or "        *) ;;",
        builds="|".join(name for name, each in commands.items() if _takes_builds(each)),
        files=FILES,
    )
    return bash if shell == "bash" else _ZSH + bash


def _fish(whole: argparse.ArgumentParser, commands: dict[str, argparse.ArgumentParser]) -> Iterator[str]:
    yield "# solderside: completion for fish; load it with: solderside completion fish | source"
    for name, each in commands.items():
        about = shlex.quote(each.description or name)
        yield f"complete -c solderside -n __fish_use_subcommand -a {name} -d {about}"
    for name, each in {"": whole, **commands}.items():
        here = f"'__fish_seen_subcommand_from {name}'" if name else "__fish_use_subcommand"
        if _takes_builds(each):
            yield f"complete -c solderside -n {here} -a '(solderside builds --names)'"
        for action in each._actions:
            for flag in action.option_strings:
                kind = "-l" if flag.startswith("--") else "-s"
                words = f" -xa {shlex.quote(' '.join(map(str, action.choices)))}" if action.choices else ""
                about = shlex.quote(action.help or "")
                yield f"complete -c solderside -n {here} {kind} {flag.lstrip('-')}{words} -d {about}"


def _commands(whole: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in whole._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()


def _flags(each: argparse.ArgumentParser) -> list[str]:
    return [flag for action in each._actions for flag in action.option_strings]


def _choices(each: argparse.ArgumentParser) -> Iterator[tuple[str, list[str]]]:
    """Options, and sub-commands themselves, that are followed by one word out of a few."""
    for action in each._actions:
        if action.choices and not isinstance(action, argparse._SubParsersAction):
            words = [str(choice) for choice in action.choices]
            for flag in action.option_strings or [each.prog.split()[-1]]:
                yield flag, words


def _takes_builds(each: argparse.ArgumentParser) -> bool:
    return any(
        "BUILD" in str(action.metavar) or action.dest == "kit"
        for action in each._actions
        if not action.option_strings
    )
