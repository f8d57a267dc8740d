"""A small run of the measurement of guided trimming: the same oscillators and builders, fewer of them."""

from __future__ import annotations

from tests.benchmarks.trimming import ILLS, one


def test_guided_trimming_finishes_the_healthy_names_the_ill_and_is_never_far_wrong() -> None:
    found = [one(1, case) for case in range(40)]
    healthy = [each for each in found if not each.ill]
    ill = [each for each in found if each.ill]
    assert {each.ill for each in ill} == set(ILLS)
    assert not [each for each in found if each.done and each.true_error > 3.0]
    assert sum(each.done for each in healthy) >= 0.85 * len(healthy)
    assert sum(each.named for each in ill) >= 0.85 * len(ill)
    assert sum(bool(each.ever) for each in healthy) <= 1
