"""`new --ask` as somebody types it, or as a pipe does."""

from __future__ import annotations

from collections.abc import Callable
from math import cos
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from scenes.cli import cli
from scenes.scene import load
from tests.scenes.measuring.roofs import OLD, PLAIN, answered, lines

Ask = Callable[..., Result]


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Run `stackrain new ARGS... --ask` in tmp_path with what is typed."""
    monkeypatch.chdir(tmp_path)

    def run(typed: str | bytes, *args: str) -> Result:
        return CliRunner().invoke(cli, ["new", *args, "--ask"], input=typed)

    return run


def _refused(got: Result, folder: Path) -> str:
    assert got.exit_code == 2
    assert list(folder.iterdir()) == []
    assert "Traceback" not in got.output
    return got.stderr.splitlines()[-1]


@pytest.mark.parametrize("given", [PLAIN, OLD], ids=["plain", "old"])
def test_it_writes_what_was_measured(ask: Ask, tmp_path: Path, given: dict[str, str]) -> None:
    """Contract: the scene of the answers, and the next command alone on standard output."""
    got = ask(lines(given), "my roof")
    assert got.exit_code == 0, got.output
    assert got.stdout == (
        'Wrote my roof.toml. Next: stackrain run "my roof.toml" -o "results/my roof"\n'
    )
    assert load(str(tmp_path / "my roof.toml")).detail == answered(given).scene().detail
    assert len(list(tmp_path.iterdir())) == 1


def test_a_wrong_answer_gets_one_line_and_the_question_again(ask: Ask) -> None:
    """Contract."""
    got = ask("steep\n" + lines(PLAIN), "roof")
    assert got.exit_code == 0
    said = got.stderr.splitlines()
    asked = [n for n, line in enumerate(said) if "Pitch of the rafters" in line]
    assert len(asked) == 2
    assert asked[1] - asked[0] == 2
    assert '"steep": is no pitch' in said[asked[0] + 1]


def test_what_can_not_be_built_is_asked_again(ask: Ask, tmp_path: Path) -> None:
    """Derived: a leg longer than the roof above the stack is found by the builder, last of all; the roof is
    asked for again, then the leg, which would end under the underlay; nothing else is."""
    given = PLAIN | {"above": "700", "present": "yes", "leg": "600"}
    got = ask(lines(given) + "2 m\n300\n", "roof")
    assert got.exit_code == 0, got.output
    assert "longer than the gutter's leg" in got.stderr
    detail = load(str(tmp_path / "roof.toml")).detail
    assert detail is not None
    assert "so that it ends above the underlay" in got.stderr
    assert detail.gutter.leg == 0.3
    assert detail.roof.above == pytest.approx(2 * cos(detail.roof.pitch))


@pytest.mark.parametrize("typed", ["", "40\n", "40\n590\nback\n"])
def test_answers_that_end_too_soon_write_nothing(ask: Ask, tmp_path: Path, typed: str) -> None:
    """Contract: Ctrl-D or a pipe's end."""
    assert "nothing was written" in _refused(ask(typed, "roof"), tmp_path)


def test_stopping_writes_nothing(ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Contract: Ctrl-C, as with every other command."""

    def stop(self: object, text: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("scenes.measuring.interview.Interview.told", stop)
    got = ask("40\n", "roof")
    assert got.exit_code == 130
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("x\n" * 50, "answers in a row"),
        (b"\xff\xfe\n", "UTF-8"),
        ("4" * 5000, "in a line"),
    ],
)
def test_what_no_person_types(ask: Ask, tmp_path: Path, typed: str | bytes, said: str) -> None:
    """Derived: one line, and an end."""
    assert said in _refused(ask(typed, "roof"), tmp_path)


def test_a_file_that_is_there_is_said_before_the_first_question(ask: Ask, tmp_path: Path) -> None:
    """Derived: nobody shall answer it all in vain."""
    (tmp_path / "roof.toml").write_text("precious")
    got = ask(lines(PLAIN), "roof")
    assert got.exit_code == 2
    assert "Pitch" not in got.stderr
    assert (tmp_path / "roof.toml").read_text() == "precious"
    assert ask(lines(PLAIN), "roof", "--force").exit_code == 0


def test_it_starts_from_the_roof_alone(ask: Ask, tmp_path: Path) -> None:
    """Contract."""
    assert "no --from" in _refused(ask(lines(PLAIN), "roof", "--from", "cottage"), tmp_path)


def test_units_are_for_asking(stackrain: Ask, tmp_path: Path) -> None:
    """Derived: an option that does nothing is refused."""
    got = stackrain("new", "roof", "--units", "imperial")
    assert (got.exit_code, list(tmp_path.iterdir())) == (2, [])


def test_in_inches(ask: Ask, tmp_path: Path) -> None:
    """Derived: a bare 23 1/4 is 590.55 mm, and the questions speak of inches."""
    typed = lines(PLAIN).replace("590\n440\n", "23 1/4\n17\n", 1)
    got = ask(typed, "roof", "--units", "imperial")
    assert got.exit_code == 0, got.output
    assert "across the slope, in:" in got.stderr
    assert " mm" not in got.stderr
    table = load(str(tmp_path / "roof.toml")).table
    assert table.stack is not None
    assert (table.stack.width_mm, table.stack.depth_mm) == (590.55, 431.8)
