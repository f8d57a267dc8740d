"""Files and folders that are no honest input: each is made at a path that a command is then given."""

from __future__ import annotations

import io
import os
import random
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path


def pipe(path: Path) -> None:
    """Nobody ever writes into it: whoever opens it for reading waits for ever."""
    os.mkfifo(path)


def endless_device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def folder(path: Path) -> None:
    path.mkdir()


def link_to_itself(path: Path) -> None:
    path.symlink_to(path)


def ten_gigabytes(path: Path) -> None:
    """Of holes: they take no room on the disk."""
    with path.open("wb") as file:
        file.truncate(10_000_000_000)


@cache
def _bomb() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in ("xl/workbook.xml", "content.xml"):
            with packed.open(name, "w") as part:
                for _ in range(150):
                    part.write(b" " * 1_000_000)
    return file.getvalue()


def packed_bomb(path: Path) -> None:
    """300 MB of blanks in 300 kB, as parts of a spreadsheet."""
    path.write_bytes(_bomb())


def deep_toml(path: Path) -> None:
    path.write_text("a = " + "[" * 50_000)


def long_toml_key(path: Path) -> None:
    """50,000 parts: a parser that keeps every beginning of it takes gigabytes."""
    path.write_text("a" + ".a" * 50_000 + " = 1\n")


def many_toml_keys(path: Path) -> None:
    path.write_text("".join(f"k.a{number} = 1\n" for number in range(12_000)))


def deep_json(path: Path) -> None:
    path.write_text("[" * 200_000)


def deep_yaml(path: Path) -> None:
    path.write_text("kit: " + "[" * 100_000)


def long_line(path: Path) -> None:
    path.write_text("a" * 1_000_000)


def commas(path: Path) -> None:
    path.write_text("," * 1_000_000)


def unended_text(path: Path) -> None:
    path.write_text('"' + "a" * 1_000_000)


def zero_bytes(path: Path) -> None:
    path.write_bytes(bytes(100_000))


def noise(path: Path) -> None:
    path.write_bytes(random.Random(5).randbytes(100_000))


Trick = Callable[[Path], None]
TRICKS: tuple[Trick, ...] = (
    pipe, endless_device, folder, link_to_itself, ten_gigabytes, packed_bomb, deep_toml, long_toml_key,
    many_toml_keys, deep_json, deep_yaml, long_line, commas, unended_text, zero_bytes, noise,
)  # fmt: skip
