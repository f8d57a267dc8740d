"""The step now on the bench as a small text file, and as JSON beside it, for a streaming program.

Both are replaced whole, in one move, after each event, so that whoever reads them never sees half a step.
They are not synced: they can be written again from the log, and a reader on the same machine sees them at once.
A thread of their own writes them, since some file systems (ext4) wait for the disk all the same when a file is
replaced, and a key would wait a second time.
"""

from __future__ import annotations

import contextlib
import time
from pathlib import Path
from queue import SimpleQueue
from threading import Thread

import msgspec
from msgspec import Struct

from bench.errors import SoldersideError
from bench.files import MEGABYTE, home_path, read_plain_file, stands, write_whole
from bench.log import events as ev
from bench.parts.designators import shorten
from bench.session.build import Build
from bench.session.view import StepView

_AFTER_THE_KEY = 0.03
"""Seconds that the thread waits before it writes: by then the key that woke it has painted the next step."""
_PATIENCE = 2.0
"""How long the end of a build waits for its last caption, in seconds."""


class NowOnBench(Struct, frozen=True, kw_only=True):
    """What the JSON file holds."""

    kit: str
    state: str
    """`step`, `break`, `held back` (nothing else is left), `finished`, or `closed`."""
    unit: str = ""
    """The unit whose turn it is, where several are built side by side or it has a name."""
    stage: str = ""
    board: str = ""
    action: str = ""
    """As in `plan.ACTIONS`."""
    value: str = ""
    kind: str = ""
    refs: tuple[str, ...] = ()
    """Designators still to be done."""
    ways: tuple[str, ...] = ()
    """Which way round, a sentence for each sort of part that goes in."""
    instead: tuple[str, ...] = ()
    """Substitutes, in words."""
    expect: str = ""
    """At a check: what should be found."""
    dangers: tuple[str, ...] = ()
    parts_done: int = 0
    parts: int = 0
    joints_done: int = 0
    joints: int = 0


def follow(build: Build, file: str, data: Path) -> None:
    """Keep a caption file for a build from its opening to its end; `file` is seen from the data folder.

    One that cannot be written is told with the remarks about the log.
    """
    path = data / home_path(file)
    captions = _Captions(build, path)
    if foreign := captions.foreign():
        build.log.remarks.append(f"the caption file is not written, a file of yours stands there: {foreign}")
        return
    try:
        captions.write(NowOnBench(kit=_plain(build.kit.title), state="closed"))
    except OSError as error:
        build.log.remarks.append(f"the caption file cannot be written ({error.strerror or error}): {path}")
        return
    build.writer.follower = captions.take


class _Captions:
    """Tells a thread what to write after each event; whatever the disk says, no key is lost over it."""

    def __init__(self, build: Build, path: Path) -> None:
        self._build = build
        self._files = path, path.with_name(f"{path.stem if path.suffix != '.json' else path.name}.json")
        self._told: SimpleQueue[NowOnBench | None] = SimpleQueue()
        self._last: NowOnBench | None = None
        self._writer: Thread | None = None

    def foreign(self) -> Path | None:
        """A file that somebody else wrote in the place of one of the two; None where there is none."""
        text, data = self._files
        try:
            ours = bool(msgspec.json.decode(read_plain_file(data, MEGABYTE), type=NowOnBench))
        except (SoldersideError, msgspec.DecodeError):
            ours = False
        return None if ours else next((each for each in (data, text) if stands(each)), None)

    def take(self, event: ev.AnyEvent) -> None:
        """Have the step now on the bench written; at the end wait until it is."""
        for each in self._build.units:  # one file for all units on the bench
            each.writer.follower = self.take
        build = self._build.at_work
        now = msgspec.structs.replace(now_on_bench(build.view()), unit=_plain(build.unit))
        closed = isinstance(event, ev.Closed)
        now = msgspec.structs.replace(now, state="closed") if closed else now
        if now != self._last:
            self._last = now
            self._told.put(now)
        if self._writer is None:
            self._writer = Thread(target=self._write_on, name="caption file", daemon=True)
            self._writer.start()
        if closed:
            self._told.put(None)
            self._writer.join(_PATIENCE)
            self._writer = None

    def _write_on(self) -> None:
        """Write what comes last until the end."""
        while (now := self._told.get()) is not None:
            time.sleep(_AFTER_THE_KEY)
            while not self._told.empty():
                later = self._told.get()
                if later is None:
                    self._told.put(None)
                    break
                now = later
            with contextlib.suppress(OSError):  # told at the opening; the next key tries again
                self.write(now)

    def write(self, now: NowOnBench) -> None:
        """Put both files in place; raises OSError."""
        for path, data in zip(self._files, (caption_text(now).encode(), msgspec.json.encode(now)), strict=True):
            write_whole(path, data, for_good=False)


def now_on_bench(view: StepView) -> NowOnBench:
    """The step at work, or what there is in its place."""
    states = (("break", view.on_break), ("finished", view.finished), ("step", view.step), ("held back", True))
    made = NowOnBench(
        kit=_plain(view.kit), state=next(state for state, holds in states if holds), parts=view.parts,
        parts_done=view.parts_done, joints=view.joints, joints_done=view.joints_done,
    )  # fmt: skip
    step, part = view.step, view.part
    if step is None or part is None:
        return made
    return msgspec.structs.replace(
        made, stage=_plain(step.stage), board=_plain(step.board), action=step.action, value=_plain(part.value),
        kind=_plain(part.kind), refs=tuple(map(_plain, view.refs_left)), ways=tuple(map(_plain, view.ways)),
        instead=tuple(map(_plain, view.substitutes)), expect=_plain(step.expect),
        dangers=tuple(_plain(each.say) for each in view.cautions if each.sort == "hazard"),
    )  # fmt: skip


def caption_text(now: NowOnBench) -> str:
    """The text file: a line for the part and its places, one for each way round; nothing once closed."""
    if now.state != "step":
        words = {"break": "Break", "finished": f"{now.kit}: finished", "held back": "The rest is held back"}
        return f"{words[now.state]}\n" if now.state in words else ""
    named = f"{now.value} {now.kind}" if now.kind.casefold() not in now.value.casefold() else now.value
    head = f"{shorten(now.refs)}: {named}" if now.refs else named
    lines = [
        f"{head} ({now.expect})" if now.expect else head,
        *now.instead,
        *now.ways,
        *(f"DANGER: {each}" for each in now.dangers),
        f"{', '.join(filter(None, (now.unit, now.stage, now.board)))}: {now.parts_done} of {now.parts} done",
    ]
    return "\n".join(lines) + "\n"


def _plain(text: str) -> str:
    """A text on one line, without characters that show nothing."""
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())
