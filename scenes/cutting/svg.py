"""A pattern as an SVG at full size, with what is needed to cut and fold it, and the folded piece beside."""

from __future__ import annotations

import re
from math import ceil
from textwrap import wrap
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from scenes.cutting.drawing import LAYERS, Drawing, Layer, drawing_of
from scenes.cutting.folded_view import View, folded_view
from scenes.cutting.lettering import WIDE
from scenes.cutting.pattern import Pattern
from scenes.cutting.runs import joints_together
from scenes.cutting.say_pattern import bend_rows, lap_words, note_words, size_words, worked_words

STYLE: dict[Layer, str] = {
    "cut": 'stroke="#000" stroke-width="{thick}"',
    "bend up": 'stroke="#0a4f9e" stroke-width="{thin}" stroke-dasharray="{dash} {gap}"',
    "bend down": 'stroke="#a03c00" stroke-width="{thin}" stroke-dasharray="{dash} {gap} {dot} {gap}"',
    "mark": 'stroke="#555" stroke-width="{fine}"',
}
"""Cuts are whole lines, bends up dashed, bends down dashed and dotted: they differ without colour."""
KEY = {"cut": "cut", "bend up": "bend up, towards you", "bend down": "bend down, away from you"}
NOT_IN_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Letters that no XML may hold, escaped or not."""
COLUMN = 58  # letters in a line of the column beside the pattern
LEAST_ROWS = 40  # lines that a column may have, however low the pattern
DECIMALS = 4  # of a millimetre


def svg_of(pattern: Pattern, title: str, material: str, mass: float) -> str:
    """The SVG, its units millimetres of width, height and view box alike. title: of the scene, escaped
    here; material: name of it; mass: of the blank [kg]."""
    drawing = drawing_of(pattern)
    letter = drawing.letter
    low, high = drawing.box
    title = NOT_IN_XML.sub("?", title)
    words = _words(pattern, title, material, mass)
    column = COLUMN * WIDE * letter * 0.9
    view = folded_view(pattern.folded, pattern.facets, column * 0.8)
    lines = _lines(words)
    tail = ceil((view.size[1] + 3 * letter) / (1.5 * letter)) + len(KEY) + 2
    rows = max(LEAST_ROWS, tail, int((high[1] - low[1]) / (1.5 * letter)))
    columns = [lines[k : k + rows] for k in range(0, len(lines), rows)]
    if len(columns) > 1 and len(columns[-1]) + tail > rows:
        columns.append([])
    tall = (max(len(columns[0]), len(columns[-1]) + tail) + 2) * 1.5 * letter
    margin = 2 * letter
    width = high[0] - low[0] + len(columns) * column + 4 * margin
    height = max(high[1] - low[1], tall) + 2 * margin
    left, top = margin - low[0], margin + high[1]

    def placed(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.column_stack([left + points[:, 0], top - points[:, 1]])

    beside = left + high[0] + 2 * margin
    body = [_layer(name, drawing, placed) for name in LAYERS]
    body.append(_texts(drawing, placed))
    for some in columns:
        body.append(_about(some, beside, margin, letter, first=some is columns[0]))
        beside += column
    beside -= column
    below = margin + (len(columns[-1]) + 1) * 1.5 * letter
    body.append(_key(beside, below, letter))
    body.append(_folded(view, beside, below + (len(KEY) + 1) * 1.5 * letter, letter))
    name = escape(f"{pattern.name}: {title}")
    size = f"{_figure(width)} {_figure(height)}"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_figure(width)}mm" '
        f'height="{_figure(height)}mm" viewBox="0 0 {size}" fill="none" '
        'font-family="DejaVu Sans, Arial, sans-serif" stroke-linejoin="round">\n'
        f"<title>{name}</title>\n<desc>{escape(' '.join(words))}</desc>\n"
        f'<rect width="{_figure(width)}" height="{_figure(height)}" fill="#fff"/>\n'
        + "\n".join(body)
        + "\n</svg>\n"
    )


def _words(pattern: Pattern, title: str, material: str, mass: float) -> list[str]:
    """What stands beside the pattern, a paragraph each."""
    hand = f", {pattern.hand} hand" if pattern.hand != "none" else ""
    number = f", cut {pattern.count}" if pattern.count > 1 else ""
    found = [
        f"{pattern.name}{hand}{number}",
        title,
        f"{material}, {mass:.2f} kg, {size_words(pattern)} mm, full size, wet side up",
    ]
    if pattern.count > 1:
        found.append("for " + ", ".join(pattern.alike))
    found += [f"{mark}: {words}" for mark, words in bend_rows(pattern)]
    if dressed := len(pattern.folds) - len(pattern.numbered):
        found.append(f"bend lines without a number ({dressed}): narrow edges, dressed by hand")
    found += [worked_words(some) for some in joints_together(pattern.worked)]
    found += [lap_words(one) for one in pattern.laps]
    return found + [note_words(note) for note in pattern.notes]


def _lines(words: list[str]) -> list[str]:
    found = []
    for text in words:
        first, *rest = wrap(text, COLUMN) or [""]
        found += [first, *(f"   {line}" for line in rest)]
    return found


def _layer(name: Layer, drawing: Drawing, placed: object) -> str:
    assert callable(placed)
    letter = drawing.letter
    sizes = {
        "thick": letter / 14, "thin": letter / 18, "fine": letter / 32,
        "dash": letter * 0.9, "gap": letter * 0.35, "dot": letter * 0.12,
    }  # fmt: skip
    style = STYLE[name].format(**{key: _figure(value) for key, value in sizes.items()})
    paths = [
        f'<path d="{_path(placed(one.points), closed=one.closed)}"/>'
        for one in drawing.strokes
        if one.layer == name
    ]
    return (
        f"<g id={quoteattr(name.replace(' ', '-'))} data-layer={quoteattr(name)} {style}>\n"
        + "\n".join(paths)
        + "\n</g>"
    )


def _texts(drawing: Drawing, placed: object) -> str:
    assert callable(placed)
    rows = []
    for one in drawing.texts:
        x, y = placed(one.at[None])[0]
        turn = f' transform="rotate({_figure(-one.angle)} {_figure(x)} {_figure(y)})"'
        rows.append(
            f'<text x="{_figure(x)}" y="{_figure(y + 0.35 * one.height)}"'
            f"{turn if one.angle else ''}>{escape(one.words)}</text>"
        )
    size = _figure(drawing.letter)
    return (
        f'<g data-layer="mark" fill="#000" font-size="{size}" text-anchor="middle">\n'
        + "\n".join(rows)
        + "\n</g>"
    )


def _about(lines: list[str], left: float, top: float, letter: float, *, first: bool) -> str:
    rows = []
    for k, line in enumerate(lines):
        bold = ' font-weight="bold"' if first and k == 0 else ""
        y = _figure(top + (k + 1) * 1.5 * letter)
        rows.append(
            f'<text x="{_figure(left)}" y="{y}" xml:space="preserve"{bold}>{escape(line)}</text>'
        )
    return f'<g fill="#000" font-size="{_figure(letter * 0.9)}">\n' + "\n".join(rows) + "\n</g>"


def _key(left: float, top: float, letter: float) -> str:
    """What the three kinds of line mean."""
    sizes = {
        "thick": letter / 14, "thin": letter / 18, "fine": letter / 32,
        "dash": letter * 0.9, "gap": letter * 0.35, "dot": letter * 0.12,
    }  # fmt: skip
    rows = []
    for k, (name, words) in enumerate(KEY.items(), start=1):
        y = top + k * 1.5 * letter
        style = STYLE[name].format(**{key: _figure(value) for key, value in sizes.items()})  # type: ignore[index]
        a, b = _figure(left), _figure(left + 6 * letter)
        rows.append(
            f'<path d="M{a} {_figure(y - 0.3 * letter)} L{b} {_figure(y - 0.3 * letter)}" {style}/>'
            f'<text x="{_figure(left + 7 * letter)}" y="{_figure(y)}" fill="#000" '
            f'font-size="{_figure(letter * 0.9)}">{words}</text>'
        )
    return '<g id="key">\n' + "\n".join(rows) + "\n</g>"


def _folded(view: View, left: float, top: float, letter: float) -> str:
    rows = []
    for face in view.faces:
        points = np.column_stack(
            [left + face.corners[:, 0], top + 2 * letter + view.size[1] - face.corners[:, 1]]
        )
        fill = "#fff" if face.wet else "#ccc"
        thick = letter / 16 if face.own else letter / 40
        rows.append(
            f'<path d="{_path(points, closed=True)}" fill="{fill}" stroke="#000" '
            f'stroke-width="{_figure(thick)}"/>'
        )
    words = f"Folded, seen from {view.seen_from}; grey: the side that lies down"
    return (
        f'<g id="folded">\n<text x="{_figure(left)}" y="{_figure(top + letter)}" fill="#000" '
        f'font-size="{_figure(letter * 0.9)}">{words}</text>\n' + "\n".join(rows) + "\n</g>"
    )


def _path(points: NDArray[np.float64], *, closed: bool) -> str:
    steps = " L".join(f"{_figure(x)} {_figure(y)}" for x, y in points)
    return f"M{steps}{' Z' if closed else ''}"


def _figure(value: float) -> str:
    """A number with as many decimals as a drawing needs, and no more."""
    text = f"{float(value):.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
