"""Rows of the findings as `findings.json` holds them: mm, ml/min and m/s, rounded."""

from __future__ import annotations

from math import isfinite
from typing import Any

from sim.gutters import Gutter
from sim.lap_water import LapWater
from sim.laps import Lap
from sim.standing import Standing

ML_MIN = 6e7  # [ml/min] in one m3/s
DIGITS = 6  # significant figures of shares and flows in the file: under any standard error
TENTHS = 1  # decimals of millimetres in the file
HUNDREDTHS = 2  # and of what is a few millimetres at most, or a gust


def lap_row(lap: Lap, water: LapWater) -> dict[str, Any]:
    """A lap: its measures, what the rule book asks, what it does to water."""
    return {
        "id": lap.id,
        "upper": lap.upper,
        "lower": lap.lower,
        "where": lap.where,
        "length_mm": millimetres(lap.length),
        "rise_mm": millimetres(lap.rise),
        "width_mm": millimetres(lap.width),
        "needed_mm": millimetres(lap.needed),
        "rule": lap.rule,
        "source": lap.source,
        "ok": lap.ok,
        "first_leak_gust_m_s": round(water.gust, HUNDREDTHS),
        "gap_mm": millimetres(water.gap, HUNDREDTHS) if isfinite(water.gap) else None,
        "capillary_reach_mm": millimetres(water.reach),
        "stays_wet": water.wet,
    }


def standing_row(one: Standing) -> dict[str, Any]:
    """Water in a hollow: how high it stands over the origin and over its floor, and where it spills."""
    spills = isfinite(one.level)
    return {
        "part": one.part,
        "point_mm": [millimetres(value) for value in one.point.tolist()],
        "spills": spills,
        "level_mm": millimetres(one.level) if spills else None,
        "depth_mm": millimetres(one.depth) if spills else None,
        "volume_ml": figure(one.volume * 1e6) if spills else None,
        "spill_mm": [millimetres(value) for value in one.spill.tolist()] if spills else None,
        "share": figure(one.share),
    }


def gutter_row(gutter: Gutter) -> dict[str, Any]:
    """A level gutter: its flow to each end, how deep it stands, and what is left to its crests."""
    return {
        "parts": list(gutter.parts),
        "ends_mm": [[millimetres(value) for value in end] for end in gutter.ends.tolist()],
        "length_mm": millimetres(gutter.length),
        "flow_ml_min": [figure(value * ML_MIN) for value in gutter.flow.tolist()],
        "end_depth_mm": [millimetres(value, HUNDREDTHS) for value in gutter.end_depth.tolist()],
        "depth_mm": millimetres(gutter.depth, HUNDREDTHS),
        "crests_mm": [millimetres(value) for value in gutter.walls.tolist()],
        "freeboard_mm": [millimetres(value) for value in gutter.freeboard.tolist()],
        "surface_tension_governs": gutter.surface_tension_governs,
    }


def figure(value: float) -> float:
    """A share or flow, rounded to `DIGITS` significant figures; never -0."""
    return float(f"{value:.{DIGITS}g}") + 0.0


def millimetres(value: float, decimals: int = TENTHS) -> float:
    """Metres as millimetres, rounded; never -0."""
    return round(value * 1000, decimals) + 0.0
