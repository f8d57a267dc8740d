"""Power cuts: the image of a real file system is taken at the moment when something is acknowledged.

The data folder lies on a file system in an image behind a loop device. Whatever the program did not bring to
the device is not in the image, just as it is lost when a cable is pulled. Commits by the clock are put off as
far as the file system allows, so that only what the program itself asks for gets there. Needs Linux and root.
What a drive loses that acknowledges before its own cache is written is not seen here.
"""

from __future__ import annotations

import contextlib
import random
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from bench.batch.store import Batch, save_batch
from bench.errors import SoldersideError
from bench.files import make_folder
from bench.kit.load import load_kit
from bench.kit.write import write_text
from bench.log.file import LOG_NAME, read_log
from bench.measure.verdict.meter import CLASSES
from bench.papers.doubts.rulings import left
from bench.papers.list_session import ListSession
from bench.papers.makers import remember
from bench.papers.to_kit import kit_file_from
from bench.session.folders import open_build, start
from bench.settings import Settings, keep_meter, kits_folder, makers_file, sheets_folder, shipped_kits_folder
from bench.writeup.film.kit import Wanted, publish_film
from bench.writeup.film.publish import Typed, name_clip
from bench.writeup.maker_texts import publish_shortage
from bench.writeup.photos.copies import take_in
from bench.writeup.photos.matching import match
from bench.writeup.publish import publish, targets_of
from bench.writeup.sheets.publish import SHEETS, job_of, publish_sheet
from tests.benchmarks import Figure
from tests.support.photographs import photo
from tests.support.samples import HandClock

_LIST = b"Ref,Value\nR1,4k7\nR2,banana\nC1,100n\nU1,TL072\n"
_OWN_HOUSE = ("cache", ".tmp", "log.lock")
"""What may be lost: it is made again."""


class System(Struct, frozen=True, kw_only=True):
    """A file system to try."""

    name: str
    megabytes: int
    make: tuple[str, ...]
    options: str
    """For mounting; commits by the clock as late as they can be."""


SYSTEMS = (
    System(name="ext4", megabytes=48, make=("mkfs.ext4", "-q", "-F"), options="commit=600"),
    System(name="btrfs", megabytes=128, make=("mkfs.btrfs", "-q", "-f"), options="commit=600"),
    System(name="xfs", megabytes=320, make=("mkfs.xfs", "-q", "-f"), options=""),
)


class Cut(Struct, frozen=True, kw_only=True):
    """The power went at this moment."""

    after: str
    """What had just been acknowledged."""
    promised: dict[str, bytes]
    """All that the program had written by then: path in the data folder -> bytes."""
    image: Path


def why_not(system: System) -> str:
    """Why this file system cannot be tried here; empty when it can."""
    maker = system.make[0]
    if not shutil.which(maker):
        return f"there is no {maker} here"
    with tempfile.TemporaryDirectory() as folder:
        try:
            with _mounted(_made(system, Path(folder)), system, Path(folder, "disk")):
                return ""
        except (OSError, subprocess.CalledProcessError) as error:
            said = getattr(error, "stderr", None) or str(error)
            return f"{system.name} cannot be mounted here: {said.strip()}"


def _made(system: System, folder: Path) -> Path:
    image = folder / f"{system.name}.img"
    with image.open("wb") as file:
        file.truncate(system.megabytes * 1_048_576)
    _run(*system.make, str(image))
    return image


@contextlib.contextmanager
def _mounted(image: Path, system: System, at: Path) -> Iterator[Path]:
    at.mkdir(exist_ok=True)
    options = ",".join(filter(None, ("loop", system.options)))
    _run("mount", "-t", system.name, "-o", options, str(image), str(at))
    try:
        yield at
    finally:
        _run("umount", str(at))


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True, text=True)


# -- an evening ------------------------------------------------------------------------------------
def evening(data: Path, camera: Path) -> Iterator[str]:
    """Everything that the program writes, one thing after another: what was just acknowledged, in words."""
    clock = HandClock()
    work = ListSession(_LIST, "list.csv", drafts=data / "lists")
    for doubt in work.settled.questions[:2]:
        work.rule(left(doubt))
        yield "an answer about a list"
    remember(makers_file(data), "Lantern Yard", work.reading.table)
    yield "a maker's columns"
    own = kits_folder(data) / "lamp.yaml"
    make_folder(own.parent)
    write_text(_kit_text(work), own)
    yield "a kit file"
    settings = Settings(look_back=5)
    keep_meter(data, next(iter(CLASSES)))
    yield "the meter"
    save_batch(data, Batch(kits=(str(own),)))
    yield "the batch"
    for kit in (shipped_kits_folder() / "first-evening-metronome.yaml", own):
        build = start(data, load_kit(kit), kit, settings, clock)
        yield "a new build, nothing done yet"
        for number in range(4):
            clock.work(40)
            build.done()
            yield f"step {number + 1} of a build"
        build.snag("cold joint at R1", "R1")
        clock.work(20)
        photo(camera / f"{build.name}.jpg", clock.utc - 30)
        take_in(build, match(build, camera))
        yield "photos and their copies"
        build.clap()
        name_clip(
            build, Settings(), Typed(clip="one.mov", claps=["1=150"], length="10:00")
        )  # what went before is on it
        publish_film(build, Settings(), Wanted())
        yield "the film kit"
        publish(build, targets_of(build))
        yield "the pages of a build"
        publish_shortage(build)
        yield "a shortage list"
        publish_sheet(job_of(data, build.name, settings), next(iter(SHEETS)), sheets_folder(data))
        yield "a page for the printer"
        build.log.close()
    (build.log.folder / "article.html").write_bytes(b"changed by hand")
    publish(build, targets_of(build), force=True)
    yield "a page in place of one changed by hand"


def _kit_text(work: ListSession) -> str:
    return kit_file_from(work.settled.reading, "Lamp wobbler", "")


# -- cutting ---------------------------------------------------------------------------------------
def cuts(system: System, number: int, seed: int, folder: Path) -> list[Cut]:
    """Live through an evening on a file system and take its image at so many moments."""
    image, camera, found = _made(system, folder), folder / "camera", []
    with _mounted(image, system, folder / "disk") as disk:
        subprocess.run(["sync", "-f", str(disk)], check=True)
        data = disk / "data"
        total = sum(1 for _ in evening(folder / "counted", camera))
        chosen = set(random.Random(seed).sample(range(total), min(number, total)))
        for at, after in enumerate(evening(data, camera)):
            if at in chosen:
                copy = folder / f"cut-{at}.img"
                _run("cp", "--sparse=always", str(image), str(copy))
                found.append(Cut(after=after, promised=_written(data), image=copy))
    return found


def _written(data: Path) -> dict[str, bytes]:
    paths = {str(path.relative_to(data)): path for path in data.rglob("*") if path.is_file()}
    return {
        name: path.read_bytes() for name, path in paths.items() if not any(own in name for own in _OWN_HOUSE)
    }


def lost(cut: Cut, system: System, folder: Path) -> list[str]:
    """What an image lacks of all that was promised, and which builds do not open from it; in words."""
    amiss = []
    with _mounted(cut.image, system, folder / "after") as disk:
        data = disk / "data"
        for name, wanted in cut.promised.items():
            path = data / name
            there = path.read_bytes() if path.is_file() else None
            growing = name.endswith(LOG_NAME) and there is not None
            whole = there.startswith(wanted) if growing and there else there == wanted
            if not whole:
                state = "gone" if there is None else f"{len(there)} of {len(wanted)} bytes"
                amiss.append(f"after {cut.after}: {name} is {state}")
        for name in cut.promised:
            if name.endswith(LOG_NAME):
                amiss += [f"after {cut.after}: {why}" for why in _opened(data, (data / name).parent)]
    cut.image.unlink()
    return amiss


def _opened(data: Path, folder: Path) -> Iterator[str]:
    """Why a build does not open by its name, or by its kit file; nothing when it does."""
    try:
        events = len(read_log(folder / LOG_NAME)[0].events)
        kit = next(folder.glob("kit-*.yaml"))
        for named in (folder.name, str(kit)):
            build = open_build(data, named, Settings(), HandClock())
            build.log.close()
            if build.log.folder.name != folder.name or len(build.events) != events:
                yield f"{named} opens another build, or not all of it"
    except (OSError, SoldersideError, StopIteration) as error:
        yield f"{folder.name} does not open: {error!r}"


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Cut the power on each file system that can be mounted here."""
    for system in SYSTEMS:
        why = why_not(system)
        if why:
            yield Figure(what=f"{system.name}: not tried", value=0, goal="20 cuts", met=False, detail=why)
            continue
        with tempfile.TemporaryDirectory() as folder:
            found = cuts(system, 5 if quick else 20, seed, Path(folder))
            amiss = [word for cut in found for word in lost(cut, system, Path(folder))]
        yield Figure(
            what=f"{system.name}: files or builds lost in {len(found)} power cuts",
            value=len(amiss), goal="0", met=not amiss, detail="; ".join(amiss[:3]),
        )  # fmt: skip
