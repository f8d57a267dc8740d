"""Claps and clips in plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.errors import SoldersideError
from bench.log.events import SyncMarked
from bench.parts.english import counted
from bench.plain.place import Rows
from bench.ui.clock_face import clap_words
from bench.ui.text import clean
from bench.writeup.film.footage import Filmed, about_clip
from bench.writeup.film.publish import build_footage, take_out
from bench.writeup.words import clock_text


class Film(Rows):
    """Each clap, then each clip with its chapters."""

    place = "camera"

    @property
    def _things(self) -> list[SyncMarked | Filmed]:
        return [*self.build.progress.claps, *build_footage(self.build).clips]

    def rows(self) -> Sequence[str]:
        """A clap with its label; a clip with its chapters, or that it is not placed."""
        return [_row(thing) for thing in self._things]

    def in_full(self, at: int) -> Iterator[str]:
        """A clap's time; a clip with its doubts, its chapters and what is worth showing."""
        thing = self._things[at]
        yield _row(thing)
        if isinstance(thing, SyncMarked):
            yield clap_words(thing)
            return
        yield from (clean(word, 600) for word in about_clip(thing))
        for title, marks in (("Chapters", thing.chapters.chapters), ("Worth showing", thing.moments)):
            if marks:
                yield f"{title}:"
            yield from (clean(f"{clock_text(each.start)} {each.title}", 300) for each in marks)

    @property
    def chosen_thing(self) -> object:
        """The chosen clap, or the name of the chosen clip."""
        things = self._things
        thing = things[self.chosen] if things else None
        return thing.clip.name if isinstance(thing, Filmed) else thing

    def ask_command(self, command: str, chosen: object = None) -> None:
        """As elsewhere; a clip that was named is said in full."""
        super().ask_command(command, chosen)
        if command == "name_clip":
            self.chosen = len(self._things) - 1
            self.tell()

    def do_clap(self) -> None:
        """A mark in the log."""
        self.situation().require_writable()
        if self.desk.voice is not None:
            self.desk.voice.filming()
        self._say(clap_words(self.build.clap()))

    def do_forget_clip(self) -> None:
        """The chosen clap or clip is taken back."""
        self.situation().require_writable()
        things = self._things
        if not things:
            raise SoldersideError("there are no claps or clips yet", "", "clap, or name a clip")
        self._say(clean(take_out(self.build, things[self.chosen]), 300))
        self.chosen = max(0, min(self.chosen, len(self._things) - 1))

    def do_clip(self) -> None:
        """All about the chosen line."""
        self.tell()


def _row(thing: SyncMarked | Filmed) -> str:
    if isinstance(thing, SyncMarked):
        return clean(f"clap {thing.number}{f', {thing.label}' if thing.label else ''}", 300)
    name = f"clip {thing.clip.name}"
    if thing.clip.map is None:
        return clean(f"{name}, NOT PLACED: {' '.join(thing.clip.doubts)}", 400)
    return clean(f"{name}, {counted(len(thing.chapters.chapters), 'chapter')}", 300)
