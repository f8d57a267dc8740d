"""Run the tests that the first file names until one fails, and write its name into the second file."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.benchmarks._reach import Calm


class _Failed:
    """Keeps the name of the test that failed."""

    name = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.name = report.nodeid


def _main(tests: str, out: str) -> int:
    options = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:cov", "-p", "no:xdist", "--tb=no"]
    failed = _Failed()
    plain = ["-o", "addopts=--strict-markers --doctest-modules", f"@{tests}"]
    code = pytest.main([*options, *plain], plugins=[Calm(60), failed])
    Path(out).write_text(failed.name, encoding="utf-8")
    return code


if __name__ == "__main__":
    sys.exit(_main(*sys.argv[1:]))
