"""The page in inches: every word that its data hold, in a wind, with cures and amounts, and side by side."""

from __future__ import annotations

import html
import re
from base64 import b64decode
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from scenes.faults.apply import with_faults
from scenes.page.packing import unpacked
from scenes.page.page import Shown, page_data, script_lacks
from scenes.page.wording import english
from scenes.page.write import pair_text
from scenes.progress import Remarks
from scenes.run import Result, run, stage_of
from scenes.scene import in_weather, load
from scenes.stage_fields import Field, fields_of
from scenes.units import IMPERIAL, METRIC, Units
from scenes.units_text import spoken_in
from tests.scenes.compared_once import cover_too_narrow

METRIC_FIGURE = re.compile(r"\d ?(?:mm|cm|m|m/s|kg|m2|ml|ml/min|litres|km/h|mm/h)(?![\w/])")
METRIC_UNITS = {"mm", "m", "m/s", "kg", "m2", "litres", "l/min per m"}


def texts(value: Any) -> Iterator[str]:
    """All words of plain values, keys left out."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts(one)


@cache
def blown() -> Result:
    """A gale from the right on a side cover that is too narrow, with leaves behind the stack."""
    scene = in_weather(load("cottage"), case_name="driving", from_deg=90.0)
    wrong = with_faults(scene, ["cover too narrow@right=90", "leaves in the gutter"])
    return run(wrong, drops=1500, seed=0, remarks=Remarks(quiet=True))


@cache
def fields_of_it() -> tuple[Field, ...]:
    """The amounts on its surfaces, which know no units but their own."""
    return fields_of(blown())


def values_in(units: Units) -> dict[str, Any]:
    """The data of its page, with the amounts on its surfaces and a cure, made up."""
    result = blown()
    cure = {
        "leaks": [1], "what": "side cover 60 -> 150 mm", "does": "stands 24.4 m/s instead of 17.6",
        "takes": "3.0 kg more lead code 4.",
    }  # fmt: skip
    found = result.to_dict() | {"cures": [cure], "uncured": []}
    amounts = fields_of_it()
    with spoken_in(units):
        stage = replace(stage_of(result), fields=amounts)
        values, _ = unpacked(page_data("one", [Shown(stage, result, found)]))
    return values


def test_a_page_in_inches() -> None:
    """Contract; exact by hand: 23.7 m/s are 53.0 mph, 60 and 150 mm 2 3/8 and 5 7/8 in, 5.1 mm/h 0.2 in/h."""
    metric, inches = values_in(METRIC), values_in(IMPERIAL)
    assert len([text for text in texts(metric) if METRIC_FIGURE.search(text)]) > 5
    assert not [text for text in texts(inches) if METRIC_FIGURE.search(text)]
    (detail,) = inches["details"]
    assert not {field["unit"] for field in detail["fields"]} & METRIC_UNITS
    assert {field["unit"] for field in metric["details"][0]["fields"]} & METRIC_UNITS
    assert len(detail["fields"]) == 5
    assert "53.0 mph" in detail["wind"]["words"]
    assert "0.2 in/h" in detail["weather"]
    cure = (
        "side cover 2 3/8 -> 5 7/8 in: stands 54.6 mph instead of 39.4. 6.61 lb more lead code 4."
    )
    assert detail["leaks"][0]["cures"] == [cure]
    assert detail["laps"]
    assert detail["pools"]
    shapes = [[piece["rims"] for piece in one["details"][0]["pieces"]] for one in (metric, inches)]
    assert shapes[0] == shapes[1]


@pytest.mark.skipif(bool(script_lacks()), reason=script_lacks() or "built")
def test_side_by_side_in_inches() -> None:
    """Contract: the whole file, with the page's own words; neither half has a metric figure."""
    said = {}
    for units in (METRIC, IMPERIAL):
        with spoken_in(units):
            text = pair_text(cover_too_narrow(), english())
        found = re.search(r'<script[^>]*id="data"[^>]*>([^<]+)</script>', text)
        assert found is not None
        values, _ = unpacked(b64decode(html.unescape(found[1])))
        said[units] = [
            text for text in (*texts(values), *english().values()) if METRIC_FIGURE.search(text)
        ]
    assert said[METRIC]
    assert not said[IMPERIAL]
