"""Whatever happens to a sound file or sentence, it is read or refused in one of our sentences."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzzing import EDITS, PARSERS, TOKENS, accepted, changed

edits = st.lists(
    st.tuples(
        st.sampled_from(EDITS), st.integers(0, 65_535), st.integers(0, 24), st.sampled_from(TOKENS)
    ),
    min_size=1,
    max_size=4,
)


@pytest.mark.parametrize("name", PARSERS)
def test_each_sample_is_sound(name):
    """Else its changes would try the first check only."""
    parser = PARSERS[name]
    for sample in parser.samples:
        assert accepted(parser, sample)
        assert not getattr(parser.read(sample), "problems", ())


@pytest.mark.parametrize("name", PARSERS)
@settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    print_blob=True,
)
@given(number=st.integers(0, 9), edited=edits)
def test_a_changed_sample_is_read_or_refused(name, number, edited):
    parser = PARSERS[name]
    accepted(parser, changed(parser.samples[number % len(parser.samples)], edited))


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("throw", b"fh 80 fT 3 right"),
        ("throw", "80 metre\u017f".encode()),
        ("cart", b'{"name": "x", "mass_kg": ' + b"9" * 400 + b"}"),
        *(
            (one, two)
            for one in ("course table", "hole facts", "strips")
            for two in (b",", b";;\n")
        ),
        ("thrower", b'{"name": ' + b"1" * 5000 + b"}"),
    ],
)
def test_what_was_found_once_stays_mended(name, data):
    accepted(PARSERS[name], data)


def test_a_unit_in_capitals_is_the_unit():
    throw = PARSERS["throw"].read
    assert throw(b"80 FT 3 Ft left") == throw(b"80 ft 3 ft left")
