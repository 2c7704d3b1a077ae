"""A folder with a comparison, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

from scenes.compare import Comparison
from scenes.folder import fresh_folder, write_files
from scenes.lesson import lesson_page
from scenes.page.page import script_lacks
from scenes.page.wording import english
from scenes.page.write import pair_text, too_large
from scenes.progress import Remarks

NAMES = ("compare.json", "lesson.html", "page.html", "compare.png")


def write_comparison(
    comparison: Comparison, folder: Path, *, force: bool, picture: bool, remarks: Remarks
) -> tuple[str, ...]:
    """Write compare.json, lesson.html, page.html and, where wanted, compare.png; their names. Without a
    picture the lesson has none either. Raises SceneError when the disk says no."""
    text = json.dumps(comparison.found, indent=2, allow_nan=False) + "\n"
    files = {NAMES[0]: text.encode()}
    views = None
    if picture:
        from scenes.compare_picture import draw, png

        with remarks.step("Drawing the picture"):
            drawn = draw(comparison)
            files[NAMES[3]] = png(drawn.whole)
            views = (png(drawn.views[0]), png(drawn.views[1]))
    files[NAMES[1]] = lesson_page(comparison.found, views).encode()
    lack = script_lacks()
    if not lack:
        page = pair_text(comparison, english())
        lack = too_large(page)
        files |= {} if lack else {NAMES[2]: page.encode()}
    if lack:
        remarks.say(f"{NAMES[2]} is left out: {lack}")
    with fresh_folder(folder, force=force) as new:
        write_files(new, files)
    return tuple(name for name in NAMES if name in files)
