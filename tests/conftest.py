"""What several tests use: the command line, run inside this process and away from the project."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from scenes.cli import cli
from tests.longest import LONGEST

TESTS = Path(__file__).parent
SMALLEST = """\
[roof]
pitch_deg = 40

[stack]
width_mm = 590
depth_mm = 440
"""
"""A scene file with the three keys that have no default."""


def pytest_configure(config: pytest.Config) -> None:
    """pytest-xdist would begin with the files that have most tests, not with those that take longest."""
    config.option.loadscopereorder = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """On several cores each file is one piece of work: the longest come first, so that at the end no core
    is left alone with one."""
    place = {TESTS / name: number for number, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path, len(LONGEST)))


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
