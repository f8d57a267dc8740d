"""From a list that is settled to a kit file on the shelf, and on to the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.kit.load import load_kit
from bench.papers.list_files import complete_path
from bench.papers.to_kit import name_from
from bench.session.folders import builds_of, slug
from bench.session.from_list import keep_kit, kit_file_path
from bench.settings import kits_folder
from bench.tui.screens.ask import Ask
from bench.ui.forms import Question, trouble
from bench.ui.list_forms import kit_questions
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.tui.screens.parts_list import ListScreen


def write_kit(screen: ListScreen) -> None:
    """Ask for name, maker and place, write the kit file, and offer to start the build."""
    reading = screen.work.settled.reading
    if not reading.parts:
        raise SoldersideError(
            "there are no parts in this list yet", "", "set its columns, or add parts by hand"
        )
    name = name_from(reading)

    def where(typed: tuple[str, ...]) -> None:
        given = kits_folder(screen.bench_app.data) / f"{slug(typed[0])}.yaml"
        question = Question(
            ask="where to?", hint="A path that ends in .yaml.", given=str(given), complete=complete_path
        )
        named.keep(typed)  # until the file is there
        place = Ask("Kit file", [question], screen.work.name)
        screen.push_ask(place, lambda last: typed_place(last, typed[0], typed[1], place))

    def typed_place(typed: tuple[str, ...], kit: str, maker: str, place: Ask) -> None:
        to(kit_file_path(typed[0]), kit, maker, place)

    def to(path: Path, kit: str, maker: str, place: Ask) -> None:
        """Write to a path, after a question when something is there."""

        def write(*, overwrite: bool) -> None:
            kept = keep_kit(screen.bench_app.data, screen.work, path, kit, maker, overwrite=overwrite)
            named.forget()
            place.forget()
            _offer(screen, path, kept)

        def chosen(key: str) -> None:
            if key != "r":
                where((kit, maker))
                return
            try:
                write(overwrite=True)
            except SoldersideError as error:
                screen.show_message(trouble(error))
                screen.push_ask(
                    place.again(trouble(error)), lambda last: to(kit_file_path(last[0]), kit, maker, place)
                )

        if not path.exists():
            write(overwrite=False)
            return
        place.keep((str(path),))
        choices = (("n", "no, another name"), ("r", "replace it; its present content is lost"))
        screen.choose_key(clean(f"{path} already exists", 200), choices, chosen)

    questions = kit_questions(name, screen.work.state.maker, len(screen.work.settled.questions))
    named = Ask("Kit", questions, screen.work.name)
    screen.push_ask(named, where)


def _offer(screen: ListScreen, path: Path, kept: str) -> None:
    """Begin the build at once, or not."""
    app = screen.bench_app
    kit = load_kit(path)
    older = builds_of(app.data, kit)
    begin = "start a new build" if older else "start the build"
    choices = [("b", begin), ("s", "go to the shelf, where the kit is now"), ("escape", "stay with the list")]
    if older:
        choices.insert(1, ("g", f"continue the build {older[0].name}, which has this kit's name"))

    def chosen(key: str) -> None:
        if key in ("b", "g"):
            app.to_bench(str(path), again=key == "b" and bool(older))
        elif key == "s":
            app.to_shelf()
        else:
            screen.fill(clean(f"Written: {path}.{kept}", 500))

    screen.choose_key(clean(f"Written: {path}.{kept} Now", 500), choices, chosen)
