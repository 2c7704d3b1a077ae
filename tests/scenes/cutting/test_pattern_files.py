"""Files read back by other programs' libraries: the same lengths, angles and layers as the patterns."""

from __future__ import annotations

import csv
import os
import re
import subprocess
import sys
from functools import cache
from io import StringIO
from math import degrees
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import svgelements
from ezdxf import units

from scenes.cutting.cut_list import CutList, cut_list
from scenes.cutting.drawing import LAYERS, drawing_of
from scenes.cutting.dressing import dressing_order
from scenes.cutting.dxf import dxf_of
from scenes.cutting.files import csv_of, write
from scenes.cutting.folds import is_hem
from scenes.cutting.pattern import Pattern
from scenes.cutting.svg import svg_of
from scenes.scene import load, names

WITHIN = 0.01  # [mm]
SVG = "{http://www.w3.org/2000/svg}"
NASTY = "</title><script>alert(1)</script> & \x08 <b>"


@pytest.fixture(scope="module")
def cottage() -> CutList:
    return cut_list(load("cottage"))


@pytest.fixture(scope="module")
def zinc() -> CutList:
    return cut_list(load("zinc"))


def around(ring: np.ndarray) -> float:
    return float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum()) * 1000


def lengths(pattern: Pattern) -> dict[str, list[float]]:
    """Lengths [mm] of what is cut and bent, by layer, shortest first."""
    return {
        "cut": sorted(around(ring) for ring in pattern.outlines),
        "bend up": sorted(fold.length * 1000 for fold in pattern.folds if fold.up),
        "bend down": sorted(fold.length * 1000 for fold in pattern.folds if not fold.up),
    }


def angles(pattern: Pattern) -> list[tuple[str, float]]:
    """Way and angle [degrees] of every bend that is labelled: two that make a hem have one label."""
    rows, found = pattern.numbered, []
    for at, fold in enumerate(rows):
        if at and is_hem(rows[at - 1], fold):
            way, angle = found[-1]
            found[-1] = (way, angle + degrees(abs(fold.angle)))
        else:
            found.append(("up" if fold.up else "down", degrees(abs(fold.angle))))
    return sorted(found)


def told_angles(texts: list[str]) -> list[tuple[str, float]]:
    found = [re.fullmatch(r"[\d and]+: ([\d.]+)° (up|down)", text) for text in texts]
    return sorted((one[2], float(one[1])) for one in found if one)


@cache
def once_a_shape(name: str) -> tuple[Pattern, ...]:
    """A scene's patterns, but for those of a right hand: they are the left ones' mirror images."""
    return tuple(one for one in cut_list(load(name)).patterns if one.hand != "right")


@pytest.mark.parametrize("name", names())
def test_a_dxf_read_back_is_the_pattern(name: str) -> None:
    """ezdxf reads what was written: R2010, millimetres, plain layers, the same lengths within 0.01 mm and
    the angle of each bend as a text in layer mark; its audit finds no fault."""
    for one in once_a_shape(name):
        document = ezdxf.read(StringIO(dxf_of(one).decode()))
        assert not document.audit().errors
        assert document.dxfversion == "AC1024"
        assert document.units == units.MM
        assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}
        space = document.modelspace()
        got: dict[str, list[float]] = {"cut": [], "bend up": [], "bend down": []}
        for line in space.query("LINE"):
            got[line.dxf.layer].append(line.dxf.start.distance(line.dxf.end))
        for shape in space.query('LWPOLYLINE[layer=="cut"]'):
            assert shape.closed
            got["cut"].append(around(np.array(shape.get_points("xy")) / 1000))
        for layer, expected in lengths(one).items():
            assert sorted(got[layer]) == pytest.approx(expected, abs=WITHIN)
        texts = [text.dxf.text for text in space.query('TEXT[layer=="mark"]')]
        assert [way for way, _ in told_angles(texts)] == [way for way, _ in angles(one)]
        for (_, told), (_, angle) in zip(told_angles(texts), angles(one), strict=True):
            assert told == pytest.approx(angle, abs=0.051)


@pytest.mark.parametrize("name", names())
def test_an_svg_read_back_is_the_pattern(name: str) -> None:
    """svgelements, an independent parser, at 25.4 dots an inch, one a millimetre: the same lengths within
    0.01 mm in groups of the layers' names, the page's width and height in mm as its view box."""
    for one in once_a_shape(name):
        text = svg_of(one, "a title", "lead code 4", 1.0)
        root = ElementTree.fromstring(text)
        box = [float(number) for number in root.attrib["viewBox"].split()]
        assert root.attrib["width"] == f"{box[2]:g}mm" or root.attrib["width"].endswith("mm")
        assert float(root.attrib["width"].removesuffix("mm")) == box[2]
        assert float(root.attrib["height"].removesuffix("mm")) == box[3]
        read = svgelements.SVG.parse(StringIO(text), ppi=25.4)
        for layer, expected in lengths(one).items():
            group = read.get_element_by_id(layer.replace(" ", "-"))
            assert group.values["attributes"]["data-layer"] == layer
            paths = [shape for shape in group.select() if isinstance(shape, svgelements.Path)]
            got = sorted(float(shape.length(error=1e-6)) for shape in paths)
            assert got == pytest.approx(expected, abs=WITHIN)
        texts = [found.text or "" for found in root.iter(f"{SVG}text")]
        assert [way for way, _ in told_angles(texts)] == [way for way, _ in angles(one)]


def test_kinds_of_line_differ_without_colour(cottage: CutList) -> None:
    """Derived: cuts are whole lines, bends up and down have different dashes."""
    root = ElementTree.fromstring(svg_of(cottage.patterns[0], "", "", 0.0))
    dashes = {
        group.attrib["data-layer"]: group.attrib.get("stroke-dasharray")
        for group in root.iter(f"{SVG}g")
        if group.attrib.get("data-layer") in ("cut", "bend up", "bend down")
    }
    assert dashes["cut"] is None
    assert len(set(dashes.values())) == 3


def test_a_title_is_never_markup(cottage: CutList) -> None:
    """Safety: a scene's title is text, whatever it holds; letters that no XML has become question marks."""
    root = ElementTree.fromstring(svg_of(cottage.patterns[0], NASTY, "lead", 1.0))
    assert not [one for one in root.iter() if one.tag.endswith(("script", "}b"))]
    title = root.find(f"{SVG}title")
    assert title is not None
    assert "<script>alert(1)</script> & ? <b>" in (title.text or "")
    assert root.find(f"{SVG}desc") is not None


def test_texts_never_lie_on_each_other(cottage: CutList, zinc: CutList) -> None:
    """Derived: the rectangles that the texts of a drawing take share no area."""
    import shapely

    terrace = cut_list(load("terrace")).patterns
    for one in (*cottage.patterns, *zinc.patterns, *terrace):
        boxes = [shapely.Polygon(text.corners) for text in drawing_of(one).texts]
        total = sum(box.area for box in boxes)
        assert shapely.unary_union(boxes).area == pytest.approx(total, rel=1e-6)


def test_overall_size_is_written(cottage: CutList) -> None:
    """Derived: width and height of the blank in mm stand on the drawing."""
    for one in cottage.patterns:
        words = {text.words for text in drawing_of(one).texts}
        assert {f"{side * 1000:.1f}" for side in one.size} <= words


def test_the_table_has_every_blank_and_bend(cottage: CutList) -> None:
    """Read back by the csv module: a row for each blank, bend and place on the stock; masses add up."""
    rows = list(csv.DictReader(StringIO(csv_of(cottage))))
    blanks = [row for row in rows if row["item"] == "blank"]
    assert [row["blank"] for row in blanks] == [one.name for one in cottage.patterns]
    mass = sum(float(row["mass_kg"]) * int(row["count"]) for row in blanks)
    assert mass == pytest.approx(cottage.area * cottage.material.mass, abs=0.01)
    corners = [row for row in rows if row["item"] == "corner"]
    assert len(corners) == sum(len(ring) for one in cottage.patterns for ring in one.outlines)
    bends = [row for row in rows if row["item"] in ("bend", "dressed edge")]
    assert len(bends) == sum(len(one.folds) for one in cottage.patterns)
    placed = [row for row in rows if row["item"] == "stock"]
    assert len(placed) == sum(one.count for one in cottage.patterns)


def test_a_dxf_is_the_same_in_every_process() -> None:
    """Contract: what a process hashes its words by changes no byte (1 and 4 gave two orders once)."""
    code = (
        "from hashlib import sha256\n"
        "from scenes.cutting.cut_list import cut_list\n"
        "from scenes.cutting.dxf import dxf_of\n"
        "from scenes.scene import load\n"
        "print(sha256(dxf_of(cut_list(load('low')).patterns[0])).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "4")
    }  # fmt: skip
    assert len(said) == 1


def test_the_same_files_each_time(cottage: CutList, tmp_path: Path) -> None:
    """Contract: the same scene gives the same bytes, whatever the clock says."""
    scene = load("cottage")
    for found, name in ((cottage, "one"), (cut_list(scene), "two")):
        write(found, tmp_path / name, scene, dressing_order(scene, found.detail), force=False)
    one, two = (
        {path.name: path.read_bytes() for path in sorted((tmp_path / name).rglob("*.*"))}
        for name in ("one", "two")
    )
    assert len(one) == 2 + 2 * len(cottage.patterns)  # the table and the pages
    assert one == two
