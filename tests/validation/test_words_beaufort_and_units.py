"""Beaufort's scale and unit conversions against what others published."""

from __future__ import annotations

import pytest

from rimwise.records import words

# WMO-No. 306, Manual on Codes, code table 1100: the names of the forces (from memory).
NAMES = (
    "calm", "light air", "light breeze", "gentle breeze", "moderate breeze", "fresh breeze",
    "strong breeze", "near gale", "gale", "strong gale", "storm", "violent storm", "hurricane",
)  # fmt: skip


@pytest.mark.parametrize("force", range(12))
def test_beaufort_limits_follow_the_international_formula(force: int) -> None:
    """The limits lie where v = 0.836 B^(3/2) m/s puts half a force (International
    Meteorological Committee 1946, quoted in WMO Marine Science Affairs Report 3, 1970)."""
    limit_m_s = 0.836 * (force + 0.5) ** 1.5
    tenth = 0.1
    assert words.beaufort(limit_m_s - tenth) == (force, NAMES[force])
    assert words.beaufort(limit_m_s + tenth) == (force + 1, NAMES[force + 1])


def test_units_against_nist() -> None:
    """NIST SP 811 (2008), appendix B: foot 3.048 E-01 m; mile per hour 4.4704 E-01 m/s;
    fixed points of water on the Fahrenheit scale."""
    assert words.in_units(1.0, "ft") == pytest.approx(1 / 3.048e-01, rel=1e-12)
    assert pytest.approx(1 / 4.4704e-01, rel=1e-12) == words.MPH_PER_M_S
    assert words.temperature(0.0, "ft") == "32 °F"
    assert words.temperature(100.0, "ft") == "212 °F"
    assert words.temperature(-40.0, "ft") == "−40 °F"
    assert words.temperature(-40.0) == "−40 °C"
