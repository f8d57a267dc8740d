"""Fixtures that several files of tests share."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from bench.session.build import Build
from tests.support.browser import Browser, browser, chromium
from tests.support.kit_files import FULL
from tests.support.samples import HandClock, small_build

os.environ.setdefault("TEXTUAL_FPS", "240")
"""As the program sets it, before Textual is imported."""
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")
"""For property tests: a busy machine is no fault."""
IN_MEMORY, WANTED = "/dev/shm", 4 * 2**30
"""Files of tests lie in memory where it has room (bytes), unless `TMPDIR` names a place: a build waits for the
disk at every key, which is most of what many tests take."""
with contextlib.suppress(OSError, AttributeError):
    _room = os.statvfs(IN_MEMORY)
    if not _room.f_flag & os.ST_NOEXEC and _room.f_bavail * _room.f_frsize > WANTED:
        os.environ.setdefault("TMPDIR", IN_MEMORY)
        tempfile.tempdir = None  # asked for before, and kept


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Two for each idle core: tests of screens, browsers and terminals wait more than they reckon.

    One for each where the machine has other work: tests of keys held down go by the clock.
    """
    cores = os.cpu_count() or 1
    return 2 * cores if os.getloadavg()[0] < cores / 2 else cores


@pytest.fixture
def own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing of a test touches the builds of the person who runs it."""
    folder = tmp_path / "data"
    monkeypatch.setenv("SOLDERSIDE_DATA", str(folder))
    return folder


@pytest.fixture
def kit_file(tmp_path: Path) -> Path:
    """A kit file without a fault."""
    path = tmp_path / "kit.yaml"
    path.write_text(FULL.replace("count: 14", "count: 18"), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def web() -> Iterator[Browser]:
    """A real browser; each test sets the window that it looks through."""
    if not chromium():
        pytest.skip("no Chromium here; SOLDERSIDE_CHROMIUM names one")
    with browser() as opened:
        yield opened


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def build(request: pytest.FixtureRequest, tmp_path: Path, clock: HandClock) -> Iterator[Build]:
    """A build at work, let go of at the end: the small one, or what the module's own `make_build` makes."""
    make = getattr(request.module, "make_build", small_build)
    made: Build = make(tmp_path / "builds" / "one", clock)
    yield made
    made.log.close()
