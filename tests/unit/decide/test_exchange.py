"""One pass over a table against each single add, drop and swap valued by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.decide.criteria import Score, Strokes, make_table
from rimwise.decide.exchange import improve
from rimwise.decide.rules import make_rules


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 12), st.integers(2, 7), st.booleans())
def test_all_exchanges_are_valued_in_one_pass(
    seed: int, rows: int, discs: int, score: bool
) -> None:
    rng = np.random.default_rng(seed)
    cost = np.round(rng.uniform(0.0, 2.0, (rows, discs)), 1)  # rounded, so that ties happen
    criterion = Strokes(cost, rng.uniform(0.1, 1.0, rows), rng.uniform(-0.1, 0.1, discs))
    rules = make_rules(discs, discs)
    table = make_table(Score(cost[0]) if score else criterion, rules)
    held = tuple(sorted(rng.choice(discs, rng.integers(1, discs), replace=False).tolist()))
    added, dropped, swapped = table.exchanged(held)
    for disc in set(range(discs)) - set(held):
        assert added[disc] == pytest.approx(table.value((*held, disc)))
    for place, gone in enumerate(held):
        base = tuple(other for other in held if other != gone)
        if base:
            assert dropped[place] == pytest.approx(table.value(base))
        for disc in set(range(discs)) - set(held):
            assert swapped[place, disc] == pytest.approx(table.value((*base, disc)))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(3, 6))
def test_what_is_improved_obeys_rules_and_caps_and_no_single_step_is_better(
    seed: int, discs: int
) -> None:
    rng = np.random.default_rng(seed)
    rules = make_rules(discs, 3, must=(0,), linear=(rng.uniform(0, 1, discs), 1.5))
    table = make_table(Strokes(rng.random((8, discs))), rules)
    cap = make_table(Strokes(rng.random((8, discs))), rules)
    caps = ((cap, cap.value((0,))),)
    if not rules.allow((0,)):
        return
    found = improve(table, rules, caps, (0,))
    value = table.value(found)
    assert rules.allow(found)
    assert cap.value(found) <= cap.value((0,))
    for out in (None, *found):
        for into in (None, *range(discs)):
            near = tuple(sorted({*found, *([] if into is None else [into])} - {out}))
            if near and rules.allow(near) and cap.value(near) <= cap.value((0,)):
                assert table.value(near) >= value - 1e-9
