"""What the gust command might have found: invented, in the shape that is told and drawn."""

from __future__ import annotations

from collections.abc import Sequence
from math import radians
from typing import Any

from sim.wind import direction_name, ladder_step, stagnation_pressure

LIMIT = 75.0
USUAL = (
    34.2,
    35.6,
    33.0,
    19.5,
    16.4,
    21.0,
    None,
    None,
    None,
    None,
    None,
    22.0,
    17.4,
    20.5,
    33.0,
    35.6,
)
"""Gusts [m/s] of the sixteen directions; None: no gust that was tried."""
APRON = {
    "way_in": "under the edge of the front apron, at the front",
    "cause": "driven up a lap",
    "parts": ["front apron", "covering"],
    "point_mm": [10.2, -150.1, -20.0],
}
RIGHT = {
    "way_in": "under the edge of the right side flashing, at the right",
    "cause": "driven across a lap",
    "parts": ["right side flashing", "covering"],
    "point_mm": [410.2, 250.1, 120.0],
}
LEFT = RIGHT | {"way_in": "under the edge of the left side flashing, at the left"}
INPUTS = [
    {
        "input": "bedding gap", "low": 0.5, "usual": 1.0, "high": 2.0, "unit": "mm",
        "gust_low_m_s": 16.4, "gust_usual_m_s": 16.4, "gust_high_m_s": 15.9, "source": "practice",
    },
    {
        "input": "drag of the wind on a film", "low": 0.003, "usual": 0.005, "high": 0.01, "unit": "",
        "gust_low_m_s": 17.9, "gust_usual_m_s": 16.4, "gust_high_m_s": 16.0,
        "source": "memory, unsure",
    },
]  # fmt: skip
HOURS = {
    "file": "record.csv", "wet": 574, "let_in": 34,
    "by_direction": [0, 1, 0, 4, 12, 5, 0, 0, 0, 0, 0, 0, 8, 2, 0, 0],
    "remarks": ["51 hours left out: no wind direction on record."],
}  # fmt: skip


def gusts_found(gusts: Sequence[float | None] = USUAL, **changes: Any) -> dict[str, Any]:
    """The whole of it for the gusts [m/s] of sixteen directions."""
    rows = [_row(number, gust) for number, gust in enumerate(gusts)]
    known = [row for row in rows if row["gust_m_s"] is not None]
    base = {
        "title": "A cottage stack",
        "rain_mm_h": 75.0,
        "up_to_m_s": LIMIT,
        "directions": rows,
        "lowest": min(known, key=lambda row: row["gust_m_s"], default=None),
        "inputs": [],
        "hours": None,
        "cautions": ["Mind the edge."],
    }
    return base | changes


def _row(number: int, gust: float | None) -> dict[str, Any]:
    from_deg = 22.5 * number
    path = APRON if number in (0, 1, 2, 14, 15) else RIGHT if number < 8 else LEFT
    pressure = None if gust is None else stagnation_pressure(gust)
    lap = {"id": 3, "upper": "front apron", "lower": "covering", "where": "at the front"}
    measured = gust is not None and path is APRON
    return {
        "from_deg": from_deg,
        "from": direction_name(radians(from_deg)),
        "gust_m_s": gust,
        "pressure_pa": pressure,
        "en_12208_pa": None if pressure is None else ladder_step(pressure),
        "path": None if gust is None else path,
        "lap": lap | {"gust_m_s": 34.1, "inside_mm": 0.0} if measured else None,
        "agrees": True if measured else None,
        "remark": "",
        "covering_gust_m_s": None,
    }
