"""The files of a cut list: a table, and a DXF and an SVG of each pattern."""

from __future__ import annotations

import csv
from io import StringIO
from math import degrees
from pathlib import Path
from typing import Any

from scenes.cutting.cut_list import CutList
from scenes.cutting.dressing import Dressing
from scenes.cutting.dxf import dxf_of
from scenes.cutting.pattern import Pattern
from scenes.cutting.svg import svg_of
from scenes.folder import PATTERNS, fresh_folder, write_files
from scenes.paper.sizes import A4, Size
from scenes.scene import Scene
from scenes.units import METRIC, Units

TABLE, PAGES = "cut-list.csv", "cut-list.pdf"
COLUMNS = (
    "blank", "piece", "item", "number", "count", "hand", "material", "way", "angle_deg", "measured_from",
    "distance_mm", "distance_at_end_mm", "length_mm", "x0_mm", "y0_mm", "x1_mm", "y1_mm", "width_mm",
    "height_mm", "area_m2", "mass_kg", "words",
)  # fmt: skip
"""Of the table: a row for each blank, corner of its cuts, bend, joint, lap, step, and place on the stock."""


def write(
    found: CutList, folder: Path, scene: Scene, dressing: Dressing, *, force: bool,
    size: Size = A4, units: Units = METRIC,
) -> list[str]:  # fmt: skip
    """Write the table, the pages and the patterns to a folder, all or nothing. Returns their names.

    size: of the paper; units: of the pages, for table and patterns keep millimetres.
    Raises SceneError when the folder can't take them.
    """
    from scenes.cutting.pdf import cut_pdf

    patterns = {}
    for one in found.patterns:
        mass = found.mass(one)
        patterns[f"{one.slug}.dxf"] = dxf_of(one)
        patterns[f"{one.slug}.svg"] = svg_of(one, found.title, found.material.name, mass).encode()
    pages = cut_pdf(found, scene, dressing, size, units)
    with fresh_folder(folder, force=force) as new:
        write_files(new, {TABLE: csv_of(found).encode(), PAGES: pages})
        (new / PATTERNS).mkdir()
        write_files(new / PATTERNS, patterns)
    return [TABLE, PAGES, f"{PATTERNS} ({len(patterns)} files)"]


def csv_of(found: CutList) -> str:
    """The cut list as a table of `COLUMNS`, lengths in mm to a hundredth."""
    stream = StringIO()
    writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for one in found.patterns:
        writer.writerows(_rows(found, one))
    for step in found.steps:
        writer.writerow(
            {
                "blank": f"{step.side} side", "item": "step", "number": step.number,
                "distance_mm": _mm(step.along), "length_mm": _mm(step.tread),
                "height_mm": _mm(step.rise), "width_mm": _mm(step.turn_in),
                "words": "distance along the lower edge, length of tread, height of rise, width of "
                "turn-in",
            }
        )  # fmt: skip
    for number, used in enumerate(found.packing.used, start=1):
        for laid in used.laid:
            writer.writerow(
                {
                    "blank": laid.blank.name, "item": "stock", "number": number,
                    "length_mm": _mm(used.length), "x0_mm": _mm(laid.x), "y0_mm": _mm(laid.y),
                    "width_mm": _mm(laid.width), "height_mm": _mm(laid.height),
                    "words": used.stock.words + (", turned" if laid.turned else ""),
                }
            )  # fmt: skip
    return stream.getvalue()


def _rows(found: CutList, one: Pattern) -> list[dict[str, Any]]:
    width, height = (_mm(side) for side in one.size)
    rows: list[dict[str, Any]] = [
        {
            "blank": one.name, "item": "blank", "count": one.count, "hand": one.hand,
            "material": found.material.name, "width_mm": width, "height_mm": height,
            "area_m2": f"{one.area:.6f}", "mass_kg": f"{found.mass(one):.3f}",
            "words": "; ".join((*one.alike[1:], *one.notes)),
        }
    ]  # fmt: skip
    for at, ring in enumerate(one.outlines):
        for number, (x0, y0) in enumerate(ring.tolist(), start=1):
            rows.append(
                {
                    "blank": one.name, "item": "corner", "number": number, "x0_mm": _mm(x0),
                    "y0_mm": _mm(y0), "words": f"hole {at}" if at else "outline",
                }
            )  # fmt: skip
    number = 0
    for fold in one.folds:
        number += not fold.is_dressed
        (x0, y0), (x1, y1) = fold.line.tolist()
        row = {
            "blank": one.name,
            "item": "dressed edge" if fold.is_dressed else "bend",
            "number": "" if fold.is_dressed else number,
            "way": "up" if fold.up else "down", "angle_deg": f"{degrees(abs(fold.angle)):.2f}",
            "length_mm": _mm(fold.length), "x0_mm": _mm(x0), "y0_mm": _mm(y0), "x1_mm": _mm(x1),
            "y1_mm": _mm(y1), "words": f"{fold.beside[0]} | {fold.beside[1]}",
        }  # fmt: skip
        if fold.measured is not None:
            near, far = fold.measured.ends
            row |= {
                "measured_from": fold.measured.name,
                "distance_mm": _mm(near),
                "distance_at_end_mm": _mm(far),
            }
        rows.append(row)
    for worked in one.worked:
        rows.append(
            {
                "blank": one.name, "item": "joint", "number": worked.number,
                "length_mm": _mm(worked.length), "words": f"{worked.how}: {worked.meets}",
            }
        )  # fmt: skip
    for lap in one.laps:
        (x0, y0), (x1, y1) = lap.line.tolist()
        rows.append(
            {
                "blank": one.name, "item": "lap", "width_mm": _mm(lap.width), "x0_mm": _mm(x0),
                "y0_mm": _mm(y0), "x1_mm": _mm(x1), "y1_mm": _mm(y1),
                "words": f"{'over' if lap.over else 'under'} {lap.meets}",
            }
        )  # fmt: skip
    return [{"piece": one.piece, **row} for row in rows]


def _mm(length: float) -> str:
    return f"{length * 1000:.2f}"
