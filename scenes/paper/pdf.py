"""Pages as PDF: the same pages give the same bytes, fonts embedded."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any

from scenes.paper.fonts import font
from scenes.paper.marks import Disc, Mark, Page, Picture, Stroke, Words
from scenes.paper.sizes import POINT

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PROGRAM = "stackrain"


def pdf_of(pages: Sequence[Page], title: str) -> bytes:
    """Pages as the bytes of a PDF. title: what a reader shows as the document's name."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfgen.canvas import Canvas

    for bold in (False, True):
        registerFont(font(bold))  # by its name, where reportlab looks for it: the same each time
    stream = BytesIO()
    plain = font(False).fontName  # else a font that is not embedded is named, though not used
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=plain)
    canvas.setTitle(title)
    canvas.setCreator(PROGRAM)
    canvas.setAuthor(PROGRAM)
    for page in pages:
        canvas.setPageSize((page.size.width / POINT, page.size.height / POINT))
        for mark in page.marks:
            _draw(canvas, mark, page.size.height)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _draw(canvas: Canvas, mark: Mark, high: float) -> None:
    if isinstance(mark, Stroke):
        _stroke(canvas, mark, high)
    elif isinstance(mark, Disc):
        canvas.setLineWidth(mark.width / POINT)
        canvas.setStrokeColor(_colour("#000000"))
        if mark.fill:
            canvas.setFillColor(_colour(mark.fill))
        x, y = mark.middle
        canvas.circle(
            x / POINT, (high - y) / POINT, mark.radius / POINT, stroke=1, fill=int(bool(mark.fill))
        )
    elif isinstance(mark, Words):
        _words(canvas, mark, high)
    else:
        _picture(canvas, mark, high)


def _stroke(canvas: Canvas, mark: Stroke, high: float) -> None:
    path = canvas.beginPath()
    for number, (x, y) in enumerate(mark.points):
        to = path.lineTo if number else path.moveTo
        to(x / POINT, (high - y) / POINT)
    if mark.closed:
        path.close()
    canvas.saveState()
    canvas.setLineWidth(mark.width / POINT)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    canvas.setDash([length / POINT for length in mark.dash])
    if mark.colour:
        canvas.setStrokeColor(_colour(mark.colour))
    if mark.fill:
        canvas.setFillColor(_colour(mark.fill))
    canvas.drawPath(path, stroke=int(bool(mark.colour)), fill=int(bool(mark.fill)))
    canvas.restoreState()


def _words(canvas: Canvas, mark: Words, high: float) -> None:
    canvas.saveState()
    canvas.setFont(font(mark.bold).fontName, mark.points)
    canvas.setFillColor(_colour(mark.colour))
    canvas.translate(mark.at[0] / POINT, (high - mark.at[1]) / POINT)
    if mark.angle:
        canvas.rotate(mark.angle)
    write = {
        "left": canvas.drawString,
        "middle": canvas.drawCentredString,
        "right": canvas.drawRightString,
    }[mark.align]
    write(0, 0, mark.text)
    canvas.restoreState()


def _picture(canvas: Canvas, mark: Picture, high: float) -> None:
    from reportlab.lib.utils import ImageReader

    x0, y0, x1, y1 = (value / POINT for value in mark.box)
    reader = ImageReader(BytesIO(mark.content))
    canvas.drawImage(reader, x0, high / POINT - y1, x1 - x0, y1 - y0, mask="auto")


def _colour(text: str) -> Any:
    from reportlab.lib.colors import HexColor

    return HexColor(text)
