"""Wishes that contradict each other: the fewest of them, in words."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.decide.conflict import Rule, count_rule, refuse_conflict, smallest_conflict
from rimwise.errors import InputError


def met(rules: list[Rule], discs: int) -> bool:
    """Whether some set of one disc or more meets all rules, by looking at every set."""
    for bits in range(1, 2**discs):
        x = np.array([(bits >> d) & 1 for d in range(discs)], dtype=float)
        if all(np.dot(rule.weights, x) <= rule.most + 1e-9 for rule in rules):
            return True
    return False


@st.composite
def wished(draw: st.DrawFn) -> tuple[int, list[Rule]]:
    discs = draw(st.integers(1, 4))
    wish = st.builds(
        lambda weights, most, number: Rule(f"wish {number}", tuple(map(float, weights)), most),
        st.lists(st.integers(-2, 2), min_size=discs, max_size=discs),
        st.integers(-3, 3).map(float),
        st.integers(0, 4),
    )
    return discs, draw(st.lists(wish, max_size=6))


@settings(max_examples=150, deadline=None)
@given(wished())
def test_the_fewest_that_cannot_be_met_together(case: tuple[int, list[Rule]]) -> None:
    """Oracle: every subset of the wishes against every set of discs."""
    discs, rules = case
    wishes = list(dict.fromkeys(rule.words for rule in rules))

    def contradicts(some: tuple[str, ...]) -> bool:
        return not met([rule for rule in rules if rule.words in some], discs)

    found = smallest_conflict(rules, discs)
    fewest = next(
        (n for n in range(len(wishes) + 1) if any(map(contradicts, combinations(wishes, n)))),
        None,
    )
    if fewest is None:
        assert found == ()
    else:
        assert len(found) == fewest
        assert contradicts(found)


def test_twenty_one_that_have_to_go_and_twenty_places() -> None:
    rules = count_rule("at most 20", 40, range(40), most=20)
    for disc in range(21):
        rules += count_rule(f"disc {disc} goes", 40, (disc,), least=1)
    rules += count_rule("disc 30 stays", 40, (30,), most=0)
    found = smallest_conflict(rules, 40)
    assert set(found) == {"at most 20", *(f"disc {disc} goes" for disc in range(21))}


def test_what_is_missing_is_said() -> None:
    words = "you ask for a floating disc near water"
    none = count_rule(words, 3, (), least=1)
    rule = (Rule(none[0].words, none[0].weights, none[0].most, "none you own floats"),)
    with pytest.raises(InputError, match=f"^{words}, but none you own floats; loosen it.$"):
        refuse_conflict((*count_rule("at most 2", 3, range(3), most=2), *rule), 3)


def test_rules_of_one_wish_are_one_wish() -> None:
    exactly = count_rule("one of the drivers", 3, (0, 1), least=1, most=1)
    both = count_rule("a goes", 3, (0,), least=1) + count_rule("b goes", 3, (1,), least=1)
    assert smallest_conflict(exactly, 3) == ()
    with pytest.raises(InputError, match="one of the drivers, a goes and b goes: these cannot"):
        refuse_conflict(exactly + both, 3)
