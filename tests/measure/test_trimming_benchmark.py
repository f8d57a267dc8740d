"""A small run of the measurement of guided trimming: the same oscillators and builders, fewer of them."""

from __future__ import annotations

from functools import cache

from tests.benchmarks.trimming import ILLS, Outcome, one
from tests.support.told import held


@cache
def _case(number: int) -> Outcome:
    return one(1, number)


def test_guided_trimming_finishes_the_healthy_names_the_ill_and_is_never_far_wrong() -> None:
    found = [_case(number) for number in range(18)]
    healthy = [each for each in found if not each.ill]
    ill = [each for each in found if each.ill]
    assert {each.ill for each in ill} == set(ILLS)
    assert not [each for each in found if each.done and each.true_error > 3.0]
    assert sum(each.done for each in healthy) >= 0.85 * len(healthy)
    assert sum(each.named for each in ill) >= 0.85 * len(ill)
    assert sum(bool(each.ever) for each in healthy) <= 1


def _advised(which: str) -> str:
    number, _, at = which.partition(".")
    case = _case(int(number))
    said = case.advice[int(at) - 1]
    turns = " ".join(f"{turning.turns:.4f}" for turning in said.turnings)
    figures = f"{said.worst:.3f} {said.limit:.3f} {said.scatter:.3f} {said.readings} {said.converging} {turns}"
    return f"{case.ill or 'healthy'}: {'; '.join(said.words)} | {figures}"


def test_what_is_advised_after_each_pass_is_what_was_read_and_found_good() -> None:
    """Both laws of pitch, every ill, watched and blind: those whose outcomes the measurement above judges."""
    passes = [f"{number}.{at}" for number in range(18) for at in range(1, _case(number).passes + 1)]
    held(__file__, "trimming", _advised, passes)
