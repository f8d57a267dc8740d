"""A small run of the measurement of guided trimming: the same oscillators and builders, fewer of them."""

from __future__ import annotations

from functools import cache

import pytest

from tests.benchmarks.trimming import ILLS, Outcome, one
from tests.support.told import held

SESSIONS = {
    "trimming": ((1, 0), (1, 1), (1, 2), (1, 3), (1, 5)),
    "trouble": ((1, 6), (1, 7), (1, 11), (3, 27), (6, 19)),
    "hardly": ((1, 33), (2, 3), (3, 3), (3, 21)),
}
"""Seed and case: healthy ones and every ill, both laws of pitch, watched and blind, soon and hardly found."""
_session = cache(one)


def test_guided_trimming_finishes_the_healthy_names_the_ill_and_is_never_far_wrong() -> None:
    found = [one(1, number) for number in range(12)]
    healthy = [each for each in found if not each.ill]
    ill = [each for each in found if each.ill]
    assert {each.ill for each in ill} == set(ILLS)
    assert not [each for each in found if each.done and each.true_error > 3.0]
    assert sum(each.done for each in healthy) >= 0.85 * len(healthy)
    assert sum(each.named for each in ill) >= 0.85 * len(ill)
    assert sum(bool(each.ever) for each in healthy) <= 1


def _advised(which: str) -> str:
    seed, case, at = map(int, which.split("."))
    session: Outcome = _session(seed, case, 8)
    said = session.advice[at - 1]
    turns = " ".join(f"{turning.turns:.4f}" for turning in said.turnings)
    figures = f"{said.worst:.3f} {said.limit:.3f} {said.scatter:.3f} {said.readings} {said.converging} {turns}"
    return f"{session.ill or 'healthy'}: {'; '.join(said.words)} | {figures}"


@pytest.mark.parametrize("name", SESSIONS)
def test_what_is_advised_after_each_pass_is_what_was_read_and_found_good(name: str) -> None:
    passes = {session: _session(*session, 8).passes for session in SESSIONS[name]}
    asked = [f"{seed}.{case}.{at}" for (seed, case), many in passes.items() for at in range(1, many + 1)]
    held(__file__, name, _advised, asked)
