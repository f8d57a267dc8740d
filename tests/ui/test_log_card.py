"""What the log says of events that are about another one."""

from __future__ import annotations

from bench.log import events as ev
from bench.ui.log_card import log_rows
from tests.support.event_writer import Writer


def test_an_event_about_another_says_which() -> None:
    log = Writer()
    log.add(ev.Snagged, what="D2 in backwards")
    log.add(ev.Undone, of=1)
    log.add(ev.Undone, of=2)
    log.add(ev.Noted, text="sort first")
    log.add(ev.Corrected, of=4, field="text", to="sort first")
    log.add(ev.Undone, of=99)
    assert [row.text for row in log_rows(log.events, {2}, {4: "Trim"})] == [
        "snag: D2 in backwards",
        "undone: took back: snag: D2 in backwards",
        "restored: snag: D2 in backwards",
        "note: sort first   > Trim",
        "corrected: text of ‘note: sort first’",
        "undone: event 99",
    ]
