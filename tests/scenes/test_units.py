"""Units: exact factors, figures that read back as what they were, sentences said in inches."""

from __future__ import annotations

from fractions import Fraction
from math import atan, degrees, radians

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.measuring import reading
from scenes.units import (
    FLUID_OUNCE,
    FOOT,
    GALLON,
    IMPERIAL,
    INCH,
    METRIC,
    MILE_AN_HOUR,
    NAMES,
    POUND,
    units_of,
)
from scenes.units_text import in_units, spoken, spoken_in

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=60
)


def test_the_factors() -> None:
    """NIST SP 811, appendix B (memory): factors printed in bold there are exact."""
    assert Fraction("0.0254") == INCH
    assert Fraction("0.3048") == FOOT
    assert Fraction("0.44704") == MILE_AN_HOUR
    assert Fraction("0.45359237") == POUND
    assert Fraction("3.785411784e-3") == GALLON
    assert float(FLUID_OUNCE) == pytest.approx(2.957353e-5, rel=1e-6)


@pytest.mark.parametrize(
    ("said", "metric", "imperial"),
    [
        ("length", (0.59055, "590.55 mm"), (0.59055, "23 1/4 in")),
        ("length", (0.15, "150 mm"), (0.0015875, "1/16 in")),
        ("length", (0.0, "0 mm"), (-0.0127, "-1/2 in")),
        ("pitch", (radians(40), "40 degrees"), (atan(8.5 / 12), "8 1/2 in 12")),
        ("rain", (75 / 3.6e6, "75 mm/h"), (0.0254 / 3600, "1 in/h")),
        ("gust", (23.7, "23.7 m/s"), (0.44704 * 53, "53.0 mph")),
        ("flow", (1.234e-3 / 60, "1,230 ml/min"), (float(FLUID_OUNCE) / 60, "1.00 fl oz/min")),
        ("mass", (3.21, "3.21 kg"), (0.45359237, "1.00 lb")),
        ("area", (0.4512, "0.451 m2"), (0.3048**2, "1.00 sq ft")),
    ],
)
def test_words(said: str, metric: tuple[float, str], imperial: tuple[float, str]) -> None:
    """Derived by hand from the factors."""
    assert getattr(METRIC, said)(metric[0]) == metric[1]
    assert getattr(IMPERIAL, said)(imperial[0]) == imperial[1]


def test_a_length_with_decimals() -> None:
    """Derived: 100 mm is 3.937 in."""
    assert IMPERIAL.length(0.1, decimals=3) == "3.937 in"
    assert METRIC.length(0.1, decimals=1) == "100.0 mm"


@FEW
@given(sixteenths=st.integers(0, 16 * 250))
def test_inches_read_back(sixteenths: int) -> None:
    """Derived: whole sixteenths are said exactly, and read back as exactly as that."""
    length = sixteenths * INCH / 16
    assert reading.length(IMPERIAL.length(float(length)), METRIC) == length


@FEW
@given(hundredths=st.integers(0, 600_000))
def test_millimetres_read_back(hundredths: int) -> None:
    """Derived: the same for hundredths of a millimetre."""
    length = Fraction(hundredths, 100_000)
    assert reading.length(METRIC.length(float(length)), IMPERIAL) == length


@FEW
@given(angle=st.floats(radians(10), radians(65)), name=st.sampled_from(NAMES))
def test_a_pitch_reads_back(angle: float, name: str) -> None:
    """Derived: to half of what is rounded, a tenth of a degree or an eighth of an inch in 12."""
    units = IMPERIAL if name == "imperial" else METRIC
    back = reading.pitch(units.pitch(angle), units)
    assert abs(back - degrees(angle)) <= (degrees(1 / 192) if name == "imperial" else 0.0501)


def test_a_metric_sentence_stays() -> None:
    """Contract: letter by letter."""
    text = "It runs about 470 mm (14, 0, 147), 3.2 m/s (12 km/h), 1,230 ml/min."
    assert in_units(text, METRIC) == text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("runs about 470 mm down", "runs about 18 1/2 in down"),
        ("must be 50 to 600 mm. Got gauge = 700 mm", "must be 1 15/16 to 23 5/8 in. Got gauge = 27 9/16 in"),
        ("lies 1 mm above", "lies 0.04 in above"),
        ("it gets 330 mm in from the edge", "it gets 13 inches in from the edge"),
        ("pushes it 6 mm in from the edge", "pushes it 1/4 inch in from the edge"),
        ("pushes it 25.4 mm in, of 150 mm", "pushes it 1 inch in, of 5 7/8 in"),
        ("pushes it 27 mm in, of 150 mm", "pushes it 1 1/16 inches in, of 5 7/8 in"),
        ("gusts of 23.7 m/s (85 km/h) from", "gusts of 53.0 mph from"),
        ("75 mm/h of rain", "2.95 in/h of rain"),
        ("about 230 ml a minute", "about 7.8 fl oz a minute"),
        (
            "cover 90 -> 195 mm: stands 24.4 m/s instead of 12.9, and the lap is 195 mm long instead of 90, "
            "of 150 needed.",
            "cover 3 9/16 -> 7 11/16 in: stands 54.6 mph instead of 28.9, and the lap is 7 11/16 in long "
            "instead of 3 9/16, of 5 7/8 needed.",
        ),
        (
            "is 195 mm long, of 170 then needed, instead of 90 to 110 of 150; so",
            "is 7 11/16 in long, of 6 11/16 then needed, instead of 3 9/16 to 4 5/16 of 5 7/8; so",
        ),
        ("stands 30 m/s instead of over 75.0", "stands 67.1 mph instead of over 167.8"),
        ("90 -> 120 mm (150 is usual)", "3 9/16 -> 4 3/4 in (5 7/8 is usual)"),
        ("30 mm instead of 12.5 mm", "1 3/16 in instead of 1/2 in"),
        ("is 120 instead of 150 mm: the verge", "is 4 3/4 instead of 5 7/8 in: the verge"),
        ("14,900 ml/min", "504 fl oz/min"),
        ("EN 12208 step 50 Pa, 45 degrees, 30 mm2", "EN 12208 step 50 Pa, 45 degrees, 30 mm2"),
        ("a 1.5 m piece of 11.3 kg/m2", "a 4.9 ft piece of 2.31 lb/sq ft"),
    ],
)  # fmt: skip
def test_a_sentence_in_inches(text: str, said: str) -> None:
    """Derived by hand from the factors; angles and steps of a standard stay."""
    assert in_units(text, IMPERIAL) == said


def test_units_are_spoken_for_a_while() -> None:
    """Derived: after it, and after an error in it, millimetres again."""
    with spoken_in(units_of("imperial")):
        assert spoken() == IMPERIAL
    assert spoken() == METRIC
    with pytest.raises(ZeroDivisionError), spoken_in(IMPERIAL):
        _ = 1 / 0
    assert spoken() == METRIC
