"""Frames of a film: a roof drawn once, large, and the drops and words of each moment over it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scenes.colours import BEHIND, INK, PAPER, QUIET_INK, WATER
from scenes.film.shots import Look, look_at, shots
from scenes.film.tracks import Tracks
from scenes.label_layout import Box
from scenes.picture import Begun
from scenes.picture_page import PAGE_HEIGHT, Page
from scenes.stage import Stage
from scenes.stage_camera import Camera
from sim.trace import Paths

Floats = NDArray[np.float64]

SHARP: Final = 2.4
"""How many times larger than a frame the roof is drawn, so that it stays sharp from near by."""
CAPTION: Final = 112.0
"""Height of the words under the view [units of the page]."""
DROP: Final = 4.6
LOST: Final = 6.5
LEAK: Final = 17.0
"""Radii of drops that stay outside, of those that get behind, and of a leak's number [units of the page]."""


@dataclass(frozen=True, slots=True, eq=False)
class Reel:
    """One roof, ready to be shown at any moment. roof: the picture of it; camera: its view; keys: what is
    drawn on it that water must not cover [units of the page]; size [px] of a frame; slow: how many times
    slower than in truth drops move."""

    stage: Stage
    camera: Camera
    roof: Image.Image
    tracks: Tracks
    looks: tuple[Look, ...]
    keys: tuple[Box, ...]
    size: tuple[int, int]
    slow: float

    @staticmethod
    def of(
        stage: Stage, paths: Paths, times: Floats, enters: Floats, camera: Camera,
        size: tuple[int, int], *, slow: float,
    ) -> Reel:  # fmt: skip
        """stage: what is shown; paths (k,) with their times (n,) [s], and when each gets in (k,) [s];
        camera: see `camera_of`; size (width, height) [px] of a frame."""
        pixel = SHARP * size[1] / PAGE_HEIGHT
        large = (round(SHARP * size[0]), round(SHARP * size[1]))
        bare = replace(stage, paths=(), leaks=(), laps=(), pools=())
        begun = Begun.of(bare, camera, large, pixel)
        tracks = Tracks.of(paths, times, enters, begun.sight)
        looks = shots(stage, camera)
        return Reel(
            stage, camera, begun.page.finished(), tracks, looks, tuple(begun.keys), size, slow
        )

    def frame(self, share: float, seconds: float, looks: tuple[Look, ...]) -> Image.Image:
        """The picture after a share (0 to 1) of the film, so many seconds after its start; looks: where
        the camera goes, its own or those of another roof under the same camera."""
        look = look_at(looks, share)
        width, height = self.camera.width, self.camera.height
        half = np.array([width, height]) / 2 / look.near
        corner = look.middle - half
        scale = self.roof.height / PAGE_HEIGHT
        crop = [*(corner * scale), *((look.middle + half) * scale)]
        view = (self.size[0], round(self.size[1] * height / PAGE_HEIGHT))
        sheet = Image.new("RGB", self.size, PAPER)
        sheet.paste(self.roof.resize(view, Image.Resampling.BILINEAR, box=tuple(crop)), (0, 0))
        page = Page(sheet)
        self._drops(page, look, corner, seconds / self.slow)
        for leak in self.stage.leaks:
            x, y = (self.camera.project(leak.point[None])[0] - corner) * look.near
            if -LEAK < x < width + LEAK and -LEAK < y < height - LEAK:
                page.disc(x, y, LEAK, BEHIND, PAPER)
                page.text(x, y, str(leak.number), 22, PAPER, anchor="mm", bold=True)
        self._words(page, look)
        return page.finished()

    def _drops(self, page: Page, look: Look, corner: Floats, moment: float) -> None:
        at, unseen, behind = self.tracks.moment(moment)
        grown = look.near**0.5
        clear = ~self._under_keys(at) & ~(unseen & ~behind)
        at, unseen, behind = at[clear], unseen[clear], behind[clear]
        for (x, y), covered, lost in zip((at - corner) * look.near, unseen, behind, strict=True):
            if not (-10 < x < self.camera.width + 10 and -10 < y < self.camera.height - 8):
                continue
            radius = (LOST if lost else DROP) * grown
            colour = BEHIND if lost else WATER
            # A ring is water out of sight: not by its colour alone.
            page.disc(x, y, radius, PAPER if covered else colour, colour if covered else PAPER)

    def _under_keys(self, at: Floats) -> NDArray[np.bool_]:
        under = np.zeros(len(at), dtype=bool)
        for key in self.keys:
            x, y = at.T
            under |= (x > key.left) & (x < key.right) & (y > key.top) & (y < key.bottom)
        return under

    def _words(self, page: Page, look: Look) -> None:
        width, top = self.camera.width, self.camera.height
        page.box(Box(0, top, width, PAGE_HEIGHT), PAPER)
        page.line(np.array([[0, top], [width, top]]), QUIET_INK, 1.5)
        words = look.words if look.near > 1 and self.stage.leaks else self.stage.verdict
        lines = page.wrap(f"{self.stage.title}. {words}", 26, width - 32, most=2)
        for number, line in enumerate(lines):
            page.text(16, top + 22 + 30 * number, line, 26, INK, bold=number == 0)
        told = "as fast as" if self.slow == 1 else f"{self.slow:g} times slower than"
        foot = (
            f"Filled: seen. Ring: out of sight. Red and larger: behind the flashings. Water moves {told} in"
            " truth. This explains; it certifies nothing."
        )
        rows = page.wrap(foot, 16, width - 32, most=2)
        for number, row in enumerate(rows):
            page.text(16, PAGE_HEIGHT - 12 - 20 * (len(rows) - 1 - number), row, 16, QUIET_INK)


def camera_of(stages: list[Stage], view: str, size: tuple[int, int]) -> Camera:
    """The camera that holds all the stages in frames of a size [px], over their words."""
    width = size[0] / size[1] * PAGE_HEIGHT
    named = {one.name: one for one in stages[0].views}
    target = np.concatenate([stage.target for stage in stages])
    return Camera.fit(named[view], target, width, PAGE_HEIGHT - CAPTION, margin=0.06)
