"""Wind, standing water and the deciding path in the stage and in the picture."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image

from scenes import colours, opengl
from scenes.picture import draw
from scenes.stage import Stage
from scenes.stage_water import MOST_POOLS, Runs, pools
from tests.scenes.picture_house import DEPTH, HALF, SLOPE_DEPTH, answer, house, on_slope, water

SIZE = (1000, 625)
WIND = {
    "case": None, "rain_mm_h": 50.0, "gust_m_s": 30.0, "from_deg": 90.0, "slant_deg": 0.0,
    "push_m_s2": [0.0, 0.0, 0.0],
}  # fmt: skip
STILL = WIND | {"gust_m_s": 0.0}


def _stage(weather: dict[str, Any] | None = None, **more: Any) -> Stage:
    paths, fates = water(leaking=True)
    findings = answer(leaking=True)
    return Stage.of(house(), findings, paths, fates=fates, title="House", weather=weather, **more)


def _deciding() -> SimpleNamespace:
    """A way in under the right side flashing, 0.3 m long and level, in sight all along."""
    low, high = (on_slope(x, SLOPE_DEPTH / 2, 0.03) for x in (HALF + 0.05, HALF + 0.35))
    return SimpleNamespace(start=np.array([0, 2]), points=np.array([high, low]))


def _pool(depth: float, point: tuple[float, float, float] = (0.0, 0.5, 0.4)) -> SimpleNamespace:
    return SimpleNamespace(point=np.array(point), level=point[2] + depth, depth=depth)


def _drawn(stage: Stage, file: Path) -> tuple[np.ndarray, int] | None:
    """The picture (height, width, 3) and how many labels it has, none of which overlap; None where
    OpenGL is absent."""
    if opengl.problem():
        return None
    boxes = draw(stage, file, SIZE)
    assert not any(one.overlaps(two) for one, two in combinations(boxes, 2))
    return np.asarray(Image.open(file).convert("RGB")).astype(int), len(boxes)


@pytest.mark.parametrize(("from_deg", "way"), [(0.0, (0, 1, 0)), (90.0, (-1, 0, 0))])
def test_the_stage_knows_the_wind(from_deg: float, way: tuple[int, int, int]) -> None:
    """Derived: wind from the eaves blows along +y, wind from the right along -x."""
    wind = _stage(WIND | {"from_deg": from_deg}).wind
    assert wind is not None
    assert wind.blow == pytest.approx(way, abs=1e-12)
    assert wind.side == f"Wind from the {'right' if from_deg else 'eaves'}"
    assert wind.speed == "30.0 m/s (108 km/h)"


def test_still_air_has_no_arrow_and_is_said() -> None:
    """Derived; without a weather nothing is said."""
    stage = _stage(STILL)
    assert stage.wind is None
    assert stage.weather == "50 mm/h of rain, in still air"
    assert _stage().weather == ""


def test_only_water_that_stands_deep_is_marked() -> None:
    """Derived: 2 mm is no pool to mark; a hollow with no way out always is."""
    shut = SimpleNamespace(point=np.zeros(3), level=float("nan"), depth=0.0)
    told = pools([_pool(0.028), _pool(0.002), shut])
    assert [pool.words for pool in told] == [
        "water stands 28 mm deep",
        "water stands with no way out",
    ]
    assert len(pools([_pool(0.02)] * 9)) == MOST_POOLS


def test_the_deciding_path_is_one_more_and_marked() -> None:
    """Derived: it is drawn last, on top of the others; a path of one point is none."""
    plain, marked = _stage(), _stage(deciding=_deciding(), deciding_words="first at 16.4 m/s")
    assert len(marked.paths) == len(plain.paths) + 1
    assert marked.paths[-1].runs is Runs.FIRST_IN
    assert not any(way.runs is Runs.FIRST_IN for way in marked.paths[:-1])
    point = SimpleNamespace(start=np.array([0, 1]), points=np.zeros((1, 3)))
    assert len(_stage(deciding=point, deciding_words="none").paths) == len(plain.paths)


def test_wind_changes_the_picture_and_so_does_its_direction(tmp_path: Path) -> None:
    """Derived: arrows and words in one more box, turned with the wind."""
    still = _drawn(_stage(STILL), tmp_path / "still.png")
    right = _drawn(_stage(WIND), tmp_path / "right.png")
    left = _drawn(_stage(WIND | {"from_deg": 270.0}), tmp_path / "left.png")
    if still and right and left:
        assert right[1] == left[1] == still[1] + 1
        corner = np.s_[: SIZE[1] // 4, SIZE[0] // 2 : SIZE[0] * 6 // 10 + 130]
        assert (right[0][corner] != still[0][corner]).any(axis=2).sum() > 2000
        assert (right[0][corner] != left[0][corner]).any(axis=2).sum() > 200


def test_the_deciding_path_has_a_line_a_label_and_a_legend(tmp_path: Path) -> None:
    """Derived: its colour is used for nothing else; its words are one more label."""
    plain = _drawn(_stage(STILL), tmp_path / "plain.png")
    stage = _stage(STILL, deciding=_deciding(), deciding_words="first at 16.4 m/s")
    marked = _drawn(stage, tmp_path / "marked.png")
    if plain and marked:
        dark = [(picture == colours.DECIDING).all(axis=2).sum() for picture, _ in (plain, marked)]
        assert dark[0] < 5
        assert dark[1] > 300
        assert marked[1] == plain[1] + 1


def test_standing_water_is_labelled(tmp_path: Path) -> None:
    """Derived: one more label, whether the water is in sight or behind the stack."""
    plain = _stage(STILL)
    for place in ((0.4, DEPTH + 0.05, 0.5), (0.0, DEPTH + 0.05, 0.4)):
        stage = replace(plain, pools=pools([_pool(0.028, place)]))
        drawn = _drawn(stage, tmp_path / "pool.png")
        dry = _drawn(plain, tmp_path / "dry.png")
        if drawn and dry:
            assert drawn[1] == dry[1] + 1
