"""The printed answers in inches and miles an hour: no figure left in millimetres, none lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from click.testing import Result

from scenes.gust_rose import rose
from scenes.say import answer
from scenes.say_gust import gust_answer
from scenes.units import IMPERIAL, METRIC
from scenes.units_text import spoken, spoken_in
from tests.scenes.answer_found import GALE, found
from tests.scenes.gust_found import INPUTS, gusts_found

Run = Callable[..., Result]
METRIC_FIGURE = re.compile(r"\d\s(?:mm|m|ml|litres|m/s|km/h)\b")
NUMBERS = re.compile(r"-?\d[\d,]*(?:\.\d+)?")
GUTTER = {
    "parts": ["back gutter"], "flow_ml_min": [400.0, 0.0], "ends_mm": [[-450.0, 0.0, 0.0], [450.0, 0.0, 0.0]],
    "freeboard_mm": [50.8, 101.6], "depth_mm": 25.4, "length_mm": 900.0, "surface_tension_governs": False,
}  # fmt: skip
POOL = {
    "part": "back gutter", "point_mm": [0.0, 254.0, 127.0], "share": 0.2, "spills": True,
    "volume_ml": 29.5735, "depth_mm": 12.7, "spill_mm": [25.4, 0.0, 0.0],
}  # fmt: skip


def test_metric_is_as_it_was() -> None:
    """Contract: what nobody asked for in inches stays letter by letter, whatever was printed before."""
    told = found(weather=GALE, gutters=[GUTTER], standing_water=[POOL])
    before = answer(told)
    answer(told, IMPERIAL)
    assert answer(told, METRIC) == before
    assert spoken() == METRIC


def test_the_answer_in_inches() -> None:
    """Derived by hand: 1950 ml/min is 65.9 fl oz/min, 90 mm 3 9/16 in, 60 mm 2 3/8 in, 23.7 m/s 53.0 mph,
    5.1 mm/h 0.2 in/h, 150.4 mm 5 7/8 in to an eighth, 29.5735 ml one fluid ounce."""
    why = "It runs about 470 mm along it, then 330 mm in from the edge."
    told = found(weather=GALE, gutters=[GUTTER], standing_water=[POOL])
    told["leaks"][0]["why"] = why
    text = answer(told, IMPERIAL)
    assert not METRIC_FIGURE.findall(text)
    for words in (
        "65.9 fl oz/min", "0.2 in/h of rain", "53.0 mph", "up-slope and up, in inches", "(0, 0, 5 7/8)",
        "3 9/16 of   5 7/8 in", "2 3/8 in TOO SHORT", "1 in deep over 35 7/16 in", "1/2 in deep, 1.00 fl oz",
        "about 18 1/2 in along it, then 13 inches in from the edge", "(0, 10, 5)", "4 in left to",
    ):  # fmt: skip
        assert words in text, words
    assert max(len(line) for line in text.splitlines()) <= 100


def test_every_figure_is_said_once() -> None:
    """Derived: as many numbers in inches as in millimetres, a fraction counted as its three."""
    plain = {"leaks": [], "laps": []}
    told = found(weather=GALE, **plain)
    metric, inches = answer(told), answer(told, IMPERIAL)
    assert "(85 km/h)" in metric
    assert len(NUMBERS.findall(inches)) == len(NUMBERS.findall(metric)) - 1


def test_run_speaks_inches_and_files_do_not(stackrain: Run, tmp_path: Path) -> None:
    """Contract: one option for what people read; the results are the same bytes as without it."""
    asked = ("run", "cottage", "--drops", "300", "--no-picture", "--quiet", "-o")
    metric = stackrain(*asked, "a")
    inches = stackrain(*asked, "b", "--units", "imperial")
    assert (metric.exit_code, inches.exit_code) == (0, 0)
    assert "2.95 in/h of rain" in inches.stdout
    assert not METRIC_FIGURE.findall(inches.stdout)
    assert "75 mm/h of rain" in metric.stdout
    one, two = (tmp_path / folder for folder in "ab")
    for name in ("findings.json", "paths.vtp", "model.glb"):
        assert (one / name).read_bytes() == (two / name).read_bytes()
    report = (two / "report.html").read_text(encoding="utf-8").partition("</style>")[2]
    assert not METRIC_FIGURE.findall(report)
    assert "2.95 in/h of rain" in report
    assert "75 mm/h of rain" in (one / "report.html").read_text(encoding="utf-8")
    assert stackrain(*asked, "c", "--units", "cubits").exit_code == 2


def test_gusts_in_miles_an_hour() -> None:
    """Derived: 16.4 m/s is 36.7 mph, 75 m/s 167.8 mph; steps of EN 12208 stay in pascal."""
    told = gusts_found(inputs=INPUTS)
    with spoken_in(IMPERIAL):
        text = f"{gust_answer(told)}\n{rose(told)}"
    assert not METRIC_FIGURE.findall(text)
    for words in ("Stands gusts up to 36.7 mph; lets", "over 167.8 mph", "150 Pa", "> 36.7 <"):
        assert words in text
    assert max(len(line) for line in text.splitlines()) <= 100
