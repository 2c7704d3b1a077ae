"""One picture: pieces apart, close on a leak, and what the command refuses."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.testing import assert_allclose
from PIL import Image
from scipy.spatial.distance import pdist

from meshes.parts import Role
from scenes.assemble import assemble
from scenes.cli import cli
from scenes.exploded import ordinal
from scenes.faults.apply import with_faults
from scenes.scene import load, names
from scenes.stage import Stage
from scenes.stage_sight import clear_view
from scenes.still import pieces_apart

PLAIN = ["picture", "cottage", "--size", "800x500", "--quiet", "--drops", "500"]


@pytest.mark.parametrize("name", ["cottage", "terrace", "flue"])
def test_pieces_keep_their_shape_and_nothing_else_moves(name: str) -> None:
    """Invariance: distances between all corners of a piece are what they were, and so are its letter and
    colour; the roof stays; each is called by its turn in the assembly."""
    scene = load(name)
    assembly = assemble(scene)
    turns = [part.name for part in assembly if part.role is Role.FLASHING]
    home, apart = Stage.of(assembly, title="x"), pieces_apart(scene)
    for was, now in zip(home.pieces, apart.pieces, strict=True):
        some = (piece.triangles.reshape(-1, 3)[:60] for piece in (now, was))
        assert_allclose(*(pdist(corners) for corners in some), atol=1e-12)
        assert (now.letter, now.colour) == (was.letter, was.colour)
        if was.role is not Role.FLASHING:
            assert np.array_equal(now.triangles, was.triangles)
            continue
        assert now.name == f"{was.name}, {ordinal(turns.index(was.name) + 1)}"
    assert len(turns) >= 4


def test_pieces_are_apart_in_dressing_order_and_lead_back() -> None:
    """Derived: each piece is moved higher than the one before it, and away from the stack; a line goes from
    a corner of each to where that corner was."""
    scene = load("cottage")
    assembly, apart = assemble(scene), pieces_apart(scene)
    was = {part.name: part.vertices for part in assembly if part.role is Role.FLASHING}
    now = {piece.name.split(",")[0]: piece.triangles.reshape(-1, 3) for piece in apart.pieces}
    moved = [now[name].min(axis=0) - was[name].min(axis=0) for name in was]
    assert (np.diff([shift[2] for shift in moved]) > 0).all()
    boxes = [(now[name].min(axis=0), now[name].max(axis=0)) for name in was]
    for i, (low, high) in enumerate(boxes[:3]):
        for below, above in boxes[i + 1 : 3]:
            assert ((high < below) | (above < low)).any()
    assert len(apart.guides) == 2 * len(was)
    for line in apart.guides:
        ends = [np.abs(corners - line[1]).sum(axis=1).min() < 1e-12 for corners in was.values()]
        (home,) = (k for k, name in enumerate(was) if ends[k] and near(line[0] - line[1], moved[k]))
        assert home < len(was)


def near(one: np.ndarray, other: np.ndarray) -> bool:
    return bool(np.abs(one - other).max() < 1e-9)


def test_ordinals() -> None:
    """English."""
    told = [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 101, 111)]
    assert told == [
        "1st",
        "2nd",
        "3rd",
        "4th",
        "11th",
        "12th",
        "13th",
        "21st",
        "22nd",
        "101st",
        "111th",
    ]


def test_every_scene_can_be_taken_apart() -> None:
    """No two parts share a name after it."""
    for name in names():
        assert len({piece.name for piece in pieces_apart(load(name)).pieces}) == len(
            assemble(load(name))
        )


def test_the_view_of_a_leak_sees_it() -> None:
    """Derived: from the eaves nothing hides the apron; what lies behind the stack is seen from the ridge,
    and what lies in the loft from nowhere, so that the first view must do."""
    stage = Stage.of(assemble(load("cottage")), title="x")
    assert clear_view(stage, np.array([0.0, -0.05, 0.05])).name == "eaves"
    assert clear_view(stage, np.array([0.0, 0.5, 0.55])).name == "ridge"
    assert clear_view(stage, np.array([0.0, 0.2, -0.3])).name == stage.views[0].name


def drawn(folder: Path, *options: str) -> np.ndarray:
    file = folder / f"{len(list(folder.iterdir()))}.png"
    told = CliRunner().invoke(cli, [*PLAIN, "-o", str(file), *options])
    assert told.exit_code == 0, told.output
    assert [path.suffix for path in folder.iterdir()] == [".png"] * len(list(folder.iterdir()))
    return np.asarray(Image.open(file))


def test_pictures_differ_where_they_should(tmp_path: Path) -> None:
    """A picture that is not blank; with the pieces apart, and close on a leak, another one."""
    wrong = ["--fault", "side over the gutter"]
    whole, apart, close = (
        drawn(tmp_path, *options) for options in ([], ["--apart"], [*wrong, "--leak", "1"])
    )
    for one in (whole, apart, close):
        assert one.shape == (500, 800, 3)
        assert len(np.unique(one.reshape(-1, 3), axis=0)) > 50
    view = slice(0, 590)
    assert (whole[:, view] != apart[:, view]).any(axis=2).mean() > 0.05
    assert (whole[:, view] != close[:, view]).any(axis=2).mean() > 0.2


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--apart", "--leak", "1", "-o", "a.png"], "--apart shows no water"),
        (["-o", "a.jpg"], "a.jpg: must end in .png"),
        (["-o", "no/a.png"], "can't be written (no folder no)"),
        (["-o", "a.png", "--view", "below"], "'below' is not one of"),
        (["-o", "a.png", "--size", "9x"], "must be two whole numbers of pixels"),
        (["-o", "a.png", "--size", "100x100"], "picture size must be 500 to 4000 pixels"),
        (["-o", "there.png"], "there.png: is there already; --force replaces it"),
        (
            ["-o", "a.png", "--leak", "3"],
            "--leak must be the number of a leak, and there are none in this rain. Got 3",
        ),
    ],
)
def test_what_can_not_be_used_is_one_line(
    options: list[str], line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit 2, one line, and no file."""
    monkeypatch.chdir(tmp_path)
    Path("there.png").write_text("mine")
    told = CliRunner().invoke(cli, ["picture", "cottage", "--quiet", "--drops", "300", *options])
    assert told.exit_code == 2
    assert line in told.stderr
    assert len(told.stderr.strip().splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["there.png"]
    assert Path("there.png").read_text() == "mine"


def test_a_picture_says_what_is_wrong_on_purpose() -> None:
    """Derived: a nail that lets in next to nothing would otherwise look like the scene made right."""
    scene = with_faults(load("cottage"), ["nail through the cover", "cover too narrow@left=60"])
    note = pieces_apart(scene).note
    assert note.startswith("Wrong on purpose: nail through the cover; cover too narrow, left. ")
    assert note.endswith(load("cottage").note)
    assert pieces_apart(load("cottage")).note == load("cottage").note
