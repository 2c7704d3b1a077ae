"""What is seen of a stage from one camera: which piece at which pixel, which lines and
stretches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from meshes.parts import Assembly, Part
from scenes.label_layout import Box
from scenes.stage import Piece, Stage
from scenes.stage_camera import Camera, View
from scenes.stage_cut import runs
from scenes.stage_lines import edges, hidden, seen_and_hidden
from sim.cast import Caster
from sim.surface import Surface

Floats = NDArray[np.float64]

LOOK_STEP = 6
"""One ray every 6 pixels tells which pieces are seen and where their letters go."""

STRETCH = 5.0
"""Lines are tried for hiding every 5 pixels."""

CLOSE_OVER = 0.04
"""What stands this near before a point [m] lies over it."""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """Where a piece is seen best: the middle of its widest visible patch [px], and that patch's
    half width; `share` of the picture (0 to 1) is taken by the piece. point: the same spot on the
    piece itself, (3,) [m]."""

    x: float
    y: float
    half_width: float
    share: float
    point: Floats


class Sight:
    """A stage under a camera. Rays are exact (sim.cast), so a sheet 1 mm below another is
    hidden."""

    def __init__(self, stage: Stage, camera: Camera) -> None:
        self.stage, self.camera = stage, camera
        solid = [n for n, piece in enumerate(stage.pieces) if not piece.see_through]
        self.triangles = np.concatenate([stage.pieces[n].triangles for n in solid])
        counts = [len(stage.pieces[n].triangles) for n in solid]
        self.owner = np.repeat(np.array(solid), counts)
        self.caster = _caster(tuple(stage.pieces[n] for n in solid))

    def look(self, frame: Box, covered: Sequence[Box] = ()) -> tuple[dict[int, Spot], Floats]:
        """For each piece seen in `frame` [px], by its number in the stage: where to name it.

        And the grid (k, 3) of what was looked at: x, y [px] and the number of the piece, -1 for
        none. covered: boxes on the picture behind which nothing is seen.
        """
        across = np.arange(frame.left + LOOK_STEP / 2, frame.right, LOOK_STEP)
        down = np.arange(frame.top + LOOK_STEP / 2, frame.bottom, LOOK_STEP)
        grid = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
        origins, rays = self._rays(grid)
        distance, face = self.caster.first_hit(origins, rays)
        free = face >= 0
        for box in covered:
            x, y = grid[:, 0], grid[:, 1]
            free &= (x < box.left) | (x > box.right) | (y < box.top) | (y > box.bottom)
        seen = np.where(free, self.owner[face], -1).reshape(len(down), len(across))
        spots = {}
        for number in np.unique(seen[seen >= 0]):
            here = np.pad(seen == number, 1)
            inner = ndimage.distance_transform_cdt(here, metric="chessboard")[1:-1, 1:-1]
            row, column = np.unravel_index(int(inner.argmax()), inner.shape)
            half = float(inner[row, column]) * LOOK_STEP
            share = float((seen == number).mean())
            ray = row * len(across) + column
            point = origins[ray] + distance[ray] * rays[ray]
            spots[int(number)] = Spot(grid[ray, 0], grid[ray, 1], half, share, point)
        return spots, np.column_stack([grid, seen.ravel()])

    def _rays(self, pixels: Floats) -> tuple[Floats, Floats]:
        """Where rays through pixels (n, 2) begin, before all that is shown, and their ways: (n, 3) each."""
        eye = self.camera.eye
        if eye is not None:
            ways = self.camera.unproject(pixels) - eye
            ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
            return np.broadcast_to(eye, ways.shape).copy(), ways
        middle = np.array(self.camera.focus)
        reach = float(np.abs(self.triangles.reshape(-1, 3) - middle).sum(axis=1).max()) + 1.0
        towards = self.camera.view.axes[2]
        ways = np.broadcast_to(-towards, (len(pixels), 3)).copy()
        return self.camera.unproject(pixels, reach), ways

    def hidden(self, points: Floats) -> NDArray[np.bool_]:
        """(n,) whether something stands between each point (n, 3) [m] and the viewer."""
        camera = self.camera
        return hidden(points, camera.towards(points), self.caster, camera.eye)

    def edges_of(self, triangles: Floats) -> tuple[Floats, Floats]:
        """Rims and folds of triangles (k, 3, 3), as `stage_lines.edges` has them, from this camera."""
        return edges(triangles, self.camera.towards(triangles.mean(axis=1)))

    def seen_edges(self, piece: Piece) -> tuple[Floats, Floats]:
        """What is seen of the rims and of the folds of a piece: segments (m, 2, 2) [px]."""
        rims, folds = self.edges_of(piece.triangles)
        return self._seen_segments(rims), self._seen_segments(folds)

    def _seen_segments(self, segments: Floats) -> Floats:
        """As `seen`, for very many segments (n, 2, 3) [m] at once."""
        before = self.camera.is_before(segments.reshape(-1, 3)).reshape(-1, 2).all(axis=1)
        segments = segments[before]
        flat = self.camera.project(segments.reshape(-1, 3)).reshape(-1, 2, 2)
        size = np.array([self.camera.width, self.camera.height])
        near = ((flat.max(axis=1) >= 0) & (flat.min(axis=1) <= size)).all(axis=1)
        segments, flat = segments[near], flat[near]
        long = np.linalg.norm(flat[:, 1] - flat[:, 0], axis=1)
        parts = np.maximum(np.ceil(long / STRETCH).astype(np.int64), 1)
        line = np.repeat(np.arange(len(parts)), parts)
        rank = np.arange(len(line)) - (np.cumsum(parts) - parts)[line]
        middle = ((rank + 0.5) / parts[line])[:, None]
        points = segments[line, 0] * (1 - middle) + segments[line, 1] * middle
        free = ~self.hidden(points)
        earlier, later = np.roll(free, 1), np.roll(free, -1)
        starts = np.flatnonzero(free & ((rank == 0) | ~earlier))
        stops = np.flatnonzero(free & ((rank == parts[line] - 1) | ~later))
        ends = []
        for piece, share in ((starts, rank[starts]), (stops, rank[stops] + 1)):
            part = (share / parts[line[piece]])[:, None]
            ends.append(flat[line[piece], 0] * (1 - part) + flat[line[piece], 1] * part)
        return np.stack(ends, axis=1)

    def seen(self, lines: list[Floats]) -> tuple[list[Floats], list[Floats]]:
        """Polylines (k, 3) [m] as what is seen of them, and what is hidden: (k, 2) [px] each."""
        near = [line for line in self.before_the_eye(lines) if self._near(line)]
        step = STRETCH * self.camera.scale
        seen: list[Floats] = []
        covered: list[Floats] = []
        for line, free in seen_and_hidden(near, self.hidden, step):
            flat = self.camera.project(line)
            seen += runs(flat, free)
            covered += runs(flat, ~free)
        return seen, covered

    def beneath(self, lines: list[Floats]) -> list[Floats]:
        """What of polylines (k, 3) [m] a sheet close over it hides and nothing else: (k, 2) [px] each."""

        def elsewise(points: Floats) -> NDArray[np.bool_]:
            over = self.hidden(points)
            over[over] = ~self.hidden(points[over] + CLOSE_OVER * self.camera.towards(points[over]))
            return ~over

        near = [line for line in self.before_the_eye(lines) if self._near(line)]
        fine = seen_and_hidden(near, elsewise, STRETCH * self.camera.scale)
        return [part for line, free in fine for part in runs(self.camera.project(line), free)]

    def before_the_eye(self, lines: list[Floats]) -> list[Floats]:
        """What of polylines (k, 3) [m] lies before the eye."""
        if self.camera.eye is None:
            return lines
        kept = []
        for line in lines:
            before = self.camera.is_before(line)
            kept += runs(line, before[1:] & before[:-1])
        return kept

    def _near(self, line: Floats) -> bool:
        """False for a line that lies wholly off the picture."""
        flat = self.camera.project(line)
        low, high = flat.min(axis=0), flat.max(axis=0)
        size = np.array([self.camera.width, self.camera.height])
        return bool((high >= 0).all() and (low <= size).all())


def clear_view(stage: Stage, point: Floats) -> View:
    """The first of a stage's views from which nothing hides a point (3,) [m]; its first where each does."""
    caster = _caster(stage.pieces)
    for view in stage.views:
        if not hidden(point[None], view.axes[2], caster)[0]:
            return view
    return stage.views[0]


def _caster(pieces: tuple[Piece, ...]) -> Caster:
    """Rays against the pieces as shown (cut open where they are)."""
    parts = []
    for piece in pieces:
        corners = piece.triangles.reshape(-1, 3)
        faces = np.arange(len(corners), dtype=np.int32).reshape(-1, 3)
        parts.append(Part(piece.name, piece.role, corners, faces))
    return Caster.of(Surface.of(Assembly(tuple(parts))))
