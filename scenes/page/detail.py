"""One detail as the page shows it: a stage, its water and its reasons, as plain values and arrays."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Role
from scenes.colours import hexadecimal
from scenes.exploded import shifts
from scenes.page.packing import Blob
from scenes.page.ways import Ways
from scenes.stage import Piece, Stage
from scenes.stage_lines import edges
from scenes.stage_sight import clear_view
from scenes.units_text import in_units, spoken

Floats = NDArray[np.float64]

ROUND = 0.25
"""Amounts are shown so far round what the view must hold [m]: farther off they would double a page."""
MOST_CURES = 3
"""Cures told of one leak."""


def detail_values(
    stage: Stage, assembly: Assembly, ways: Ways, found: Mapping[str, Any], blob: Blob,
    *, heading: str = "",
) -> dict[str, Any]:  # fmt: skip
    """A stage with its water, and the reasons and cures that `found` (findings.json) has for its leaks;
    arrays go to `blob`. heading: what stands over it where there are two."""
    target = stage.target
    turns = dict(shifts(assembly))
    return {
        "heading": heading,
        "title": stage.title,
        "note": stage.note,
        "weather": stage.weather,
        "verdict": stage.verdict,
        "shares": stage.shares,
        "bad": stage.bad,
        "clear": stage.clear,
        "target": [target.min(axis=0).tolist(), target.max(axis=0).tolist()],
        "pieces": [_piece(piece, turns, blob) for piece in stage.pieces],
        "paths": {
            "start": blob.plain(ways.start, "u32"),
            "points": blob.points(ways.points),
            "time": blob.plain(ways.time, "f32"),
            "enters": blob.plain(ways.enters, "u32"),
            "under": blob.plain(ways.under, "u8"),
            "leak": blob.plain(np.minimum(ways.leak, 255), "u8"),
        },
        "leaks": _leaks(stage, found),
        "laps": [
            {"edge": lap.edge.tolist(), "label": lap.label, "words": lap.words}
            for lap in stage.laps
        ],
        "pools": [{"point": pool.point.tolist(), "words": pool.words} for pool in stage.pools],
        "fall": None if stage.fall is None else stage.fall.tolist(),
        "wind": None
        if stage.wind is None
        else {"to": stage.wind.blow.tolist(), "words": f"{stage.wind.side}, {stage.wind.speed}"},
        "fields": _fields(stage, blob),
    }


def _piece(piece: Piece, turns: Mapping[str, tuple[int, Floats]], blob: Blob) -> dict[str, Any]:
    # Seen from every side, an outline is no fixed line: only real rims and folds are drawn.
    rims, folds = edges(piece.triangles, np.zeros(3))
    turn, apart = turns.get(piece.name, (0, np.zeros(3)))
    return {
        "letter": piece.letter,
        "name": piece.name,
        "legend": piece.legend,
        "role": Role(piece.role).name.lower(),
        "colour": hexadecimal(piece.colour),
        "triangles": blob.plain(piece.triangles, "f32"),
        "rims": blob.plain(rims, "f32"),
        "folds": blob.plain(folds, "f32"),
        "turn": turn,
        "apart": apart.tolist(),
    }


def _fields(stage: Stage, blob: Blob) -> list[dict[str, Any]]:
    """Amounts on surfaces near what the view must hold; those on the same triangles share them."""
    low, high = stage.target.min(axis=0) - ROUND, stage.target.max(axis=0) + ROUND
    number = {piece.name: k for k, piece in enumerate(stage.pieces)}
    known: dict[bytes, tuple[dict[str, Any], dict[str, Any]]] = {}
    rows = []
    for whole in stage.fields:
        middle = whole.triangles.mean(axis=1)
        field = whole.kept(((middle >= low) & (middle <= high)).all(axis=1))
        place = field.triangles.tobytes()
        if place not in known:
            pieces = np.array([number[name] for name in field.parts], dtype=np.int64)
            known[place] = blob.points(field.triangles), blob.plain(pieces[field.part], "u32")
        triangles, pieces_of = known[place]
        rows.append(
            {
                "name": field.name,
                "label": field.label,
                "unit": _said("0", field.unit)[1],
                "note": field.note,
                "low": field.low,
                "high": field.high,
                "ticks": [[value, _said(text, field.unit)[0]] for value, text in field.ticks],
                "log": field.log,
                "triangles": triangles,
                "piece": pieces_of,
                "values": blob.amounts(np.clip(field.values, field.low, field.high)),
            }
        )
    return rows


def _said(text: str, unit: str) -> tuple[str, str]:
    """A tick's text (`0.5 or less`) and its unit, in the units that are spoken; the ticks stay where they
    are."""
    number, space, rest = text.partition(" ")
    said = in_units(f"{number} {unit}", spoken())
    there = in_units(f"0 {unit}", spoken()).partition(" ")[2]
    return f"{said.removesuffix(there).rstrip()}{space}{rest}", there


def _leaks(stage: Stage, found: Mapping[str, Any]) -> list[dict[str, Any]]:
    told = {leak["id"]: leak for leak in found.get("leaks", ())}
    rows = []
    for mark in stage.leaks:
        leak = told.get(mark.number, {})
        arrives = leak.get("arrives_mm")
        rows.append(
            {
                "number": mark.number,
                "point": mark.point.tolist(),
                "arrives": None if arrives is None else [value / 1000 for value in arrives],
                "severity": leak.get("severity", ""),
                "words": mark.words,
                "why": leak.get("why", ""),
                "cures": cures_of(mark.number, found),
                "view": clear_view(stage, mark.point).name,
            }
        )
    return rows


def cures_of(leak: int, found: Mapping[str, Any]) -> list[str]:
    """The cures that findings.json holds of a leak, the least work first, or why there are none; nothing
    where none were looked for."""
    if "cures" not in found:
        return []
    rows = [
        f"{cure['what']}: {cure['does']}. {cure['takes']}"
        for cure in found["cures"]
        if leak in cure["leaks"]
    ]
    none = [row["why"] for row in found["uncured"] if row["leak"] == leak]
    return rows[:MOST_CURES] or none
