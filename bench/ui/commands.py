"""Every command of every screen: one table for keys, foot line and help."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping

from msgspec import Struct

from bench.errors import Fault
from bench.parts.english import near_or


class Command(Struct, frozen=True, kw_only=True):
    """One thing that one key does."""

    name: str
    """What settings and code call it; the screen's method is `do_NAME`."""
    keys: tuple[str, ...]
    """Keys as the builder writes them: `space`, `f5`, `.`; the first is shown. `m t`: behind that of `jot`.
    None for what is seldom wanted: it stands in the list of keys, and the settings can give it one."""
    label: str
    """One or two words for the foot line."""
    help: str
    """One sentence."""
    places: tuple[str, ...]
    """`bench`, `bag`, `meter`, `trim`, `log`, `shelf`, `text` and so on: where it works."""


TITLES = {
    "bench": "at the bench",
    "agree": "kit changes",
    "bag": "counting the bag",
    "batch": "the batch",
    "camera": "claps and clips",
    "clock": "clock to film",
    "columns": "columns of a list",
    "fault": "finding a fault",
    "files": "choosing a file",
    "keys": "all keys",
    "list": "reading a list",
    "log": "the log",
    "map": "board map",
    "meter": "all checks",
    "article": "the article",
    "shelf": "the shelf",
    "text": "a page of text",
    "trim": "adjustments",
}
"""Every place, and what help and messages call it. It has the keys that all places have; see `_ALL`."""
_ALL = " ".join(TITLES)
_SCROLLED = " ".join(place for place in TITLES if place != "clock")
"""Places with more lines than may fit."""
_PAGED = " ".join(place for place in TITLES if place not in ("clock", "bench", "map"))
"""Places with pages of lines."""


def _of(places: str, name: str, keys: str, label: str, about: str) -> Command:
    """One line of the table; places and keys apart by blanks, `m~t` for one key and then another."""
    split = tuple(key.replace("~", " ") for key in keys.split())
    return Command(name=name, keys=split, label=label, help=about, places=tuple(places.split()))


COMMANDS: tuple[Command, ...] = (
    _of("bench", "done", "space enter", "done", "This step is done; go to the next one."),
    _of("clock", "mark", "space 0 enter", "clap", "Put a numbered mark into the log and show it full screen."),
    _of(
        "bench bag meter trim fault camera clock list columns log batch agree shelf",
        "undo",
        "u",
        "undo",
        "Undo the last entry.",
    ),
    _of("bench", "hold", "h", "hold back", "Set this step aside for later."),
    _of("bench", "note", "n", "note", "Write a note."),
    _of("bench", "snag", "s", "snag", "Record a problem: what, which part, how it was fixed, minutes lost."),
    _of("bench", "rest", "b", "break", "Start or end a break; the bench clock is paused meanwhile."),
    _of("bench", "wait", "-", "wait", "Start a countdown (warm-up, drying); you are told when it ends."),
    _of("bench", "one", ". f10", "one part", "Only the next part of this step is done."),
    _of("bench", "reading", "r", "reading", "Record a value measured at this step."),
    _of("bench", "meter", "f5", "meter", "All checks: expected values, your readings, earlier readings."),
    _of("bench", "trim", "a", "trim", "Adjustments: your passes, what they show, and what to turn next."),
    _of("bench", "joints", "j", "joints", "Count the joints of the stage just finished."),
    _of("bench", "jot", "m", "mark", "Write something down for later: this key and a second one."),
    _of("bench", "tip", "m~t", "tip", "Write a tip for the next builder."),
    _of("bench", "photo", "m~p", "photo", "Mark that you take a photo now; a caption is optional."),
    _of("bench", "show", "m~w", "worth showing", "Mark this moment as worth showing to others."),
    _of("bench", "ask_them", "m~a", "ask the maker", "Keep a question for the maker of the kit."),
    _of("bench", "erratum", "m~e", "erratum", "Record an error in the kit's documents."),
    _of("bench", "substitute", "m~x", "substitute", "Record a substitute: another part than the one listed."),
    _of("bench", "mend", "m~f", "fixed", "Record how an open snag was fixed."),
    _of("bench", "take_up", "m~h", "resume", "Resume a step you held back."),
    _of("bench", "override", "g", "override", "Override this hold point; you must type a reason; it is kept."),
    _of(
        "bench", "cautions", "! f4", "all cautions", "All cautions of this step, including those shown before."
    ),
    _of("bench", "say_again", "f2", "say again", "Speak this step once more (see speak in the settings)."),
    _of("bench", "look_back", "v", "look back", "Look at the last steps again; nothing changes."),
    _of("bench", "earlier", "left", "earlier", "Look at the step before."),
    _of("bench", "later", "right", "later", "Look at the step after."),
    _of("bench shelf", "write", "o", "article", "Preview the article and save it."),
    _of("shelf", "sheet", "z", "print-outs", "Make a page to print: stages, labels, shortages ..."),
    _of("bench", "print_out", "", "print-outs", "Make a page to print: stages, labels, shortage list ..."),
    _of("bench", "bag", "c", "count the bag", "Check the parts in the bag: count and measure them."),
    _of("bench", "identify", "i", "identify", "Bands, marking or reading: which parts of this kit fit."),
    _of("bench", "where", ",", "where it sits", "Board map: where this step's parts go."),
    _of("map", "step", ",", "the step", "Back to the step."),
    _of("bench", "fault", "f", "find a fault", "Something does not work: where to look, in order."),
    _of("bench camera", "clap", "0 à", "clap", "A numbered mark in the log that the camera sees or hears."),
    _of("bench", "camera", "/ f7", "camera", "Claps and clips, a clock to film, chapters for a video."),
    _of("bench camera", "film", "f9", "film kit", "Write a cut, captions, chapters and a text for the video."),
    _of("bench", "log", "l", "log", "Everything recorded so far; undo or edit an entry."),
    _of("bench", "agree", "= f6", "kit changes", "What you have done that no longer matches the kit file."),
    _of("agree", "right", "y", "right as built", "It is right as built; a renamed part is the same part."),
    _of("agree", "another", "n", "another part", "The renamed part is a different part."),
    _of("agree", "all_agree", "a", "all right", "Every line is right as built."),
    _of(
        "bench", "units", "+ f12", "units", "Several units side by side: go to another, set one aside, add one."
    ),
    _of("bench", "set_aside", "; f11", "set unit aside", "Pass this unit over until you go to it again."),
    _of("bench", "shelf", "k", "shelf", "All builds and kits."),
    _of("shelf batch", "open", "enter space", "open", "Open the build or kit on this line."),
    _of("shelf", "again", "a", "another unit", "Start another unit of the kit on this line."),
    _of("shelf", "rename", "m", "rename", "Name or number the build on this line among its kit's units."),
    _of("shelf", "put_away", "x", "put away", "Archive the build on this line, or bring it back."),
    _of("shelf", "delete", "d delete", "delete", "Delete the build on this line; u brings it back."),
    _of("shelf", "export", "p", "export", "Write the build on this line into one file, photos included."),
    _of("shelf", "import", "i", "import", "Unpack a build that was exported on another computer."),
    _of("shelf", "edit", "e", "edit", "Open the kit file on this line in your editor ($EDITOR)."),
    _of("shelf", "page", "g", "open article", "Open the article of the build on this line in the browser."),
    _of("shelf", "copy_path", "c", "copy path", "Copy the path of the kit file or of the build's folder."),
    _of("shelf", "from_list", "r", "read a parts list", "Turn a maker's parts list into a new kit."),
    _of("shelf", "new_kit", "n", "blank kit", "Create a blank kit file to fill in; you choose where."),
    _of("files", "open_list", "enter space", "read it", "Read the file on this line as a parts list."),
    _of("files", "all_papers", "a", "all papers", "Read all papers of a kit that lie in this folder."),
    _of("files", "type_path", "t /", "another file", "Type the path of the list; Tab completes it."),
    _of("list", "as_it_is", "y space", "all right", "Keep the list as it was read; that answers the question."),
    _of("list", "answer_1", "1 &", "answer", "Answer 1 to the question on this line."),
    _of("list", "answer_2", "2 é", "answer", "Answer 2 to the question on this line."),
    _of("list", "answer_3", '3 "', "answer", "Answer 3 to the question on this line."),
    _of("list", "answer_4", "4 '", "answer", "Answer 4 to the question on this line."),
    _of("list", "answer_5", "5 (", "answer", "Answer 5 to the question on this line."),
    _of("list", "answer_6", "6 -", "answer", "Answer 6 to the question on this line."),
    _of("list", "change", "e", "change", "Change designators, value, kind or count of the part on this line."),
    _of("list", "add_part", "n", "a part", "Skipped line: it is a part. Elsewhere: add a missing part."),
    _of("list", "leave_out", "x", "take out", "Remove this line: it is not a part, or not in this kit."),
    _of("list", "columns", "c", "columns", "What each column was read as; change a column's role."),
    _of("list", "maker", "m", "maker", "Name the maker and use the column settings saved for it."),
    _of(
        "list",
        "lay_beside",
        "+ f7",
        "another paper",
        "Compare with another list, PDF or board file of the kit.",
    ),
    _of("list", "whole", "enter", "in full", "This line in full, with the list's own lines around it."),
    _of("list", "section_before", "left", "back a section", "Up to the start of the questions or parts."),
    _of("list", "section_after", "right", "next section", "Down to the parts, or to the skipped lines."),
    _of("list", "make_kit", "o", "write the kit", "Write the kit file; open questions stay in it as comments."),
    _of("columns", "set_role", "enter space", "change", "Change what this column holds, and read again."),
    _of("columns", "plainly", "p", "read plainly", "Read again, ignoring saved column settings."),
    _of("columns", "forget_maker", "f", "forget", "Forget the settings saved for this list's maker."),
    _of("shelf", "in_or_out", "b", "in the batch", "Put this line into the batch, or take it out."),
    _of("shelf", "batch", "v", "batch", "Build order and reasons, hours, steps held back, fit in the case."),
    _of("batch", "place_before", "left", "earlier", "One place earlier; it stays there."),
    _of("batch", "place_after", "right", "later", "One place later; it stays there."),
    _of("batch", "other_order", "o", "other order", "Easiest first, shortest first, or by what others need."),
    _of("batch", "fit_check", "c", "does it fit", "Width, depth and supply current against the case."),
    _of("batch", "reasons", "r", "all reasons", "Every kit with its reasons, needs and remarks."),
    _of("batch", "let_go", "p", "let go", "The kit goes back to its place in the order."),
    _of("batch", "take_out", "x", "take out", "Take the kit on this line out of the batch."),
    _of("shelf", "record", "y", "your record", "Your speed, snags and forecasts over all builds."),
    _of("meter", "read", "enter space r", "type a reading", "Type the reading for the check on this line."),
    _of("trim", "take_pass", "n", "pass, reading", "Type a pass (volts, hertz, what you turned) or a reading."),
    _of("trim", "trim_done", "space enter", "done", "The trim is right: its step is done; to the bench."),
    _of("trim", "previous_trim", "left", "trim before", "The trim before this one."),
    _of("trim", "next_trim", "right", "trim after", "The trim after this one."),
    _of("bag", "all_there", "space enter", "all there", "The count is right; go to the next line."),
    _of("bag", "kind_there", "a", "all of a kind", "Every sort of this kind not counted yet is all there."),
    _of("bag", "rest_there", "w", "whole bag", "Every sort not counted yet is all there; exceptions after."),
    _of("bag", "number", "n", "number", "Type how many there are."),
    _of("bag", "other_part", "x", "other part", "A different part was sent."),
    _of("bag", "measure", "r", "measure", "Type the meter reading for a part of this line."),
    _of("bag", "shortage", "o", "shortage list", "Write a list of what is missing, to send to the maker."),
    _of("fault", "all_right", "space y", "all right", "Checked and fine; go to the next line."),
    _of("fault", "this_was_it", "x", "found", "This was the fault, or part of it."),
    _of("fault", "in_full", "enter", "in full", "This line in full."),
    _of("fault", "symptom", "s", "other symptom", "Look for the cause of something else."),
    _of("fault", "ask_maker", "o", "ask for help", "Write a request for help with everything known so far."),
    _of("camera", "name_clip", "n", "name a clip", "Name a clip; say when it starts or where claps are."),
    _of("camera", "forget_clip", "x", "take out", "Take the clap or clip on this line back; the log keeps it."),
    _of("camera", "clip", "enter space", "in full", "Everything about the clip on this line; its chapters."),
    _of("camera", "clock", "c", "clock", "A full-screen clock to film."),
    _of("camera", "label", "e", "label", "Say what the clap on this line marks."),
    _of(
        "bench article",
        "afterwords",
        "f8",
        "last words",
        "Verdict, what you learned, tools, cost ... for the article.",
    ),
    _of("article", "write_all", "a", "write all", "Write Markdown, HTML, post and data; show where they are."),
    _of("article", "write_html", "h", "HTML", "Write the HTML page."),
    _of("article", "write_markdown", "m", "Markdown", "Write the Markdown file, with room for your own words."),
    _of("article", "captions", "c", "captions", "Type captions for photos; those that have none come first."),
    _of("log shelf keys", "seek", "/ f7", "find", "Type what to look for; only lines that hold it are shown."),
    _of("keys", "carry_out_line", "enter space", "do it", "Do what this line says, where you came from."),
    _of("log", "take_back", "x", "undo this", "Undo this entry; on an undone entry, restore it."),
    _of("log", "snag_kind", "k", "kind", "Say what kind of snag this entry is."),
    _of("log", "correct", "c enter", "edit", "Edit this entry's text."),
    _of(_SCROLLED, "up", "up", "up", "Up one line; on a full card, scroll up."),
    _of(_SCROLLED, "down", "down", "down", "Down one line; on a full card, scroll down."),
    _of(_PAGED, "first", "home", "first", "To the first line."),
    _of(_PAGED, "last", "end", "last", "To the last line."),
    _of(_PAGED, "page_up", "pageup", "page up", "Up one page."),
    _of(_PAGED, "page_down", "pagedown", "page down", "Down one page."),
    _of(_ALL, "other_look", "f3", "look", "The next look: dark, light, contrast; it is kept."),
    _of(_ALL, "back", "escape", "back", "Back to the screen before."),
    _of(_ALL, "help", "? f1", "all keys", "Every key and what it does."),
    _of(_ALL, "quit", "q", "quit", "Quit. Your build is saved at this step."),
)

_TOGETHER = {"up": ("down", "line"), "page_up": ("page_down", "page"), "first": ("last", "ends")}
"""Commands that the foot line shows with another one, under one label."""
_SECOND = {other for other, _ in _TOGETHER.values()}
_LATE = (
    "say_again", "sheet", "other_look", "back", "quit", "up", "down", "page_up", "page_down", "first", "last",
)  # fmt: skip
"""Commands at the end of the foot line, in this order."""


def _foot_rank(command: Command) -> int:
    if command.name in _LATE:
        return 3 + _LATE.index(command.name)
    if command.name == "undo":
        return 1
    return 0 if {"space", "enter"} & set(command.keys) else 2


def by_name(commands: Iterable[Command]) -> dict[str, Command]:
    """Commands by their names, one namespace for all places; raises ValueError for one given twice."""
    named: dict[str, Command] = {}
    for command in commands:
        if command.name in named:
            raise ValueError(f"two commands are called {command.name!r}")
        named[command.name] = command
    return named


_BY_NAME = by_name(COMMANDS)
MARKS = {"n": "note"} | {
    each.keys[0][-1]: each.name for each in COMMANDS if " ".join(each.keys).startswith("m ")
}
"""Second keys behind that of `jot`, and what they do."""


def usual_key(name: str) -> str:
    """The key to show for a command where the builder has chosen none."""
    return _BY_NAME[name].keys[0]


class Keymap:
    """Which key does what, with the builder's own choices in place of the usual ones."""

    def __init__(self, chosen: Mapping[str, str] | None = None) -> None:
        self._keys = {command.name: command.keys for command in COMMANDS}
        for name, key in (chosen or {}).items():
            if name in self._keys:
                taken = set(key.split())
                for other in COMMANDS:
                    if set(other.places) & set(_BY_NAME[name].places):
                        self._keys[other.name] = tuple(k for k in self._keys[other.name] if k not in taken)
                self._keys[name] = tuple(key.split())
        self._table: dict[tuple[str, str], Command] = {}
        for command in reversed(COMMANDS):
            for place in command.places:
                for key in self._keys[command.name]:
                    self._table[place, key] = command
        for name, key in (chosen or {}).items():
            if name in _BY_NAME:
                for place in _BY_NAME[name].places:
                    self._table.update({(place, each): _BY_NAME[name] for each in key.split()})

    def command(self, place: str, key: str, character: str | None) -> Command | None:
        """The command of a key press: by the character typed, else by the key's name.

        A capital that has no command of its own is its small letter: Caps Lock may be on.
        """
        if character and character.isprintable() and character != " ":
            found = self._table.get((place, character)) or self._table.get((place, character.lower()))
            if found:
                return found
        return self._table.get((place, key))

    def key_of(self, name: str) -> str:
        """The key to show for a command; `m t` for one key and then another."""
        keys = self._keys.get(name, ())
        first, _, second = (keys[0] if keys else "").rpartition(" ")
        return f"{self.key_of('jot')} {second}" if first else second

    def keys_of(self, name: str) -> tuple[str, ...]:
        """All keys of a command."""
        return self._keys[name]

    def foot(self, place: str, idle: Collection[str] = ()) -> tuple[tuple[str, str], ...]:
        """Keys and label for each command of a place: what space or enter does, undo, the rest, moving last.

        `idle` are commands that would do nothing now.
        """
        commands = [each for each in in_order(place) if each.name not in idle]
        names = {each.name for each in commands}
        pairs = []
        for each in commands:
            other, label = _TOGETHER.get(each.name, ("", each.label))
            if other in names:
                pairs.append((f"{self.key_of(each.name)} {self.key_of(other)}", label))
            elif each.name not in _SECOND and (key := self.key_of(each.name)) and " " not in key:
                pairs.append((key, each.label))
        return tuple(pairs)


def in_order(place: str) -> list[Command]:
    """The commands of a place: what space or enter does first, undo, the rest, moving last."""
    return sorted(commands_of(place), key=_foot_rank)


def commands_of(place: str) -> tuple[Command, ...]:
    """The commands of a place, in the order of the table."""
    return tuple(command for command in COMMANDS if place in command.places)


def keymap_faults(
    chosen: Mapping[str, str], where: str, stands: Callable[[str], str] = lambda name: ""
) -> tuple[Fault, ...]:
    """What is wrong with a builder's own keys: unknown commands, one key for two commands of a place.

    `stands` tells file and line of a command's keys, where that is known; `where` stands for it elsewhere.
    """
    faults: list[Fault] = []
    taken: dict[tuple[str, str], str] = {}
    for name, keys in chosen.items():
        command = _BY_NAME.get(name)
        if command is None:
            what = f"no command is called {name!r}"
            hint = near_or(_ONCE.get(name, name), _BY_NAME)
            faults.append(Fault(what=what, where=stands(name) or where, hint=hint))
            continue
        for place in command.places:
            for key in keys.split():
                other = taken.setdefault((place, key), name)
                if other != name:
                    faults.append(
                        Fault(
                            what=f"the key {key!r} is given to both {other!r} and {name!r}",
                            where=stands(name) or where,
                            hint="give one of them another key",
                        )
                    )
        faults += _unknown_keys(name, keys, stands(name) or where)
    return (*faults, *_robbed(chosen, lambda name: stands(name) or where))


_ONCE = {"pass_hold": "override", "unpin": "let_go"}
"""What commands were called once, in settings."""
_NAMED_KEYS = frozenset(
    [
        "space",
        "enter",
        "escape",
        "tab",
        "backspace",
        "delete",
        "insert",
        "home",
        "end",
        "pageup",
        "pagedown",
        "up",
        "down",
        "left",
        "right",
    ]
) | {f"f{number}" for number in range(1, 25)}
_NEEDED = ("done", "undo", "back", "help", "quit")
"""Commands that a place is not left without; nobody takes the first key of one that was given no other."""


def _unknown_keys(name: str, keys: str, where: str) -> list[Fault]:
    """Keys that no terminal sends under such a name."""
    wrong = [key for key in keys.split() if len(key) > 1 and key not in _NAMED_KEYS and "+" not in key]
    return [
        Fault(what=f"{name}: no key is called {key!r}", where=where, hint=near_or(key, sorted(_NAMED_KEYS)))
        for key in wrong
    ]


def _robbed(chosen: Mapping[str, str], where: Callable[[str], str]) -> list[Fault]:
    """Needed commands whose first key at a place another command would take."""
    keymap, faults = Keymap(chosen), []
    for needed in (_BY_NAME[name] for name in _NEEDED if name not in chosen):
        for place in needed.places:
            key = needed.keys[0]
            by = keymap.command(place, key, key if len(key) == 1 else None)
            if by is not None and by is not needed:
                what = f"{by.name} would take the key {key!r} of {needed.name} ({TITLES[place]})"
                hint = f"give {needed.name} another key too"
                faults.append(Fault(what=what, where=where(by.name), hint=hint))
                break
    return faults
