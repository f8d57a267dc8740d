"""Completion in a real shell."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from bench.cli import parser
from bench.cli.completion import script


def completed(*words: str) -> list[str]:
    """What bash offers for the last of these words."""
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("there is no bash here")
    line = " ".join(f"'{word}'" for word in ("solderside", *words))
    tail = f"""
solderside() {{ printf 'first-build\\nsecond-build\\n'; }}
COMP_WORDS=({line}); COMP_CWORD={len(words)}; _solderside; printf '%s\\n' "${{COMPREPLY[@]}}"
"""
    done = subprocess.run(
        [bash, "--norc", "-c", script(parser(), "bash") + tail], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    return done.stdout.split()


def test_bash_completes_commands_options_and_words_out_of_a_few() -> None:
    assert completed("ide") == ["identify"]
    assert {"build", "builds"} <= set(completed("bu"))
    assert completed("read", "--pla") == ["--placement"]
    assert completed("completion", "z") == ["zsh"]
    assert completed("--ver") == ["--version"]


def test_bash_completes_names_of_builds() -> None:
    assert completed("retro", "sec") == ["second-build"]
    assert completed("identify", "sec") == []


@pytest.mark.parametrize("shell", ["fish", "zsh"])
def test_other_shells_read_their_script_without_an_error(shell: str) -> None:
    found = shutil.which(shell)
    if found is None:
        pytest.skip(f"there is no {shell} here")
    done = subprocess.run(
        [found, "-n"], input=script(parser(), shell), capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_every_command_stands_in_every_script() -> None:
    for shell in ("bash", "fish", "zsh"):
        told = script(parser(), shell)
        option = "-l json" if shell == "fish" else "--json"
        assert all(name in told for name in ("build", "read", "identify", "retro", option))
