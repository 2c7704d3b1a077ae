"""A folder of gust results, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scenes.folder import fresh_folder, write_files
from scenes.gust import Gusts
from scenes.gust_words import verdict

if TYPE_CHECKING:
    from sim.gust import FirstLeak

NAMES = ("gust.json", "gust.png", "first-leak.png")


def write_gusts(
    found: dict[str, Any], gusts: Gusts, folder: Path, *, force: bool, picture: bool
) -> tuple[str, ...]:
    """Write what was found, its rose and, where wanted and there is one, a picture of the way in that
    decides; their names. Raises SceneError when the disk says no."""
    from scenes.gust_picture import draw_gusts

    text = json.dumps(found, indent=2, allow_nan=False) + "\n"
    decides = gusts.lowest if picture else None
    with fresh_folder(folder, force=force) as new:
        write_files(new, {NAMES[0]: text.encode()})
        draw_gusts(found, new / NAMES[1])
        if decides is not None:
            from scenes.picture import draw
            from scenes.stage import Stage

            stage = Stage.of(
                gusts.assembly, title=found["title"], note=verdict(found),
                deciding=decides.path, deciding_words=f"first at {decides.gust:.1f} m/s",
            )  # fmt: skip
            draw(stage, new / NAMES[2], view=_side_of(decides))
    return NAMES if decides is not None else NAMES[:2]


def _side_of(leak: FirstLeak) -> str:
    """The named view from the side of the stack on which the deciding path begins."""
    if leak.path is None:
        return "eaves"
    x, y, _ = leak.path.points[0]
    if abs(x) < abs(y) / 2:
        return "eaves" if y < 0 else "ridge"
    return "left" if x < 0 else "right"
