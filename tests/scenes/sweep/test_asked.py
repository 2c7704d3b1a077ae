"""What is varied: the names of keys, their values, what is refused, and the scene of a case."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from scenes.scene import load, names
from scenes.stand.knobs import SLIDERS
from scenes.sweep.key import key_named, known_keys
from scenes.sweep.varied import varied_of
from scenes.template import full_text
from tests.scenes.sweep.small import small


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("pitch", "roof.pitch_deg", "degrees"),
        ("roof.pitch_deg", "roof.pitch_deg", "degrees"),
        ("sides.cover", "sides.cover_mm", "mm"),
        ("side cover", "sides.cover_mm", "mm"),
        ("rain", "weather.rain_mm_h", "mm/h"),
        ("gust", "weather.gust_m_s", "m/s"),
        ("from", "weather.from_deg", "degrees"),
        ("weather", "weather.case", ""),
        ("joint", "joint", ""),
        ("facets", "stack.facets", ""),
        ("cover too narrow@left", "fault.cover too narrow@left", "mm"),
    ],
)
def test_a_key_goes_by_its_names(text: str, name: str, unit: str) -> None:
    """Contract: the file's key, the stand's words, or what options of `run` say."""
    assert (key_named(text).name, key_named(text).unit) == (name, unit)


def test_every_single_value_of_a_scene_file_can_be_varied(tmp_path: Path) -> None:
    """Derived: what `stackrain new` writes out, but for texts, lists and parts."""
    known = {key.place for key in known_keys()}
    for scene in names():
        data = tomllib.loads(full_text(load(scene), tmp_path))
        for table, held in data.items():
            rows = held.items() if isinstance(held, dict) else [("", held)]
            for key, value in rows:
                place = (table, key) if key else (table,)
                single = not isinstance(value, list) and table not in ("title", "note")
                assert (place in known) == single, place
    assert {row.place for row in SLIDERS} <= known


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("pitch=20:45:5", (20, 25, 30, 35, 40, 45)),
        ("bedding_gap=0.5:1:0.1", (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)),
        ("pitch=20:24.9:5", (20,)),
        ("rain=0:1:0.3333333333", (0, 0.3333333333, 0.6666666666, 0.9999999999)),
        ("covering=slates, plain tiles", ("slates", "plain tiles")),
        ("gutter.lap=auto,90", ("auto", 90)),
        ("facets=8:12:2", (8, 10, 12)),
        ("pointed=true,false", (True, False)),
        ("fault=none,cover too narrow@left=60", ("none", "cover too narrow@left=60")),
    ],
)
def test_the_values(text: str, values: tuple[object, ...]) -> None:
    """Contract: TO is reached, within rounding; derived: decimals are what they read."""
    assert varied_of(text).values == values


@settings(phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=40)
@given(
    low=st.decimals(0, 100, places=3),
    step=st.decimals("0.001", 10, places=3),
    count=st.integers(1, 200),
)
def test_a_range_has_equal_steps_from_its_first_value_to_its_last(
    low: Decimal, step: Decimal, count: int
) -> None:
    """Property: of `count` steps, and of as many and a bit; each value is what its decimals read."""
    high = low + count * step
    for end in (high, high + step / 2):
        values = varied_of(f"rain={low}:{end}:{step}").values
        assert len(values) == count + 1
        assert (values[0], values[-1]) == (float(low), float(high))
        assert values[count // 2] == float(low + count // 2 * step)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ptch=1:2:1", "no key of a scene file. Did you mean roof.pitch_deg"),
        ("cover=1:2:1", "which one? Say apron.cover_mm or sides.cover_mm"),
        ("title=a,b", "no key of a scene file"),
        ("pitch", "must be KEY=FROM:TO:STEP"),
        ("pitch=", "must be KEY=FROM:TO:STEP"),
        ("pitch=30:20:1", "FROM must be below TO"),
        ("pitch=20:30:0", "STEP must be above 0"),
        ("pitch=20:30:1:1", "a range is FROM:TO:STEP"),
        ("pitch=20:inf:1", "a range is of numbers"),
        ("pitch=20:30:1e-9", "at most 1,000 values"),
        ("pitch=20,20", "stands there twice"),
        ("pitch=20,x", "must be a number"),
        ("covering=1:2:1", "takes names, so no range"),
        ("covering=tin", 'must be "plain tiles" or'),
        ("facets=8.5", "must be a whole number"),
        ("pointed=1", "must be true or false"),
        ("return tucked under=1:2:1", "has no amount that could be varied"),
        ("cover too narrow@up=1:2:1", "WHERE must be front, left or right"),
    ],
)
def test_what_is_refused_before_a_scene_is_read(text: str, words: str) -> None:
    """Contract: one clear line."""
    with pytest.raises(SceneError, match=re.escape(words)) as refused:
        varied_of(text)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("pitch=20:30:5", "roof.pitch_deg=1:2:1"), "stands there twice"),
        (("pitch=20:30",), "a range needs a STEP"),
        (("gust=0:200:50",), "must be 75 or less. Got 100.0"),
        (("pitch=70:90:5",), "none of its values can be built"),
        (("fault=none,no such thing",), "no such fault"),
        (("cover too narrow@left=0:9:1",), "10 to"),
        (("pitch=20:60:0.1", "side cover=40:150:1"), "at most 20,000 cases"),
    ],
)
def test_what_is_refused_with_the_scene(asked: tuple[str, ...], words: str) -> None:
    """Contract: values out of the file's rules, and parameters that can't be."""
    with pytest.raises(SceneError, match=re.escape(words)):
        small(*asked)


def test_the_scene_of_a_case_is_that_of_a_file_which_says_so() -> None:
    """Derived: what is varied stands in the file; all else follows as if it had been written there."""
    sweep, cases = small("pitch=20:30:10", "fault=none,cover too narrow@left=60")
    scenes = [sweep.scene(values) for values in cases]
    assert [scene.table.roof.pitch_deg for scene in scenes if scene.table.roof] == [20, 20, 30, 30]
    assert [len(scene.faults) for scene in scenes] == [0, 1, 0, 1]
    assert sweep.sha256 == load("cottage").sha256


def test_a_weather_case_brings_its_rain_and_gust() -> None:
    """As --weather does: the file's own rain and gust are left out, unless they are varied too."""
    sweep, cases = small(
        "weather=calm,driving", "rain=5,50", settings={("weather", "from_deg"): 90.0}
    )
    told = [sweep.scene(values).table.weather for values in cases]
    assert [(one.rain_mm_h, one.gust_m_s) for one in told] == [
        (5, 0),
        (50, 0),
        (5, 23.7),
        (50, 23.7),
    ]
    assert {one.from_deg for one in told} == {90}


def test_the_amount_of_a_fault_is_varied() -> None:
    """Derived: it stands in the scene as --fault would put it."""
    sweep, cases = small("cover too narrow@left=60:80:20")
    assert [sweep.scene(values).faults[0].amount for values in cases] == [60, 80]
