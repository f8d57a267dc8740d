"""The lines of a log: an event becomes a line, lines become events again whatever befell them. Pure.

A line is one JSON object that ends in a CRC-32 (ISO/IEC/IEEE 8802-3) of all that stands before it in the line.
Lines of logs that were begun before there were checksums carry none and are read all the same.
"""

from __future__ import annotations

from binascii import unhexlify
from collections.abc import Callable, Iterable, Iterator, Sequence
from struct import pack
from typing import NamedTuple
from zlib import crc32

import msgspec

from bench.errors import LogError
from bench.log.event_text import describe
from bench.log.events import LOG_VERSION, AnyEvent, Done, Started

_decoder = msgspec.json.Decoder(AnyEvent)
_encoder = msgspec.json.Encoder()
_SEAL = b',"crc":"'
_SEAL_BYTES = len(_SEAL) + 10
"""The key, eight hexadecimal digits, a quote and the closing brace."""
_UNREADABLE = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)
_MOST_MISNUMBERED = 8
"""Neighbouring lines with wrong numbers that are still read by their place; more are told as missing events."""
_BLOCK_BYTES = 1 << 15
"""Read at once. What is decoded from so little stays in the processor's cache until it is checked and interned:
with 4 MB a long log takes a half longer."""
_SHARING_FROM = 8_000_000
"""Bytes of a log from which equal texts are kept once."""


def encoded(event: AnyEvent) -> bytes:
    """The line of an event, with its checksum and line end.

    >>> from bench.log.events import Closed
    >>> encoded(Closed(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a"))
    b'{"event":"closed","n":1,"at":"2031-02-03T18:20:05.120Z","mono":0.0,"run":"a","crc":"8983a1b1"}\\n'
    """
    body = _encoder.encode(event)[:-1]
    return b'%b%b%08x"}\n' % (body, _SEAL, crc32(body))


def decoded(line: bytes) -> AnyEvent:
    """The event of one line. Raises ValueError with the reason when it is none or was changed."""
    line = line.strip(b"\r\n")
    if has_seal(line) and not _seals_hold((line,)):
        raise ValueError("changed after it was written (its checksum does not fit)")
    try:
        return _decoder.decode(line)
    except _UNREADABLE as error:
        raise ValueError("not an event") from error


def has_seal(line: bytes) -> bool:
    """Whether a line without its line end carries a checksum."""
    return line[-_SEAL_BYTES:-10] == _SEAL


class _Found(NamedTuple):
    """An event that could be read from a line."""

    line: int
    event: AnyEvent
    lost: int = 0
    """How many lines that could not be read stand just before it."""


class Recovery:
    """Reads the lines of a log, block by block; afterwards it holds all events that could be read.

    A log without a flaw is decoded a block at a time. From the first flaw on lines are read one by one, and
    everything that is skipped or read otherwise than written is told in `remarks`.
    """

    def __init__(self, where: str, *, share: bool = False) -> None:
        self.where = where
        self.events: list[AnyEvent] = []
        self.remarks: list[str] = []
        self.torn = b""
        """What stands after the last line end and is no event."""
        self._line = 0
        self._sealed = False
        self._flawed: list[bytes] | None = None
        self._known: dict[object, object] | None = {} if share else None

    def read(self, blocks: Iterable[bytes]) -> None:
        """Read all blocks of a log. Raises LogError when it comes from a newer version."""
        begun: list[bytes] = []
        for block in blocks:
            end = block.rfind(b"\n") + 1
            if end:
                self._take(b"".join([*begun, block[:end]]))
                begun = []
            begun.append(block[end:])
        rest = b"".join(begun)
        if self._flawed is not None or rest:
            self._recover(self._flawed or [], rest)

    # -- without a flaw -------------------------------------------------------------------------
    def _take(self, lines: bytes) -> None:
        if self._flawed is None:
            if self._all_at_once(lines):
                return
            self._flawed = []
        self._flawed += lines[:-1].split(b"\n")

    def _all_at_once(self, lines: bytes) -> bool:
        """Take whole lines in one go when nothing is wrong with any of them; else take none of them."""
        try:
            events: list[AnyEvent] = _decoder.decode_lines(lines)
        except _UNREADABLE:
            return False
        each_line, last = lines[:-1].split(b"\n"), self.events[-1].n if self.events else 0
        count = len(each_line)
        if [each.n for each in events] != list(range(last + 1, last + 1 + count)):
            return False
        if Started in map(type, events) and any(
            type(each) is Started and each.log > LOG_VERSION for each in events
        ):
            return False
        if self._sealed or _SEAL in lines:
            bare = 0 if self._sealed else _first(map(has_seal, each_line))
            if not _seals_hold(each_line[bare:] if bare else each_line):
                return False
            self._sealed = True
        if self._known is not None:
            _share(events, self._known)
        self.events += events
        self._line += count
        return True

    # -- after a flaw ---------------------------------------------------------------------------
    def _recover(self, lines: list[bytes], rest: bytes) -> None:
        found = list(self._readable(lines))
        if rest:
            try:
                found.append(_Found(self._line + 1, self._checked(rest)))
            except ValueError:
                self.torn = rest
        ended_torn = self._put_in_order(found, whole=not rest or bool(self.torn))
        self.torn = rest if ended_torn else self.torn

    def _readable(self, lines: list[bytes]) -> Iterator[_Found]:
        bare: list[int] = []
        lost = 0
        for line in lines:
            self._line += 1
            try:
                event = self._checked(line)
            except ValueError as error:
                if line.strip():
                    lost += 1
                    self._remark(self._line, f"{error}, skipped")
                continue
            if has_seal(line.rstrip(b"\r")):
                self._sealed = True
            elif self._sealed:
                bare.append(self._line)
            yield _Found(self._line, event, lost)
            lost = 0
        if bare:
            several = f"{len(bare)} lines from here to line {bare[-1]}" if len(bare) > 1 else "this line"
            self._remark(bare[0], f"no checksum on {several}: an older version, or a change; read all the same")

    def _checked(self, line: bytes) -> AnyEvent:
        try:
            event = decoded(line)
        except ValueError:
            _refuse_newer(line, self.where)
            raise
        if isinstance(event, Started) and event.log > LOG_VERSION:
            _refuse(self.where)
        return event

    def _put_in_order(self, found: list[_Found], *, whole: bool) -> bool:
        """Take the events by number; what stands alone out of order is one bad line and hides nothing after it.

        Returns True when the last one, in a line without an end (`whole` is False), is not what was due.
        """
        taken = {event.n: _Found(line, event) for line, event in enumerate(self.events, 1)}
        numbers = [each.event.n for each in found]
        for at, each in enumerate(found):
            due = self.events[-1].n + 1 if self.events else 1
            if each.event.n != due:
                if not whole and at == len(found) - 1:
                    return True
                event = self._out_of_order(each, due, taken.get(each.event.n), numbers[at + 1 :])
                if event is None:
                    continue
                each = _Found(each.line, event)
            taken[each.event.n] = each
            self.events.append(each.event)
        return False

    def _out_of_order(self, each: _Found, due: int, before: _Found | None, then: list[int]) -> AnyEvent | None:
        """The event as it is to be read although another number was due; None when it is skipped."""
        line, event = each.line, each.event
        if 0 < event.n - due <= each.lost:
            return event
        if before is not None and before.event == event:
            self._remark(line, f"event {event.n} again, as in line {before.line}, skipped")
            return None
        if due in then[:1]:
            self._remark(line, f"numbered {event.n}, but {due} comes next, skipped: {_told(event)}")
            return None
        if then[:1] != [event.n + 1] and any(
            number == due + ahead for ahead, number in enumerate(then[:_MOST_MISNUMBERED], 1)
        ):
            self._remark(line, f"numbered {event.n} where {due} is due, read as {due}")
            return msgspec.structs.replace(event, n=due)
        if before is not None:
            self._remark(
                line,
                f"event {event.n} differs from the one in line {before.line}, which counts: there "
                f"{_told(before.event)}, here {_told(event)}",
            )
            return None
        if event.n < due:
            self._remark(line, f"numbered {event.n} where {due} is due, skipped: {_told(event)}")
            return None
        missing = f"event {due} is" if event.n == due + 1 else f"events {due} to {event.n - 1} are"
        self._remark(line, f"{missing} missing before this line")
        return event

    def _remark(self, line: int, said: str) -> None:
        self.remarks.append(f"{self.where}:{line}: {said}")


def read_blocks(read: Callable[[int], bytes], size: int, where: str) -> Recovery:
    """All of a log of about `size` bytes; `read(n)` returns its next n bytes at most, b"" at its end."""
    recovery = Recovery(where, share=size >= _SHARING_FROM)
    recovery.read(iter(lambda: read(_BLOCK_BYTES), b""))
    return recovery


def _seals_hold(lines: Sequence[bytes]) -> bool:
    """Whether each line ends in the checksum of what stands before it; many lines at once take little time."""
    try:
        said = unhexlify(b"".join([line[-10:-2] for line in lines]))
    except ValueError:
        return False
    return pack(f">{len(lines)}L", *[crc32(line[:-_SEAL_BYTES]) for line in lines]) == said


def _first(found: Iterable[bool]) -> int:
    """Position of the first that is true; how many there are when none is."""
    at = -1
    for at, each in enumerate(found):
        if each:
            return at
    return at + 1


def _share(events: list[AnyEvent], known: dict[object, object]) -> None:
    """Intern texts of events: a long log has the same places and steps over and over.

    Fields that seldom change from one event to the next are compared before they are looked up.
    """
    put, intern = msgspec.structs.force_setattr, known.setdefault
    run, stage, board = "", "", ""
    for event in events:
        if event.run != run:
            run = str(intern(event.run, event.run))
        put(event, "run", run)
        if event.stage != stage:
            stage = str(intern(event.stage, event.stage))
        put(event, "stage", stage)
        if event.board != board:
            board = str(intern(event.board, event.board))
        put(event, "board", board)
        step = event.step
        put(event, "step", intern(step, step))
        if type(event) is Done:
            items, refs = event.items, event.refs
            put(event, "items", intern(items, items))
            put(event, "refs", intern(refs, refs))


def _told(event: AnyEvent) -> str:
    """An event in a few words, for a remark."""
    told = describe(event)
    return f"'{told[:60]}{'...' if len(told) > 60 else ''}' at {event.at}"


def _refuse_newer(line: bytes, where: str) -> None:
    """A first line that this version cannot read but that says a greater version is a newer log."""
    line = line.strip(b"\r\n")
    if has_seal(line) and not _seals_hold((line,)):
        return
    try:
        raw = msgspec.json.decode(line)
    except _UNREADABLE:
        return
    if isinstance(raw, dict) and isinstance(raw.get("log"), int) and raw["log"] > LOG_VERSION:
        _refuse(where)


def _refuse(where: str) -> None:
    raise LogError(
        "this build was written by a newer version of solderside",
        where,
        "install that version or a later one; nothing was changed",
    )
