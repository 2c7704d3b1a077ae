"""Sliders that count inches, feet of rise and miles: what they show goes back to what the file holds."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.stand.dial import MM_AN_INCH, Dial, dial_of

CHEAP = settings(phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None)
KINDS = {
    "cover": ("mm", 5.0, False),
    "bedding": ("mm", 0.1, False),
    "lap": ("mm", 1.0, False),
    "rain": ("mm/h", 5.0, False),
    "gust": ("m/s", 0.5, False),
    "pitch": ("degrees", 0.5, True),
}


def dial(kind: str) -> Dial:
    unit, step, pitch = KINDS[kind]
    found = dial_of(unit, step, pitch=pitch)
    assert found is not None
    return found


def test_the_factors() -> None:
    """Exact: 25.4 mm an inch, 0.44704 m/s a mile an hour (NIST SP 811, memory); 12 in 12 is 45 degrees."""
    assert dial("cover").shown(254.0) == 10.0
    assert dial("gust").counted(100.0) == pytest.approx(44.704)
    assert dial("pitch").shown(45.0) == 12.0
    assert dial("pitch").counted(6.0) == pytest.approx(26.565051, abs=1e-6)
    assert dial_of("degrees", 1.0, pitch=False) is None


@CHEAP
@given(st.sampled_from(sorted(KINDS)), st.floats(1.0, 70.0))
def test_what_is_shown_goes_back_within_half_of_the_finest(kind: str, number: float) -> None:
    """Derived: rounding to the finest moves a figure by half of it at most."""
    one = dial(kind)
    shown = one.shown(number)
    assert abs(shown - one.to(number)) <= one.finest / 2 + 1e-6
    assert one.shown(one.counted(shown)) == pytest.approx(shown, abs=1e-6)


@CHEAP
@given(st.sampled_from(sorted(KINDS)), st.floats(1.0, 30.0), st.floats(2.0, 40.0))
def test_ends_are_whole_steps_within_the_files_own(kind: str, low: float, more: float) -> None:
    """Contract: a slider's ends never lie outside what the file allows, but for the nearness of a step."""
    one, high = dial(kind), low + more
    first, last = one.within(low, high)
    slack = 1e-5 * one.step
    assert one.to(low) - slack <= first
    assert last <= one.to(high) + slack
    for end in (first, last):
        assert end / one.step == pytest.approx(round(end / one.step), abs=1e-4)


def test_a_small_measure_goes_by_thousandths() -> None:
    """Exact: 1 mm is 0.039 in."""
    assert dial("bedding").shown(1.0) == 0.039
    assert dial("bedding").counted(0.039) == pytest.approx(0.039 * MM_AN_INCH)
