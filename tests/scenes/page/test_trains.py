"""Where the page's script puts its drops, against numpy on the same paths."""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from scenes.page.page import HERE
from tests.scenes.page.web_tools import node, tool

MOST, WANTED, GOLDEN = 1000, 40, 0.6180339887
RUN = """
const [file, told] = process.argv.slice(-2);
import(file).then(({ Trains }) => {
  const { paths, wanted, times } = JSON.parse(told);
  const trains = new Trains(paths, wanted);
  console.log(JSON.stringify(times.map((now) => {
    const count = trains.at(now);
    return count.map((drops, which) => Array.from(trains.places[which].subarray(0, 3 * drops)));
  })));
});
"""


def paths() -> dict[str, Any]:
    """Nine ways of seven points each, at uneven times that begin anywhere."""
    dice = np.random.default_rng(5)
    time = np.cumsum(dice.uniform(0.05, 1.5, (9, 7)), axis=1) + dice.uniform(0, 3, (9, 1))
    return {
        "start": list(range(0, 64, 7)),
        "points": dice.uniform(-1, 1, 9 * 7 * 3).tolist(),
        "time": time.ravel().tolist(),
        "enters": [7, 7, 21, 28, 31, 36, 49, 55, 63],
    }


def drawn(ways: dict[str, Any], wanted: int, times: list[float]) -> Any:
    tool("axe-core")  # node runs beside the tools
    file = (HERE / "web" / "src" / "trains.js").as_uri()
    return json.loads(
        node(RUN, file, json.dumps({"paths": ways, "wanted": wanted, "times": times}))
    )


def test_drops_are_where_the_film_has_brought_them() -> None:
    """Outside library: numpy interpolates each way at the times of its train; a drop goes from one place to
    the next in the time that passes."""
    ways, times = paths(), [0.0, 0.37, 2.9, 1234.5]
    start, time = ways["start"], np.array(ways["time"])
    points = np.array(ways["points"]).reshape(-1, 3)
    lasts = [time[b - 1] - time[a] for a, b in pairwise(start)]
    apart = sum(lasts) / WANTED
    for now, got in zip(times, drawn(ways, WANTED, times), strict=True):
        wanted: list[list[np.ndarray]] = [[], []]
        for k, lasting in enumerate(lasts):
            rows = slice(start[k], start[k + 1])
            ages = np.arange((now + apart * (k * GOLDEN % 1)) % apart, lasting, apart)
            for age in ages + time[start[k]]:
                place = np.array([np.interp(age, time[rows], points[rows, i]) for i in range(3)])
                row = ways["enters"][k]
                entered = row < start[k + 1] and age >= time[row]
                wanted[int(entered)].append(place)
        assert 30 < sum(map(len, wanted)) < 50
        for own, shown in zip(wanted, got, strict=True):
            assert np.array(shown).reshape(-1, 3) == pytest.approx(np.array(own), abs=1e-6)


def test_there_are_never_more_than_a_thousand() -> None:
    (got,) = drawn(paths(), 5000, [0.2])
    assert sum(len(row) // 3 for row in got) == MOST
