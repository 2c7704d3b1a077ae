"""The command that says whether stackrain works here: what it says, and what makes it say no."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import Result

from scenes import check_up
from scenes.check_detail import DROPS, Answer, known_answers
from scenes.check_up import EXTRAS, Has

ROOT = Path(__file__).parents[2]
Run = Callable[..., Result]


def test_ready_where_all_is_well(stackrain: Run) -> None:
    """The issue: versions, what it can draw with, extras, and a known detail; and exit 0."""
    got = stackrain("ready")
    assert got.exit_code == 0
    assert got.stdout.splitlines()[-1] == "Ready."
    assert got.stdout.count(": as expected") == 4
    assert f"numpy           {metadata.version('numpy')}" in got.stdout
    for word in ("Python 3.", "core", "pictures", "window", "pages", "compiled code", *EXTRAS):
        assert word in got.stdout


def test_every_extra_is_said() -> None:
    """Contract: an extra that the package gets is told here, with what it is for."""
    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert set(EXTRAS) == set(told["project"]["optional-dependencies"])


def test_an_answer_that_is_not_as_expected(stackrain: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: it is said, and exit 1."""
    monkeypatch.setattr(
        "scenes.check_detail.known_answers", lambda: (Answer("drops", "2", "3", right=False),)
    )
    got = stackrain("ready")
    assert got.exit_code == 1
    assert "expected 2: NOT SO" in got.stdout
    assert "Not ready" in got.stdout.splitlines()[-1]


def test_what_breaks_is_a_line(stackrain: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: a library that can't be loaded, say, is what was asked for and no traceback."""

    def breaks() -> None:
        raise ImportError("libwater.so: cannot\nopen")

    monkeypatch.setattr("scenes.check_detail.known_answers", breaks)
    got = stackrain("ready")
    assert got.exit_code == 1
    assert "can't be rained on: ImportError: libwater.so: cannot open\n" in got.stdout


def test_water_that_goes_elsewhere_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: each answer is wrong once the drops do something else: their fates or parts turned round,
    or other ends the second time."""
    from scenes import check_detail

    true, times = check_detail._rained_on, []

    def turned(*args: object, **more: object) -> SimpleNamespace:
        rained = true(*args, **more)  # type: ignore[arg-type]
        times.append(1)
        trace = replace(
            rained.trace, fate=4 - rained.trace.fate, parts_touched=~rained.trace.parts_touched,
            end=rained.trace.end + len(times),
        )  # fmt: skip
        return SimpleNamespace(charts=rained.charts, trace=trace)

    monkeypatch.setattr(check_detail, "DROPS", DROPS // 20)
    assert [answer.right for answer in known_answers()] == [True] * 4
    monkeypatch.setattr(check_detail, "_rained_on", turned)
    assert [answer.right for answer in known_answers()] == [False] * 4


def test_a_package_that_is_missing_or_old(stackrain: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: named with what to type, exit 1, and nothing else is tried."""
    asked = [
        "numpy>=999.1",
        "no-such-package>=2",
        "click>=8.4",
        'pytest<0.1,>=0.05; extra == "lint"',
    ]
    monkeypatch.setattr(metadata, "requires", lambda name: asked)
    got = stackrain("ready")
    assert got.exit_code == 1
    assert f"{metadata.version('numpy')}, older than 999.1: pip install -U numpy" in got.stdout
    assert "missing: pip install 'no-such-package>=2'" in got.stdout
    assert "film            not here" in got.stdout
    assert "lint            here" in got.stdout
    assert "rained on" not in got.stdout


def test_run_without_being_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: from a bare checkout there is nothing to compare versions with."""

    def unknown(name: str) -> None:
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "requires", unknown)
    assert [row.well for row in check_up.packages()] == [True]
    assert all("pip install" in row.how for row in check_up.extras())


@pytest.mark.parametrize(
    ("version", "numbers"),
    [("2.4.6", (2, 4, 6)), ("4.4.0.post1", (4, 4, 0)), ("1.0rc1", (1, 0)), ("", ()), ("x", ())],
)
def test_numbers_of_a_version(version: str, numbers: tuple[int, ...]) -> None:
    """Derived: as many as it begins with."""
    assert check_up._numbers(version) == numbers


def test_what_draws_is_asked_of_another_process(tmp_path: Path) -> None:
    """Derived: a graphics library that ends its process, hangs or is not there is said in one line."""
    ends = tmp_path / "ends"
    ends.write_text("#!/bin/sh\necho no driver >&2\nexit 3\n")
    ends.chmod(0o755)
    assert check_up._drawn_with(str(ends)).endswith("the graphics library ended (no driver)")
    assert "FileNotFoundError" in check_up._drawn_with(str(tmp_path / "none"))


def test_no_opengl_is_said_and_no_fault(stackrain: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: the answer needs no picture."""
    monkeypatch.setattr("scenes.opengl.problem", lambda: "No picture can be drawn: none.")
    monkeypatch.setattr("scenes.check_detail.known_answers", lambda: ())
    got = stackrain("ready")
    assert got.exit_code == 0
    assert "pictures        No picture can be drawn: none." in got.stdout


def test_where_no_code_can_be_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Derived: said, with what it costs."""
    kept = check_up.kept_code()
    assert kept == Has("compiled code", kept.how)
    assert "is kept in" in kept.how
    monkeypatch.setattr("os.access", lambda *_: False)
    assert "nothing new can be written" in check_up.kept_code().how
    monkeypatch.setattr("sim.walk.walk", lambda: None)
    assert "every run compiles anew" in check_up.kept_code().how
