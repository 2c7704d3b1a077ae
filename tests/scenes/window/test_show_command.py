"""The command `show`: what it hands to the window."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from scenes.cli import cli
from scenes.run import Result
from scenes.window import live


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[Result]:
    """The results that a window was opened on; none is."""
    results: list[Result] = []
    monkeypatch.setattr("scenes.opengl.need_screen", lambda: None)
    monkeypatch.setattr(live, "open_window", results.append)
    return results


def test_the_window_gets_the_scene_in_its_weather_with_its_faults(opened: list[Result]) -> None:
    """Derived: fault, rain, seed and number of drops are those asked for."""
    asked = ["show", "cottage", "--fault", "side over the gutter@left", "--weather", "cloudburst"]
    done = CliRunner().invoke(cli, [*asked, "--drops", "300", "--seed", "5"])
    assert done.exit_code == 0, done.output
    assert len(opened) == 1
    found = opened[0].to_dict()
    assert (found["drops"], found["seed"], found["weather"]["case"]) == (300, 5, "cloudburst")
    assert len(found["faults"]) == 1
    assert opened[0].cures is None


def test_input_that_cannot_be_used_opens_nothing(opened: list[Result]) -> None:
    """Derived: one line, exit 2."""
    for asked in (["nowhere"], ["cottage", "--fault", "bad luck"], ["cottage", "--drops", "0"]):
        done = CliRunner().invoke(cli, ["show", *asked])
        assert done.exit_code == 2
        assert len(done.stderr.strip().splitlines()) == 1
    assert not opened
