"""Power cuts on real file systems: what was acknowledged is there again, and every build opens.

A few cuts each; `python -m tests.benchmarks power_cuts` makes twenty.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.benchmarks.power_cuts import SYSTEMS, System, cuts, lost, why_not


def _need(system: System) -> None:
    why = why_not(system)
    if why:
        pytest.skip(f"power cuts need a file system of their own: {why}")


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda system: system.name)
def test_nothing_that_was_acknowledged_is_lost_in_a_power_cut(system: System, tmp_path: Path) -> None:
    _need(system)
    for cut in cuts(system, 3, 7, tmp_path):
        assert lost(cut, system, tmp_path) == []


def test_the_same_cuts_lose_files_where_nothing_is_synced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So the images really lack what only the system's memory held."""
    _need(SYSTEMS[0])
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: None)
        (cut,) = cuts(SYSTEMS[0], 1, 7, tmp_path)
    assert lost(cut, SYSTEMS[0], tmp_path)
