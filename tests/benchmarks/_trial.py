"""Run the tests that the first file names, and write the names of those that fail into the second file.

It stops at the first that fails unless a third argument says `all`; with `collect` none is run.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.benchmarks._reach import Calm


class _Failed:
    """Keeps the names of the tests that failed."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.names.append(report.nodeid)


def _main(tests: str, out: str, how: str = "") -> int:
    options = [
        *([] if how == "all" else ["-x"]),
        "-q",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:cov",
        "-p",
        "no:xdist",
        "--tb=no",
    ]
    failed = _Failed()
    plain = ["-o", "addopts=--strict-markers --doctest-modules", f"@{tests}"]
    code = pytest.main([*options, *plain], plugins=[Calm(60), failed])
    Path(out).write_text("\n".join(failed.names), encoding="utf-8")
    return code


if __name__ == "__main__":
    sys.exit(_main(*sys.argv[1:]))
