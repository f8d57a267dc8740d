"""The shelf and the batch in plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from bench.batch.at_work import BatchAtWork
from bench.batch.gather import Member, Shelved
from bench.batch.shelf import KitAtHand, kits_at_hand
from bench.batch.shelf_at_work import ShelfAtWork, Thing, in_batch
from bench.errors import SoldersideError
from bench.files import home_path
from bench.log.unit_names import next_number, plain_name
from bench.papers.list_files import FOLDERS, likely_lists, paper_folders
from bench.plain.place import Desk, Rows
from bench.session.build_archive import ENDING, import_build
from bench.session.folders import slug
from bench.session.kit_names import kit_folders, name_of
from bench.session.summaries import Summary, summaries
from bench.settings import cache_folder, kits_folder
from bench.ui.batch_card import about_kit as about_member
from bench.ui.batch_card import all_reasons, head_line
from bench.ui.forms import Question, trouble
from bench.ui.shelf_card import about_build, about_kit, arranged, unit_question
from bench.ui.text import clean

MOST_OFFERED = 9
"""Files near at hand that are offered as a parts list."""


class Shelf(Rows):
    """Builds under way, then kits."""

    place = "shelf"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._work = ShelfAtWork(desk.folder)

    def _fill(self) -> None:
        folder = self.desk.folder
        try:
            builds = summaries(folder, self.settings)
        except SoldersideError as error:
            builds = []
            self._say(trouble(error))
        self._work.things = arranged([*builds, *kits_at_hand(kit_folders(folder), cache_folder(folder))])

    def enter(self) -> None:
        """Say how many there are of each, then the first."""
        self._fill()
        super().enter()

    def rows(self) -> Sequence[str]:
        """A build with its share done; a kit with its size."""
        batch = Shelved.of(self.desk.folder)
        return [f"{_row(thing)}{_in_batch(batch, thing)}" for thing in self._work.things]

    def in_full(self, at: int) -> Iterator[str]:
        """All about a build or a kit."""
        thing = self._work.things[at]
        batch = _in_batch(Shelved.of(self.desk.folder), thing)
        yield clean(f"{'build' if isinstance(thing, Summary) else 'kit'} {thing.title}{batch}", 300)
        if isinstance(thing, Summary):
            spans = about_build(thing)
        else:
            spans = about_kit(thing, name_of(self.desk.folder, thing.path))
        yield from (text for text, look in spans if text and look != "value")

    def _thing(self) -> Thing:
        return self._work.thing(self.chosen)

    def _target(self) -> str:
        return self._work.target(self.chosen)

    def do_open(self) -> None:
        """Open the build or kit on the chosen line."""
        self.desk.leave_for(self._target())

    def do_again(self) -> None:
        """Another unit of the kit on the chosen line; it is asked what this one is called."""
        thing = self._thing()
        title = thing.kit if isinstance(thing, Summary) else thing.title
        units = [each for each in self._work.things if isinstance(each, Summary) and each.kit == title]
        kits = [each for each in self._work.things if isinstance(each, KitAtHand) and each.title == title]
        target = kits[0].path if kits else self._target()
        unit = ""
        if kits and units:
            given = next_number(plain_name(each.unit) for each in units)
            (unit,) = self._talk.ask_title("Another unit", target, unit_question(given))
        self.desk.leave_for(target, again=True, unit=unit)

    def do_rename(self) -> None:
        """Another name for the build on the chosen line."""
        build = self._work.build(self.chosen, "a kit's name is in its file")
        (name,) = self._talk.ask_title("Rename", build.folder, unit_question(plain_name(build.unit)))
        self._told(self._work.rename(build, name, self.desk.clock))

    def _told(self, said: str) -> None:
        """Read the shelf anew, and say what was done."""
        self._fill()
        self._say(clean(said, 400))

    def do_put_away(self) -> None:
        """Archive the build on the chosen line, or bring it back."""
        self._did(self._work.put_away(self.chosen))

    def do_delete(self) -> None:
        """Delete the build on the chosen line; undo brings it back."""
        self._did(self._work.delete(self.chosen))

    def _did(self, said: str) -> None:
        self._told(f"{said} {self.keymap.key_of('undo')} undoes it.")

    def do_undo(self) -> None:
        """Undo the last thing done here."""
        self._told(self._work.undo())

    def do_export(self) -> None:
        """Write the build on the chosen line into one file."""
        self._say(f"Written: {self._work.export(self.chosen, self.settings)}")

    def do_import(self) -> None:
        """Unpack a build that was exported on another computer."""
        (typed,) = self._talk.ask_title(
            "Import", "import", Question(ask="which file?", hint=f"It ends in {ENDING}.")
        )
        carried = import_build(self.desk.folder, home_path(typed.strip()), self.settings)
        self._fill()
        for word in (f"{carried.folder.name} is on the shelf", *carried.settings):
            self._say(clean(f"{word}.", 400))

    def do_back(self) -> None:
        """Nowhere: all ways begin at the shelf."""
        self._say("All ways begin at the shelf.")

    def do_in_or_out(self) -> None:
        """Put the chosen line into the batch, or take it out."""
        self._work.toggle(self.chosen)
        self.tell()

    def do_batch(self) -> None:
        """Build order and reasons."""
        self.visit(BatchRows(self.desk))

    def do_record(self) -> None:
        """The builder's own record."""
        from bench.estimate.history import know
        from bench.estimate.stats_text import record_lines

        self.say_spans(record_lines(know(self.desk.folder, self.settings).record))

    def do_sheet(self) -> None:
        """Write a page for the printer about the chosen build or kit."""
        from bench.settings import sheets_folder
        from bench.writeup.sheets.publish import CHOICES, job_of, publish_sheet

        target = self._target()
        letter = self._talk.choose("Print what?", tuple((key, text) for key, _, text in CHOICES))
        what = next(each for key, each, _ in CHOICES if key == letter)
        job = job_of(self.desk.folder, target, self.settings)
        try:
            path = publish_sheet(job, what, sheets_folder(self.desk.folder))
        finally:
            if job.build is not None:
                job.build.log.close()
        self._say(f"Written: {path}. Open it in a browser and print it.")

    def do_write(self) -> None:
        """The article of the chosen build."""
        from bench.plain.article import ArticlePlace
        from bench.session.folders import read_back

        target = Path(self._target())
        if not target.is_dir():
            raise SoldersideError("this line is a kit, not a build", "", "choose a build")
        _, _, build = read_back(self.desk.folder, target, self.settings)
        self.visit(ArticlePlace(self.desk, build))

    def do_new_kit(self) -> None:
        """A kit file to fill in by hand, where the builder says."""
        folder = kits_folder(self.desk.folder)
        (name,) = self._talk.ask_title(
            "A kit by hand", "", Question(ask="the kit's name?", hint="The name shown on the shelf.")
        )
        place = Question(
            ask="where to?", hint="A path that ends in .yaml.", given=str(folder / f"{slug(name)}.yaml")
        )
        path = self._work.new_kit(name, self._talk.ask_title("Kit file", "", place)[0])
        self._say(f"Written: {path}. Fill it in with an editor, then open it here.")
        self._fill()

    def do_from_list(self) -> None:
        """A maker's parts list becomes a new kit."""
        from bench.plain.parts_list import open_list

        likely = [*paper_folders(), *likely_lists(FOLDERS)][:MOST_OFFERED]
        for number, path in enumerate(likely, 1):
            self._say(clean(f"{number}: {path}.", 300))
        hint = "One of these by its number, or a path: a file, or a folder of papers."
        question = Question(
            ask="where is the list?", hint=hint if likely else hint[hint.index("a path") :].capitalize()
        )
        typed = self._talk.ask_title("Parts list", "", question)[0].strip().strip("'\"")
        at = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 3 else 0
        self.visit(open_list(self.desk, likely[at - 1] if 0 < at <= len(likely) else home_path(typed)))
        self._fill()


def _row(thing: Summary | KitAtHand) -> str:
    if isinstance(thing, KitAtHand):
        return clean(f"kit {thing.title}, {'has faults' if thing.faults else thing.level}", 300)
    share = f"{100 * thing.items_done // thing.items} % done" if thing.items else "progress unknown"
    return clean(f"build {thing.title}, {'built' if thing.finished else share}", 300)


def _in_batch(batch: Shelved, thing: Summary | KitAtHand) -> str:
    return ", in the batch" if batch.entry(*in_batch(thing)) else ""


class BatchRows(Rows):
    """The kits of the batch in their order."""

    place = "batch"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._batch = BatchAtWork(desk.folder, self.settings)
        self._batch.read()

    def enter(self) -> None:
        """Say what the batch comes to, then its first kit."""
        if self._batch.gathered.members or self._batch.gathered.faults:
            self._say(head_line(*self._batch.ordered(), self._batch.gathered))
            super().enter()
        else:
            self._say(
                f"The batch is empty. On the shelf, {self.keymap.key_of('in_or_out')} adds a kit or build."
            )

    def rows(self) -> Sequence[str]:
        """Each kit with its share done."""
        return [
            clean(f"{member.title}{f', {member.percent} % done' if member.build else ''}", 300)
            for member in self._batch.ordered()[1]
        ]

    def in_full(self, at: int) -> Iterator[str]:
        """One kit: why it stands there, how long, what is held."""
        order, members = self._batch.ordered()
        first, *more = (text for text, _ in about_member(order.placed[at], members[at]) if text.strip())
        yield from (first.removeprefix(f"{at + 1}. "), *more)

    def _chosen(self) -> Member:
        members = self._batch.ordered()[1]
        if not members:
            key = self.keymap.key_of("in_or_out")
            raise SoldersideError("the batch is empty", "", f"on the shelf, {key} adds a kit")
        return members[self.chosen]

    def _show(self, key: str) -> None:
        """Say a kit where it stands now."""
        keys = [member.key for member in self._batch.ordered()[1]]
        self.chosen = keys.index(key) if key in keys else 0
        self.tell()

    def _move(self, by: int) -> None:
        key = self._chosen().key
        self._batch.move(key, by)
        self._show(key)

    def do_place_before(self) -> None:
        """One place earlier."""
        self._move(-1)

    def do_place_after(self) -> None:
        """One place later."""
        self._move(1)

    def do_let_go(self) -> None:
        """Let the order decide again."""
        key = self._chosen().key
        self._batch.let_go(key)
        self._show(key)

    def do_other_order(self) -> None:
        """The next order."""
        key = self._chosen().key
        self._batch.other_order()
        self._show(key)
        self._say(head_line(*self._batch.ordered(), self._batch.gathered))

    def do_take_out(self) -> None:
        """Take the chosen kit out."""
        gone = self._chosen()
        self._batch.take_out(gone.key)
        self._say(f"{gone.title} was taken out of the batch; its build is kept.")

    def do_undo(self) -> None:
        """Take back what was last changed here."""
        self._batch.undo()
        self._say("Undone: the batch is as it was.")

    def do_open(self) -> None:
        """Open the chosen kit's build, or begin one."""
        member = self._chosen()
        self.desk.leave_for(member.build or member.kit.file, again=not member.build)

    def do_reasons(self) -> None:
        """Every kit with its reasons, needs and remarks."""
        order, members = self._batch.ordered()
        self.say_spans(all_reasons(order, members, self._batch.gathered))

    def do_fit_check(self) -> None:
        """Width, depth and current against the case of the settings."""
        from bench.batch.rack import check_rack
        from bench.batch.rack_text import rack_lines
        from bench.kit.case import case_from

        self._chosen()
        case = case_from(self.settings.case)
        check = check_rack(self._batch.ordered()[1], case)
        self.say_spans((clean(text, 600), look) for text, look in rack_lines(check))
