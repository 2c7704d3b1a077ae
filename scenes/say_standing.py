"""Standing water and level gutters in plain words, from what `findings.json` holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scenes.say_text import count, figure, hung, place_words
from scenes.units_text import points_unit

MOST_TOLD = 6
WORTH_TELLING = 0.005
"""A gutter with less than this share of the rain in it is left out."""
LITRE = 1000.0  # [ml]
Found = Mapping[str, Any]


def standing_lines(pools: Sequence[Found]) -> list[str]:
    """Where water stands, how deep, how much of it, and where it spills; nothing if it doesn't."""
    if not pools:
        return []
    unit = points_unit()
    lines = [f"Standing water (points: to the right, up-slope and up, in {unit})"]
    for pool in pools[:MOST_TOLD]:
        lines += hung("-", f"{pool['part']}, at {place_words(pool['point_mm'])}: {_pool(pool)}.")
    return lines + _rest(len(pools), "place")


def gutter_lines(gutters: Sequence[Found], landed_ml_min: float) -> list[str]:
    """How deep water stands in level gutters and what is left to their edges; nothing for those
    that carry next to none of what landed [ml/min]."""
    full = [row for row in gutters if sum(row["flow_ml_min"]) >= WORTH_TELLING * landed_ml_min]
    if not full:
        return []
    lines = [f"Level {'gutter' if len(full) == 1 else 'gutters'} (depth where it stands deepest)"]
    for row in full[:MOST_TOLD]:
        lines += hung("-", f"{_where(row['parts'])}: {_gutter(row)}.")
        if row["surface_tension_governs"]:
            lines += hung("", "Indicative: surface tension governs under 4 mm.")
    return lines + _rest(len(full), "gutter")


def _pool(pool: Found) -> str:
    share = f"{100 * pool['share']:.2g} % of the rain"
    if not pool["spills"]:
        return f"no way out; it keeps {share}"
    volume = pool["volume_ml"]
    amount = f"{figure(volume / LITRE)} litres" if volume >= LITRE else f"{figure(volume)} ml"
    return (
        f"{pool['depth_mm']:.0f} mm deep, {amount}; {share} comes to it; spills at "
        f"{place_words(pool['spill_mm'])}"
    )


def _where(parts: Sequence[str]) -> str:
    """A gutter by its part; of two, whose foot lies on whose slope, the level line where they meet."""
    return parts[0] if len(parts) == 1 else f"the level line where {' meets '.join(parts)}"


def _gutter(row: Found) -> str:
    """Flow to each end, depth and freeboard; the steeper side of a gutter is its upstand."""
    flows = [
        f"{figure(flow)} ml/min to the end at {place_words(end)}"
        for flow, end in zip(row["flow_ml_min"], row["ends_mm"], strict=True)
        if flow > 0
    ]
    steep, flat = (
        _freeboard(left, side)
        for left, side in zip(row["freeboard_mm"], ("steeper", "flatter"), strict=True)
    )
    depth = figure(row["depth_mm"])
    return f"{', '.join(flows)}; {depth} mm deep over {row['length_mm']:.0f} mm; {steep}; {flat}"


def _freeboard(left_mm: float, side: str) -> str:
    if left_mm < 0:
        return f"{-left_mm:.0f} mm over the top of the {side} side"
    return f"{left_mm:.0f} mm left to the top of the {side} side"


def _rest(number: int, noun: str) -> list[str]:
    more = number - MOST_TOLD
    return [f"      and {count(more, noun)} more"] if more > 0 else []
