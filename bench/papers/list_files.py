"""Makers' parts lists on disk: which files may be one, and the rest of a name that was begun."""

from __future__ import annotations

import contextlib
import itertools
import os
import re
from collections.abc import Iterable
from pathlib import Path

from bench.files import home_path, read_plain_file

ENDINGS = (
    ".csv", ".tsv", ".tab", ".txt", ".text", ".md", ".markdown", ".html", ".htm", ".xlsx", ".ods", ".org",
    ".bom", ".lst", ".pdf", ".kicad_pcb", ".kicad_sch", ".brd", ".sch", ".net", ".ipc", ".d356",
)  # fmt: skip
"""How the names of lists end."""
FOLDERS = (Path(), Path("lists"), Path("kits"))
"""Where lists are looked for, from where the program was started."""
_NAMED = re.compile(r"bom|parts|list|stückl|stueckl|component|bill|nomencl|stkl", re.IGNORECASE)
_HARDLY = re.compile(r"readme|licen[cs]e|copying|changelog|requirements|contributing|developers", re.IGNORECASE)
_MOST, _MOST_LOOKED_AT = 200, 5_000
_LARGEST = 50_000_000


_BOARDS = (".kicad_pcb", ".brd")
_OWN_PRINT = b"These cautions are the usual ones and not a complete list"
"""What stands at the top of a plan that this program printed."""


def paper_folders(folder: Path = Path()) -> list[Path]:
    """Folders in a folder that hold a maker's papers: a list that is named like one, or a board file."""
    found = []
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in itertools.islice(entries, _MOST_LOOKED_AT):
            if not entry.name.startswith(".") and entry.is_dir() and _holds_papers(Path(folder) / entry.name):
                found.append(Path(folder) / entry.name)
    return [each for each in sorted(found) if each not in FOLDERS][:_MOST]


def _holds_papers(folder: Path) -> bool:
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in itertools.islice(entries, _MOST):
            ending = Path(entry.name).suffix.lower()
            if ending in _BOARDS or (ending in ENDINGS and _NAMED.search(entry.name)):
                return True
    return False


def _own_print(path: Path) -> bool:
    """Whether a text is a plan that was printed into a file."""
    with contextlib.suppress(OSError), path.open("rb") as file:
        return _OWN_PRINT in file.read(4_000)
    return False


def likely_lists(folders: Iterable[Path]) -> list[Path]:
    """Files that may be parts lists: those named like one first, then the newest."""
    found: list[tuple[int, float, Path]] = []
    for folder in folders:
        with contextlib.suppress(OSError), os.scandir(folder) as entries:
            for number, entry in enumerate(entries):
                if number >= _MOST_LOOKED_AT:
                    break
                path = Path(folder) / entry.name
                if path.suffix.lower() in ENDINGS and not entry.name.startswith(".") and entry.is_file():
                    stat = entry.stat()
                    rank = 0 if _NAMED.search(entry.name) else 2 if _HARDLY.search(entry.name) else 1
                    own = path.suffix.lower() in (".txt", ".text", ".md") and _own_print(path)
                    if stat.st_size <= _LARGEST and not own:
                        found.append((rank, -stat.st_mtime, path))
    return [path for _, _, path in sorted(found)[:_MOST]]


def read_bytes(path: Path) -> bytes:
    """The bytes of a list; raises SoldersideError when there are none to be had."""
    return read_plain_file(path, _LARGEST, "parts list")


def complete_path(text: str) -> str:
    """A path that was begun, as far as the names there leave no doubt; the text itself when they do.

    Folders end in a slash; `~` stands for the home folder.
    """
    folder, _, begun = text.rpartition("/")
    root = home_path(f"{folder}/" if folder or text.startswith("/") else ".")
    try:
        with os.scandir(root) as entries:
            names = [
                entry.name + ("/" if entry.is_dir() else "")
                for _, entry in zip(range(_MOST_LOOKED_AT), entries, strict=False)
                if entry.name.startswith(begun) and (begun.startswith(".") or not entry.name.startswith("."))
            ]
    except (OSError, ValueError):
        return text
    common = os.path.commonprefix(names)  # noqa: RUF071 (letters in common are what is wanted)
    before = text[: len(text) - len(begun)]
    return before + common if len(common) > len(begun) else text
