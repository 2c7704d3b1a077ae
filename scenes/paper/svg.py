"""A page as SVG, in millimetres: what the PDF shows, for a program that draws."""

from __future__ import annotations

from base64 import b64encode
from xml.sax.saxutils import escape, quoteattr

from scenes.paper.fonts import FAMILY
from scenes.paper.marks import Disc, Mark, Page, Stroke, Words
from scenes.paper.sizes import POINT

ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def svg_of(page: Page, title: str) -> str:
    """A page as the text of an SVG. Words keep the width that they have on paper in any typeface."""
    wide, high = _n(page.size.width), _n(page.size.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}">'
    )
    drawn = [_drawn(mark) for mark in page.marks]
    return "\n".join([head, f"<title>{_text(title)}</title>", *drawn, "</svg>", ""])


def _drawn(mark: Mark) -> str:
    if isinstance(mark, Stroke):
        name = "polygon" if mark.closed else "polyline"
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.points)
        dash = f' stroke-dasharray="{" ".join(map(_n, mark.dash))}"' if mark.dash else ""
        return (
            f'<{name} points="{points}" fill="{mark.fill or "none"}" stroke="{mark.colour or "none"}" '
            f'stroke-width="{_n(mark.width)}" stroke-linecap="round" stroke-linejoin="round"{dash}/>'
        )
    if isinstance(mark, Disc):
        x, y = mark.middle
        return (
            f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(mark.radius)}" '
            f'fill="{mark.fill or "none"}" stroke="#000000" stroke-width="{_n(mark.width)}"/>'
        )
    if isinstance(mark, Words):
        x, y = mark.at
        turned = f' transform="rotate({_n(-mark.angle)} {_n(x)} {_n(y)})"' if mark.angle else ""
        weight = ' font-weight="bold"' if mark.bold else ""
        return (
            f'<text x="{_n(x)}" y="{_n(y)}" font-family={quoteattr(f"{FAMILY}, sans-serif")} '
            f'font-size="{_n(mark.points * POINT)}"{weight} fill="{mark.colour}" '
            f'text-anchor="{ANCHORS[mark.align]}" textLength="{_n(mark.width)}" '
            f'lengthAdjust="spacingAndGlyphs"{turned}>{_text(mark.text)}</text>'
        )
    x0, y0, x1, y1 = mark.box
    data = b64encode(mark.content).decode()
    return (
        f'<image x="{_n(x0)}" y="{_n(y0)}" width="{_n(x1 - x0)}" height="{_n(y1 - y0)}" '
        f'href="data:image/png;base64,{data}"/>'
    )


def _n(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _text(text: str) -> str:
    """Text without letters that XML lacks."""
    return escape("".join(letter for letter in text if letter.isprintable()))
