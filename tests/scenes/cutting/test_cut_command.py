"""`stackrain cut`: every scene of the library, its options, its refusals, what it writes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from click.testing import Result

from scenes.cutting.cut_list import cut_list
from scenes.scene import load, names

Run = Callable[..., Result]


@pytest.mark.parametrize("name", names())
def test_every_scene_of_the_library_cuts(stackrain: Run, name: str) -> None:
    """The issue: a cut list of every scene, every blank on stock, within 96 columns."""
    got = stackrain("cut", name, "--strict")
    assert got.exit_code == 0
    assert all(len(line) <= 96 for line in got.stdout.splitlines())
    assert "% of what is cut off it is waste" in got.stdout
    assert "front apron" in got.stdout or "side flashing" in got.stdout
    assert "nan" not in got.stdout.lower().split()


def test_files_are_written_whole_or_not_at_all(stackrain: Run, tmp_path: Path) -> None:
    """habits.md: a folder that holds files is kept without --force; with it, ours are replaced."""
    got = stackrain("cut", "cottage", "-o", "out")
    assert got.exit_code == 0
    patterns = tmp_path / "out" / "patterns"
    names_ = {path.name for path in patterns.iterdir()}
    assert {"front-apron.dxf", "front-apron.svg", "left-side-flashing.svg"} <= names_
    assert stackrain("cut", "cottage", "-o", "out").exit_code == 2
    (patterns / "old-piece.svg").write_text("old")
    (tmp_path / "out" / "diary.txt").write_text("mine")
    assert stackrain("cut", "cottage", "-o", "out", "--force").exit_code == 0
    assert {path.name for path in patterns.iterdir()} == names_
    assert (tmp_path / "out" / "diary.txt").read_text() == "mine"


def test_a_folder_of_patterns_that_holds_more_is_left_alone(stackrain: Run, tmp_path: Path) -> None:
    """Safety: nobody else's files are touched, and nothing is half written."""
    foreign = tmp_path / "out" / "patterns" / "dress.txt"
    foreign.parent.mkdir(parents=True)
    foreign.write_text("mine")
    got = stackrain("cut", "cottage", "-o", "out", "--force")
    assert got.exit_code == 2
    assert "holds more than drawings" in got.stderr
    assert [path.name for path in (tmp_path / "out").rglob("*")] == ["patterns", "dress.txt"]


def test_stock_that_takes_some_says_which_and_why(stackrain: Run) -> None:
    """The issue: a blank that fits none of the stock is named with its size and the widest stock; exit 1
    with --strict, 0 without, 2 where nothing can be cut at all."""
    words = ("cut", "terrace", "--stock", "260x1500")
    got = stackrain(*words)
    assert got.exit_code == 0
    assert "can't be cut: " in got.stdout
    assert "the widest stock is a sheet 260 x 1500 mm" in " ".join(got.stdout.split())
    assert stackrain(*words, "--strict").exit_code == 1
    nothing = stackrain("cut", "cottage", "--stock", "50x100")
    assert nothing.exit_code == 2
    assert "nothing can be cut from this stock" in nothing.stderr
    assert nothing.stdout == ""
    bad = stackrain("cut", "cottage", "--stock", "wide")
    assert bad.exit_code == 2
    assert "WIDTHxLENGTH" in bad.stderr


def test_a_fault_of_the_measures_is_in_the_blanks(stackrain: Run) -> None:
    """Contract: what is made wrong is cut as it was made, and said; what is fitted wrong isn't in the
    blanks, and that is said too."""
    got = stackrain("cut", "cottage", "--fault", "cover too narrow=60")
    assert got.exit_code == 0
    assert "Wrong on purpose:" in got.stdout
    assert got.stdout != stackrain("cut", "cottage").stdout
    fitted = stackrain("cut", "cottage", "--fault", "nail through the cover")
    assert "is not in these blanks" in " ".join(fitted.stdout.split())


def test_parts_from_files_have_no_blanks(stackrain: Run, tmp_path: Path) -> None:
    """Derived: a scene of parts alone has no measures to cut to."""
    (tmp_path / "part.stl").write_text(
        "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\n"
        "endloop\nendfacet\nendsolid a\n"
    )
    (tmp_path / "parts.toml").write_text(
        '[[part]]\nname = "a"\nfile = "part.stl"\nrole = "flashing"\nunit = "m"\n'
    )
    got = stackrain("cut", "parts.toml")
    assert got.exit_code == 2
    assert "parts from files alone" in got.stderr


def test_like_pieces_are_listed_once(stackrain: Run) -> None:
    """Derived: four steps between the first and the last on each side are one blank, cut four times."""
    found = cut_list(load("stepped"))
    step = next(one for one in found.patterns if one.name == "left step 2")
    assert step.alike == ("left step 2", "left step 3", "left step 4", "left step 5")
    assert step.hand == "left"
    assert "left step 2 and 3 more" in stackrain("cut", "stepped").stdout


def test_without_files_nothing_heavy_is_loaded() -> None:
    """Why `cut` starts fast: no compiled kernels, no VTK, no DXF library are loaded for the table."""
    program = (
        "import sys\nfrom click.testing import CliRunner\nfrom scenes.cli import cli\n"
        "got = CliRunner().invoke(cli, ['cut', 'cottage'])\nassert got.exit_code == 0\n"
        "print([m for m in ('numba', 'scipy', 'vtk', 'pyvista', 'ezdxf', 'trimesh', 'PIL')"
        " if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_a_stack_too_large_for_its_stock_says_which_blanks_and_why(
    stackrain: Run, tmp_path: Path
) -> None:
    """The issue: 2.6 m wide and 1.5 m deep, its pieces are divided as the lead allows; off a roll 300 mm wide
    those of the gutter can't be cut, each is named with its size and the stock's, on screen and on paper;
    exit 1 with --strict."""
    text = (
        "[roof]\npitch_deg = 40\ngauge_mm = 100\nthickness_mm = 12\nhead_lap_mm = 65\ndouble_lap = true\n"
        "[stack]\nwidth_mm = 2600\ndepth_mm = 1500\nheight_mm = 4000\n"
    )
    (tmp_path / "huge.toml").write_text(text)
    whole = stackrain("cut", "huge.toml", "--strict")
    assert whole.exit_code == 0
    assert "can't be cut" not in whole.stdout
    assert "front apron, length 2 of 2" in whole.stdout
    args = ("cut", "huge.toml", "--stock", "300x1300", "--strict", "-o", "out")
    got = stackrain(*args)
    assert got.exit_code == 1
    said = " ".join(got.stdout.split())
    for name in ("front apron, length 1 of 2", "back gutter, part 1 of 3, length 2 of 3"):
        assert f"can't be cut: {name} is" in said
    assert "329 x 1400 mm, the widest stock is a sheet 300 x 1300 mm" in said
    assert "can't be cut: left side flashing" not in said
    paper = pypdf.PdfReader(tmp_path / "out" / "cut-list.pdf").pages[0].extract_text()
    assert "Can't be cut from this stock" in paper
    assert "329 x 1400 mm" in paper
