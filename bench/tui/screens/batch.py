"""The batch: which kit first and why, what is held, and whether all of it fits the case."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from textual.app import ComposeResult

from bench.batch.at_work import BatchAtWork
from bench.batch.gather import Member
from bench.batch.order import Order
from bench.errors import SoldersideError
from bench.tui.screens.lists import ListingScreen, ListLine, ListPane, Word
from bench.tui.screens.pages import Page, faults_page
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.batch_card import StyledLine, about_kit, all_reasons, batch_head, head_line, kit_row
from bench.ui.card_blocks import StyledRow
from bench.ui.text import clean, wrap


class KitsPane(ListPane):
    """The kits in order, set anew for each width."""

    def __init__(self) -> None:
        super().__init__()
        self.order: Order | None = None
        self.members: tuple[Member, ...] = ()

    def lay_out(self) -> None:
        """Set the lines for the present width."""
        if self.order is not None:
            width = self.size.width - 2
            most = max((member.left.likely for member in self.members if not member.finished), default=0.0)
            pairs = zip(self.order.placed, self.members, strict=True)
            rows: list[ListLine] = [(kit_row(placed, member, width, most), "plain") for placed, member in pairs]
            self.show(rows, heads={0: batch_head(width)} if rows else {})
            return
        super().lay_out()


class AboutPane(Lines):
    """All about the chosen kit, wrapped; what has no room is on the page of reasons."""

    def __init__(self) -> None:
        super().__init__(id="about")
        self._spans: tuple[StyledLine, ...] = ()

    def tell(self, spans: Iterable[StyledLine]) -> None:
        """Show these from now on."""
        self._spans = tuple(spans)
        self.lay_out()

    def lay_out(self) -> None:
        """Re-wrap on resize."""
        rows: list[StyledRow] = []
        for text, look in self._spans:
            rows += [((line, look),) for line in wrap(text, self.size.width - 2, hang=2)]
        self.show_rows(rows)


class BatchScreen(ListingScreen):
    """The batch in order."""

    place = "batch"
    CSS = "#about { height: 45%; background: $b-raised; padding: 0; }"

    def __init__(self) -> None:
        super().__init__()
        self._batch = BatchAtWork(self.bench_app.data, self.bench_app.settings)

    def compose(self) -> ComposeResult:
        """A word, the kits, all about the chosen one, the keys."""
        keymap = self.bench_app.keymap
        yield Word()
        yield KitsPane()
        yield AboutPane()
        yield Foot(keymap.foot(self.place), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Read the batch."""
        self._read()

    def on_screen_resume(self) -> None:
        """Read it anew when the builder comes back to it."""
        self._read()

    def on_resize(self) -> None:
        """Lines and words for the new size."""
        self.call_after_refresh(self._choose)

    @property
    def _adds(self) -> str:
        return self.bench_app.keymap.key_of("in_or_out")

    @property
    def kits(self) -> KitsPane:
        """The list."""
        return self.query_one(KitsPane)

    def _read(self) -> None:
        self._batch.read()
        self._show()

    def _show(self, stay_on: str = "") -> None:
        """Show the batch in its order, the same kit chosen as before."""
        kits = self.kits
        here = stay_on or (kits.members[kits.chosen].key if kits.members else "")
        kits.order, kits.members = self._batch.ordered()
        keys = [member.key for member in kits.members]
        if keys or self._batch.gathered.faults:
            self.show_message(head_line(kits.order, kits.members, self._batch.gathered))
        else:
            self.show_message(f"The batch is empty. On the shelf, {self._adds} adds a kit or build.")
        kits.chosen = keys.index(here) if here in keys else 0
        kits.lay_out()
        self.call_after_refresh(self._choose)

    def _choose(self) -> None:
        kits = self.kits
        kits.lay_out()
        about = self.query_one(AboutPane)
        if kits.order is not None and kits.members:
            about.tell(about_kit(kits.order.placed[kits.chosen], kits.members[kits.chosen]))
        else:
            about.tell(())

    def _chosen(self) -> Member:
        if not self.kits.members:
            raise SoldersideError("the batch is empty", "", f"on the shelf, {self._adds} adds a kit")
        return self.kits.members[self.kits.chosen]

    # -- moving about ---------------------------------------------------------------------------
    def do_up(self) -> None:
        """The kit before."""
        super().do_up()
        self._choose()

    def do_down(self) -> None:
        """The kit after."""
        super().do_down()
        self._choose()

    def do_first(self) -> None:
        """The first kit."""
        super().do_first()
        self._choose()

    def do_last(self) -> None:
        """The last kit."""
        super().do_last()
        self._choose()

    def do_page_up(self) -> None:
        """A page up."""
        super().do_page_up()
        self._choose()

    def do_page_down(self) -> None:
        """A page down."""
        super().do_page_down()
        self._choose()

    def on_click(self) -> None:
        """Another kit may have been chosen."""
        self._choose()

    # -- the order ------------------------------------------------------------------------------
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
        self._batch.other_order()
        self._show()

    def do_take_out(self) -> None:
        """Take the chosen kit out."""
        gone = self._chosen()
        self._batch.take_out(gone.key)
        self._show()
        self.show_message(f"{gone.title} was taken out of the batch; its build is kept.")

    def do_undo(self) -> None:
        """Take back what was last changed here."""
        self._batch.undo()
        self._show()
        self.show_message("Undone: the batch is as it was.")

    # -- to read --------------------------------------------------------------------------------
    def do_open(self) -> None:
        """Open the chosen kit's build, or begin one."""
        member = self._chosen()
        try:
            self.bench_app.to_bench(member.build or member.kit.file, again=not member.build)
        except SoldersideError as error:
            about = clean(f"{Path(member.key).name} cannot be opened", 200)
            self.app.push_screen(faults_page(error.faults, about))

    def do_reasons(self) -> None:
        """Everything, on a page."""
        if self.kits.order is not None:
            self.app.push_screen(
                Page(tuple(all_reasons(self.kits.order, self.kits.members, self._batch.gathered)))
            )

    def do_fit_check(self) -> None:
        """Width, depth and current against the case of the settings."""
        from bench.batch.rack import check_rack
        from bench.batch.rack_text import rack_lines
        from bench.kit.case import case_from

        self._chosen()
        case = case_from(self.bench_app.settings.case)
        check = check_rack(self.kits.members, case)
        self.app.push_screen(Page(tuple((clean(text, 600), look) for text, look in rack_lines(check))))
