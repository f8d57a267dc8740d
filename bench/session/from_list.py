"""From a maker's papers on disk to a list at work, and from a settled list to a kit file on the shelf."""

from __future__ import annotations

from pathlib import Path

from bench.errors import Fault, SoldersideError
from bench.files import home_path
from bench.kit.write import make_kits_folder
from bench.papers.folder import missing, read_folder
from bench.papers.list_files import read_bytes
from bench.papers.list_session import ListSession
from bench.papers.makers import forget, load_makers, remember
from bench.papers.to_kit import write_kit_file
from bench.parts.english import counted
from bench.settings import kits_folder, makers_file


def open_papers(data: Path, path: Path) -> tuple[ListSession, tuple[Fault, ...], list[str]]:
    """A file, or all papers in a folder: the list, faults of what is kept of makers, what each paper gave.

    Raises SoldersideError where nothing can be read.
    """
    kept = load_makers(makers_file(data))
    if not path.is_dir():
        return ListSession(read_bytes(path), str(path), kept.lists, data / "lists"), kept.faults, []
    work, given = read_folder(path, kept.lists, data / "lists")
    papers = [f"{each.path.name}: {each.said}" for each in given]
    return work, kept.faults, papers + [f"missing: {each}" for each in missing(work.reading)]


def kit_file_path(text: str) -> Path:
    """Where a typed path says that a kit file goes."""
    path = home_path(text.strip())
    return path if path.suffix.lower() in (".yaml", ".yml") else path.with_name(f"{path.name}.yaml")


def keep_kit(data: Path, work: ListSession, path: Path, name: str, maker: str, *, overwrite: bool) -> str:
    """Write the kit file, and keep what is known of the maker; what to say of that. Raises SoldersideError."""
    make_kits_folder(path, kits_folder(data))
    reading = work.settled.reading
    write_kit_file(reading, path, name, maker, overwrite=overwrite)
    if not maker.strip():
        return ""
    makers = makers_file(data)
    try:
        number = remember(makers, maker, reading.table)
        work.lists = load_makers(makers).lists
    except SoldersideError as error:
        return f" {error.what[:1].upper()}{error.what[1:]} ({error.where})."
    return f" Saved for {maker}: the roles of {counted(number, 'column')}." if number else ""


def forget_maker(data: Path, work: ListSession) -> str:
    """Keep nothing more of the columns of a list's maker; what was forgotten. Raises SoldersideError."""
    maker = work.state.maker
    if not maker:
        raise SoldersideError("no maker is known for this list", "", "name the maker first")
    number = forget(makers_file(data), maker)
    work.lists = load_makers(makers_file(data)).lists
    return f"{maker}: {counted(number, 'kind')} of list forgotten" if number else f"{maker}: nothing was kept"
