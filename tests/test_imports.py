"""The three storeys: imports run down only. And the size of a file."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.longest import LONGEST as FIRST

ROOT = Path(__file__).parents[1]
ALLOWED = {
    "meshes": {"meshes"},
    "sim": {"sim", "meshes"},
    "scenes": {"scenes", "sim", "meshes"},
}
DRAWING = {"pyvista", "vtk", "vtkmodules", "matplotlib", "PIL"}
LONGEST = 400


def files_of(storey: str) -> list[Path]:
    return sorted((ROOT / storey).rglob("*.py"))


def imported(file: Path) -> Iterator[str]:
    """Top-level names of all modules that a file imports, wherever the import stands."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file.name}: relative import"
            yield (node.module or "").split(".")[0]


@pytest.mark.parametrize("storey", ALLOWED)
def test_imports_run_down_only(storey: str) -> None:
    """Scenes over sim over meshes."""
    files = files_of(storey)
    assert len(files) > 1
    for file in files:
        upward = set(imported(file)) & (set(ALLOWED) - ALLOWED[storey])
        assert not upward, f"{file.relative_to(ROOT)} imports {upward}"


@pytest.mark.parametrize("storey", ["meshes", "sim"])
def test_nothing_below_the_scenes_draws(storey: str) -> None:
    """sim sees only triangles; the viewer is never imported by the tracer."""
    for file in files_of(storey):
        drawing = set(imported(file)) & DRAWING
        assert not drawing, f"{file.relative_to(ROOT)} imports {drawing}"


def test_the_scan_sees_an_upward_import(tmp_path: Path) -> None:
    """Derived: an import inside a function counts."""
    file = tmp_path / "bad.py"
    file.write_text("def f():\n    from scenes.run import run\n    import pyvista.core\n")
    assert set(imported(file)) == {"scenes", "pyvista"}


def test_no_file_is_too_long() -> None:
    """habits.md: no file above 400 lines."""
    files = [file for folder in (*ALLOWED, "tests", "bench") for file in files_of(folder)]
    long = {file.name: len(file.read_text().splitlines()) for file in files}
    assert not {name: count for name, count in long.items() if count > LONGEST}


def test_the_files_that_begin_first_are_there() -> None:
    """Derived: a file that was renamed would come last without a word."""
    assert not [name for name in FIRST if not (ROOT / "tests" / name).is_file()]


@pytest.mark.parametrize(
    ("module", "heavy"),
    [
        ("scenes.cli", {"numpy", "pydantic", "numba", "trimesh", "pyvista"}),
        ("scenes.template", {"numpy", "numba", "trimesh", "pyvista"}),
        ("scenes.run", {"numba", "trimesh", "pyvista"}),
    ],
)
def test_what_a_command_needs_not_is_not_loaded(module: str, heavy: set[str]) -> None:
    """Derived from the issue's starting time: --help loads click alone, `new` no arrays."""
    code = f"import sys, {module}; print(*({heavy!r} & set(sys.modules)))"
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == ""
