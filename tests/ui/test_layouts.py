"""No command needs Shift on a German or a French keyboard (from memory: the unshifted keys of each)."""

from __future__ import annotations

import pytest

from bench.ui.commands import COMMANDS

UNSHIFTED = {
    "QWERTZ": "abcdefghijklmnopqrstuvwxyz0123456789,.-#+<^ßäöü",
    "AZERTY": "abcdefghijklmnopqrstuvwxyz&é\"'(-è_çà)=,;:!^$ù*<²",
}


@pytest.mark.parametrize("layout", UNSHIFTED)
def test_every_command_has_a_key_that_needs_no_shift(layout: str) -> None:
    def easy(key: str) -> bool:
        return len(key) > 1 or key in UNSHIFTED[layout]

    assert [each.name for each in COMMANDS if each.keys and not any(map(easy, each.keys))] == []
