"""One picture on its own: from a named side, close on a leak, with the pieces apart, or cut through."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.exploded import apart
from scenes.faults.apply import flashings_made_right, note_of
from scenes.scene import Scene
from scenes.stage import Stage
from scenes.stage_sight import clear_view
from scenes.whole_file import whole_file

if TYPE_CHECKING:
    from scenes.run import Result

CLOSE: Final = 0.15
"""A close view holds so much round a leak [m]."""


def pieces_apart(scene: Scene) -> Stage:
    """The scene's pieces drawn apart in the order in which they are dressed, without water. Raises
    SceneError for what can't be built."""
    assembly, known = assemble(scene), flashings_made_right(scene)
    stage = Stage.of(assembly, title=scene.title, note=note_of(scene), known=known)
    return apart(stage, assembly)


def close_on(result: Result, stage: Stage, number: int) -> tuple[str, NDArray[np.float64]]:
    """The view that sees a leak, and what it must hold (2, 3) [m]. Raises SceneError for no such leak."""
    count = len(stage.leaks)
    here = f"there {'is' if count == 1 else 'are'} {count or 'none'} in this rain"
    if not 1 <= number <= count:
        raise SceneError(f"--leak must be the number of a leak, and {here}. Got {number}")
    point = next(leak.point for leak in stage.leaks if leak.number == number)
    return clear_view(stage, point).name, np.stack([point - CLOSE, point + CLOSE])


def write_still(
    stage: Stage, file: Path, size: tuple[int, int], *, view: str,
    hold: NDArray[np.float64] | None, force: bool, perspective: bool = False,
) -> None:  # fmt: skip
    """Write a PNG whole or not at all, arguments as `picture.draw`. Raises SceneError when it is there (no
    `force`), when there is no OpenGL, and when the disk says no."""
    from scenes.picture import draw

    with whole_file(file, force=force) as half:
        draw(stage, half, size, view=view, hold=hold, perspective=perspective)


def write_section(
    scene: Scene, where: Sequence[tuple[float, float]], file: Path, size: tuple[int, int], *,
    force: bool,
) -> None:  # fmt: skip
    """Write a section, where: two points of its line in plan [mm], whole or not at all. Raises SceneError
    for what can't be built or cut, and as `write_still`."""
    from scenes.section import draw_section
    from scenes.section_cut import Plane

    one, other = ((right / 1000, up / 1000) for right, up in where)
    plane = Plane.through(one, other)
    with whole_file(file, force=force) as half:
        draw_section(assemble(scene), plane, half, size, title=scene.title, note=note_of(scene))
