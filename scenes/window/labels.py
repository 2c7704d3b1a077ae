"""Letters, numbers and figures over the view of the window, laid out so that none overlap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkRenderingCore import vtkActor2D, vtkPolyDataMapper2D, vtkTextActor

from scenes.colours import INK, PAPER, Colour
from scenes.label_layout import Box, Wish, place
from scenes.window.drawing import polylines
from scenes.window.shown import Picked

Floats = NDArray[np.float64]

SIZE: Final = 17
MARGIN: Final = 10.0
"""Size of letters; labels keep so far from the border of the view [px]."""


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """Words at a point (3,) [m] of the stage, and what a click on them asks about. filled: paper letters
    on `ink`, else ink on paper; aside: they stand beside the point, with a line to it."""

    words: str
    point: Floats
    ink: Colour
    what: Picked | None
    filled: bool = False
    aside: bool = True


class Labels:
    """The labels in the overlay of the window."""

    def __init__(self, renderer: Any) -> None:
        self._renderer = renderer
        self._texts: list[Any] = []
        self._placed: list[tuple[Box, Picked | None]] = []
        self._mapper = vtkPolyDataMapper2D()
        leaders = vtkActor2D()
        leaders.SetMapper(self._mapper)
        leaders.GetProperty().SetColor(*pv.Color(INK).float_rgb)
        leaders.GetProperty().SetLineWidth(1.5)
        renderer.AddViewProp(leaders)

    def show(self, labels: Sequence[Label], flat: Floats, width: float, height: float) -> list[Box]:
        """Show labels whose points stand at flat (n, 2) [px] of a view of `width` x `height` [px]; those
        off it are left out. Returns the boxes taken [px]."""
        frame = Box(MARGIN, MARGIN, width - MARGIN, height - MARGIN)
        x, y = flat.reshape(-1, 2).T
        on = np.flatnonzero((x > 0) & (x < width) & (y > 0) & (y < height))
        wishes = []
        for rank, number in enumerate(on.tolist()):
            across, down = self._write(rank, labels[number])
            distance = 18.0 if labels[number].aside else 0.0
            clear = 5.0 if labels[number].aside else 1.0
            at = flat[number]
            wishes.append(Wish(at[0], at[1], across, down, distance=distance, keep_clear=clear))
        self._placed, leaders = [], []
        boxes = place(wishes, frame)
        for rank, (number, box) in enumerate(zip(on.tolist(), boxes, strict=True)):
            text = self._texts[rank]
            text.SetVisibility(box is not None)
            if box is None:
                continue
            self._placed.append((box, labels[number].what))
            text.SetPosition((box.left + box.right) / 2, height - (box.top + box.bottom) / 2)
            here, there = box.nearest_to(*flat[number]), tuple(flat[number])
            if here != there:
                leaders.append(
                    np.array([[here[0], height - here[1], 0], [there[0], height - there[1], 0]])
                )
        for text in self._texts[len(on) :]:
            text.SetVisibility(False)
        self._mapper.SetInputData(polylines(leaders))
        return [box for box, _ in self._placed]

    def at(self, x: float, y: float) -> Picked | None:
        """What the label at a pixel stands for."""
        for box, what in self._placed:
            if box.left <= x <= box.right and box.top <= y <= box.bottom:
                return what
        return None

    def _write(self, rank: int, label: Label) -> tuple[float, float]:
        """Make the text of a label; its size [px]."""
        if rank == len(self._texts):
            self._texts.append(vtkTextActor())
            self._renderer.AddViewProp(self._texts[rank])
        text = self._texts[rank]
        text.SetInput(f" {label.words} ")
        look = text.GetTextProperty()
        look.SetFontSize(SIZE)
        look.SetBold(True)
        look.SetJustificationToCentered()
        look.SetVerticalJustificationToCentered()
        ink, paper = pv.Color(label.ink).float_rgb, pv.Color(PAPER).float_rgb
        look.SetColor(*(paper if label.filled else ink))
        look.SetBackgroundColor(*(ink if label.filled else paper))
        look.SetBackgroundOpacity(1.0)
        look.SetFrame(True)
        look.SetFrameColor(*ink)
        bounds = [0.0] * 4
        text.GetBoundingBox(self._renderer, bounds)
        return bounds[1] - bounds[0] + 4, bounds[3] - bounds[2] + 4
