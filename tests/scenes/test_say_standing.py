"""Level gutters in words: a gutter by its name, the level line between two parts as what it is."""

from __future__ import annotations

from typing import Any

from scenes.say_standing import gutter_lines


def row(*parts: str) -> dict[str, Any]:
    """A gutter of these parts as findings.json has one; its figures are those of a stepped stack in wind from
    the left, whose first step's return stands with its foot on the apron, 28 mm long."""
    return {
        "parts": list(parts), "ends_mm": [[-346, -8, -6], [-318, -8, -6]], "length_mm": 28.0,
        "flow_ml_min": [180.0, 0.0], "depth_mm": 7.41, "freeboard_mm": [224.0, 147.0],
        "surface_tension_governs": False,
    }  # fmt: skip


def test_a_line_between_two_parts_is_not_called_by_both() -> None:
    """Derived: one part is a gutter by its own name; two meet along a level line."""
    one = " ".join(" ".join(gutter_lines([row("back gutter")], 1000.0)).split())
    assert "- back gutter: 180 ml/min" in one
    two = " ".join(" ".join(gutter_lines([row("left step 1", "front apron")], 1000.0)).split())
    assert "- the level line where left step 1 meets front apron: 180 ml/min" in two
    assert "7.41 mm deep over 28 mm" in two
