"""What a plane cuts: exact lengths and areas, the order of sheets, and a picture of it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from click.testing import CliRunner
from PIL import Image

from meshes.build import build
from meshes.errors import SceneError
from meshes.parts import Assembly, Part, Role
from meshes.spec import Detail, Roof, Stack
from scenes.assemble import assemble
from scenes.cli import cli
from scenes.scene import load
from scenes.section import APART, draw_section
from scenes.section_cut import Cut, Plane, cut_of


def up_the_slope(x: float) -> Plane:
    return Plane.through((x, 0.0), (x, 1.0))


def across(y: float) -> Plane:
    return Plane.through((0.0, y), (1.0, y))


def length(cut: Cut) -> float:
    return float(sum(shapely.LineString(line).length for line in cut.lines))


def named(cuts: tuple[Cut, ...], name: str) -> Cut:
    return next(cut for cut in cuts if cut.name == name)


@pytest.fixture(scope="module")
def plain() -> Assembly:
    roof = Roof(pitch=np.radians(40), covering="plain")
    return build(Detail(roof=roof, stack=Stack(width=0.5, depth=0.4)))


def test_an_apron_is_as_long_as_its_legs(plain: Assembly) -> None:
    """Exact geometry: turn-in 25, upstand 150 and cover 150 mm make 325 mm, but for the bedding gap at
    each bend."""
    apron = named(cut_of(plain, up_the_slope(0.0)), "front apron")
    assert length(apron) == pytest.approx(0.325, abs=0.003)


@pytest.mark.parametrize(
    "plane",
    [up_the_slope(0.03), across(0.2), up_the_slope(-0.26), Plane.through((-0.4, -0.1), (0.1, 0.6)),
     Plane.through((0.3, -0.1), (-0.2, 0.1))],
)  # fmt: skip
def test_lengths_are_those_of_a_library(plain: Assembly, plane: Plane) -> None:
    """Two computations: trimesh's own sections of each sheet."""
    normal = np.append(plane.normal, 0.0)
    origin = plane.at * normal
    for cut in cut_of(plain, plane):
        part = plain[cut.name]
        if part.role is not Role.FLASHING:
            continue
        mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
        section = mesh.section(plane_origin=origin + 1.234e-6 * normal, plane_normal=normal)
        assert section is not None
        assert length(cut) == pytest.approx(section.length, abs=1e-4)


def test_a_line_the_other_way_round_is_the_same_plane() -> None:
    """Invariance: which of its points is named first, and which two of its points."""
    one, other = (-0.4, -0.1), (0.1, 0.6)
    plane = Plane.through(one, other)
    assert Plane.through(other, one) == plane
    further = Plane.through(other, (0.6, 1.3))
    assert further.way == pytest.approx(plane.way)
    assert further.at == pytest.approx(plane.at)
    assert plane.at == pytest.approx(float(plane.normal @ other))
    with pytest.raises(SceneError, match="a line through two points"):
        Plane.through(one, one)


def test_a_solid_is_cut_as_an_area() -> None:
    """Exact: a block of 0.4 by 0.3 m, cut across its breadth, shows 0.3 by its height."""
    block = trimesh.creation.box((0.4, 0.3, 0.8))
    stack = Part("stack", Role.STACK, block.vertices, block.faces)
    sheet = Part(
        "sheet", Role.FLASHING, np.array([(-1, 0, 0), (1, 0, 0), (1, 1, 0.5), (-1, 1, 0.5)]),
        np.array([(0, 1, 2), (0, 2, 3)]),
    )  # fmt: skip
    cut = named(cut_of(Assembly((stack, sheet)), up_the_slope(0.0)), "stack")
    (ring,) = cut.areas
    assert shapely.Polygon(ring).area == pytest.approx(0.3 * 0.8, rel=1e-6)


def test_what_lies_over_is_drawn_further_out(plain: Assembly) -> None:
    """Derived: across the apron's cover the side's cover lies a gap over it; drawn apart each is moved out
    by 3 mm a layer, so that 3 mm more lie between them, and the lower one is 3 mm from where it was."""
    plane = across(-0.05)
    close, apart = cut_of(plain, plane), cut_of(plain, plane, apart=APART)

    def height(cuts: tuple[Cut, ...], name: str) -> float:
        points = np.concatenate(named(cuts, name).lines)
        over = points[(points[:, 0] > 0.26) & (points[:, 0] < 0.29)]
        return float(over[:, 1].mean() if len(over) else np.interp(0.275, *_sorted(points)))

    was = height(close, "right side flashing") - height(close, "front apron")
    now = height(apart, "right side flashing") - height(apart, "front apron")
    assert now - was == pytest.approx(APART, abs=5e-4)
    assert height(apart, "front apron") - height(close, "front apron") == pytest.approx(
        APART, abs=5e-4
    )


def _sorted(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    order = points[:, 0].argsort(kind="stable")
    return points[order, 0], points[order, 1]


def test_a_plane_that_cuts_no_flashing_is_refused(plain: Assembly) -> None:
    """One line with the place."""
    with pytest.raises(SceneError, match=r"--section must cut a flashing\. Got y = 5000 mm"):
        cut_of(plain, across(5.0))


def test_no_two_labels_overlap(tmp_path: Path) -> None:
    """Their boxes are known; the picture is not blank, and another plane gives another."""
    assembly = assemble(load("cottage"))
    seen = []
    for number, plane in enumerate((up_the_slope(0.0), across(0.2))):
        file = tmp_path / f"{number}.png"
        boxes = draw_section(assembly, plane, file, (1200, 800), title="Section")
        assert len(boxes) > 5
        assert not [(a, b) for i, a in enumerate(boxes) for b in boxes[:i] if a.overlaps(b)]
        seen.append(np.asarray(Image.open(file)))
        assert len(np.unique(seen[-1].reshape(-1, 3), axis=0)) > 50
    assert (seen[0] != seen[1]).any(axis=2).mean() > 0.05


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--section", "z=1"], "must be x=MM, y=MM or X,Y:X,Y. Got 'z=1'"),
        (["--section", "x=far"], "must be x=MM, y=MM or X,Y:X,Y. Got 'x=far'"),
        (["--section", "1,2:1,2"], "must be x=MM, y=MM or X,Y:X,Y. Got '1,2:1,2'"),
        (["--section", "1,2:inf,4"], "must be x=MM, y=MM or X,Y:X,Y. Got '1,2:inf,4'"),
        (["--section", "1,2,3:4,5"], "must be x=MM, y=MM or X,Y:X,Y. Got '1,2,3:4,5'"),
        (["--section", "x=1", "--apart"], "--section has its own view"),
        (["--section", "x=1", "--leak", "1"], "--section shows no water"),
        (["--section", "y=9000"], "--section must cut a flashing. Got y = 9000 mm"),
    ],
)
def test_what_can_not_be_cut_is_one_line(options: list[str], line: str, tmp_path: Path) -> None:
    """Exit 2, one line, and no file."""
    file = tmp_path / "a.png"
    told = CliRunner().invoke(cli, ["picture", "cottage", "--quiet", "-o", str(file), *options])
    assert told.exit_code == 2
    assert line in told.stderr
    assert len(told.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())
