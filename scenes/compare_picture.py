"""Two views under one camera side by side, and the column of words beside them."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from PIL import Image

from meshes.errors import SceneError
from scenes import opengl
from scenes.colours import BEHIND, GOOD, INK, PAPER, RULE_LINE, SKY, Colour
from scenes.compare import Comparison
from scenes.compare_marks import draw_differences, out_of_sight, seen_length
from scenes.compare_stage import Differs, differing, stages
from scenes.compare_words import (
    IN_THIS_WEATHER,
    SIDES,
    WRONG,
    difference,
    is_fine,
    labels,
    short_effect,
    titles,
)
from scenes.label_layout import Box
from scenes.picture import PANEL, Begun, worth_naming
from scenes.picture_page import Page
from scenes.picture_panel import draw_panel
from scenes.picture_strokes import Stroke
from scenes.picture_view import draw_marks
from scenes.stage import LeakMark, Stage
from scenes.stage_camera import Camera, View
from scenes.stage_sight import Sight
from scenes.stage_words import percent

SIZE = (2000, 1000)
"""Width and height of the picture [px]; a pixel is a unit of its page."""
HEAD = 136
"""Height of the band over a view that says which it is [px]."""
TITLE_SIZES = (27, 24, 22, 20)
"""Sizes of a view's title [px]: the largest that fits; what is longer still ends in dots."""
CLEARLY_BETTER = 1.25
"""Another view than that from the eaves is taken when it shows so many times more of what differs."""
UNTRIED = "plan"


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """The picture, each view by itself, the boxes of the labels of each view [px, in the view], and the
    camera of both."""

    whole: Image.Image
    views: tuple[Image.Image, Image.Image]
    boxes: tuple[list[Box], list[Box]]
    camera: Camera


def draw(comparison: Comparison) -> Drawn:
    """Draw both results under the camera that shows most of what differs.

    The same comparison gives the same picture on one machine. Raises SceneError where OpenGL is
    missing.
    """
    missing = opengl.problem()
    if missing:
        raise SceneError(missing)
    both, marks = stages(comparison), differing(comparison)
    camera = _camera(both, marks)
    shown = worth_naming(both[0], camera) | worth_naming(both[1], camera)
    one, two = (_only(stage, shown) for stage in both)
    size = (round(camera.width), round(camera.height))
    begun = [
        Begun.of(stage, camera, size, 1.0, partial(draw_differences, differs=differs))
        for stage, differs in zip((one, two), marks, strict=True)
    ]
    whole = Image.new("RGB", SIZE, SKY)
    page = Page(whole)
    seen = [{view.sight.stage.pieces[n].name for n in view.spots} for view in begun]
    panel = _merged(comparison, one, two)
    rows = [n for n, piece in enumerate(panel.pieces) if piece.name in seen[0] | seen[1]]
    column = Box(SIZE[0] - PANEL, 0, SIZE[0], SIZE[1])
    listed = draw_panel(page, column, panel, rows, drawn=_lines(begun, marks))
    numbers = {leak.number for leak in panel.leaks[:listed]}
    boxes = [_mark(view, one, numbers) for view, one in zip(begun, marks, strict=True)]
    for rank, stage in enumerate((one, two)):
        _head(page, rank * camera.width, camera.width, comparison, rank, stage)
    first, second = (view.page.finished() for view in begun)
    whole = page.finished()
    whole.paste(first, (0, HEAD))
    whole.paste(second, (size[0], HEAD))
    divider = Image.new("RGB", (2, SIZE[1]), RULE_LINE)
    whole.paste(divider, (size[0] - 1, 0))
    return Drawn(whole, (first, second), (boxes[0], boxes[1]), camera)


def _lines(begun: Sequence[Begun], marks: Sequence[Sequence[Differs]]) -> set[Stroke]:
    """The kinds of line in either view, with the outlines of what differs, and of how that lies on the
    other side."""
    every = [one for side in marks for one in side]
    differs = {Stroke.DIFFERS} if every else set()
    other = {Stroke.OTHER_SIDE} if any(len(one.there) > 0 for one in every) else set()
    return begun[0].drawn | begun[1].drawn | differs | other


def png(image: Image.Image) -> bytes:
    """The image as the bytes of a PNG file."""
    held = io.BytesIO()
    image.save(held, format="PNG", optimize=True)
    return held.getvalue()


def _mark(begun: Begun, differs: Sequence[Differs], numbers: set[int]) -> list[Box]:
    """Draw the marks of one view, with the names of what differs; the boxes of its labels."""
    leaks = [leak for leak in begun.sight.stage.leaks if leak.number in numbers]
    return draw_marks(
        begun.page, begun.sight, begun.frame, (begun.spots, begun.grid), leaks, begun.keys,
        differing=[one.name for one in differs],
        unseen=out_of_sight(begun.sight, differs, begun.spots),
    )  # fmt: skip


def _camera(both: Sequence[Stage], marks: Sequence[Sequence[Differs]]) -> Camera:
    """The same for both: fitted to all that either must show, from where most of what differs is
    seen."""
    target = np.concatenate([stage.target for stage in both])

    def fitted(view: View) -> Camera:
        width, height = (SIZE[0] - PANEL) / 2, SIZE[1] - HEAD
        return Camera.fit(view, target, width, height, margin=0.08)

    cameras = [fitted(view) for view in both[0].views if view.name != UNTRIED]
    seen = [
        sum(seen_length(Sight(stage, camera), one) for stage, one in zip(both, marks, strict=True))
        for camera in cameras
    ]
    best = int(np.argmax(seen))
    return cameras[best if seen[best] > CLEARLY_BETTER * seen[0] else 0]


def _only(stage: Stage, names: set[str]) -> Stage:
    return replace(stage, pieces=tuple(piece for piece in stage.pieces if piece.name in names))


def _merged(comparison: Comparison, one: Stage, two: Stage) -> Stage:
    """What the column of words tells of both."""
    found, names = comparison.found, labels(comparison.found)
    known = {piece.name for piece in one.pieces}
    laps = {lap.words + lap.label: lap for stage in (one, two) for lap in stage.laps}
    pieces = (*one.pieces, *(piece for piece in two.pieces if piece.name not in known))
    return replace(
        two,
        title=" and ".join((names[0], names[1].lower())),
        note=". ".join(difference(found)) or "Nothing differs.",
        verdict=short_effect(found),
        shares="",
        bad=not is_fine(found["second"]),
        clear=names[1] != WRONG and is_fine(found["second"]),
        pieces=tuple(sorted(pieces, key=lambda piece: (len(piece.letter), piece.letter))),
        paths=(*one.paths, *two.paths),
        leaks=tuple(_leak(row, names) for row in found["leaks"]),
        laps=tuple(laps.values()),
    )


def _leak(row: dict[str, object], names: tuple[str, str]) -> LeakMark:
    found: list[dict[str, object]] = []
    shares = []
    for side, name in zip(SIDES, names, strict=True):
        leak = row[side]
        if isinstance(leak, dict):
            found.append(leak)
            shares.append(f"{name.lower()} {percent(float(leak['share']))}")
    point = np.asarray(found[-1]["point_mm"], dtype=float) / 1000
    number = row["number"]
    assert isinstance(number, int)
    return LeakMark(number, point, f"{found[-1]['way_in']}: {', '.join(shares)}")


def _head(
    page: Page, left: float, width: float, comparison: Comparison, rank: int, stage: Stage
) -> None:
    """The band over a view: a tick or a cross, which it is with its title, and its verdict."""
    bounds = np.array([(left, 0), (left + width, 0), (left + width, HEAD), (left, HEAD)])
    page.polygon(bounds, PAPER)
    name, title = labels(comparison.found)[rank], titles(comparison.found)[rank]
    ink: Colour = BEHIND if stage.bad else GOOD if stage.clear else INK
    x, room = left + 84, width - 84 - 24
    wrong = name == WRONG
    _sign(page, left + 46, 42, BEHIND if wrong else ink, good=not (stage.bad or wrong))
    head = f"{name}: {title}"
    size = next(
        (size for size in TITLE_SIZES if page.measure(head, size) < room / 1.04), TITLE_SIZES[-1]
    )
    (line,) = page.wrap(head, size, room / 1.04, most=1)
    page.text(x, 34, line, size, INK, bold=True)
    unshown = wrong and not stage.bad
    verdict = f"{stage.verdict}, {IN_THIS_WEATHER}" if unshown else stage.verdict
    lines = page.wrap(verdict, 21, room / 1.04, most=2)
    for row, line in enumerate(lines):
        page.text(x, 68 + 26 * row, line, 21, INK if unshown else ink, bold=True)
    (shares,) = page.wrap(stage.shares, 16, room, most=1)
    page.text(x, 68 + 26 * len(lines), shares, 16, INK)


def _sign(page: Page, x: float, y: float, ink: Colour, *, good: bool) -> None:
    """A tick, or a cross."""
    strokes = (
        [[(-16, 2), (-5, 14), (18, -14)]]
        if good
        else [[(-14, -14), (14, 14)], [(-14, 14), (14, -14)]]
    )
    for stroke in strokes:
        page.line(np.array(stroke) + np.array((x, y)), ink, 7)
