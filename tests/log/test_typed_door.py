"""What the type checker sees of events: each field of each event."""

from __future__ import annotations

from pathlib import Path

import pytest
from mypy import api

from bench.log import event_text

ROOT = Path(event_text.__file__).parents[2]
DOOR = """
from bench.log import events as ev
from bench.session.event_writer import EventWriter

def act(writer: EventWriter) -> None:
    stamp = writer.stamp()
    writer.record({})
"""


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("types")


def complaints(source: str, folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """What a strict type check says of a file that imports the program."""
    monkeypatch.chdir(ROOT)
    path = folder / "snippet.py"
    path.write_text(source, encoding="utf-8")
    said, failed, _ = api.run(["--strict", "--follow-imports=silent", f"--cache-dir={cache}", str(path)])
    assert not failed
    return said


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ('ev.Noted(**stamp, text="x", mark="tip")', "Success"),
        ('ev.Noted(**stamp, txt="x")', 'Unexpected keyword argument "txt"'),
        ("ev.Noted(**stamp)", 'Missing named argument "text"'),
        ('ev.JointsCounted(**stamp, counted="40", expected=42)', 'Argument "counted"'),
        ('ev.Noted(text="x")', 'Missing named argument "mono"'),
        ('ev.Noted, text="x"', 'Unexpected keyword argument "text"'),
    ],
)
def test_a_field_that_is_misspelt_missing_or_of_another_type_is_an_error_of_types(
    event: str, said: str, tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert said in complaints(DOOR.format(event), tmp_path, cache, monkeypatch)
