"""Cures as findings.json holds them."""

from __future__ import annotations

from typing import Any

from scenes.cures.cure import Cure
from scenes.cures.search import Found
from scenes.scene import Scene

TOO_SMALL = "None looked for: it is under 1 % of what gets in."


def with_cures(findings: dict[str, Any], found: Found, scene: Scene) -> dict[str, Any]:
    """The findings with each leak's best cure in words, and all cures: `cures`, the least work first;
    `cures_together`, or why they don't go together (`cures_apart`), `uncured` (leak or lap, and why) and
    `cures_tried`."""
    assert scene.detail is not None
    material = scene.detail.material
    leaks = [leak | {"cure": _of_leak(leak["id"], found, material)} for leak in findings["leaks"]]
    together = found.together
    uncured = [
        {"leak": number if kind == "leak" else None, "lap": number if kind == "lap" else None,
         "why": why}
        for (kind, number), why in sorted(found.none.items())
    ]  # fmt: skip
    return findings | {
        "leaks": leaks,
        "cures": [cure.to_dict(material) for cure in found.cures],
        "cures_together": None if together is None else together.to_dict(material),
        "cures_apart": found.apart,
        "uncured": uncured,
        "cures_tried": found.tried,
    }


def _of_leak(number: int, found: Found, material: str) -> str:
    best: Cure | None = next((cure for cure in found.cures if number in cure.leaks), None)
    if best is not None:
        return best.words(material)
    return found.none.get(("leak", number), TOO_SMALL)
