"""What was typed and could not be recorded, or was given up: kept until it is recorded, also over a restart."""

from __future__ import annotations

from pathlib import Path

import msgspec

from bench.errors import SoldersideError
from bench.files import make_folder, read_plain_file, write_whole

DRAFTS_NAME = "drafts.json"
MOST_DRAFTS = 200
_MOST_BYTES = 20_000_000

Asked = tuple[str, ...]
"""Which questions: name of the build, title of the form, and what it asks."""


class _Draft(msgspec.Struct, frozen=True):
    asked: Asked
    typed: tuple[str, ...]


class Drafts:
    """Texts by the questions they answer, in memory and in one file of the data folder."""

    def __init__(self, data: Path | None) -> None:
        """`data` is the folder of the file; without one drafts live as long as the program."""
        self.path = data / DRAFTS_NAME if data is not None else None
        self._kept: dict[Asked, tuple[str, ...]] | None = None

    def _all(self) -> dict[Asked, tuple[str, ...]]:
        if self._kept is None:
            self._kept = _read(self.path)
        return self._kept

    def of(self, asked: Asked) -> tuple[str, ...]:
        """What was typed to these questions, an answer for each that was reached."""
        return self._all().get(asked, ())

    def keep(self, asked: Asked, typed: tuple[str, ...]) -> str:
        """Keep what was typed; a sentence that says where, empty when there was nothing."""
        if not any(text.strip() for text in typed):
            self.drop(asked)
            return ""
        kept = self._all()
        kept.pop(asked, None)
        kept[asked] = tuple(
            text.encode("utf-8", "replace").decode() for text in typed
        )  # no halves of characters
        for oldest in list(kept)[: max(0, len(kept) - MOST_DRAFTS)]:
            del kept[oldest]
        if self.path is None:
            return "What you typed is kept: it will be there next time."
        try:
            self._write(self.path)
        except OSError as error:
            why = error.strerror or str(error)
            return f"What you typed will be there next time, but only until the program closes ({why})."
        return f"What you typed is kept in {DRAFTS_NAME}: it will be there next time."

    def drop(self, asked: Asked) -> None:
        """These questions are answered for good."""
        if self._all().pop(asked, None) is not None and self.path is not None:
            try:
                self._write(self.path)
            except OSError:
                return  # an old draft comes back once more: no harm

    def _write(self, path: Path) -> None:
        make_folder(path.parent)
        drafts = [_Draft(asked, typed) for asked, typed in self._all().items()]
        write_whole(path, msgspec.json.format(msgspec.json.encode(drafts), indent=1) + b"\n")


def _read(path: Path | None) -> dict[Asked, tuple[str, ...]]:
    if path is None:
        return {}
    try:
        drafts = msgspec.json.decode(read_plain_file(path, _MOST_BYTES), type=list[_Draft])
    except (SoldersideError, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return {}
    return {draft.asked: draft.typed for draft in drafts}
