"""The report as one HTML file: no script, nothing from a network, every word of a scene escaped."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scenes.lesson import TEMPLATES
from scenes.report.cut_told import CutTold
from scenes.report.told import told
from scenes.scene import Scene
from scenes.stage_words import LINES


def report_page(
    found: Mapping[str, Any], scene: Scene, picture: bytes | None, *, page: bool,
    cut: CutTold | None = None,
) -> str:  # fmt: skip
    """The report as text. found: what findings.json holds; picture: a PNG file, or None; page: whether
    page.html lies beside it; cut: the cut list, where it was asked for."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    pages = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    said = told(found, scene, picture, page=page)
    return pages.get_template("report.html").render(said, cut=cut, lines=LINES) + "\n"
