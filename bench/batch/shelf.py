"""Kit files at hand: what each one is, how large and how hard, the easiest first."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct

from bench.batch.difficulty import difficulty_of
from bench.errors import SoldersideError
from bench.files import open_plain
from bench.kit.counts import PartCount, count_kit
from bench.kit.danger import danger_of
from bench.kit.load import load_kit


class KitAtHand(Struct, frozen=True, kw_only=True):
    """A kit file as the shelf shows it."""

    path: str
    title: str
    """Name and revision; for a file with faults the name of the file."""
    maker: str = ""
    about: str = ""
    hazards: tuple[str, ...] = ()
    """What in it can kill; empty when it is not deadly."""
    omission: str = ""
    """What its file does not state, in one sentence (`kit.danger`); empty when it omits nothing."""
    count: PartCount = PartCount()
    """Its parts and joints."""
    boards: int = 0
    level: str = ""
    """Class of difficulty in words; empty for a kit without a joint."""
    points: int = 0
    """Difficulty, to compare kits by."""
    faults: int = 0
    """Faults that keep it from being built."""
    pending: bool = False
    """Only its file is known yet."""


def kits_at_hand(folders: Sequence[Path], cache: Path | None = None) -> list[KitAtHand]:
    """The kit files in these folders, one for each file name: the easiest first, those with faults last.

    Kits of the last folder, the examples, stand behind the builder's own.
    """
    paths = kit_paths(folders)
    return easiest_first([at_hand(path, cache) for path in paths], folders)


def kit_paths(folders: Sequence[Path]) -> list[Path]:
    """The kit files in these folders, one for each file name, not read any further than that they are kits."""
    found: dict[str, Path] = {}
    for folder in folders:
        try:
            paths = sorted(folder.glob("*.yaml"))
        except OSError:
            continue
        for path in paths:
            if path.name not in found and _is_kit(path):
                found[path.name] = path
    return list(found.values())


def easiest_first(kits: Sequence[KitAtHand], folders: Sequence[Path]) -> list[KitAtHand]:
    """The easiest first, then the examples in the last folder, those with faults last."""
    last = folders[-1] if folders else None
    return sorted(kits, key=lambda kit: (kit.faults > 0, Path(kit.path).parent == last, kit.points))


def only_named(path: Path) -> KitAtHand:
    """A kit of which nothing but its file is known yet."""
    return KitAtHand(path=str(path), title=path.stem, pending=True)


def at_hand(path: Path, cache: Path | None) -> KitAtHand:
    """The kit in a file; with its faults where it has any."""
    try:
        kit = load_kit(path, cache)
    except SoldersideError as error:
        return KitAtHand(path=str(path), title=path.name, faults=max(1, len(error.faults)))
    count = count_kit(kit)
    hard, danger = difficulty_of(kit), danger_of(kit)
    return KitAtHand(
        path=str(path),
        title=kit.title,
        maker=kit.maker,
        about=kit.about,
        hazards=danger.kills,
        omission=danger.omission,
        count=count,
        boards=len(kit.boards),
        level=hard.level_words if count.joints else "",
        points=hard.points,
    )


def _is_kit(path: Path) -> bool:
    try:
        with open_plain(path) as file:
            head = file.read(4000)
    except (OSError, SoldersideError):
        return False
    return any(line.startswith(b"kit:") for line in head.splitlines())
