"""The description of what is shown: it knows no renderer, and says what the findings say."""

from __future__ import annotations

import ast
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes import colours
from scenes.stage import Stage
from scenes.stage_camera import VIEWS, Camera, View
from scenes.stage_cut import cut_level, hatch, outside_removed, runs
from scenes.stage_letters import keyed, letter
from scenes.stage_lines import dashes, edges, resample, unit_normals
from scenes.stage_sight import Sight
from scenes.stage_water import MOST_BEHIND, MOST_PATHS, Runs, read_paths
from scenes.stage_words import percent
from sim.entering import Entering
from sim.fates import Fate
from tests.scenes.picture_house import DEPTH, HALF, PITCH, answer, house, on_slope, sheet, water

SCENES = Path(__file__).parents[2] / "scenes"

SIDES = ("000 010 110 100", "001 101 111 011", "000 100 101 001",
         "100 110 111 101", "110 010 011 111", "010 000 001 011")  # fmt: skip
BOX = sheet(
    "box",
    Role.STACK,
    *([tuple(float(digit) for digit in corner) for corner in side.split()] for side in SIDES),
)
CUBE = BOX.vertices[BOX.faces]


@pytest.mark.parametrize("file", sorted(SCENES.glob("stage*.py")), ids=lambda file: file.name)
def test_the_stage_knows_no_renderer(file: Path) -> None:
    """Derived: the rule that the description can be drawn by any renderer, read from the
    imports."""
    names = set()
    for node in ast.walk(ast.parse(file.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    assert not [n for n in names if n.split(".")[0] in ("pyvista", "vtk", "vtkmodules", "PIL")]
    assert not [n for n in names if n.startswith("scenes.picture")]


def test_letters_and_colours_do_not_hang_on_the_dressing_order() -> None:
    """Derived: the same parts in another order show the same letter and colour each."""
    parts = house().parts
    one = Stage.of(Assembly(parts), title="")
    two = Stage.of(Assembly(parts[::-1]), title="")
    assert {p.name: (p.letter, p.colour) for p in one.pieces} == {
        p.name: (p.letter, p.colour) for p in two.pieces
    }
    assert len({p.letter for p in one.pieces}) == len(parts)
    assert len({p.colour for p in one.pieces}) == len(parts)


def test_letters_go_on_after_z() -> None:
    """Derived: as columns of a sheet are counted."""
    assert [letter(k) for k in (0, 25, 26, 51, 52, 63)] == ["A", "Z", "AA", "AZ", "BA", "BL"]


def test_verdict_and_marks_repeat_the_findings() -> None:
    """Derived from the invented findings: one leak of 1.23 %, one lap 150 - 90 = 60 mm short."""
    stage = Stage.of(house(), answer(leaking=True), title="House")
    assert stage.verdict == "Water gets behind at 1 place; 1 lap too short"
    assert stage.shares == "Of the rain: 98.8 % shed, 1.2 % inside"
    assert [leak.number for leak in stage.leaks] == [1]
    assert stage.laps[0].label == "60 mm short"
    assert stage.bad
    dry = Stage.of(house(), answer(leaking=False), title="House")
    assert (dry.verdict, dry.bad) == ("No water gets behind the flashings", False)
    assert Stage.of(house(), title="House").verdict == ""


def test_a_short_lap_alone_is_not_called_dry() -> None:
    """Derived: the verdict names what is wrong though no water gets in."""
    findings = answer(leaking=True)
    findings.leaks.clear()
    findings.water = answer(leaking=False).water
    stage = Stage.of(house(), findings, title="House")
    assert stage.verdict == "No water gets behind the flashings, but 1 lap too short"
    assert stage.bad


def test_water_behind_with_no_way_in_made_out_is_not_called_dry() -> None:
    """Derived: the shares count, whether or not a leak could be named."""
    findings = answer(leaking=True)
    findings.leaks.clear()
    findings.laps.clear()
    stage = Stage.of(house(), findings, title="House")
    assert (stage.verdict, stage.bad) == ("Water gets behind the flashings", True)


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "0 %"), (1, "100 %"), (0.99995, "100 %"), (0.9994, "99.94 %"), (0.5, "50 %"),
     (0.0313, "3.1 %"), (0.00295, "0.29 %"), (1e-6, "under 0.01 %")],
)  # fmt: skip
def test_shares_in_words(share: float, words: str) -> None:
    """Derived; the last keeps a small leak from reading as none."""
    assert percent(share) == words


def test_water_behind_is_told_by_the_fates() -> None:
    """Derived: ten invented paths are inside, the 160 others shed; without fates none is called
    either."""
    paths, fates = water(leaking=True)
    stage = Stage.of(house(), paths=paths, fates=fates, title="")
    assert [sum(way.behind is lost for way in stage.paths) for lost in (True, False)] == [10, 160]
    assert stage.fates_known
    untold = Stage.of(house(), paths=paths, title="")
    assert not any(way.behind for way in untold.paths)
    assert not untold.fates_known
    with pytest.raises(SceneError, match="fates must be one a path, 170"):
        Stage.of(house(), paths=paths, fates=fates[1:], title="")


def test_a_missing_piece_changes_no_letter_and_no_colour() -> None:
    """Derived: without one of three flashings the others keep theirs; one that is there besides comes
    after everything else."""
    corners = [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)]
    made = [
        sheet(name, Role.FLASHING, corners)
        for name in ("front apron", "left step 1", "left step 2")
    ]
    roof = sheet("covering", Role.COVERING, corners)
    known = [part.name for part in made]
    whole = {part.name: (sign, tint) for part, sign, tint in keyed([*made, roof])}
    less = {part.name: (sign, tint) for part, sign, tint in keyed([made[0], made[2], roof], known)}
    assert less == {name: whole[name] for name in less}
    besides = sheet("back patch", Role.FLASHING, corners)
    more = {part.name: (sign, tint) for part, sign, tint in keyed([besides, *made, roof], known)}
    assert {name: more[name] for name in whole} == whole
    assert more["back patch"][0] == "E"
    assert whole["left step 1"][1] != whole["left step 2"][1]


def test_a_path_is_cut_where_it_gets_in_and_where_it_is_hidden() -> None:
    """Exact: three paths of three metres along x, points a metre apart. The first gets in at 1.25 m; of the
    second the middle metre is behind a flashing; the third stays outside."""
    line = np.array([(x, 0.0, 0.0) for x in range(4)], dtype=float)
    paths = SimpleNamespace(start=np.array([0, 4, 8, 12]), points=np.tile(line, (3, 1)))
    how = Entering(np.array([np.inf, np.inf, 9.25]), np.isin(np.arange(12), 1))
    fates = np.array([Fate.UNDERLAY, Fate.SHED, Fate.SHED])
    ways = read_paths(paths, fates, lambda of: how if of.tolist() == [1, 2, 0] else None)
    told = [(way.runs, way.points[0, 0], way.points[-1, 0]) for way in ways]
    assert told == [
        (Runs.OUTSIDE, 0, 1), (Runs.UNDER, 1, 2), (Runs.OUTSIDE, 2, 3), (Runs.OUTSIDE, 0, 3),
        (Runs.COMING, 0, 1.25), (Runs.BEHIND, 1.25, 3),
    ]  # fmt: skip


def test_not_more_paths_than_can_be_read() -> None:
    """Derived: a thousand of each kind leave the two limits."""
    line = np.array([on_slope(0.9, 1.0, 0.004), on_slope(0.9, -1.0, 0.004)])
    many = SimpleNamespace(start=np.arange(0, 4001, 2), points=np.tile(line, (2000, 1)))
    fates = np.repeat([Fate.SHED, Fate.UNDERLAY], 1000)
    ways = Stage.of(house(), paths=many, fates=fates, title="").paths
    assert sum(way.behind for way in ways) == MOST_BEHIND
    assert len(ways) == MOST_PATHS


def test_the_stack_is_cut_above_the_flashings_and_its_water_with_it() -> None:
    """Derived: the highest flashing is the gutter's upstand; the cut lies 100 mm above it, and is
    as large as the stack's plan."""
    assembly = house()
    stage = Stage.of(assembly, title="")
    (stack,) = [piece for piece in stage.pieces if piece.role is Role.STACK]
    top = max(p.vertices[:, 2].max() for p in assembly if p.role is Role.FLASHING) + 0.1
    assert stack.triangles[:, :, 2].max() == pytest.approx(top, abs=1e-12)
    face = stack.triangles[-stack.cut_face :]
    area = np.linalg.norm(np.cross(face[:, 1] - face[:, 0], face[:, 2] - face[:, 0]), axis=1)
    assert area.sum() / 2 == pytest.approx(2 * HALF * DEPTH, rel=1e-9)
    assert (unit_normals(face)[:, 2] > 0.99).all()
    assert len(stack.ghost)


def test_cutting_keeps_every_bit_of_the_skin() -> None:
    """Derived: a cube's skin is 6; a level cut parts it and adds one face of 1 below."""

    def area(rows: np.ndarray) -> float:
        square = np.cross(rows[:, 1] - rows[:, 0], rows[:, 2] - rows[:, 0])
        return float(np.linalg.norm(square, axis=1).sum() / 2)

    cut = cut_level(CUBE, 0.3)
    assert area(cut.removed) == pytest.approx(1 + 4 * 0.7, rel=1e-9)
    assert area(cut.kept) == pytest.approx(1 + 4 * 0.3 + 1, rel=1e-9)
    lines = hatch(cut.kept[-cut.face :], 0.05)
    assert len(lines) > 10
    assert all(((line[:, :2] > -1e-9) & (line[:, :2] < 1 + 1e-9)).all() for line in lines)


def test_water_beside_the_cut_stays() -> None:
    """Derived: the path passes through the cube's upper part from x = -1 to 2; 5 mm beside it
    stays."""
    cut = cut_level(CUBE, 0.5)
    through = np.array([(x, 0.5, 0.8) for x in np.linspace(-1, 2, 3001)])
    beside = np.array([(-0.2, 0.5, 3.0), (-0.2, 0.5, 0.0)])
    left = outside_removed([through, beside], cut.removed, 0.5)
    gone = 3.0 - sum(np.ptp(piece[:, 0]) for piece in left[0])
    assert gone == pytest.approx(1.010, abs=0.003)
    assert sum(np.ptp(piece[:, 2]) for piece in left[1]) == pytest.approx(3.0)


def test_fall_is_down_the_slope() -> None:
    """Derived: of a coursed covering at 40 degrees, whose tops lie atan(12/100) flatter."""
    fall = Stage.of(house(), title="").fall
    assert fall is not None
    flatter = np.arctan(0.12)
    assert np.degrees(np.arcsin(-fall[2])) == pytest.approx(np.degrees(PITCH - flatter), abs=0.1)
    assert fall[0] == pytest.approx(0, abs=1e-12)
    assert fall[1] < 0
    level = sheet("floor", Role.COVERING, [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)])
    assert Stage.of(Assembly((level,)), title="").fall is None


def test_edges_of_a_cube_and_of_an_open_sheet() -> None:
    """Derived: a cube has 12 folds and no rim, a square of two triangles 4 rims and no fold."""
    towards = np.array([1.0, 2.0, 3.0]) / np.sqrt(14)
    rims, folds = edges(CUBE, towards)
    assert (len(rims), len(folds)) == (0, 12)
    rims, folds = edges(CUBE[:2], towards)
    assert (len(rims), len(folds)) == (4, 0)


def test_a_line_one_millimetre_under_a_sheet_is_hidden() -> None:
    """Derived: the sheet covers x > 0; 1 mm is the bedding gap. Half of the line is seen."""
    low = sheet("low", Role.COVERING, [(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)])
    high = sheet(
        "high", Role.FLASHING, [(0, -1, 0.001), (1, -1, 0.001), (1, 1, 0.001), (0, 1, 0.001)]
    )
    stage = Stage.of(Assembly((low, high)), title="")
    camera = Camera.fit(View("above", 0.0, np.radians(90)), stage.target, 800, 800)
    seen, hidden = Sight(stage, camera).seen([np.array([(-0.9, 0.0, 0.0002), (0.9, 0.0, 0.0002)])])
    far = [sum(np.ptp(line[:, 0]) for line in lines) * camera.scale for lines in (seen, hidden)]
    assert far == pytest.approx([0.9, 0.9], abs=2 * 5 * camera.scale)


def test_dashes_of_lines_that_run_together_keep_one_pattern() -> None:
    """Derived: dashes of the longer line, cut to the shorter one, are the shorter one's own."""
    long = dashes(np.array([[0.0, 3.0], [100.0, 3.0]]), 7, 5)
    short = dashes(np.array([[33.0, 3.0], [100.0, 3.0]]), 7, 5)
    cut = [(max(a[0], 33.0), b[0]) for a, b in long if b[0] > 33.0]
    assert np.array(short)[:, :, 0] == pytest.approx(np.array(cut))
    assert all(b[0] - a[0] <= 7 + 1e-9 for a, b in long)
    back = dashes(np.array([[100.0, 3.0], [0.0, 3.0]]), 7, 5)
    assert np.array(back) == pytest.approx(np.array(long))


def test_resampling_keeps_the_ends_and_the_length() -> None:
    """Derived: a line of 3 m in steps of 0.4 m has eight pieces of 0.375 m."""
    line = resample(np.array([(0.0, 0, 0), (3.0, 0, 0)]), 0.4)
    assert line[:, 0] == pytest.approx(np.arange(9) * 0.375)
    assert [len(part) for part in runs(line, np.array([1, 1, 0, 0, 1, 0, 0, 1], dtype=bool))] == [
        3,
        2,
        2,
    ]


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_every_view_holds_its_target(view: View) -> None:
    """Derived: all points lie in the window with the margin free; pixels go back to where they
    were."""
    points = Stage.of(house(), title="").target
    camera = Camera.fit(view, points, 900, 700, margin=0.1)
    flat = camera.project(points)
    assert flat.min() >= 70 - 1e-6
    assert (flat.max(axis=0) <= np.array([810, 630]) + 1e-6).all()
    assert camera.project(camera.unproject(flat)) == pytest.approx(flat)
    assert view.axes @ view.axes.T == pytest.approx(np.eye(3))


def test_nonsense_cameras_are_refused() -> None:
    """Derived: each breaks one rule."""
    with pytest.raises(SceneError, match="azimuth of view x must be finite"):
        View("x", float("nan"), 0)
    with pytest.raises(SceneError, match="elevation of view x must be -pi/2 to pi/2"):
        View("x", 0, 2.0)
    with pytest.raises(SceneError, match="scale must be above 0"):
        Camera(VIEWS[0], (0, 0, 0), 0.0, 100, 100)
    with pytest.raises(SceneError, match="picture must be 16 pixels or more"):
        Camera(VIEWS[0], (0, 0, 0), 1.0, 100, 2)


def _brightness(colour: colours.Colour) -> float:
    low = [part / 255 for part in colour]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in low)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: colours.Colour, two: colours.Colour) -> float:
    dark, light = sorted((_brightness(one), _brightness(two)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("name", ["INK", "QUIET_INK", "BEHIND", "GOOD", "SHORT_LAP"])
def test_words_stand_out_from_the_paper(name: str) -> None:
    """Relative luminance and 4.5:1 of WCAG 2.2, success criterion 1.4.3 (memory)."""
    assert _contrast(getattr(colours, name), colours.PAPER) >= 4.5


@pytest.mark.parametrize("tint", [*colours.SHEET_TINTS, colours.ROLE_TINTS[Role.COVERING]])
def test_water_and_letters_stand_out_from_every_sheet(tint: colours.Colour) -> None:
    """3:1 for lines and 4.5:1 for letters, WCAG 2.2, success criteria 1.4.11 and 1.4.3 (memory)."""
    assert _contrast(colours.WATER, tint) >= 3
    assert _contrast(colours.INK, tint) >= 4.5


@pytest.mark.parametrize(
    ("behind", "held", "words"),
    [
        (0.25, 0.0, "some runs behind a flashing and out again"),
        (0.0, 0.3, "30 % is held"),
    ],
)
def test_a_dry_verdict_says_what_else_is_amiss(behind: float, held: float, words: str) -> None:
    """Derived: water that runs behind a sheet and out again, or has no way down, is no leak, but
    no client should read past it."""
    findings = answer(leaking=False)
    findings.behind = behind
    findings.water[0].share -= held
    findings.water.append(SimpleNamespace(fate="held", share=held))
    stage = Stage.of(house(), findings, title="")
    assert words in stage.verdict
    assert (stage.bad, stage.clear) == (False, False)
    assert Stage.of(house(), answer(leaking=False), title="").clear
