"""A folder of gust results: gust.json and gust.png, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from scenes.folder import fresh_folder, write_files

NAMES = ("gust.json", "gust.png")


def write_gusts(found: dict[str, Any], folder: Path, *, force: bool) -> tuple[str, ...]:
    """Write what was found and its picture; their names. Raises SceneError when the disk says no."""
    from scenes.gust_picture import draw_gusts

    text = json.dumps(found, indent=2, allow_nan=False) + "\n"
    with fresh_folder(folder, force=force) as new:
        write_files(new, {NAMES[0]: text.encode()})
        draw_gusts(found, new / NAMES[1])
    return NAMES
