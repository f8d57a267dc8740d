"""Every command of every screen: one table for keys, foot line, help and palette."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from bench.errors import Fault


class Command(Struct, frozen=True, kw_only=True):
    """One thing that one key does."""

    name: str
    """What settings and code call it; the screen's method is `do_NAME`."""
    keys: tuple[str, ...]
    """Keys as the builder writes them: `space`, `f5`, `.`; the first is shown."""
    label: str
    """One or two words for the foot line."""
    help: str
    """One sentence."""
    places: tuple[str, ...]
    """`bench`, `bag`, `meter`, `trim`, `log`, `shelf`, `text` and so on: where it works."""


def _bench(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("bench",))


def _bag(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("bag",))


def _fault(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("fault",))


def _retro(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("retro",))


def _trim(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("trim",))


def _batch(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("batch",))


def _camera(name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=("camera",))


def _in(place: str, name: str, keys: str, label: str, help_text: str) -> Command:
    return Command(name=name, keys=tuple(keys.split()), label=label, help=help_text, places=(place,))


_PAGED = (
    "log",
    "retro",
    "shelf",
    "batch",
    "text",
    "bag",
    "meter",
    "trim",
    "fault",
    "camera",
    "files",
    "list",
    "columns",
)
"""Places with pages of lines."""
_SCROLLED = ("bench", "map", *_PAGED)
"""Places with more lines than may fit."""
_ALL = ("clock", *_SCROLLED)

COMMANDS: tuple[Command, ...] = (
    _bench("done", "space enter", "done", "The step is done; go on to the next one."),
    Command(
        name="mark",
        keys=("space", "0", "enter"),
        label="clap",
        help="Put a numbered mark into the log and show it over the whole screen.",
        places=("clock",),
    ),
    Command(
        name="undo",
        keys=("u",),
        label="undo",
        help="Take back the last thing recorded.",
        places=("bench", "bag", "meter", "trim", "fault", "camera", "clock", "list", "columns", "log", "batch"),
    ),
    _bench("hold", "h", "hold back", "Leave this step for later."),
    _bench("note", "n", "note", "Write something down."),
    _bench("snag", "s", "snag", "Record a problem: what, which part, minutes lost, how mended."),
    _bench("rest", "b", "break", "Begin or end a break; the bench clock stands still meanwhile."),
    _bench(
        "wait",
        "-",
        "wait",
        "Something takes its time: the bar counts down and says when it is over.",
    ),
    _bench("one", ".", "one part", "Only the next part of this step is done."),
    _bench("take_up", "t", "take up", "Put what was held back on the bench again."),
    _bench("reading", "r", "reading", "Record a value measured at this step."),
    _bench("meter", "y", "meter", "All checks: what they should read, what they read, earlier readings."),
    _bench("trim", "a", "trim", "Adjustments: passes over the octaves, what they say, what to turn next."),
    _bench("joints", "j", "joints", "Count the joints of the stage just finished."),
    _bench("mend", "m", "mend", "Say how an open snag was mended."),
    _bench("tip", "p", "tip", "Write down a tip for the next builder."),
    _bench("show", "w", "worth showing", "Mark this moment as worth showing to others."),
    _bench("photo", "d", "photo", "Mark that a photo is taken now, with a caption if you like."),
    _bench("substitute", "x", "substitute", "Another part goes in than the list says."),
    _bench("erratum", "e", "erratum", "The kit's documents are wrong somewhere."),
    _bench("pass_hold", "g", "go past", "Go on past a hold point, with a typed reason that is kept."),
    _bench("look_back", "v", "look back", "Look again at the last steps, without changing anything."),
    _bench("earlier", "left", "earlier", "Look at the step before."),
    _bench("later", "right", "later", "Look at the step after."),
    Command(
        name="write",
        keys=("o",),
        label="write up",
        help="The retrospective as it stands: read it, and write it out.",
        places=("bench", "shelf"),
    ),
    Command(
        name="sheet",
        keys=("z",),
        label="print-outs",
        help="Write a page for the printer: stages, labels, procedure, help request, shortage list.",
        places=("bench", "shelf"),
    ),
    _bench("bag", "c", "count the bag", "What should be in the bag: count it off, measure ahead."),
    _bench("identify", "i", "identify", "Bands, a marking or a reading: which parts of this kit it can be."),
    _bench("where", ",", "where it sits", "The board with the places of this step's parts, and its zones."),
    Command(name="step", keys=(",",), label="the step", help="Back to the step.", places=("map",)),
    _bench("fault", "f", "find a fault", "Something is out or does not work: where to look, in order."),
    Command(
        name="clap",
        keys=("0",),
        label="clap",
        help="Put a numbered mark into the log that the camera sees or hears too.",
        places=("bench", "camera"),
    ),
    _bench("camera", "/", "camera", "Claps and clips, a clock to film, chapters for a video."),
    _bench("log", "l", "log", "What happened so far; corrections."),
    _bench("shelf", "k", "shelf", "All builds and kits."),
    Command(
        name="open",
        keys=("enter", "space"),
        label="open",
        help="Open the build or kit on this line.",
        places=("shelf", "batch"),
    ),
    _in("shelf", "again", "a", "build again", "Start another build of the kit on this line."),
    _in("shelf", "from_list", "r", "read a parts list", "A maker's parts list of any form becomes a new kit."),
    _in("shelf", "new_kit", "n", "write a kit", "A kit file to fill in by hand, with notes, where you say."),
    _in("files", "open_list", "enter space", "read it", "Read the file on this line as a parts list."),
    _in("files", "type_path", "t /", "another file", "Type where the list lies; Tab completes the name."),
    _in("list", "as_it_is", "y space", "all right", "Leave the doubt on this line as it is."),
    *(
        _in("list", f"answer_{number}", f"{number}", "answer", f"Answer {number} to the doubt on this line.")
        for number in range(1, 7)
    ),
    _in("list", "change", "e", "change", "Change designators, value, kind or count of the part on this line."),
    _in("list", "add_part", "n", "a part", "This line passed over is a part; elsewhere: a part is missing."),
    _in("list", "leave_out", "x", "take out", "The part of this line is none, or not in this kit."),
    _in("list", "columns", "c", "columns", "What each column was taken for; give one another role."),
    _in("list", "maker", "m", "maker", "Whose list it is: read it with what is kept for that maker."),
    _in("list", "whole", "enter", "in full", "The list's own lines around this one, and all about it."),
    _in("list", "section_before", "left", "back a section", "Up to where the doubts or the parts begin."),
    _in("list", "section_after", "right", "next section", "Down to the parts, or to the lines passed over."),
    _in("list", "make_kit", "o", "write the kit", "Write the kit file; what is open stays in it as comments."),
    _in("columns", "set_role", "enter space", "change", "Say what this column holds; the list is read again."),
    _in("columns", "plainly", "p", "read plainly", "Read without anything set or kept for the columns."),
    _in("columns", "forget_maker", "f", "forget", "Forget what is kept for this list's maker."),
    Command(
        name="in_or_out",
        keys=("b",),
        label="in the batch",
        help="Put the build or kit on this line into the batch, or take it out again.",
        places=("shelf",),
    ),
    Command(
        name="batch",
        keys=("v",),
        label="batch",
        help="The batch: what to build first and why, hours, what is held, whether all of it fits.",
        places=("shelf",),
    ),
    _batch("place_before", "left", "earlier", "One place earlier; it is pinned there."),
    _batch("place_after", "right", "later", "One place later; it is pinned there."),
    _batch("other_order", "o", "other order", "Easiest first, shortest first, or what others need first."),
    _batch("fit_check", "c", "does it fit", "Width, depth and supply current against the case."),
    _batch("reasons", "r", "all reasons", "Every kit with its reasons, needs and remarks, to read and scroll."),
    _batch("unpin", "p", "unpin", "Let the order find its place again."),
    _batch("take_out", "x", "take out", "Take the kit on this line out of the batch."),
    _in("shelf", "record", "y", "your record", "Your own speed, snags and forecasts over all builds."),
    Command(
        name="read",
        keys=("enter", "space", "r"),
        label="type a reading",
        help="Type what the meter shows at the check on this line.",
        places=("meter",),
    ),
    _trim("take_pass", "n", "pass, reading", "Type a pass (volts and hertz, what was turned) or a reading."),
    _trim("trim_done", "space enter", "done", "The trim is right: its step is done; back to the bench."),
    _trim("previous_trim", "left", "trim before", "The trim before this one."),
    _trim("next_trim", "right", "trim after", "The trim after this one."),
    _bag("all_there", "space enter", "all there", "As many as there should be; on to the next line."),
    _bag("number", "n", "number", "Type how many there are."),
    _bag("other_part", "x", "other part", "Something else was sent in its place."),
    _bag("measure", "r", "measure", "Type what the meter shows for a part of this line."),
    _bag("shortage", "o", "shortage list", "Write what is missing, as a text for the maker."),
    _fault("all_right", "space y", "all right", "Looked into, and it is all right; on to the next line."),
    _fault("this_was_it", "x", "found", "Found: this was it, or a part of it."),
    _fault("in_full", "enter", "in full", "Everything about this line, to read and scroll."),
    _fault("symptom", "s", "other symptom", "Look for the cause of something else."),
    _fault("ask_maker", "o", "ask for help", "Write a text that asks for help, with all that is known."),
    _camera(
        "name_clip", "n", "name a clip", "Name a clip, and say when it starts or where claps are seen in it."
    ),
    _camera("clip", "enter space", "in full", "Everything about the clip on this line, with its chapters."),
    _camera("clock", "c", "clock", "A clock over the whole screen, to be filmed."),
    _camera("label", "e", "label", "Say what the clap on this line marks."),
    _camera("chapters", "o", "write chapters", "Write the chapters of all clips into the build's folder."),
    _retro("write_all", "a", "write all", "Write Markdown, HTML and data, and show where they are."),
    _retro("write_html", "h", "HTML", "Write the page of HTML."),
    _retro("write_markdown", "m", "Markdown", "Write the Markdown, in which your own words have their places."),
    _in("log", "take_back", "x", "take back", "Take this event back; on an event taken back: bring it back."),
    _in("log", "correct", "c enter", "correct", "Give the event's text another wording."),
    Command(
        name="up",
        keys=("up",),
        label="up",
        help="Up one line; on a full card, scroll up.",
        places=_SCROLLED,
    ),
    Command(
        name="down",
        keys=("down",),
        label="down",
        help="Down one line; on a full card, scroll down.",
        places=_SCROLLED,
    ),
    Command(
        name="page_up",
        keys=("pageup",),
        label="page up",
        help="Up one page.",
        places=_PAGED,
    ),
    Command(
        name="page_down",
        keys=("pagedown",),
        label="page down",
        help="Down one page.",
        places=_PAGED,
    ),
    Command(
        name="back",
        keys=("escape",),
        label="back",
        help="Back to where you came from.",
        places=_ALL,
    ),
    Command(
        name="help",
        keys=("?", "f1"),
        label="all keys",
        help="Every key and what it does.",
        places=_ALL,
    ),
    Command(
        name="quit",
        keys=("q",),
        label="close",
        help="Close the program; the build stays where it is.",
        places=_ALL,
    ),
)

_TOGETHER = {"up": ("down", "line"), "page_up": ("page_down", "page")}
"""Commands that the foot line shows with another one, under one label."""
_SECOND = {other for other, _ in _TOGETHER.values()}
_LATE = ("sheet", "back", "quit", "up", "down", "page_up", "page_down")
"""Commands at the end of the foot line, in this order."""


def _foot_rank(command: Command) -> int:
    if command.name in _LATE:
        return 3 + _LATE.index(command.name)
    if command.name == "undo":
        return 1
    return 0 if {"space", "enter"} & set(command.keys) else 2


_BY_NAME = {command.name: command for command in COMMANDS}
PALETTE_KEY = "ctrl+p"


class Keymap:
    """Which key does what, with the builder's own choices in place of the usual ones."""

    def __init__(self, chosen: Mapping[str, str] | None = None) -> None:
        self._keys = {command.name: command.keys for command in COMMANDS}
        for name, key in (chosen or {}).items():
            if name in self._keys:
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
        """The command of a key press: by the character typed, else by the key's name."""
        if character and character.isprintable() and character != " ":
            found = self._table.get((place, character))
            if found:
                return found
        return self._table.get((place, key))

    def key_of(self, name: str) -> str:
        """The key to show for a command."""
        keys = self._keys.get(name, ())
        return keys[0] if keys else ""

    def keys_of(self, name: str) -> tuple[str, ...]:
        """All keys of a command."""
        return self._keys[name]

    def foot(self, place: str) -> tuple[tuple[str, str], ...]:
        """Keys and label for each command of a place: what space or enter does, undo, the rest, moving last."""
        commands = sorted(commands_of(place), key=_foot_rank)
        names = {each.name for each in commands}
        pairs = []
        for each in commands:
            other, label = _TOGETHER.get(each.name, ("", each.label))
            if other in names:
                pairs.append((f"{self.key_of(each.name)} {self.key_of(other)}", label))
            elif each.name not in _SECOND and self.key_of(each.name):
                pairs.append((self.key_of(each.name), each.label))
        return tuple(pairs)


def commands_of(place: str) -> tuple[Command, ...]:
    """The commands of a place, in the order of the table."""
    return tuple(command for command in COMMANDS if place in command.places)


def keymap_faults(chosen: Mapping[str, str], where: str) -> tuple[Fault, ...]:
    """What is wrong with a builder's own keys: unknown commands, one key for two commands of a place."""
    faults: list[Fault] = []
    known = ", ".join(_BY_NAME)
    taken: dict[tuple[str, str], str] = {}
    for name, keys in chosen.items():
        command = _BY_NAME.get(name)
        if command is None:
            faults.append(Fault(what=f"no command is called {name!r}", where=where, hint=f"known: {known}"))
            continue
        for place in command.places:
            for key in keys.split():
                other = taken.setdefault((place, key), name)
                if other != name:
                    faults.append(
                        Fault(
                            what=f"the key {key!r} is given to both {other!r} and {name!r}",
                            where=where,
                            hint="give one of them another key",
                        )
                    )
    return tuple(faults)
