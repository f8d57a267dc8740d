"""The kit and the procedure that a build goes by: its own copies, or what can be had where they are damaged.

Copies are written from what was read and checked when read again; one is named by the beginning of its digest,
and the log holds the whole digest.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.files import home_path, read_plain_file, write_whole
from bench.kit.kit import Kit
from bench.kit.load import kit_of
from bench.kit.yaml_text import MAX_BYTES
from bench.log import events as ev
from bench.plan.procedure import find_procedure, procedure_from
from bench.plan.rules import Procedure


def digest_of(data: bytes) -> str:
    """SHA-256, hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def copy_path(folder: Path, what: str, digest: str) -> Path:
    """Where the copy of a kit (`what` is `kit`) or procedure with this digest lies."""
    return folder / f"{what}-{digest[:12]}.yaml"


def keep_copy(folder: Path, what: str, data: bytes, digest: str) -> None:
    """Keep the bytes that were read, unless a sound copy of them is there; raises SoldersideError."""
    copy = copy_path(folder, what, digest)
    if sound_copy(folder, what, digest) is not None:
        return
    try:
        write_whole(copy, data)
    except OSError as error:
        raise SoldersideError(
            f"the {what} file cannot be copied beside the log ({error.strerror})",
            str(copy),
            "fix that and try again",
        ) from error


def sound_copy(folder: Path, what: str, digest: str) -> bytes | None:
    """The bytes of the copy with this digest; None where it is gone, or is not what was kept."""
    data = _read(copy_path(folder, what, digest)) if digest else None
    return data if data is not None and digest_of(data) == digest else None


def other_copies(folder: Path, what: str) -> Iterator[tuple[Path, bytes, bool]]:
    """All copies, the sound ones first, each sort newest first: path, bytes, and whether it is sound."""
    found = []
    with contextlib.suppress(OSError):
        for path in folder.glob(f"{what}-*.yaml"):
            data = _read(path)
            if data:
                found.append((path, data, path.stem.endswith(digest_of(data)[:12]), path.stat().st_mtime))
    for path, data, sound, _ in sorted(found, key=lambda each: (not each[2], -each[3])):
        yield path, data, sound


def what_is_wrong(folder: Path, what: str, digest: str) -> str:
    """Why a copy is not used, in words."""
    path = copy_path(folder, what, digest)
    data = _read(path)
    if data is None:
        return "is gone" if not path.exists() else "cannot be read"
    return "was changed" if data else "is empty"


def read_source(named: str | Path) -> bytes | None:
    """The bytes of a kit or procedure file where it was; None when it cannot be read."""
    return _read(home_path(named)) if str(named) else None


def _read(path: Path) -> bytes | None:
    try:
        return read_plain_file(path, MAX_BYTES)
    except SoldersideError:
        return None


class InUse(Struct, frozen=True, kw_only=True):
    """What the log says of the files that a build goes by."""

    kit_digest: str = ""
    kit_digests: tuple[str, ...] = ()
    """Of all editions of the kit, oldest first."""
    kit_file: str = ""
    """Where the kit file was, as given."""
    procedure_digest: str = ""
    procedure: str = ""
    """Its name."""
    title: str = ""
    name: str = ""
    maker: str = ""
    revision: str = ""
    unit: str = ""
    """Which of several units of the kit it is; empty while it has no name."""


def in_use(events: list[ev.AnyEvent]) -> InUse:
    """What a build goes by, after all that its log tells of."""
    found = InUse()
    for event in events:
        if isinstance(event, ev.UnitNamed):
            found = replace(found, unit=event.name)
        if not isinstance(event, ev.Started | ev.Revised):
            continue
        found = replace(
            found,
            kit_digest=event.kit_digest or found.kit_digest,
            kit_digests=(*found.kit_digests, *filter(None, (event.kit_digest,))),
            kit_file=event.kit_file or found.kit_file,
            procedure_digest=event.procedure_digest or found.procedure_digest,
            procedure=event.procedure or found.procedure,
        )
        if event.kit:
            found = replace(found, title=event.kit, name=event.name, maker=event.maker, revision=event.revision)
    return found


def own_kit(folder: Path, used: InUse, cache: Path | None, remarks: list[str]) -> tuple[Kit, bytes]:
    """The kit that a build goes by, and the bytes it is read from; raises SoldersideError when there is none.

    Where the copy is not what was kept, the kit file is taken if it is where it was, else the newest sound
    copy; a word in `remarks` says so.
    """
    path = copy_path(folder, "kit", used.kit_digest)
    data = sound_copy(folder, "kit", used.kit_digest)
    if data is not None:
        return kit_of(data, path, cache, lenient=True), data
    wrong = f"the build's copy of its kit file {what_is_wrong(folder, 'kit', used.kit_digest)}"
    source = read_source(used.kit_file)
    if source is not None:
        try:
            kit = kit_of(source, Path(used.kit_file), cache, lenient=digest_of(source) == used.kit_digest)
        except SoldersideError:
            source = None
        else:
            now = "" if kit.digest == used.kit_digest else ", which is not as it was"
            remarks.append(f"{wrong}; it is made anew from {used.kit_file}{now}")
            return kit, source
    for other, data, sound in other_copies(folder, "kit"):
        try:
            kit = kit_of(data, other, cache, lenient=True)
        except SoldersideError:
            continue
        if used.kit_digest:
            taken = "the newest other copy" if sound else "it is read as somebody changed it"
            end = f"{taken}, {other.name}, is used" if sound else taken
            remarks.append(f"{wrong}, and the kit file is not where it was ({used.kit_file}); {end}")
        return kit, data
    raise SoldersideError(wrong, str(path), "open the build by naming its kit file")


def edited_since(used: InUse) -> list[str]:
    """A word where the kit file is not what the build goes by any more; empty where it is, or is not found."""
    source = read_source(used.kit_file)
    if source is None or digest_of(source) in used.kit_digests:
        return []
    return [f"the kit file has changed since: open {used.kit_file} to go by it as it is now"]


def own_procedure(
    folder: Path, used: InUse, otherwise: str, cache: Path | None, remarks: list[str]
) -> tuple[Procedure, bytes]:
    """As `own_kit`, for the procedure; `otherwise` is the one of the settings."""
    path = copy_path(folder, "procedure", used.procedure_digest)
    data = sound_copy(folder, "procedure", used.procedure_digest)
    if data is not None:
        return procedure_from(data, path, cache), data
    wrong = f"the build's copy of its procedure {what_is_wrong(folder, 'procedure', used.procedure_digest)}"
    sources: list[tuple[Path, bytes]] = []
    for named in filter(None, (used.procedure, otherwise)):
        try:
            found = find_procedure(named)
        except SoldersideError:
            continue
        data = read_source(found)
        sources += [(found, data)] if data is not None else []
    copies = [(other, data) for other, data, _ in other_copies(folder, "procedure")]
    right = [each for each in sources if digest_of(each[1]) == used.procedure_digest]
    for source, data in (*right, *copies, *sources):
        try:
            procedure = procedure_from(data, source, cache)
        except SoldersideError:
            continue
        if used.procedure_digest:
            same = procedure.digest == used.procedure_digest
            end = f"it is made anew from {procedure.name}" if same else f"{source.name} is used instead"
            remarks.append(f"{wrong}; {end}")
        return procedure, data
    raise SoldersideError(wrong, str(path), "open the build by naming its kit file")
