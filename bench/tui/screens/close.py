"""At a hold point: what to make of a reading that is too close to call, one key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.tui.screens.ask import Choose
from bench.ui.forms import trouble
from bench.ui.reading_forms import CloseCall

if TYPE_CHECKING:
    from bench.tui.screens.work import WorkScreen


def ask_close(bench: WorkScreen) -> bool:
    """Ask when the last reading is too close to call and not accepted; True when that is asked."""
    build, app = bench.build, bench.bench_app
    if not build.view().too_close or build.log.read_only:
        return False
    close = CloseCall(build, app.data, app.keymap)

    def chosen(key: str | None) -> None:
        if key == "r":
            bench.do_reading()
        elif key:
            try:
                word = close.settle(key)
            except SoldersideError as error:
                word = trouble(error)
            app.keep_meter(build.meter)
            bench.paint(word)
            ask_close(bench)

    app.push_screen(Choose(close.ask, close.choices), chosen)
    return True
