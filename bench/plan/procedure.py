"""Procedure files: find them, read them, keep what was read.

What reads YAML is imported only when a file is not in the cache: the first screen does not wait for it.
"""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

import msgspec

from bench import cache as kept
from bench.errors import SoldersideError
from bench.files import home_path
from bench.kit.yaml_text import read_bytes
from bench.plan.rules import Procedure

DEFAULT = "low-to-high"
"""Name of the procedure used when nobody asks for another."""
_SHIPPED = Path(__file__).parent / "procedures"


def shipped_procedures() -> dict[str, Path]:
    """Files of the procedures that come with the program, by name; the default first."""
    files = {file.stem: file for file in sorted(_SHIPPED.glob("*.yaml"))}
    return {DEFAULT: files.pop(DEFAULT), **files}


def find_procedure(name_or_path: str | Path) -> Path:
    """The file of a procedure: a shipped one by its name (`low to high` or `low-to-high`), or a path.

    A path wins where it has a folder or an ending in it. Raises SoldersideError, with the names there are.
    """
    text = str(name_or_path).strip()
    shipped = shipped_procedures()
    named = shipped.get("-".join(text.casefold().replace("-", " ").split()))
    if named is not None and not isinstance(name_or_path, Path):
        return named
    path = home_path(text) if text else Path()
    with contextlib.suppress(OSError, ValueError):
        if text and path.exists():
            return path
    known = ", ".join(shipped)
    raise SoldersideError(
        f'there is no procedure "{text[:60]}"',
        "procedure",
        f"known by name: {known}; or give the path of a file",
    )


def load_procedure(path: Path, cache: Path | None = None) -> Procedure:
    """The procedure in the file `path`.

    `cache` is a folder for procedures read before, made when it is not there; one that cannot be used is
    passed over. Raises FileFaults with all faults of the file, or with the reason why it cannot be read.
    """
    return procedure_from(read_bytes(path), path, cache)


def procedure_from(data: bytes, path: Path, cache: Path | None = None) -> Procedure:
    """As `load_procedure`, for bytes that were read from `path` already."""
    digest = hashlib.sha256(data).hexdigest()
    if cache is not None:
        procedure = kept.fetch(cache, digest, Procedure)
        if procedure is not None and procedure.digest == digest:
            return procedure
    procedure = parse_procedure(data, str(path))
    if cache is not None:
        kept.keep(cache, digest, procedure)
    return procedure


def parse_procedure(data: bytes, name: str) -> Procedure:
    """The procedure in the bytes of a file; `name` is the file as people know it.

    Raises FileFaults with all faults, sorted by line.
    """
    from bench.kit.yaml_text import read_yaml
    from bench.plan.procedure_parser import procedure_from_tree

    procedure = procedure_from_tree(read_yaml(data, name), name)
    return msgspec.structs.replace(procedure, digest=hashlib.sha256(data).hexdigest())
