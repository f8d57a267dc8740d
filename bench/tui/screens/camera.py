"""Film: claps in the log, clips with their clocks, and the way to the clock and to the chapters."""

from __future__ import annotations

from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.log.clock import utc_seconds
from bench.log.events import SyncMarked
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.tui.screens.pages import Page
from bench.ui.clock_face import clap_words, clip_line, local_time
from bench.ui.forms import Form
from bench.ui.text import clean
from bench.writeup.film.footage import Filmed, about_clip
from bench.writeup.film.publish import build_footage, take_out
from bench.writeup.words import clock_text


class CameraScreen(ListingScreen, BuildScreen):
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
        clap, clock, clip, film = (keys.key_of(each) for each in ("clap", "clock", "name_clip", "film"))
        words = f"Claps and clips. {clap} claps, {clock} shows a clock to film, {clip} names a clip, "
        words += f"{film} writes the film kit."
        self.show_message(words, standing=True)

    def _fill(self, *, at_end: bool = False) -> None:
        self._things = [*self.build.progress.claps, *build_footage(self.build).clips]
        rows = []
        for thing in self._things:
            if isinstance(thing, SyncMarked):
                shown = local_time(utc_seconds(thing.at) or 0.0)
                rows.append((clean(f"clap {thing.number:<3} {shown}   {thing.label}", 300), "plain"))
            else:
                look = "caution" if thing.clip.map is None else "refs"
                rows.append((clean(clip_line(thing), 500), look))
        self.pane.show(rows or [("No claps or clips yet.", "faint")], len(rows) - 1 if at_end else None)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def about_line(self, line: int) -> Spans:
        """A clap, or a clip with its doubts."""
        if line >= len(self._things):
            return [("A clap ties the camera's clock to the bench clock; one is enough to start.", "plain")]
        thing = self._things[line]
        if isinstance(thing, SyncMarked):
            return [(clap_words(thing), "plain")]
        return [(clean(word, 600), "plain") for word in about_clip(thing)]

    def refresh_view(self, notice: str = "") -> None:
        """Show the claps and clips there are, and a short word."""
        self._fill()
        if notice:
            self.show_message(notice)

    @property
    def chosen_thing(self) -> object:
        """The clap on this line, or the name of the clip."""
        thing = self._things[self.pane.chosen] if self._things else None
        return thing.clip.name if isinstance(thing, Filmed) else thing

    def submit(self, form: Form, answers: tuple[str, ...]) -> None:
        """As elsewhere; a clip that was named is shown in full."""
        super().submit(form, answers)
        if form.command == "name_clip":
            filmed = build_footage(self.build).clip(answers[0].strip())
            self._fill(at_end=True)
            if filmed:
                self._show(filmed)

    def _chosen(self) -> SyncMarked | Filmed:
        if not self._things:
            raise SoldersideError("there are no claps or clips yet", "", "clap, or name a clip")
        return self._things[self.pane.chosen]

    # -- what can be done -----------------------------------------------------------------------
    def do_clap(self) -> None:
        """A mark in the log."""
        self.require_writable()
        words = clap_words(self.build.clap())
        self.bench_app.signals.give("clap")
        if self.bench_app.voice is not None:
            self.bench_app.voice.filming()
        self.refresh_view(words)

    def do_clock(self) -> None:
        """A clock to film."""
        from bench.tui.screens.clock import ClockScreen

        self.app.push_screen(ClockScreen(self.build), lambda _: self._fill())

    def do_forget_clip(self) -> None:
        """The chosen clap or clip is taken back."""
        thing = self._chosen()
        self.require_writable()
        self.refresh_view(clean(take_out(self.build, thing), 300))

    def do_clip(self) -> None:
        """All about a clip."""
        thing = self._chosen()
        if isinstance(thing, SyncMarked):
            self.show_message(clap_words(thing))
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
