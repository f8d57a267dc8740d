"""Which kits belong to the builder's batch: one small TOML file in the data folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct

from bench.batch.order import ORDERS
from bench.errors import Fault, FileFaults, SoldersideError
from bench.files import MEGABYTE, make_folder, parse_toml, read_text_file, stands, write_whole

BATCH_NAME = "batch.toml"
MOST_KITS = 200
"""Most kits in one batch."""


class Batch(Struct, frozen=True, kw_only=True):
    """The batch as the builder put it together."""

    kits: tuple[str, ...] = ()
    """Kit files by their full path, or names of builds."""
    order: str = "easiest"
    """One of `plan.order.ORDERS`."""
    pins: Mapping[str, int] = {}
    """Places, from 1, of kits that the builder put somewhere."""


def load_batch(data: Path) -> Batch:
    """The batch kept in `data`, an empty one without a file; raises FileFaults when it cannot be used."""
    path = data / BATCH_NAME
    if not stands(path):
        return Batch()
    text = read_text_file(path, MEGABYTE, "batch")
    try:
        raw = parse_toml(text)
    except ValueError as error:
        raise _fault(path, "this is not TOML") from error
    kits, order, pins = raw.get("kits", []), raw.get("order", "easiest"), raw.get("pins", {})
    if not isinstance(kits, list) or not all(isinstance(kit, str) and kit for kit in kits):
        raise _fault(path, "kits is not a list of names")
    if len(kits) > MOST_KITS:
        raise _fault(path, f"more than {MOST_KITS} kits")
    if order not in ORDERS:
        raise _fault(path, f"unknown order {order!r}")
    if not isinstance(pins, dict) or not all(type(place) is int for place in pins.values()):
        raise _fault(path, "pins is not a table of places")
    kept = tuple(dict.fromkeys(kits))
    return Batch(kits=kept, order=order, pins={kit: place for kit, place in pins.items() if kit in kept})


def _fault(path: Path, what: str) -> FileFaults:
    hint = "fix it, or move it away and add the kits again"
    return FileFaults([Fault(what=what, where=str(path), hint=hint)])


def save_batch(data: Path, batch: Batch) -> None:
    """Write the batch; the file is replaced whole or not at all."""
    import tomli_w

    path = data / BATCH_NAME
    pins = {kit: place for kit, place in batch.pins.items() if kit in batch.kits}
    try:
        text = tomli_w.dumps({"order": batch.order, "kits": list(batch.kits), "pins": pins})
        make_folder(data)
        write_whole(path, text.encode())
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "a file name that is not UTF-8"
        raise SoldersideError(f"the batch cannot be saved ({why})", str(path)) from error


def put_in(batch: Batch, kit: str) -> Batch:
    """The batch with one kit more."""
    if len(batch.kits) >= MOST_KITS:
        raise SoldersideError(f"a batch holds {MOST_KITS} kits at most", "", "remove one first")
    return Batch(kits=(*batch.kits, kit), order=batch.order, pins=batch.pins)


def take_out(batch: Batch, kit: str) -> Batch:
    """The batch without one kit."""
    return Batch(
        kits=tuple(each for each in batch.kits if each != kit),
        order=batch.order,
        pins={each: place for each, place in batch.pins.items() if each != kit},
    )
