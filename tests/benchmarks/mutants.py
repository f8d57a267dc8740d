"""Whether the tests notice small changes of the program: seeded mutants of the rooms that judge and reckon.

`python -m tests.benchmarks mutants` tries 300 mutants, a quick run 40; each sort of change is as likely.
Each is tried in a copy of the project with the tests that ran its function when that was recorded.
`python -m tests.benchmarks.mutants --seed N --count N [--only TEXT]` prints what survives. Mutants that change
nothing that anybody could meet stand with the reason in `mutants-equivalent.txt`.
"""

from __future__ import annotations

import argparse
import compileall
import importlib.util
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from msgspec import Struct

from tests.benchmarks import Figure
from tests.benchmarks._mutator import Mutant, mutants, source
from tests.benchmarks._reach import ROOMS, Reached, environment, reach

ROOT = Path(__file__).resolve().parents[2]
_EQUIVALENT = Path(__file__).with_name("mutants-equivalent.txt")
_SECONDS = 20.0
"""How long the tests of one mutant took together when they were recorded, at most."""
_WAITED = 60
"""Seconds after which a mutant counts as hanging."""
_MEMORY = 3 << 30


class Outcome(Struct, frozen=True):
    """What became of a mutant: `killed`, `timed out`, `survived`, `not reached`, `equivalent` or `unsure`."""

    mutant: Mutant
    fate: str
    tests: int = 0
    killer: str = ""
    """The test that killed it; empty when a test could not even be read."""


def chosen(root: Path, seed: int, count: int, only: str = "", without: Iterable[str] = ()) -> list[Mutant]:
    """A seeded choice: a sort of change first, each as likely, then one of that sort."""
    by_sort: defaultdict[str, list[Mutant]] = defaultdict(list)
    for room in ROOMS:
        for path in sorted((root / "bench" / room).rglob("*.py")):
            name = path.relative_to(root).as_posix()
            if only in name and not any(each in name for each in without):
                for mutant in mutants(root, name):
                    by_sort[mutant.sort].append(mutant)
    dice = random.Random(seed)
    out: list[Mutant] = []
    while len(out) < count and by_sort:
        sort = dice.choice(sorted(by_sort))
        out.append(by_sort[sort].pop(dice.randrange(len(by_sort[sort]))))
        if not by_sort[sort]:
            del by_sort[sort]
    return out


def equivalents() -> dict[str, str]:
    """Mutants that change nothing, a line each, with the reason indented below one or several of them."""
    out: dict[str, str] = {}
    group: list[str] = []
    for line in _EQUIVALENT.read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            out |= dict.fromkeys(group, line.strip())
            group = []
        elif line and not line.startswith("#"):
            group.append(line)
    return out


def tried(
    root: Path, asked: list[Mutant], tests: list[Reached], show: Callable[[Outcome], object] = lambda _: None
) -> list[Outcome]:
    """Each mutant in turn with the tests that can reach it, in a copy of the project; `show` gets each at once.

    A test that fails without any mutant kills none: what it seemed to kill is tried again without it.
    """
    named = equivalents()
    outcomes = []
    with _copy(root) as tree:
        for mutant in asked:
            outcome = Outcome(mutant, "equivalent") if mutant.told in named else _trial(tree, mutant, tests)
            outcomes.append(outcome)
            show(outcome)
        killers = sorted({each.killer for each in outcomes} - {""})
        _, sick = _run(tree, killers, 600, "all") if killers else (0, [])
        if sick:
            sound = [test for test in tests if test.name not in sick]
            outcomes = [_trial(tree, each.mutant, sound) if each.killer in sick else each for each in outcomes]
    return outcomes


def _trial(tree: Path, mutant: Mutant, tests: list[Reached]) -> Outcome:
    names = _tests_for(mutant, tests, has_examples=">>>" in (tree / mutant.path).read_text(encoding="utf-8"))
    if not names:
        return Outcome(mutant, "not reached")
    with _changed(tree, mutant):
        code, failed = _run(tree, names, _WAITED)
    fate = "timed out" if code is None else "killed" if code else "survived"
    if fate == "killed" and not failed and _run(tree, names, 120, "collect")[0] != 0:
        fate = (
            "unsure"  # a name that stands for no test any more ends a trial like a module that cannot be read
        )
    return Outcome(mutant, fate, len(names), next(iter(failed), ""))


def _tests_for(mutant: Mutant, tests: list[Reached], *, has_examples: bool) -> list[str]:
    """The doctests of the module, then the tests that ran its function, quickest first.

    Tests that ran the very line go first. Outside of any function any test that runs the module counts.
    """
    reaching = [test for test in tests if any(at in mutant.lines for at in test.lines.get(mutant.path, ()))]
    near = [test for test in reaching if mutant.line in test.lines[mutant.path]]
    names, seconds = [mutant.path] if has_examples else [], 0.0
    for test in [*near, *(each for each in reaching if each not in near)]:
        seconds += test.seconds + 0.02
        if seconds > _SECONDS:
            break
        names.append(test.name)
    return names


@contextmanager
def _copy(root: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tree = Path(folder)
        for name in ("bench", "kits", "tests"):
            shutil.copytree(root / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(root / name, tree)
        compileall.compile_dir(tree / "bench", quiet=2)
        yield tree


@contextmanager
def _changed(tree: Path, mutant: Mutant) -> Iterator[None]:
    file = tree / mutant.path
    before = file.read_text(encoding="utf-8")
    # a compiled file is told from its source by its time to the second and its size
    Path(importlib.util.cache_from_source(str(file))).unlink(missing_ok=True)
    file.write_text(source(tree, mutant), encoding="utf-8")
    try:
        yield
    finally:
        file.write_text(before, encoding="utf-8")


def _run(tree: Path, names: list[str], seconds: float, how: str = "") -> tuple[int | None, list[str]]:
    """The exit code of these tests in the tree as it stands, None when they hang, and which failed."""
    chosen_tests, failed = tree / "chosen-tests.txt", tree / "failed-tests.txt"
    failed.unlink(missing_ok=True)
    chosen_tests.write_text("\n".join(names), encoding="utf-8")
    command = [sys.executable, "-m", "tests.benchmarks._trial", str(chosen_tests), str(failed), how]
    process = subprocess.Popen(
        command, cwd=tree, env={**environment(tree), "PYTHONDONTWRITEBYTECODE": "1"}, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True, preexec_fn=_humble,
    )  # fmt: skip
    try:
        code = process.wait(seconds)
    except subprocess.TimeoutExpired:
        return None, []
    finally:
        _end(process)
    return code, failed.read_text(encoding="utf-8").splitlines() if failed.exists() else []


def _humble() -> None:
    os.nice(19)
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a trial and whatever it started."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, 9)
    process.wait()


def _kept() -> Path:
    kept = Path(os.environ.get("SOLDERSIDE_REACH", ROOT / ".pytest_cache" / "reach.json"))
    kept.parent.mkdir(exist_ok=True)
    return kept


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """The share of mutants that some test kills, of all that are not named as equivalent."""
    asked = chosen(ROOT, seed, 40 if quick else 300)
    outcomes = tried(ROOT, asked, reach(ROOT, _kept(), only_changed=quick))
    yield _share("bench", outcomes)
    for room in ROOMS:
        if some := [each for each in outcomes if each.mutant.path.startswith(f"bench/{room}/")]:
            yield _share(f"bench/{room}", some)


def _share(what: str, outcomes: list[Outcome]) -> Figure:
    fates = Counter(each.fate for each in outcomes)
    counted = len(outcomes) - fates["equivalent"]
    share = (fates["killed"] + fates["timed out"]) / counted if counted else 1.0
    detail = ", ".join(f"{many} {fate}" for fate, many in fates.most_common())
    what = f"share of mutants killed in {what}"
    return Figure(what=what, value=share, goal=">= 0.9", met=share >= 0.9, detail=detail)


def _show(outcome: Outcome) -> None:
    if outcome.fate not in ("killed", "equivalent"):
        where, told = outcome.mutant.line, outcome.mutant.told
        print(f"{outcome.fate} ({outcome.tests} tests) line {where}: {told}", flush=True)


def main() -> None:
    """Try mutants and print each that survives."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutants")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--only", default="", metavar="TEXT", help="modules with this in their path")
    parser.add_argument("--without", nargs="*", default=[], help="no modules with one of these in their path")
    parser.add_argument("--told", nargs="*", default=[], help="only mutants told with one of these")
    asked = parser.parse_args()
    some = chosen(ROOT, asked.seed, asked.count, asked.only, asked.without)
    if asked.told:
        some = [each for each in some if any(text in each.told for text in asked.told)]
    outcomes = tried(ROOT, some, reach(ROOT, _kept(), only_changed=True), _show)
    print(_share("all", outcomes).value, _share("all", outcomes).detail)


if __name__ == "__main__":
    main()
