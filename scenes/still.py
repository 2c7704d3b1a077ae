"""One picture on its own: from a named side, close on a leak, with the pieces apart, or cut through."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.exploded import apart
from scenes.faults.apply import flashings_made_right, note_of
from scenes.folder import PREFIX
from scenes.scene import Scene
from scenes.stage import Stage
from scenes.stage_sight import clear_view

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


@contextmanager
def whole_file(file: Path, *, force: bool, endings: Sequence[str] = (".png",)) -> Iterator[Path]:
    """A file to draw to, which takes the place of `file` only if all went well."""
    check_file(file, force=force, endings=endings)
    try:
        handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=file.suffix, dir=file.parent)
    except OSError as error:
        raise _unwritable(file, error) from error
    os.close(handle)
    half = Path(name)
    try:
        yield half
        half.chmod(0o666 & ~_umask())
        half.replace(file)
    except OSError as error:
        raise _unwritable(file, error) from error
    finally:
        half.unlink(missing_ok=True)


def check_file(file: Path, *, force: bool, endings: Sequence[str] = (".png",)) -> None:
    """Refuse, before the work, a file that can't be written. Raises SceneError."""
    if file.suffix.lower() not in endings:
        raise SceneError(f"{file}: must end in {' or '.join(endings)}")
    if file.is_dir():
        raise SceneError(f"{file}: is a folder, so nothing can be written there")
    if os.path.lexists(file) and not force:
        raise SceneError(f"{file}: is there already; --force replaces it")
    if not file.absolute().parent.is_dir():
        raise SceneError(f"{file}: can't be written (no folder {file.parent})")


def _umask() -> int:
    """What a new file of this user is not allowed."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _unwritable(file: Path, error: OSError) -> SceneError:
    return SceneError(f"{file}: can't be written ({error.strerror or error})")
