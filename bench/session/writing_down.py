"""What a builder writes down at any time: notes, snags, substitutes, errors in papers, what was measured."""

from __future__ import annotations

import math

from bench.errors import Refused
from bench.log import events as ev
from bench.log.progress import Progress
from bench.plan.plan import Step
from bench.session.recording import Recording
from bench.session.typed_text import required, text_kept


class WritingDown(Recording):
    """The part of a build that records what is written down; see `Build`."""

    def note(self, text: str, mark: str = "note", step: Step | None = None) -> Progress:
        """Write something down; `mark` is `note`, `tip` or `show`."""
        return self._record(ev.Noted(**self._here(step), text=required(text), mark=mark))

    def snag(
        self, what: str, part: str = "", minutes: float = 0.0, fix: str = "", step: Step | None = None
    ) -> Progress:
        """Record a problem; `minutes` is the time lost."""
        if not math.isfinite(minutes) or not 0 <= minutes <= 10_000:
            raise Refused("that is not a number of minutes", "", "type a number such as 12")
        return self._record(
            ev.Snagged(
                **self._here(step),
                what=required(what),
                part=text_kept(part),
                minutes=minutes,
                fix=text_kept(fix),
            )
        )

    def mend(self, of: int, fix: str, minutes: float = 0.0) -> Progress:
        """Say how an open snag was mended."""
        if not any(snag.n == of for snag in self.progress.snags):
            raise Refused("there is no such snag", "", "")
        return self._record(ev.Mended(**self._here(), of=of, fix=required(fix), minutes=minutes))

    def substitute(self, part: str, instead: str, why: str = "", items: tuple[str, ...] = ()) -> Progress:
        """Another part goes in than the list says; `items` are the parts it concerns, where that is known."""
        return self._record(
            ev.Substituted(
                **self._here(), part=required(part), instead=required(instead), why=text_kept(why), items=items
            )
        )

    def erratum(self, text: str) -> Progress:
        """The kit's documents are wrong somewhere."""
        return self._record(ev.ErratumFound(**self._here(), text=required(text)))

    def tracking_pass(
        self, trim: str, points: tuple[tuple[float, float], ...], turned: tuple[tuple[str, float], ...] = ()
    ) -> Progress:
        """Record one pass of volts per octave: (volts, hertz), and (trimmer, turns) turned before it."""
        if len(points) < 2:
            raise Refused("one point tells nothing about a slope", "", "give two at least")
        return self._record(ev.PassMeasured(**self._here(), trim=trim, points=points, turned=turned))

    def settle_suspicion(self, suspicion: str, *, found: bool, said: str = "", symptom: str = "") -> Progress:
        """Record what became of one suspicion while looking for the cause of a symptom."""
        return self._record(
            ev.SuspicionSettled(
                **self._here(),
                suspicion=required(suspicion),
                found=found,
                said=text_kept(said),
                symptom=text_kept(symptom),
            )
        )
