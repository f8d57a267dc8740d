"""A builder who knows of a kit only what the program says in lines, wrapped at 40 columns, through pipes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

COLUMNS = 40
MOST_ANSWERS = 600


class LineBuilder:
    """Reads what is said up to a prompt, and types one line."""

    def __init__(self, data: Path, *arguments: str) -> None:
        env = {**os.environ, "COLUMNS": str(COLUMNS), "PYTHONIOENCODING": "utf-8"}
        command = [sys.executable, "-m", "bench.cli", *arguments, "--plain", "--new", "--data", str(data)]
        self._process = subprocess.Popen(
            command, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        self.lines: list[str] = []
        """Every line as it came, prompts left out."""
        self.answers: list[str] = []
        self.joints: dict[tuple[str, str, str], int] = {}
        """Joints of the parts that went in and wait for their count, by unit, stage and board."""
        self._place: dict[str, tuple[str, str]] = {}
        """Stage and board that each unit named last: the first step of a stage says them."""

    def hear(self) -> tuple[str, str]:
        """What is said up to the next prompt as one text, and the prompt; the prompt is empty at the end."""
        assert self._process.stdout is not None
        said = b""
        while not said.endswith((b"\n> ", b"\n? ")) and said not in (b"> ", b"? "):
            came = os.read(self._process.stdout.fileno(), 65_536)
            if not came:
                break
            said += came
        text = said.decode()
        prompt = text[-2] if text.endswith(("> ", "? ")) else ""
        lines = text.removesuffix(f"{prompt} ").splitlines()
        self.lines += lines
        return " ".join(lines), prompt

    def type(self, line: str) -> None:
        """Type a line and Enter."""
        assert self._process.stdin is not None
        self.answers.append(line)
        self._process.stdin.write(f"{line}\n".encode())
        self._process.stdin.flush()

    def build(self) -> str:
        """Build the kit to its end; returns the last thing said."""
        said, prompt = self.hear()
        while prompt and "every step is done" not in said:
            if len(self.answers) > MOST_ANSWERS:
                raise AssertionError(f"no end after {MOST_ANSWERS} answers: {said}")
            self.type(self._answer(said) if prompt == "?" else self._command(said))
            said, prompt = self.hear()
        return said

    def close(self) -> None:
        """Leave the program."""
        self._process.communicate(b"q\n", timeout=20)

    def _command(self, said: str) -> str:
        """What to type at the bench: the step is done as soon as it was heard."""
        found = re.search(r"Designators: .*? (\d+) joints?\.", said)
        unit = re.search(r"^Unit (\w)\.", said) or re.search(r"correct\. Unit (\w)\.", said)
        place = re.findall(r"Stage \d+ of \d+, (.+?)(?:, board (.+?))?\. Steps? ", said)
        name = unit[1] if unit else ""
        if place:
            self._place[name] = place[-1]
        key = (name, *self._place.get(name, ("", "")))
        self.joints[key] = self.joints.get(key, 0) + (int(found[1]) if found else 0)
        return "done"

    def _answer(self, said: str) -> str:
        """The answer to the last question in a text."""
        if "How many joints do you count?" in said:
            unit = re.search(r"unit (\w)\. Count on", said)
            finished = re.search(r"Finished: (.*?)\. Count on", said)
            named = f", {finished[1] if finished else ''},"
            counted = [
                key
                for key in self.joints
                if key[0] == (unit[1] if unit else "")
                and f", {key[1]}," in named
                and (not key[2] or f", {key[2]}," in named)
            ]
            return str(sum(self.joints.pop(key) for key in counted))
        if found := re.search(r"What does the meter show\?(?: Expect (.*?)\. )?[^?]*A dot cancels\.$", said):
            return reading_for(found[1] or "")
        if "Who answers for this?" in said:
            return "the local rule on repairs by skilled persons"
        if found := re.search(r"Type: (off and measured)\.[^?]*A dot cancels\.$", said):
            return found[1]
        if "too close to call" in said:
            return "y"
        return ""


def reading_for(expect: str) -> str:
    """A reading that meets an expectation as the program words it."""
    if found := re.match(r"(>|<|more than|less than) (-?[\d.]+) (\S+)", expect):
        limit = float(found[2])
        return f"{limit * (10 if (found[1] in ('>', 'more than')) == (limit > 0) else 0.2):g} {found[3]}"
    if found := re.match(r"(-?[\d.]+)(?:\.\.| to )(-?[\d.]+) (\S+)", expect):
        return f"{(float(found[1]) + float(found[2])) / 2:g} {found[3]}"
    found = re.match(r"(-?[\d.]+ \S+)", expect)
    return found[1] if found else "ok"
