"""What the picture of a suspect shows: the way of its water, where it comes out, and the damp place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from meshes.parts import Assembly, Role
from scenes.diagnose.diagnosis import Explained
from scenes.say_diagnosis import odds, seen_words, suspect_words, weather_words
from scenes.stage import LeakMark, Stage
from scenes.stage_water import Pool
from scenes.stage_words import capital

NEAR_ENOUGH = 0.05
"""Water that comes out this near to the damp place [m] is marked together with it."""


def suspect_stage(one: Explained, found: Mapping[str, Any], assembly: Assembly) -> Stage:
    """The stage of a suspect. found: what diagnosis.json holds; assembly: the detail without it."""
    row = found["suspects"][one.rank - 1]
    way = one.way
    stage = Stage.of(
        assembly if way is None else way.assembly,
        None,
        None if way is None else way.paths,
        fates=None if way is None else way.fates,
        title=found["scene"]["title"],
        note=seen_words(found["seen"]),
    )
    places = [
        np.array([x / 1000, y / 1000, _ceiling(assembly)]) for x, y in found["seen"]["damp_mm"]
    ]
    marks = [Pool(place, "damp place") for place in places]
    leaks: tuple[LeakMark, ...] = ()
    if way is not None:
        words = "comes out" if way.inside else "meets the underlay"
        if way.off > NEAR_ENOUGH:
            marks.append(Pool(way.out, words))
        told = f"water goes in here, {words} {way.off * 1000:.0f} mm from the damp place"
        leaks = (LeakMark(1, way.into, told),)
    return replace(
        stage,
        verdict=f"{_ORDINALS[one.rank - 1]}: {suspect_words(row)}, {odds(row['probability'])}",
        shares=capital(weather_words(row)) if way is not None else "The model lets no water in so.",
        bad=way is not None,
        clear=False,
        leaks=leaks,
        pools=tuple(marks),
    )


_ORDINALS = ("Likeliest", "Second", "Third")


def view_of(one: Explained) -> str:
    """The view that looks at where its water goes in."""
    if one.way is None:
        return "eaves"
    outline = np.concatenate(
        [part.vertices[:, :2] for part in one.way.assembly if part.role is Role.STACK]
    )
    middle, half = (outline.min(axis=0) + outline.max(axis=0)) / 2, np.ptp(outline, axis=0) / 2
    x, y = (one.way.into[:2] - middle) / half
    if abs(x) > abs(y):
        return "right" if x > 0 else "left"
    return "ridge" if y > 0 else "eaves"


def _ceiling(assembly: Assembly) -> float:
    """Height [m] of the lowest of what must stay dry."""
    return min(float(part.vertices[:, 2].min()) for part in assembly if part.role is Role.INSIDE)
