"""Pages that several tests open, made once: a leaking detail with cures and a field, two side by side."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scenes.page.detail import detail_values
from scenes.page.packing import Blob, packed
from scenes.page.page import Shown, head_values, page_data, page_text, script_lacks
from scenes.page.ways import Ways
from scenes.page.wording import english
from scenes.run import stage_of
from tests.scenes.page.shown_once import dry, leaking

CURE = "dress the gutter over the side flashing"
LAP = "40 mm short"
FIELD, NOTE = "Height above the eaves", "Made up for a test"
TITLE = "A cottage to look at"


def written(
    folder: Path, data: bytes, *, title: str = TITLE, words: Mapping[str, str] | None = None
) -> Path:
    """A page as a file; the test is skipped where its script wasn't built."""
    if script_lacks():
        pytest.skip(script_lacks())
    file = folder / "page.html"
    file.write_text(page_text(data, title=title, words=words or english()), encoding="utf-8")
    return file


@cache
def one() -> bytes:
    """The leaking cottage, with a cure for its first leak, a short lap and a field, all made up."""
    result = leaking()
    stage, blob = stage_of(result), Blob()
    found = result.to_dict()
    found |= {
        "cures": [{"leaks": [1], "what": CURE, "does": "stops it", "takes": ""}],
        "uncured": [],
    }
    detail = detail_values(stage, result.assembly, Ways.of(result, stage), found, blob)
    edge = np.asarray(stage.target)[:2]
    detail["laps"] = [{"edge": edge.tolist(), "label": LAP, "words": "the side cover is short"}]
    detail["fields"] = [_field([piece.triangles for piece in stage.pieces], blob)]
    return packed(head_values("one", [None]) | {"details": [detail]}, blob)


def _field(pieces: list[np.ndarray], blob: Blob) -> dict[str, Any]:
    triangles = np.concatenate(pieces)
    number = np.repeat(np.arange(len(pieces)), [len(piece) for piece in pieces])
    heights = triangles[:, :, 1].mean(axis=1)
    low, high = float(heights.min()), float(heights.max())
    return {
        "name": "height", "label": FIELD, "unit": "m", "note": NOTE, "low": low, "high": high, "log": False,
        "ticks": [[low, f"{low:.1f}"], [high, f"{high:.1f}"]],
        "triangles": blob.points(triangles), "piece": blob.plain(number, "u32"),
        "values": blob.amounts(heights),
    }  # fmt: skip


@cache
def two() -> bytes:
    """The cottage as it should be, beside the leaking one."""
    sides = (("Right", dry()), ("Wrong", leaking()))
    return page_data(
        "pair", [Shown(stage_of(run), run, run.to_dict(), heading=name) for name, run in sides]
    )
