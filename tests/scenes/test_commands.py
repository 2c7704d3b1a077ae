"""The command line as a whole: help, `new`, `scenes`, and how it starts."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from click.testing import Result

from scenes import __version__
from scenes.cli import cli
from scenes.scene import load

ROOT = Path(__file__).parents[2]
Run = Callable[..., Result]


@pytest.mark.parametrize("name", cli.commands)
def test_every_command_has_help(stackrain: Run, name: str) -> None:
    """habits.md: each command's help says what it does, and ends its words with an example."""
    command = cli.commands[name]
    assert command.help
    assert command.help.split("Example:")[-1].strip().startswith(f"stackrain {name}")
    for option in command.params:
        assert isinstance(option, click.Argument) or getattr(option, "help", None), option.name
    for flag in ("-h", "--help"):
        assert stackrain(name, flag).exit_code == 0


@pytest.mark.parametrize("name", cli.commands)
def test_every_command_is_in_the_readme(name: str) -> None:
    """habits.md: a test fails when a command is missing from the docs."""
    assert f"stackrain {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_alone_it_prints_its_help(stackrain: Run) -> None:
    """Derived: no arguments is a question, not a fault."""
    got = stackrain()
    assert got.exit_code == 0
    assert "stackrain run cottage" in got.stdout


def test_version(stackrain: Run) -> None:
    """Contract: the version is the package's."""
    assert __version__ in stackrain("--version").stdout


LIBRARY = (
    "cottage",
    "flue",
    "low",
    "profiled",
    "ridge",
    "stepped",
    "terrace",
    "turned",
    "wide",
    "zinc",
)


def test_scenes_lists_the_library(stackrain: Run) -> None:
    """`scenes` names the scenes of the library, and says that they are invented."""
    lines = stackrain("scenes").stdout.splitlines()
    assert [line.split()[0] for line in lines] == list(LIBRARY)
    assert all("Invented" in line for line in lines)


def test_new_writes_a_scene_that_is_the_same(stackrain: Run, tmp_path: Path) -> None:
    """Every default written out by `new`; reading it back gives the same detail."""
    assert stackrain("new", "mine", "--from", "terrace").exit_code == 0
    assert load(str(tmp_path / "mine.toml")).detail == load("terrace").detail
    assert stackrain("new", "sub.toml").exit_code == 0
    assert load(str(tmp_path / "sub.toml")).detail == load("cottage").detail


def test_new_keeps_a_file_that_is_there(stackrain: Run, tmp_path: Path) -> None:
    """Derived: nothing of the user's is overwritten without --force."""
    (tmp_path / "mine.toml").write_text("precious")
    got = stackrain("new", "mine.toml")
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert (tmp_path / "mine.toml").read_text() == "precious"
    assert stackrain("new", "mine", "--force").exit_code == 0
    assert load(str(tmp_path / "mine.toml")).detail == load("cottage").detail


@pytest.mark.parametrize("name", ["none/mine", "file.txt/mine", "a\0b"])
def test_new_where_nothing_can_be_written(stackrain: Run, tmp_path: Path, name: str) -> None:
    """Derived: one line, exit 2."""
    (tmp_path / "file.txt").write_text("")
    got = stackrain("new", name)
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert "can't be written" in got.stderr


@pytest.mark.parametrize("name", ["", " ", ".", "..", "sub/"])
def test_new_needs_the_name_of_a_file(stackrain: Run, tmp_path: Path, name: str) -> None:
    """Derived: no file called .toml or ..toml is made of such a name."""
    got = stackrain("new", name)
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert "must be the name of a file" in got.stderr
    assert list(tmp_path.iterdir()) == []


def test_new_says_how_to_go_on_with_a_space_in_the_name(stackrain: Run) -> None:
    """Derived: what it says can be typed as it stands."""
    assert 'stackrain run "my roof.toml" -o "results/my roof"' in stackrain("new", "my roof").stdout


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(28, "No space left on device"), "can't be printed"),
        (MemoryError(), "not enough memory"),
    ],
)
def test_what_the_machine_lacks_is_one_line(
    stackrain: Run, monkeypatch: pytest.MonkeyPatch, error: Exception, said: str
) -> None:
    """Derived: a full disk behind standard output, no memory left: one line, exit 2."""

    def fail(name: str) -> None:
        raise error

    monkeypatch.setattr("scenes.scene.load", fail)
    monkeypatch.setattr("scenes.cli._drop_output", lambda: None)
    got = stackrain("scenes")
    assert (got.exit_code, len(got.stderr.splitlines())) == (2, 1)
    assert said in got.stderr


def test_a_request_to_end_is_taken_as_ctrl_c() -> None:
    """Derived: ended in the middle of its work, it tidies up and leaves with 130."""
    code = (
        "import os, signal, sys; import scenes.scene; from scenes.cli import main; "
        "scenes.scene.load = lambda name: os.kill(os.getpid(), signal.SIGTERM); "
        "sys.argv = ['stackrain', 'run', 'cottage', '-o', 'none']; main()"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 130
    assert done.stderr.split("\n")[-2] == "stackrain: stopped; nothing was written"


def test_a_reader_that_leaves_early_brings_no_traceback() -> None:
    """Practice: `stackrain ... | head` ends without a word."""
    code = "from scenes.cli import main; import sys; sys.argv = ['stackrain', 'scenes']; main()"
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""


def test_show_without_a_display(stackrain: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """No display is one clear line and exit 2."""
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    got = stackrain("show", "cottage", "--drops", 50)
    assert got.exit_code == 2
    assert "there is no display" in got.stderr.splitlines()[-1]
