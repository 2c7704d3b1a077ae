"""The typeface of printed pages, embedded in every PDF: DejaVu Sans, from the files of matplotlib.

Its licence (LICENSE_DEJAVU beside the files) lets it be used, embedded and passed on free of charge; its
own changes are in the public domain.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Final

from scenes.paper.sizes import POINT

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

FILES: Final = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
"""By whether it is bold."""
FAMILY: Final = "DejaVu Sans"


def font_file(bold: bool) -> Path:
    """Where the typeface lies on this machine."""
    found = find_spec("matplotlib")
    assert found is not None, "matplotlib is a dependency"
    assert found.origin is not None
    return Path(found.origin).parent / "mpl-data" / "fonts" / "ttf" / FILES[bold]


@cache
def font(bold: bool) -> TTFont:
    """The typeface as reportlab takes it."""
    from reportlab.pdfbase.ttfonts import TTFont

    return TTFont("PaperBold" if bold else "Paper", str(font_file(bold)))


def width_of(text: str, points: float, bold: bool = False) -> float:
    """How wide a text runs [mm] in letters of so many points."""
    return float(font(bold).stringWidth(text, points)) * POINT


def above(points: float) -> float:
    """How far letters reach above their line [mm]."""
    return float(font(False).face.ascent) / 1000 * points * POINT


def below(points: float) -> float:
    """How far letters reach below their line [mm]."""
    return -float(font(False).face.descent) / 1000 * points * POINT
