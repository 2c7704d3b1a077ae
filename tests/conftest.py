"""What several tests use: the command line, run inside this process and away from the project."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from scenes.cli import cli

SMALLEST = """\
[roof]
pitch_deg = 40

[stack]
width_mm = 590
depth_mm = 440
"""
"""A scene file with the three keys that have no default."""


@pytest.fixture
def smallest() -> str:
    return SMALLEST


@pytest.fixture
def stackrain(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    """Run `stackrain ARGS...` in tmp_path; gives exit_code, stdout and stderr."""
    monkeypatch.chdir(tmp_path)

    def run(*args: object) -> Result:
        result = CliRunner().invoke(cli, [str(arg) for arg in args])
        unexpected = not isinstance(result.exception, SystemExit | type(None))
        assert not unexpected, f"traceback: {result.exception!r}"
        return result

    return run
