"""A sheet of paper for flat pictures: words, lines and marks placed by the pixel, and measured.

Figures are said in the units that are spoken."""

from __future__ import annotations

import logging
import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from meshes.errors import SceneError
from scenes.colours import INK, PAPER, Colour
from scenes.label_layout import Box
from scenes.units_text import in_spoken

logging.getLogger("matplotlib").setLevel(logging.ERROR)
"""It complains, at import, of a home that can't be written to."""

DPI: Final = 100
POINTS: Final = 72 / DPI
"""Letters are measured in points, all else in pixels."""
ON_TOP: Final = 5
KEPT: Final = re.compile(r" (?=(?:m/s|km/h|mph)(?!\w))|(?<=[0-9]) (?=[0-9]+/[0-9])")
"""Spaces that no line is broken at."""


@contextmanager
def plain_settings() -> Iterator[None]:
    """Draw as this program wants it, whatever the user's own plotting settings say."""
    import matplotlib

    with matplotlib.rc_context(), warnings.catch_warnings():
        # A letter that the font lacks is drawn as a box: no reason to say so on every run.
        warnings.filterwarnings("ignore", message="Glyph")
        matplotlib.rcdefaults()
        yield


class Sheet:
    """A picture under construction; x runs right and y down [px]. `words` are the boxes of all
    words written so far, with what they say."""

    def __init__(self, width: int, height: int) -> None:
        import matplotlib
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
        from matplotlib.font_manager import FontProperties

        self._figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI, facecolor=_rgb(PAPER))
        self._canvas = FigureCanvasAgg(self._figure)
        self._axes = self._figure.add_axes((0, 0, 1, 1))
        self._axes.set_axis_off()
        self._axes.set_xlim(0, width)
        self._axes.set_ylim(height, 0)
        fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
        self._face = {
            bold: FontProperties(fname=str(fonts / f"DejaVuSans{'-Bold' * bold}.ttf"))
            for bold in (False, True)
        }
        self._height = height
        self.words: list[tuple[str, Box]] = []

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        colour: Colour = INK,
        *,
        align: str = "left",
        bold: bool = False,
        turned: float = 0.0,
        halo: bool = False,
    ) -> Box:
        """One line of words at (x, y), upright in the middle of y; turned [degrees]; their box."""
        words = in_spoken(words)
        if not words:
            return Box(x, y, x, y)
        written = self._axes.text(
            x, y, words, color=_rgb(colour), ha=align, va="center", rotation=turned,
            fontproperties=self._face[bold], fontsize=size * POINTS, parse_math=False,
            zorder=ON_TOP,
        )  # fmt: skip
        if halo:
            written.set_bbox({"facecolor": _rgb(PAPER), "edgecolor": "none", "pad": 1.0})
        found = written.get_window_extent(self._canvas.get_renderer())
        box = Box(found.x0, self._height - found.y1, found.x1, self._height - found.y0)
        self.words.append((words, box))
        return box

    def measure(self, words: str, size: float, *, bold: bool = False) -> float:
        """Width of a line of words [px]."""
        words = in_spoken(words)
        face = self._face[bold].copy()
        face.set_size(size * POINTS)
        width, _, _ = self._canvas.get_renderer().get_text_width_height_descent(words, face, False)
        return float(width)

    def wrapped(
        self, words: str, size: float, width: float, *, most: int, bold: bool = False
    ) -> list[str]:
        """Lines no wider than `width`; what does not fit into `most` of them ends in three dots."""
        lines = [""]
        for word in KEPT.sub("\u00a0", in_spoken(words)).split(" "):
            longer = f"{lines[-1]} {word}".strip()
            if self.measure(longer, size, bold=bold) <= width or not lines[-1]:
                lines[-1] = longer
            else:
                lines.append(word)
        kept = [*lines[: most - 1], f"{lines[most - 1]} ..."] if len(lines) > most else lines
        return [self._shortened(line, size, width, bold) for line in kept]

    def _shortened(self, line: str, size: float, width: float, bold: bool) -> str:
        if self.measure(line, size, bold=bold) <= width:
            return line
        while line and self.measure(f"{line}...", size, bold=bold) > width:
            line = line[:-1]
        return f"{line}..."

    def line(
        self, points: Sequence[tuple[float, float]], colour: Colour, width: float, *,
        dashed: bool = False, layer: float = 2,
    ) -> None:  # fmt: skip
        """A polyline of two points or more."""
        x, y = zip(*points, strict=True)
        style = (0, (4, 3)) if dashed else "solid"
        self._axes.plot(
            x, y, color=_rgb(colour), linewidth=width * POINTS, linestyle=style, zorder=layer
        )

    def polygon(
        self, points: Sequence[tuple[float, float]], fill: Colour | None,
        edge: Colour | None = None, width: float = 1.0, layer: float = 1,
    ) -> None:  # fmt: skip
        """A closed outline."""
        from matplotlib.patches import Polygon

        self._add(Polygon(list(points), closed=True, **_look(fill, edge, width, layer)))

    def circle(
        self, x: float, y: float, radius: float, fill: Colour | None,
        edge: Colour | None = None, width: float = 1.0, *, dashed: bool = False, layer: float = 1,
    ) -> None:  # fmt: skip
        """A circle, full or open."""
        from matplotlib.patches import Circle

        style = "dashed" if dashed else "solid"
        self._add(Circle((x, y), radius, linestyle=style, **_look(fill, edge, width, layer)))

    def save(self, file: str | Path) -> None:
        """Write it as a PNG without a date. Raises SceneError when the disk says no."""
        try:
            self._figure.savefig(file, format="png", dpi=DPI, metadata={"Software": None})
        except OSError as error:
            reason = error.strerror or error
            raise SceneError(f"picture {file} can't be written: {reason}") from error

    def _add(self, patch: Any) -> None:
        self._axes.add_patch(patch)


def _look(fill: Colour | None, edge: Colour | None, width: float, layer: float) -> dict[str, Any]:
    return {
        "facecolor": "none" if fill is None else _rgb(fill),
        "edgecolor": "none" if edge is None else _rgb(edge),
        "linewidth": width * POINTS,
        "zorder": layer,
    }


def _rgb(colour: Colour) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255
