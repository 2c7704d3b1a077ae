"""A pattern as a DXF at full size: plain layers, millimetres, the same bytes each time."""

from __future__ import annotations

from io import StringIO

import ezdxf
from ezdxf import units
from ezdxf.enums import TextEntityAlignment

from scenes.cutting.drawing import LAYERS, Layer, drawing_of
from scenes.cutting.pattern import Pattern

LINES: dict[Layer, tuple[int, str]] = {
    "cut": (7, "CONTINUOUS"),
    "bend up": (5, "DASHED"),
    "bend down": (1, "DASHDOT"),
    "mark": (8, "CONTINUOUS"),
}
"""Colour and kind of line of each layer."""


def dxf_of(pattern: Pattern) -> bytes:
    """The DXF (R2010) of a pattern from (0, 0) to its size, y upwards, in millimetres.

    Cuts and marks are polylines, bends lines; the number, angle and way of each bend are texts.
    """
    drawing = drawing_of(pattern)
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    # Otherwise the time and a random number are written, and no two files are the same.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2010", setup=["linetypes"], units=units.MM)
        document.header["$MEASUREMENT"] = 1
        document.header["$LTSCALE"] = drawing.letter
        for name in LAYERS:
            colour, kind = LINES[name]
            document.layers.add(name, color=colour, linetype=kind)
        space = document.modelspace()
        for one in drawing.strokes:
            attributes = {"layer": one.layer}
            if one.layer in ("bend up", "bend down"):
                space.add_line(one.points[0].tolist(), one.points[1].tolist(), attributes)
            else:
                space.add_lwpolyline(one.points.tolist(), close=one.closed, dxfattribs=attributes)
        for text in drawing.texts:
            entity = space.add_text(
                text.words, height=text.height, rotation=text.angle, dxfattribs={"layer": "mark"}
            )
            entity.set_placement(text.at.tolist(), align=TextEntityAlignment.MIDDLE_CENTER)
        # It would add them as a set has them, which is another order in each process.
        for used in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(used)
        stream = StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")
