"""A film of a scene, or of two side by side under one camera."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image

from meshes.errors import SceneError, require
from scenes.film.files import write_frames
from scenes.film.reel import Reel, camera_of
from scenes.run import Result, stage_of
from sim.entering import entering
from sim.passing import passing_times
from sim.storm import film_on

FPS: Final = 25
GIF_FPS: Final = 12
LONGEST: Final = 120.0
SMALLEST, LARGEST = 320, 1920


@dataclass(frozen=True, slots=True)
class Cut:
    """How a film is made. seconds: 1 to 120; size [px]: even, 320 to 1920 wide, 1.2 to 3 times as wide
    as high; view: a named one; slow: how many times slower than in truth water moves, 0.25 to 20.
    Raises SceneError."""

    seconds: float
    size: tuple[int, int]
    view: str
    slow: float

    def __post_init__(self) -> None:
        require(1 <= self.seconds <= LONGEST, "seconds", self.seconds, "1 to 120", SceneError)
        require(0.25 <= self.slow <= 20, "slow", self.slow, "0.25 to 20", SceneError)
        width, height = self.size
        fits = SMALLEST <= width <= LARGEST and 1.2 <= width / max(height, 1) <= 3
        even = width % 4 == 0 and height % 2 == 0
        rule = "320 to 1920 pixels wide, 1.2 to 3 times as wide as high, divisible by 4 and by 2"
        require(fits and even, "film size", f"{width} x {height}", rule, SceneError)


def reels(results: Sequence[Result], cut: Cut) -> list[Reel]:
    """A reel of each result, side by side under one camera where there are two."""
    stages = [stage_of(result) for result in results]
    size = (cut.size[0] // len(results), cut.size[1])
    camera = camera_of(stages, cut.view, size)
    made = []
    for result, stage in zip(results, stages, strict=True):
        times = passing_times(result.paths, film_on(result.charts, result.drops))
        how = entering(result.charts, result.paths, result.trace.fate[result.rows])
        enters = how.times(times)
        made.append(Reel.of(stage, result.paths, times, enters, camera, size, slow=cut.slow))
    return made


def frames(some: Sequence[Reel], cut: Cut, *, fps: int) -> Iterator[Image.Image]:
    """The frames of a film, one after the other. All reels look where the last one does, which is the
    one that leaks."""
    count = round(cut.seconds * fps)
    looks = some[-1].looks
    for number in range(count):
        share = number / max(count - 1, 1)
        sides = [reel.frame(share, number / fps, looks) for reel in some]
        sheet = Image.new("RGB", cut.size)
        for place, side in enumerate(sides):
            sheet.paste(side, (place * side.width, 0))
        yield sheet


def write_film(some: Sequence[Reel], cut: Cut, file: Path, *, ending: str) -> int:
    """Write it; how many frames it has. Raises SceneError when the disk says no."""
    fps = GIF_FPS if ending == ".gif" else FPS
    write_frames(frames(some, cut, fps=fps), file, cut.size, fps=fps, ending=ending)
    return round(cut.seconds * fps)
