"""How fast beliefs are learnt: a large owner from nothing, and one more throw."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rimwise.beliefs.learn import learn
from rimwise.beliefs.owners import imagine_owner
from rimwise.beliefs.posterior import Posterior

pytestmark = pytest.mark.bench


@pytest.fixture(scope="module")
def beliefs() -> Posterior:
    return learn(OWNER.fleet, OWNER.thrower, OWNER.assume, FEWER)


OWNER = imagine_owner(40, discs=40, throws=500, comparisons=100)
FEWER = replace(OWNER.evidence, throws=OWNER.evidence.throws[:-1])


def test_forty_discs_five_hundred_throws_a_hundred_comparisons(
    benchmark: object, beliefs: Posterior
) -> None:
    """Wanted: within a second, compiled, on two cores."""
    found = benchmark(  # type: ignore[operator]
        learn, OWNER.fleet, OWNER.thrower, OWNER.assume, OWNER.evidence
    )
    assert found.left_sd < 0.5


def test_one_more_throw(benchmark: object, beliefs: Posterior) -> None:
    """Wanted: within 0.3 s."""
    found = benchmark(  # type: ignore[operator]
        learn, OWNER.fleet, OWNER.thrower, OWNER.assume, OWNER.evidence, start=beliefs
    )
    assert found.throws == 500
