"""What all places in plain lines share: a command is typed by its key or its word, and carried out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bench.errors import SoldersideError
from bench.log.clock import Clock
from bench.parts.english import counted, near
from bench.plain.spoken import sentence
from bench.plain.talk import GIVE_UP, GivenUp, Talk
from bench.session.event_writer import SystemClock
from bench.settings import Settings
from bench.ui.commands import COMMANDS, TITLES, Command, Keymap, commands_of
from bench.ui.form_table import FORMS
from bench.ui.forms import Choice, Form, Question, Situation, trouble
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.plan.plan import Step
    from bench.session.build import Build
    from bench.ui.speaker import Voice

AT_ONCE = 10
"""Lines of a list that are said in one go."""


_IN_LINES = {
    "up": "The line before.",
    "down": "The line after.",
    "page_up": f"The {AT_ONCE} lines before, one after the other.",
    "page_down": f"The {AT_ONCE} lines after, one after the other.",
    "back": "Back to the place before; at the bench, how far you are and the step again.",
    "quit": "Quit. Everything recorded is saved.",
    "help": "The words needed most; help all: every word.",
}
"""What commands mean where nothing is drawn, in place of the words for the screen."""
CANCELS = "In a question a line with a dot (.) alone cancels. Elsewhere a dot does nothing."
_SHORT_HELP = 6
"""Commands of a place that `help` names."""
_PRESSED = ("space", "enter", GIVE_UP)
"""Keys that are no word to type in lines."""


class LineKeymap(Keymap):
    """Keys for those who type lines: what is no letter is called by its word."""

    def key_of(self, name: str) -> str:
        """A letter or sign, two of them behind one another, or the word of the command."""
        key = super().key_of(name)
        named = len(key) > 1 and " " not in key
        return next(word_of(each) for each in COMMANDS if each.name == name) if named or key == GIVE_UP else key


def word_of(command: Command) -> str:
    """The word to type for a command."""
    return command.name if command.name in ("one", "help") else command.label


class GoTo(NamedTuple):
    """A kit or build to open; an empty name is the shelf."""

    named: str
    again: bool = False
    """As a new build."""
    unit: str = ""
    """What the new build is called."""


class Desk:
    """What all places work with: settings, keys, the talk, and what happens while nobody types."""

    def __init__(self, settings: Settings, talk: Talk, data: Path | None, clock: Clock | None = None) -> None:
        self.settings, self.talk, self.data, self.clock = settings, talk, data, clock or SystemClock()
        self.keymap = LineKeymap(settings.keys)
        self.news: Callable[[], Iterable[str]] = tuple
        """What there is to say without having been asked for."""
        self.voice: Voice | None = None
        """What speaks; None unless the settings ask for it."""
        self.told_of_lists = False
        """True once it was said how to go about in a list."""
        self.go_to: GoTo | None = None
        """What to open next, where it is not this place."""

    @property
    def folder(self) -> Path:
        """The data folder; raises SoldersideError where there is none."""
        if self.data is None:
            raise SoldersideError("there is no data folder", "", "start it with --data DIR")
        return self.data

    def leave_for(self, named: str, *, again: bool = False, unit: str = "") -> None:
        """Go to a build or kit, or to the shelf, from wherever the builder is; raises SoldersideError."""
        _ = self.folder
        self.go_to = GoTo(named, again, unit)


class Place:
    """A place of the command table in lines; `do_NAME` runs a command, or its form is asked."""

    place = ""
    """The name by which the command table knows it."""

    def __init__(self, desk: Desk, build: Build | None = None) -> None:
        self.desk, self.settings, self.data, self.keymap = desk, desk.settings, desk.data, desk.keymap
        self._talk, self._say = desk.talk, desk.talk.say
        self._build = build
        self.left = False
        self.commands = {each.name: each for each in commands_of(self.place) if self.knows(each.name)}

    def knows(self, name: str) -> bool:
        """Whether a command of the table works here."""
        return hasattr(self, f"do_{name}") or (self._build is not None and name in FORMS)

    @property
    def build(self) -> Build:
        """The build that the place is about."""
        assert self._build is not None
        return self._build

    @property
    def step_said(self) -> Step | None:
        """The step that the builder hears of."""
        return None

    @property
    def chosen_thing(self) -> object:
        """What the chosen line is about, where the place is a list."""
        return None

    # -- the loop -------------------------------------------------------------------------------
    def enter(self) -> None:
        """Say where the builder is."""
        raise NotImplementedError

    def tell(self) -> None:
        """Say what is at hand once more."""
        raise NotImplementedError

    def run(self) -> None:
        """Talk until the builder leaves this place or the input ends."""
        self.enter()
        while not (self._talk.over or self.left or self.desk.go_to is not None):
            try:
                line = self._talk.read("> ")
            except EOFError:
                self._talk.over = True
                return
            self.answer(line)

    def visit(self, place: Place) -> None:
        """Talk at another place, then say again what is at hand here."""
        place.run()
        if not self._talk.over and self.desk.go_to is None:
            self.tell()

    def answer(self, line: str) -> None:
        """Carry out what a line asks for; what goes wrong is said, and the talk goes on."""
        try:
            command = self.meant(line)
            if line.strip().casefold() in ("help all", "all keys"):
                self._say_all_words()
            elif line.strip() == GIVE_UP:
                self._say("No question is open: nothing was done.")
            elif command is not None:
                self.before(command)
                self.action_of(command.name)()
            elif not line:
                self._say(self._enter_alone())
            elif not self.other(line.strip()):
                self._say(self._not_known(line.strip()))
        except GivenUp:
            self._say("Cancelled, nothing recorded.")
        except SoldersideError as error:
            self._say(trouble(error))
        for word in self.desk.news():
            self._say(word)

    def _not_known(self, word: str) -> str:
        """What is said of a word that means nothing here; with what may be meant, or where it would work."""
        labels = [each.label for each in self.commands.values()]
        meant = near(word, labels) if len(word) > 1 else ""
        elsewhere = [each for each in COMMANDS if word in (each.label, each.name)]
        if elsewhere and not meant:
            meant = f"it works in: {', '.join(TITLES[place] for place in elsewhere[0].places)}."
        return f"There is no command {clean(word, 40)} here; {meant or 'help says what works here.'}"

    def _enter_alone(self) -> str:
        usual = [each for each in self.commands.values() if {"enter", "space"} & {*each.keys}]
        first = usual[0] if usual else self.commands["help"]
        return f"Enter alone does nothing. {first.label}: {first.help[:1].lower()}{first.help[1:]}"

    def before(self, command: Command) -> None:
        """What comes before a command is carried out."""

    def other(self, word: str) -> bool:
        """Do what a word asks for that is no command; False where it means nothing."""
        if word.casefold() == "repeat":
            self.tell()
        return word.casefold() == "repeat"

    def action_of(self, name: str) -> Callable[[], object]:
        """The place's own method, else the command's form."""
        return getattr(self, f"do_{name}", None) or partial(self.ask_command, name)

    def meant(self, line: str) -> Command | None:
        """The command of a key or of its words; a blank is the space bar, an empty line means nothing."""
        word = line.strip()
        if not line or word == GIVE_UP:
            return None
        found = self.keymap.command(self.place, word or "space", word if len(word) == 1 else None)
        if found is None or found.name not in self.commands:
            named = word.casefold()
            found = next((each for each in self.commands.values() if named in (each.label, each.name)), None)
        return found

    # -- forms ----------------------------------------------------------------------------------
    def situation(self, chosen: object = None) -> Situation:
        """Where the builder is; `chosen` in place of the chosen line."""
        return Situation(
            build=self.build,
            step=self.step_said,
            settings=self.settings,
            keymap=self.keymap,
            data=self.data,
            chosen=self.chosen_thing if chosen is None else chosen,
        )

    def ask_command(self, command: str, chosen: object = None) -> None:
        """Ask the form of a command, or the choice in its place, and what follows."""
        asked = FORMS[command].ask(self.situation(chosen))
        if isinstance(asked, Form):
            self.ask_form(asked)
        self.ask_choice(asked if isinstance(asked, Choice) else asked.then())

    def ask_form(self, form: Form) -> None:
        """Ask a form; what giving it up means is said where it means more than nothing."""
        try:
            self._talk.ask_form(form, self.build.name)
        except GivenUp:
            if not form.given_up:
                raise
            self._say(form.given_up)

    def ask_choice(self, choice: Choice | None) -> None:
        """Ask for one key and record what it stands for, as long as there is a question."""
        while choice is not None:
            key = self._talk.choose(choice.ask, choice.choices)
            if key in choice.leads:
                self.ask_command(choice.leads[key])
                return
            self._say(choice.settle(key))
            choice = choice.then()

    def say_spans(self, spans: Iterable[tuple[str, str]]) -> None:
        """Text with looks, without the looks; each line a sentence."""
        for text, _ in spans:
            if text.strip():
                self._say(sentence(text))

    # -- commands that every place has ----------------------------------------------------------
    def do_undo(self) -> None:
        """Undo the last entry."""
        self.situation().require_writable()
        self._say(clean(f"Undone: {self.build.undo()}.", 300))

    def do_film(self) -> None:
        """Write the film kit, and say where."""
        from bench.writeup.film.kit import Wanted, publish_film, written_lines

        for line in written_lines(publish_film(self.build, self.settings, Wanted())):
            self._say(clean(line, 600))

    def do_help(self) -> None:
        """The words needed most; where there are few, all."""
        words = [each for each in self.commands.values() if TITLES.keys() - each.places]
        if len(words) <= _SHORT_HELP:
            self._say_all_words()
            return
        self._say(f"{TITLES[self.place].capitalize()}. Type a word or its key, then Enter.")
        for line in self.short_help(sorted(words, key=lambda each: "space" not in each.keys)[:_SHORT_HELP]):
            self._say(line)
        self._say(f"help all: every word. {CANCELS}")

    def short_help(self, words: Sequence[Command]) -> Iterable[str]:
        """A line for each word of the place that is needed most."""
        return (self._help_line(each) for each in words)

    def _help_line(self, command: Command) -> str:
        keys = [key for key in self.keymap.keys_of(command.name) if key not in _PRESSED[1:]]
        words = " or ".join(dict.fromkeys((word_of(command), *keys)))
        return f"{words}: {_IN_LINES.get(command.name, command.help)}"

    def _say_all_words(self) -> None:
        self._say(f"{TITLES[self.place].capitalize()}. Type a word or its key, then Enter.")
        for command in self.commands.values():
            self._say(self._help_line(command))
        self._say(CANCELS)

    def do_back(self) -> None:
        """Back to the place before."""
        self.left = True

    def do_quit(self) -> None:
        """Close the program; the build stays where it is."""
        self._talk.over = True


class Rows(Place):
    """A list in lines: a number chooses a line and says it; commands are about the chosen one."""

    title = ""
    """What is listed."""
    ends = "That is the last line."

    def __init__(self, desk: Desk, build: Build | None = None) -> None:
        super().__init__(desk, build)
        self.chosen = 0
        """Which line, from 0."""

    def rows(self) -> Sequence[str]:
        """Each line in a sentence."""
        raise NotImplementedError

    def in_full(self, at: int) -> Iterable[str]:
        """All there is to say of a line; that of `rows` where there is no more."""
        return (self.rows()[at],)

    def enter(self) -> None:
        """Say what is listed, how to go about in it, and the chosen line."""
        many = len(self.rows())
        self._say(f"{TITLES[self.place].capitalize()}: {counted(many, 'line')}.")
        if many > 1 and not self.desk.told_of_lists:
            self.desk.told_of_lists = True
            self._say(
                "A number chooses a line, up and down say the one before and after it, "
                f"page down the next {AT_ONCE}."
            )
        self.tell()

    def tell(self) -> None:
        """Say the chosen line in full."""
        rows = self.rows()
        if not rows:
            self._say("There is nothing here.")
            return
        self.chosen = max(0, min(self.chosen, len(rows) - 1))
        first, *more = self.in_full(self.chosen)
        self._say(f"{self.chosen + 1} of {len(rows)}: {sentence(first)}")
        for line in more:
            self._say(sentence(line))

    def other(self, word: str) -> bool:
        """A number chooses a line."""
        if not (word.isascii() and word.isdigit()):
            return super().other(word)
        many = len(self.rows())
        if not 1 <= int(word[:9]) <= many:
            raise SoldersideError(
                f"there is no line {clean(word, 12)}", "", f"lines 1 to {many}" if many else ""
            )
        self.chosen = int(word) - 1
        self.tell()
        return True

    def step_on(self, by: int = 1) -> None:
        """Choose another line and say it."""
        many = len(self.rows())
        to = self.chosen + by
        if not 0 <= to < many:
            self._say("That is the first line." if by < 0 else "That is the last line.")
            return
        self.chosen = to
        self.tell()

    def do_first(self) -> None:
        """The first line."""
        self.chosen = 0
        self.tell()

    def do_last(self) -> None:
        """The last line."""
        self.chosen = max(0, len(self.rows()) - 1)
        self.tell()

    def do_seek(self) -> None:
        """Say each line that holds what is typed, with its number; the last of them is chosen."""
        (sought,) = self._talk.ask_title("Find", self.place, Question(ask="what?"))
        words = sought.casefold().split()
        found = [at for at, row in enumerate(self.rows()) if all(word in row.casefold() for word in words)]
        self._say(f"{counted(len(found), 'line')} with {clean(sought.strip(), 100)}.")
        for at in found:
            self._say(sentence(f"{at + 1}: {self.rows()[at]}"))
        self.chosen = found[-1] if found else self.chosen

    def do_up(self) -> None:
        """The line before."""
        self.step_on(-1)

    def do_down(self) -> None:
        """The line after."""
        self.step_on()

    def _say_from(self, first: int) -> None:
        rows = self.rows()
        for at in range(first, min(first + AT_ONCE, len(rows))):
            self._say(f"{at + 1}: {sentence(rows[at])}")
            self.chosen = at

    def do_page_up(self) -> None:
        """The lines before, from the first of them."""
        self._say_from(max(0, self.chosen - AT_ONCE))

    def do_page_down(self) -> None:
        """The lines after, one after the other."""
        if self.chosen + 1 >= len(self.rows()):
            self._say("That is the last line.")
            return
        self._say_from(self.chosen + 1 if self.chosen else 0)
