"""What somebody types on a roof: pitches, lengths, choices, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import atan, degrees

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from scenes.measuring import reading
from scenes.units import IMPERIAL, METRIC, Units

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=150
)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("590", "590"), ("590 mm", "590"), ("59 cm", "590"), ("0,59 m", "590"), (".59m", "590"),
        ("23 1/4 in", "590.55"), ('23.25"', "590.55"), ("23-1/4 inches", "590.55"), ("23 1/4 IN", "590.55"),
        ("1 ft 11 1/4 in", "590.55"), ("1' 11 1/4\"", "590.55"), ("2 ft", "609.6"), ("1' 6", "457.2"),
        ("300 for 4", "75"), ("12 in for 4", "76.2"), ("3/4 in", "19.05"), ("  590  ", "590"),
    ],
)  # fmt: skip
def test_lengths(text: str, millimetres: str) -> None:
    """Derived: the inch is 25.4 mm. Exact, not nearly so."""
    assert reading.length(text, METRIC) * 1000 == Fraction(millimetres)


def test_a_bare_length_is_in_the_units() -> None:
    """Contract."""
    assert reading.length("23 1/4", IMPERIAL) * 1000 == Fraction("590.55")


@pytest.mark.parametrize(
    ("text", "angle"),
    [
        ("35", 35.0), ("35.5 degrees", 35.5), ("35,5 deg", 35.5), ("35\u00b0", 35.0),
        ("7 in 12", degrees(atan(7 / 12))), ("7/12", degrees(atan(7 / 12))),
        ("8 1/2 in 12", degrees(atan(8.5 / 12))),
        ("7:12", degrees(atan(7 / 12))), ("rise 300 run 420", degrees(atan(300 / 420))),
        ("rise 30 cm, run 42 cm", degrees(atan(300 / 420))), ("rise 12 in run 12 in", 45.0),
    ],
)  # fmt: skip
def test_pitches(text: str, angle: float) -> None:
    """Derived: the angle whose tangent is rise over run."""
    assert reading.pitch(text, METRIC) == pytest.approx(angle, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    ["", "x", "5 6", "-5", "5 mm 6 mm", "5 kg", "1,234", "1/0 in", "5 for 0", "nan", "1e3", "5" * 61,
     "\u0665"],
)  # fmt: skip
def test_no_lengths(text: str) -> None:
    """Derived: one line each. A comma before three figures could be either kind of comma."""
    with pytest.raises(SceneError) as error:
        reading.length(text, METRIC)
    assert len(str(error.value).splitlines()) == 1


@pytest.mark.parametrize("text", ["", "steep", "7 in 0", "rise 5", "rise x run 5", "35 mm", "7/0"])
def test_no_pitches(text: str) -> None:
    """Derived."""
    with pytest.raises(SceneError):
        reading.pitch(text, METRIC)


def test_choices() -> None:
    """Contract: by number, name, or enough of its beginning; what is near is guessed, not taken."""
    names = ("plain tiles", "profiled", "slates")
    assert [reading.choice(said, names) for said in ("1", "Plain  Tiles", "sl", "pr")] == [
        "plain tiles", "plain tiles", "slates", "profiled",
    ]  # fmt: skip
    with pytest.raises(SceneError, match="Did you mean slates"):
        reading.choice("slatse", names)
    for said in ("p", "0", "4", ""):
        with pytest.raises(SceneError):
            reading.choice(said, names)


@FEW
@given(st.text(max_size=70))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Property: no other error, whatever is typed, and no message of two lines."""
    for read in (reading.length, reading.pitch):
        assert _read(read, text) >= -1


def _read(read: Callable[[str, Units], Fraction | float], text: str) -> float:
    """What is read, -1 where it is refused in one line, -2 in more."""
    try:
        return float(read(text, METRIC))
    except SceneError as error:
        return -float(len(str(error).splitlines()))
