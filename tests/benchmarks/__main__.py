"""`python -m tests.benchmarks [table] [NAME ...] [--seed N] [--quick]`: run measurements, print their figures.

Every module of this package with a function `run(seed, quick)` is one; its name is the module's. `table` puts
what is found into the table of DEVELOPERS.md about what was tried against loss.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import sys

from tests import benchmarks
from tests.benchmarks import Benchmark, _table


def _found() -> dict[str, Benchmark]:
    names = sorted(each.name for each in pkgutil.iter_modules(benchmarks.__path__) if each.name[0] != "_")
    modules = {name: importlib.import_module(f"{benchmarks.__name__}.{name}") for name in names}
    return {name: module.run for name, module in modules.items() if hasattr(module, "run")}


def main(arguments: list[str] | None = None) -> int:
    """Print one line for each figure; exit code 1 when a goal is missed."""
    found = _found()
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"any of: {', '.join(found)}; all by default")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="fewer cases")
    asked = parser.parse_args(arguments)
    into_table = asked.names[:1] == ["table"]
    if into_table:
        asked.names = asked.names[1:] or list(_table.AGAINST_LOSS)
    if unknown := [name for name in asked.names if name not in found]:
        parser.error(f"no benchmark called {', '.join(unknown)}; there are {', '.join(found)}")
    missed = 0
    for name in asked.names or found:
        print(f"{name} (seed {asked.seed}{', quick' if asked.quick else ''})")
        rows = []
        for figure in found[name](asked.seed, asked.quick):
            missed += not figure.met
            verdict = "met   " if figure.met else "MISSED"
            print(f"  {verdict} {figure.value:10.4g}  goal {figure.goal:<12} {figure.what}", end="")
            print(f" ({figure.detail})" if figure.detail else "", flush=True)
            rows.append(_table.row(figure, asked.seed, asked.quick))
        if into_table:
            _table.write(rows)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
