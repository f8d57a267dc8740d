"""From a kit file to a `Kit`.

What reads YAML is imported only when a file is not in the cache of parsed kits: the first screen does not
wait for it.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import msgspec

from bench import cache as kept
from bench.errors import FileFaults
from bench.kit.kit import Kit
from bench.kit.yaml_text import read_bytes


def load_kit(path: Path, cache: Path | None = None) -> Kit:
    """The kit in the file `path`; `Kit.file` is the path as given.

    `cache` is a folder for parsed kits, made when it is not there; one that cannot be used is passed over.
    Raises FileFaults with all faults of the file, or with the reason why it cannot be read.
    """
    return kit_of(read_bytes(path), path, cache)


def kit_of(data: bytes, path: Path, cache: Path | None = None, *, lenient: bool = False) -> Kit:
    """As `load_kit`, for bytes that were read from `path` already.

    `lenient` is for a build's own copy: quantities that make no sense pass, as they did when it was begun.
    """
    digest = hashlib.sha256(data).hexdigest()
    if cache is not None:
        kit = kept.fetch(cache, digest, Kit)
        if kit is not None and kit.digest == digest:
            return msgspec.structs.replace(kit, file=str(path))
    try:
        kit = parse_kit(data, str(path))
    except FileFaults:
        if not lenient:
            raise
        return parse_kit(data, str(path), lenient=True)
    if cache is not None:
        kept.keep(cache, digest, kit)
    return kit


def parse_kit(data: bytes, name: str, *, lenient: bool = False) -> Kit:
    """The kit in the bytes of a kit file; `name` is the file as people know it.

    Raises FileFaults with all faults, sorted by line; with `lenient` quantities that make no sense pass.
    """
    from bench.kit.kit_file import kit_from_tree
    from bench.kit.yaml_text import read_yaml

    kit = kit_from_tree(read_yaml(data, name), name, lenient=lenient)
    return msgspec.structs.replace(kit, digest=hashlib.sha256(data).hexdigest())
