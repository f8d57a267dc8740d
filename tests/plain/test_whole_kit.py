"""A whole kit built by a script that reads only the lines, 40 columns wide, as a braille line shows them."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.log import events as ev
from bench.session.folders import build_folders, read_back
from bench.settings import Settings
from tests.support.line_builder import COLUMNS, LineBuilder


@pytest.mark.parametrize(
    "arguments",
    [("first-evening-metronome",), ("prop-table-supply",), ("first-evening-metronome", "--units", "2")],
    ids=["47 parts", "mains", "two units"],
)
def test_a_kit_is_built_end_to_end_by_who_only_reads_the_lines(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    builder = LineBuilder(tmp_path, "build", *arguments)
    last = builder.build()
    builder.close()
    assert "every step is done" in last
    assert not [line for line in builder.lines if len(line) > COLUMNS]
    for folder in build_folders(tmp_path):
        _, progress, build = read_back(tmp_path, folder, Settings())
        assert build.view().finished
        assert not progress.snags
        counts = [event for event in build.events if isinstance(event, ev.JointsCounted)]
        assert counts
        assert [count.counted for count in counts] == [count.expected for count in counts]
        build.log.close()
