"""`stackrain run` from scene to results, on the real detail with few drops."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvista
import trimesh
from click.testing import Result

from scenes import opengl
from scenes.run import MOST_LEAK_PATHS, MOST_PATHS, _kept
from scenes.scene import read
from sim import trace as tracing
from sim.fates import Fate

ROOT = Path(__file__).parents[2]
Run = Callable[..., Result]
SIDES_LAST = 'order = ["apron", "gutter", "left", "right", "underlay"]\n'
"""Side flashings dressed over the back gutter: the wrong way round."""
BOX = '[[part]]\nname = "box"\nfile = "box.stl"\nrole = "covering"\nunit = "mm"\n'


def found_in(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "findings.json").read_text(encoding="utf-8"))
    return found


def test_the_results_of_a_right_detail(stackrain: Run, tmp_path: Path) -> None:
    """findings.json, schema 1: the library's cottage keeps the water out, every
    lap is long enough, and shares add up to 1."""
    got = stackrain("run", "cottage", "-o", "out", "--drops", 2000, "--no-picture", "--strict")
    assert got.exit_code == 0, got.stdout + got.stderr
    assert "No water gets behind the flashings." in got.stdout
    out = tmp_path / "out"
    assert sorted(path.name for path in out.iterdir()) == [
        "findings.json",
        "model.glb",
        "page.html",
        "paths.vtp",
        "report.html",
        "report.pdf",
    ]
    found = found_in(out)
    for key, value in {"schema": 1, "program": "stackrain", "seed": 0, "drops": 2000}.items():
        assert found[key] == value
    assert {"title", "file", "sha256"} == set(found["scene"])
    assert {"rain_mm_h", "gust_m_s", "from_deg"} <= set(found["weather"])
    assert sum(row["share"] for row in found["water"]) == pytest.approx(1, abs=1e-5)
    assert all({"fate", "share", "share_se", "flow_ml_min"} <= set(row) for row in found["water"])
    assert found["leaks"] == []
    assert found["laps"]
    assert all(lap["ok"] for lap in found["laps"])
    assert found["cautions"]


def test_the_results_of_a_wrong_order(stackrain: Run, smallest: str, tmp_path: Path) -> None:
    """Side flashings dressed over the back gutter leak, are named; --strict exits 1."""
    (tmp_path / "wrong.toml").write_text(SIDES_LAST + smallest)
    got = stackrain("run", "wrong.toml", "-o", "out", "--drops", 4000, "--no-picture", "--strict")
    assert got.exit_code == 1, got.stderr
    assert "Water gets behind the flashings" in got.stdout
    leaks = found_in(tmp_path / "out")["leaks"]
    named = {part for leak in leaks for part in leak["parts"]}
    assert "back gutter" in named
    for leak in leaks:
        assert leak["way_in"] in got.stdout.replace("\n      ", " ")
    paths = pyvista.read(tmp_path / "out" / "paths.vtp")
    behind = np.isin(paths.cell_data["fate"], [Fate.UNDERLAY, Fate.INSIDE])
    leak_of = paths.cell_data["leak"]
    assert set(leak_of[behind]) <= {leak["id"] for leak in leaks}
    assert (leak_of[~behind] == 0).all()
    assert behind[0]
    assert paths.n_lines <= 500
    plain = stackrain("run", "wrong.toml", "-o", "two", "--drops", 500, "--no-picture")
    assert plain.exit_code == 0


def test_same_seed_same_bytes(stackrain: Run, tmp_path: Path) -> None:
    """Whatever the number of threads; another seed gives another answer."""
    for name, more in {"a": (), "b": ("--threads", 1), "c": ("--seed", 7)}.items():
        args = ("run", "terrace", "-o", name, "--drops", 1500, "--no-picture", *more)
        assert stackrain(*args).exit_code == 0
    one, two, other = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in "abc"
    )
    assert one == two
    assert one["model.glb"] == other["model.glb"]
    assert one["paths.vtp"] != other["paths.vtp"]


def test_earlier_results_need_force(stackrain: Run, tmp_path: Path) -> None:
    """Refused in one line with exit 2; with --force the new run takes their place."""
    args = ("run", "cottage", "-o", "out", "--drops", 100, "--no-picture")
    assert stackrain(*args).exit_code == 0
    old = (tmp_path / "out" / "findings.json").read_bytes()
    again = stackrain(*args, "--seed", 1, "--quiet")
    assert (again.exit_code, again.stdout, len(again.stderr.splitlines())) == (2, "", 1)
    assert (tmp_path / "out" / "findings.json").read_bytes() == old
    assert stackrain(*args, "--seed", 1, "--force").exit_code == 0
    assert found_in(tmp_path / "out")["seed"] == 1


def test_parts_from_files_alone(stackrain: Run, tmp_path: Path) -> None:
    """Derived: a box sheds all the rain that falls over its own bounds in plan, 2 m2 at 36 mm/h
    being 1200 ml/min; a level top holds it (ponds come later)."""
    box = trimesh.creation.box((2000, 1000, 300))
    box.apply_transform(trimesh.transformations.rotation_matrix(np.radians(30), (1, 0, 0)))
    box.export(tmp_path / "box.stl")
    (tmp_path / "box.toml").write_text(BOX + "[weather]\nrain_mm_h = 36\n")
    got = stackrain("run", "box.toml", "-o", "out", "--drops", 1000, "--no-picture")
    assert got.exit_code == 0, got.stderr
    water = {row["fate"]: row for row in found_in(tmp_path / "out")["water"]}
    across = 2 * (1 * np.cos(np.radians(30)) + 0.3 * np.sin(np.radians(30)))
    assert water["shed"]["share"] == 1
    assert water["shed"]["flow_ml_min"] == pytest.approx(across * 0.036 / 60 * 1e6, rel=1e-4)


def test_two_parts_of_one_name(stackrain: Run, tmp_path: Path) -> None:
    """Derived: one line with the scene's name, exit 2."""
    trimesh.creation.box((2000, 1000, 300)).export(tmp_path / "box.stl")
    (tmp_path / "box.toml").write_text(BOX + BOX)
    got = stackrain("run", "box.toml", "-o", "out", "--quiet")
    assert got.exit_code == 2
    assert got.stderr.startswith("stackrain: box.toml, line 8, part[2].file: a part called box is")
    assert not (tmp_path / "out").exists()


def test_what_the_builder_refuses_names_the_key(
    stackrain: Run, smallest: str, tmp_path: Path
) -> None:
    """Derived: a gutter's leg of 990 mm is in bounds by itself, but ends below the underlay; found
    only on building, and still one line with the place."""
    (tmp_path / "a.toml").write_text(smallest + "[gutter]\nleg_mm = 990\n")
    got = stackrain("run", "a.toml", "-o", "out", "--drops", 10, "--quiet")
    assert got.exit_code == 2
    assert got.stderr.startswith("stackrain: a.toml, line 8, gutter.leg_mm: gutter leg must be")
    assert len(got.stderr.splitlines()) == 1
    assert not (tmp_path / "out").exists()


def test_without_opengl_all_but_the_picture(
    stackrain: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without system libraries everything but the picture works, with one clear line."""
    monkeypatch.setattr(opengl, "problem", lambda: "No picture can be drawn: invented reason")
    got = stackrain("run", "cottage", "-o", "out", "--drops", 100)
    assert got.exit_code == 0
    assert "invented reason" in got.stderr
    assert not (tmp_path / "out" / "picture.png").exists()
    assert found_in(tmp_path / "out")["drops"] == 100


def test_the_first_run_says_that_it_compiles(
    stackrain: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Compiling, once, and says so, on standard error and unless quiet."""
    monkeypatch.setattr(tracing, "is_compiled", lambda: False)
    args = ("run", "cottage", "--drops", 10, "--no-picture")
    assert "compiling" in stackrain(*args, "-o", "a").stderr
    assert stackrain(*args, "-o", "b", "--quiet").stderr == ""


def test_no_picture_loads_no_drawing(tmp_path: Path) -> None:
    """The drawing library is most of the start; it is loaded only to draw."""
    code = (
        "import sys\nfrom scenes.cli import cli\n"
        "cli.main(sys.argv[1:], standalone_mode=False)\n"
        "print(sorted({'pyvista', 'vtk', 'matplotlib', 'trimesh'} & set(sys.modules)))"
    )
    args = ["run", "cottage", "-o", str(tmp_path / "out"), "--drops", "10", "--no-picture"]
    ran = subprocess.run(
        [sys.executable, "-c", code, *args], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ran.stdout.splitlines()[-1] == "[]"


def test_the_push_and_the_slant_reach_the_water(smallest: str) -> None:
    """Derived: water on a plain roof leaves where the drive sends it; pushed hard to the right it
    leaves over the right verge only."""
    from scenes.run import run

    text = smallest.replace("pitch_deg = 40", 'pitch_deg = 40\ncovering = "plain"')
    text += "[weather]\npush_m_s2 = [40, 0, 0]\n"
    result = run(read(text, "a.toml", Path()), drops=300, seed=0)
    right = result.assembly["covering"].vertices[:, 0].max()
    clear = result.drops.points[:, 1] > 1.1
    assert (result.trace.end[clear, 0] >= right - 1e-6).all()


def test_the_tracer_s_refusals_name_the_scene(stackrain: Run, tmp_path: Path) -> None:
    """Derived: seen edge on, an upright sheet takes no upright rain; the line begins with the file."""
    (tmp_path / "wall.obj").write_text("v 0 0 0\nv 1 0 0\nv 1 0 1\nf 1 2 3\n")
    wall = BOX.replace("box.stl", "wall.obj").replace('"mm"', '"m"')
    (tmp_path / "wall.toml").write_text(wall)
    got = stackrain("run", "wall.toml", "-o", "out", "--quiet")
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert got.stderr.startswith("stackrain: wall.toml: must have a part that rain can fall on")
    assert not (tmp_path / "out").exists()


def test_paths_are_kept_in_proportion_to_the_leaks() -> None:
    """Derived: of 10,000 drops 4,000 leak at one place and 40 at another; a hundredth of the water
    gets about a hundredth of the paths, but never under five, or all it has."""
    leaks = [np.arange(4000), np.arange(4000, 4040), np.arange(4040, 4042)]
    rows, leak_of = _kept(10_000, leaks)
    counts = np.bincount(leak_of)
    assert len(rows) == MOST_PATHS == counts.sum()
    assert counts[1:].tolist() == [MOST_LEAK_PATHS * 4000 // 4042, 5, 2]
    assert len(np.unique(rows)) == len(rows)


def test_rain_that_never_comes_down_on_the_covering(
    stackrain: Run, tmp_path: Path, smallest: str
) -> None:
    """Derived: at 80 degrees from the ridge's side, rain runs flatter than a slope of 40."""
    (tmp_path / "a.toml").write_text(f"{smallest}[weather]\nslant_deg = 80\nfrom_deg = 180\n")
    got = stackrain("run", "a.toml", "-o", "out", "--quiet", "--drops", 10)
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert "a.toml, line 8, weather.slant_deg: must be smaller" in got.stderr
    assert "Got 80" in got.stderr
