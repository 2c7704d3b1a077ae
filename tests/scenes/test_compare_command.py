"""`stackrain compare` from scenes to results."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from scenes import opengl
from tests.scenes.compared_once import SIDES_LAST
from tests.scenes.gusts_once import PLAIN

Run = Callable[..., Result]
FEW = ("--drops", 400, "--quiet")


@pytest.fixture
def wrong(tmp_path: Path, smallest: str) -> str:
    """A scene file whose side flashings are dressed last, with a title that is no tag."""
    title = 'title = "<script>alert(1)</script>"\n'
    (tmp_path / "wrong.toml").write_text(title + SIDES_LAST + smallest)
    return "wrong.toml"


def test_two_scenes_give_a_picture_a_lesson_and_the_figures(
    stackrain: Run, wrong: str, tmp_path: Path
) -> None:
    """The issue: the sentence first, three files, nothing else in the folder."""
    got = stackrain("compare", "cottage", wrong, "-o", "out", *FEW)
    assert got.exit_code == 0, got.stderr
    assert "of the rain" in got.stdout
    assert "Second (wrong): <script>alert(1)</script>" in got.stdout
    names = {"compare.json", "lesson.html", "page.html"} | (
        set() if opengl.problem() else {"compare.png"}
    )
    assert {path.name for path in (tmp_path / "out").iterdir()} == names
    found = json.loads((tmp_path / "out" / "compare.json").read_text())
    assert (found["schema"], found["seed"], found["drops"]) == (1, 0, 400)
    assert found["second"]["scene"]["file"] == "wrong.toml"
    page = (tmp_path / "out" / "lesson.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert ("data:image/png;base64," in page) == (opengl.problem() is None)


def test_a_fault_takes_the_place_of_a_second_scene(stackrain: Run, tmp_path: Path) -> None:
    """Derived: several faults at once, the weather and the side of the wind as `run` takes them."""
    faults = ("--fault", "cover too narrow@left=90", "--fault", "no welt")
    weather = ("--weather", "driving", "--from", 90)
    got = stackrain("compare", "terrace", *faults, *weather, "-o", "out", "--no-picture", *FEW)
    assert got.exit_code == 0, got.stderr
    found = json.loads((tmp_path / "out" / "compare.json").read_text())
    assert [fault["name"] for fault in found["faults"]] == ["cover too narrow", "no welt"]
    assert (found["weather"]["case"], found["weather"]["from_deg"]) == ("driving", 90)
    assert not (tmp_path / "out" / "compare.png").exists()
    assert "<img" not in (tmp_path / "out" / "lesson.html").read_text(encoding="utf-8")


def test_the_same_seed_gives_the_same_bytes(stackrain: Run, wrong: str, tmp_path: Path) -> None:
    """Whatever the number of threads; another seed gives other figures."""
    for name, more in {"a": (), "b": ("--threads", 1), "c": ("--seed", 7)}.items():
        args = ("compare", "cottage", wrong, "-o", name, "--no-picture", *FEW, *more)
        assert stackrain(*args).exit_code == 0
    one, two, other = (
        {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in "abc"
    )
    assert one == two
    assert one["compare.json"] != other["compare.json"]


def test_the_first_leak_gusts_of_both(stackrain: Run, tmp_path: Path) -> None:
    """Derived: a cover of 60 mm stands less than one of 150; the answer has both gusts."""
    (tmp_path / "plain.toml").write_text(PLAIN)
    fault = ("--fault", "cover too narrow@left=90")
    args = ("compare", "plain.toml", *fault, "--gust", "--no-picture", "-o", "out")
    got = stackrain(*args, *FEW)
    assert got.exit_code == 0, got.stderr
    found = json.loads((tmp_path / "out" / "compare.json").read_text())
    first, second = (found[side]["first_leak_gust_m_s"] for side in ("first", "second"))
    assert second < first
    text = " ".join(got.stdout.split())
    assert f"The second stands gusts up to {second:.1f} m/s" in text
    assert f"the first up to {first:.1f} m/s" in text


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("cottage",), "a second scene or --fault, one of them. Got neither"),
        (("cottage", "terrace", "--fault", "no welt"), "one of them. Got both"),
        (("cottage", "--fault", "no such thing"), "no such fault"),
        (("cottage", "--fault", "no welt", "--weather", "hail"), "hail"),
        (("cottage", "nowhere.toml"), "nowhere.toml: no such file"),
        (("nowhere.toml", "cottage"), "nowhere.toml: no such file"),
        (("cottage", "bad.toml"), "bad.toml"),
    ],
)
def test_what_cannot_be_used_is_one_line(
    stackrain: Run, tmp_path: Path, args: tuple[str, ...], told: str
) -> None:
    """Exit 2, one clear line, nothing written."""
    (tmp_path / "bad.toml").write_text("[roof]\npitch_deg = 400\n")
    got = stackrain("compare", *args, "-o", "out", *FEW)
    assert (got.exit_code, got.stdout) == (2, "")
    assert len(got.stderr.splitlines()) == 1
    assert told in got.stderr
    assert not (tmp_path / "out").exists()


def test_earlier_results_need_force(stackrain: Run, tmp_path: Path) -> None:
    """Refused before the work; with --force no file of an earlier run is left beside the new ones."""
    args = ("compare", "cottage", "cottage", "-o", "out", "--no-picture", *FEW)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "compare.png").write_text("old")
    (tmp_path / "out" / "mine.txt").write_text("mine")
    again = stackrain(*args)
    assert (again.exit_code, len(again.stderr.splitlines())) == (2, 1)
    assert stackrain(*args, "--force").exit_code == 0
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"compare.json", "lesson.html", "page.html", "mine.txt"}
