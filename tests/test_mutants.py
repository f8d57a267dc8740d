"""The mutants that measure the tests: each is one change, told by what it changes, and found again by that."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

import pytest

from tests.benchmarks._mutator import mutants, source
from tests.benchmarks.mutants import ROOT, chosen, equivalents

SAMPLE = '''
"""A module."""
from __future__ import annotations
LIMIT: int = 3

def judge(value: int, low: int, high: int = 9) -> str:
    """Prose is left alone: 7 < 8."""
    if low <= value and value < high:
        return "in"
    if not value:
        raise ValueError(f"no value, {value + 1:>5}")
    out = []
    out.append(max(value, low) - pow(value, high))
    return "out" if "x" in str(out) else ""
'''


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / "sample.py").write_text(SAMPLE, encoding="utf-8")
    return tmp_path


def test_every_sort_of_change_is_made_once_at_its_place(root: Path) -> None:
    found = {mutant.told.partition(" ")[2]: mutant for mutant in mutants(root, "bench/sample.py")}
    assert "<module>: 3 -> 4" in found
    assert "judge: low <= value -> low < value" in found
    assert "judge: low <= value and value < high -> low <= value or value < high" in found
    assert "judge: not value -> value" in found
    assert "judge: out.append(max(value, low) - pow(value, high)) -> pass" in found
    assert "judge: pow(value, high) -> pow(high, value)" in found
    assert "judge: max(value, low) - pow(value, high) -> max(value, low) + pow(value, high)" in found
    assert "judge: 'x' -> ''" in found
    assert {mutant.sort for mutant in found.values()} == {
        "constant", "comparison", "and/or", "negation", "removed", "swapped", "arithmetic", "emptied",
    }  # fmt: skip


def test_prose_hints_and_messages_are_left_alone(root: Path) -> None:
    changes = [mutant.change for mutant in mutants(root, "bench/sample.py")]
    assert not any(word in change for change in changes for word in ("Prose", "7 < 8", "max(low", "value - 1"))


def test_each_mutant_is_a_program_that_differs_by_its_change_alone(root: Path) -> None:
    before = ast.unparse(ast.parse(SAMPLE)).splitlines()
    for mutant in mutants(root, "bench/sample.py"):
        after = source(root, mutant).splitlines()
        compile("\n".join(after), "sample", "exec")
        assert len(after) == len(before)
        assert sum(old != new for old, new in zip(before, after, strict=True)) == 1, mutant.told


def test_a_seed_chooses_the_same_mutants_again_and_all_of_them_when_so_many_are_asked(root: Path) -> None:
    for room in ("log", "kit"):
        (root / "bench" / room).mkdir()
        (root / "bench" / room / "sample.py").write_text(SAMPLE, encoding="utf-8")
    some = chosen(root, 7, 9)
    assert some == chosen(root, 7, 9)
    assert some != chosen(root, 8, 9)
    everything = Counter(mutant.told for mutant in chosen(root, 7, 1000))
    assert set(everything.values()) == {1}
    assert len(everything) == 2 * len(mutants(root, "bench/sample.py"))
    assert all("kit" in mutant.path for mutant in chosen(root, 7, 9, without=["log"]))


def test_every_mutant_named_as_equivalent_is_still_made_and_has_its_reason() -> None:
    named = equivalents()
    assert named
    paths = {told.partition(" ")[0] for told in named}
    assert named.keys() <= {mutant.told for path in paths for mutant in mutants(ROOT, path)}
    assert all(named.values())
