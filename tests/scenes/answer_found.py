"""What a run might have found: invented, in the shape that is told in words."""

from __future__ import annotations

from typing import Any


def weather(**changes: Any) -> dict[str, Any]:
    """Heavy rain in still air."""
    base = {
        "case": None, "rain_mm_h": 75.0, "gust_m_s": 0.0, "from_deg": 0.0, "slant_deg": 0.0,
        "push_m_s2": [0.0, 0.0, 0.0],
    }  # fmt: skip
    return base | changes


GALE = weather(case="driving", rain_mm_h=5.1, gust_m_s=23.7, from_deg=90.0)


def found(**changes: Any) -> dict[str, Any]:
    """A small set of findings, invented."""
    water = [
        {"fate": "shed", "share": 0.975, "share_se": 0.001, "flow_ml_min": 1950.0},
        {"fate": "inside", "share": 0.025, "share_se": 0.001, "flow_ml_min": 50.0},
        {"fate": "unresolved", "share": 0.0, "share_se": 0.0, "flow_ml_min": 0.0},
    ]
    leak = {
        "id": 1, "severity": "inside", "way_in": "over the top edge of the front apron",
        "parts": ["front apron", "stack"], "cause": "over a top edge",
        "point_mm": [1.0, -0.2, 150.4], "arrives_mm": [1.0, 3.0, -300.0],
        "share": 0.025, "share_se": 0.001, "flow_ml_min": 50.0,
        "why": "Water runs down the stack. Nothing turns it out.", "cure": "",
    }  # fmt: skip
    lap = {
        "id": 2, "upper": "front apron", "lower": "covering", "where": "front", "length_mm": 90.0,
        "rise_mm": 50.0, "width_mm": 690.0, "needed_mm": 150.0, "rule": "cover", "source": "s",
        "ok": False, "first_leak_gust_m_s": 39.6, "capillary_reach_mm": 14.8, "stays_wet": False,
    }  # fmt: skip
    base = {
        "scene": {"title": "A stack"}, "faults": [], "drops": 20000, "water": water, "leaks": [leak],
        "laps": [lap], "making": [], "cautions": ["Mind the edge."],
        "ran_behind_a_flashing": {"share": 0.0, "share_se": 0.0}, "weather": weather(),
        "films": {"rounds": 0, "settled": True}, "standing_water": [], "gutters": [],
        "landed_ml_min": 2000.0,
    }  # fmt: skip
    return base | changes
