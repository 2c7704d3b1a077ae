"""The picture of a report: the view alone, for the words beside it stand in the report."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from PIL import Image

from scenes.picture import PANEL
from scenes.picture_page import PAGE_HEIGHT


def view_alone(file: Path) -> bytes:
    """A picture that `scenes.picture.draw` wrote, without its column of words, as a PNG file."""
    with Image.open(file) as whole:
        width = round(whole.width - PANEL * whole.height / PAGE_HEIGHT)
        view = whole.crop((0, 0, width, whole.height))
    held = BytesIO()
    view.save(held, format="PNG", optimize=True)
    return held.getvalue()
