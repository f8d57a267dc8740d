"""What is read from the bytes of a log."""

from __future__ import annotations

from bench.log.events import AnyEvent
from bench.log.lines import Recovery


def parse_log(raw: bytes, where: str) -> tuple[list[AnyEvent], list[str], bytes]:
    """Events, remarks on lines that were passed over or changed, and the bytes of a torn last line."""
    recovery = Recovery(where)
    recovery.read((raw,))
    return recovery.events, recovery.remarks, recovery.torn
