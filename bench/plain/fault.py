"""Looking for a fault in plain lines: each suspicion with how to look, settled one by one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.log.events import SuspicionSettled
from bench.plain.place import Desk, Rows
from bench.plain.talk import Talk
from bench.session.build import Build
from bench.suspects.fault_list import settled, suspicions
from bench.suspects.suspicion import Suspicion
from bench.suspects.symptom import symptom_named
from bench.ui.fault_card import SNAG_CHOICES, about_suspicion, seen_at, state_of, symptom_question
from bench.ui.form_table import Suspect
from bench.ui.text import clean


def ask_symptom(talk: Talk, given: str) -> str:
    """The builder's words for what is out or does not work; raises GivenUp."""
    return talk.ask(symptom_question(given))


class FaultRows(Rows):
    """What to look into, in order."""

    place = "fault"

    def __init__(self, desk: Desk, build: Build, words: str) -> None:
        super().__init__(desk, build)
        self._take_symptom(words)

    def _take_symptom(self, words: str) -> None:
        self._symptom = symptom_named(words, self.build.plan, self.build.progress)
        self.chosen = 0
        self._to_next()

    @property
    def _found(self) -> tuple[Suspicion, ...]:
        build = self.build
        return suspicions(build.kit, build.plan, build.progress, self._symptom, build.equipment.meter)

    @property
    def _settled(self) -> dict[str, SuspicionSettled]:
        return settled(self.build.progress, self._symptom)

    def _to_next(self) -> bool:
        """Choose the next line to look into, from the chosen one on; False when none is left."""
        known, found = self._settled, self._found
        order = (*range(self.chosen, len(found)), *range(self.chosen))
        at = next((at for at in order if found[at].what not in known), None)
        self.chosen = self.chosen if at is None else at
        return at is not None

    def rows(self) -> Sequence[str]:
        """What to look into and where."""
        known = self._settled
        return [
            clean(
                f"{each.what}{f', {each.where}' if each.where else ''}: {state_of(known.get(each.what))}", 400
            )
            for each in self._found
        ]

    def in_full(self, at: int) -> Iterator[str]:
        """A suspicion, how to look and why."""
        each = self._found[at]
        yield from (text for text, _ in about_suspicion(each, self._settled.get(each.what), self.build))

    @property
    def chosen_thing(self) -> Suspect | None:
        """The suspicion on the chosen line."""
        found = self._found
        return Suspect(found[self.chosen].what, self._symptom.words) if found else None

    def do_all_right(self) -> None:
        """The chosen line is all right; on to the next one that is not settled."""
        found = self._found
        if not found:
            return
        chosen = found[self.chosen]
        settling = self._settled.get(chosen.what)
        if settling is not None and settling.found:
            key = self.keymap.key_of("undo")
            self._say(f"This line was the fault and stays so. {key} undoes the last entry.")
            return
        self.build.settle_suspicion(chosen.what, found=False, symptom=self._symptom.words)
        if self._to_next():
            self.tell()
        else:
            self._say("End of the list.")

    def ask_command(self, command: str, chosen: object = None) -> None:
        """As elsewhere; what was found is mended, or offered as a snag."""
        found = self._found
        before = found[self.chosen] if found else None
        super().ask_command(command, chosen)
        if command != "this_was_it" or before is None:
            return
        if before.snag:
            super().ask_command("mend", before.snag)
        elif self._talk.choose("Record a snag?", SNAG_CHOICES) == "s":
            said = self._settled[before.what].said
            super().ask_command("snag", seen_at(self.build, self._symptom, before, said))

    def do_in_full(self) -> None:
        """Everything about the chosen line."""
        self.tell()

    def do_symptom(self) -> None:
        """Look for the cause of something else."""
        self._take_symptom(ask_symptom(self._talk, ""))
        self.enter()

    def do_ask_maker(self) -> None:
        """Write the text that asks for help."""
        from bench.writeup.maker_texts import publish_help_request

        self._say(f"Written, to send on: {publish_help_request(self.build, self._symptom.words)}.")
