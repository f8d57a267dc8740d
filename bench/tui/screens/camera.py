"""Film: claps in the log, clips with their clocks, and the way to the clock and to the chapters."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from bench.errors import SoldersideError
from bench.log.clock import utc_seconds
from bench.log.events import SyncMarked
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildPlace
from bench.tui.screens.lists import ListPlace, Spans
from bench.tui.screens.pages import Page
from bench.ui.clock_face import clap_words
from bench.ui.film_forms import clip_form
from bench.ui.forms import Form, Question
from bench.ui.text import clean
from bench.writeup.film.clock_map import how_found
from bench.writeup.film.footage import Filmed, about_clip
from bench.writeup.film.publish import build_footage, publish_chapters
from bench.writeup.words import clock_text


class CameraScreen(ListPlace, BuildPlace):
    """One line for each clap and each clip."""

    place = "camera"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._things: list[SyncMarked | Filmed] = []

    def on_mount(self) -> None:
        """Show what there is."""
        self._fill(at_end=True)
        keys = self.bench_app.keymap
        clap, clock, clip = (keys.key_of(name) for name in ("clap", "clock", "name_clip"))
        self.say(f"Claps and clips. Press {clap} to clap, {clock} for a clock to film, {clip} to name a clip.",
                 standing=True)  # fmt: skip

    def _fill(self, *, at_end: bool = False) -> None:
        self._things = [*self.build.progress.claps, *build_footage(self.build).clips]
        rows = []
        for thing in self._things:
            if isinstance(thing, SyncMarked):
                shown = _local(utc_seconds(thing.at) or 0.0)
                rows.append((clean(f"clap {thing.number:<3} {shown}   {thing.label}", 300), "plain"))
            else:
                look = "caution" if thing.clip.map is None else "refs"
                rows.append((clean(_clip_line(thing), 500), look))
        self.pane.show(rows or [("No clap and no clip yet.", "faint")], len(rows) - 1 if at_end else None)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def about_line(self, line: int) -> Spans:
        """A clap, or a clip with its doubts."""
        if line >= len(self._things):
            return [
                ("A clap ties the camera's clock to the bench clock; one is enough to begin with.", "plain")
            ]
        thing = self._things[line]
        if isinstance(thing, SyncMarked):
            return [(clap_words(thing), "plain")]
        return [(clean(word, 600), "plain") for word in about_clip(thing)]

    def _chosen(self) -> SyncMarked | Filmed:
        if not self._things:
            raise SoldersideError("there is no clap and no clip yet", "", "clap, or name a clip")
        return self._things[self.pane.chosen]

    # -- what can be done -----------------------------------------------------------------------
    def do_clap(self) -> None:
        """A mark in the log."""
        self._writable()
        words = clap_words(self.build.clap())
        self.bench_app.signals.give("clap")
        self._fill()
        self.say(words)

    def do_clock(self) -> None:
        """A clock to film."""
        from bench.tui.screens.clock import ClockScreen

        self.app.push_screen(ClockScreen(self.build), lambda _: self._fill())

    def do_label(self) -> None:
        """What a clap marks."""
        clap = self._chosen()
        if not isinstance(clap, SyncMarked):
            raise SoldersideError("this line is a clip", "", "choose a clap")
        question = Question(ask=f"what does clap {clap.number} mark?", given=clap.label, needed=False)

        def labelled(answers: tuple[str, ...]) -> None:
            self.build.correct(clap.n, "label", answers[0])
            self._fill()
            self.say(f"Clap {clap.number} labelled.")

        self._ask("Label", [question], labelled)

    def do_name_clip(self) -> None:
        """A clip with its start or its claps, and its length."""
        given = self._things[self.pane.chosen] if self._things else None
        name = given.clip.name if isinstance(given, Filmed) else ""
        form = clip_form(self.build, self.bench_app.settings.clock_frames, name)
        self._ask(form.title, form.questions, lambda answers: self._named(form, answers))

    def _named(self, form: Form, answers: tuple[str, ...]) -> None:
        word = form.record(answers)
        self._fill(at_end=True)
        filmed = build_footage(self.build).clip(answers[0].strip())
        if filmed:
            self._show(filmed, [word])

    def do_clip(self) -> None:
        """All about a clip."""
        thing = self._chosen()
        if isinstance(thing, SyncMarked):
            self.say(clap_words(thing))
        else:
            self._show(thing)

    def _show(self, thing: Filmed, words: Sequence[str] = ()) -> None:
        spans = [(clean(thing.clip.name, 200), "head"), ("", "plain")]
        spans += [(clean(word, 600), "way") for word in (*words, *about_clip(thing))]
        spans += [("", "plain"), ("Chapters", "head")]
        spans += [
            (clean(f"{clock_text(each.start)}  {each.title}", 300), "plain") for each in thing.chapters.chapters
        ]
        if thing.moments:
            spans += [("", "plain"), ("Worth showing", "head")]
            spans += [
                (clean(f"{clock_text(each.start)} to {clock_text(each.end)}  {each.title}", 300), "plain")
                for each in thing.moments
            ]
        self.app.push_screen(Page(spans))

    def do_chapters(self) -> None:
        """Write the chapters of all clips."""
        folder, files = publish_chapters(self.build)
        self.say(f"{files} files written: {folder}")

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        self._writable()
        word = self.build.undo()
        self._fill()
        self.say(f"Taken back: {word}")


def _local(seconds: float) -> str:
    return f"{datetime.fromtimestamp(seconds, UTC).astimezone():%Y-%m-%d %H:%M:%S}.{int(seconds * 10) % 10}"


def _clip_line(filmed: Filmed) -> str:
    clip = filmed.clip
    if clip.map is None:
        return f"clip {clip.name}   NOT PLACED: {' '.join(clip.doubts)}"
    length = clock_text(clip.length) if clip.length_known else "length not known"
    doubts = (
        f"   ! {len(clip.doubts)} doubts" if len(clip.doubts) > 1 else "   ! one doubt" if clip.doubts else ""
    )
    return (
        f"clip {clip.name}   {_local(clip.begins)}   {length}   {len(filmed.chapters.chapters)} chapters"
        f"   {how_found(clip.map)}{doubts}"
    )
