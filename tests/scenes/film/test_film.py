"""A film: where its camera looks, where drops are, and files that hold what was drawn."""

from __future__ import annotations

from pathlib import Path

import imageio_ffmpeg
import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageSequence

from meshes.errors import SceneError
from scenes.cli import cli
from scenes.film import files
from scenes.film.make import Cut
from scenes.film.shots import CLOSE, Look, look_at
from scenes.film.tracks import Tracks

SMALL = ["film", "cottage", "--size", "400x240", "--seconds", "1", "--drops", "600", "--quiet"]
WHOLE = Look(np.array([500.0, 400.0]), 1.0, "whole")
NEAR = Look(np.array([800.0, 200.0]), CLOSE, "near")


def test_the_camera_goes_gently_and_arrives() -> None:
    """Exact at the ends, and no jump anywhere: what is seen moves by less than a tenth a hundredth."""
    looks = (WHOLE, NEAR, WHOLE)
    first, middle, last = (look_at(looks, share) for share in (0.0, 0.6, 1.0))
    assert (first.near, middle.near, last.near) == (1.0, CLOSE, 1.0)
    assert middle.middle == pytest.approx(NEAR.middle)
    ways = [look_at(looks, share) for share in np.linspace(0, 1, 201)]
    zoom = np.array([way.near for way in ways])
    place = np.array([way.middle for way in ways])
    assert (np.abs(np.diff(np.log(zoom))) < 0.1).all()
    assert (np.linalg.norm(np.diff(place, axis=0), axis=1) * zoom[1:] < 60).all()


def test_the_view_never_leaves_the_picture() -> None:
    """Derived: at every moment the part that is looked at lies within the whole, 1000 by 800."""
    near = Look(np.array([1000 - 500 / CLOSE, 400 / CLOSE]), CLOSE, "corner")
    for share in np.linspace(0, 1, 101):
        look = look_at((WHOLE, near, WHOLE), share)
        half = np.array([500, 400]) / look.near
        assert (look.middle - half > -1e-6).all()
        assert (look.middle + half < np.array([1000, 800]) + 1e-6).all()


def test_drops_are_where_their_time_says() -> None:
    """Exact: a drop that runs 100 units in 2 s, another in 1 s; a round is 1.5 s, so the slow one is
    followed by another before it has ended; half a second after it landed it is in."""
    tracks = Tracks(
        start=np.array([0, 2, 4]), time=np.array([0.0, 2.0, 0.0, 1.0]),
        at=np.array([(0.0, 0.0), (100.0, 0.0), (0.0, 50.0), (100.0, 50.0)]),
        unseen=np.array([False, True, False, False]), enters=np.array([0.5, np.inf]),
        a_round=1.5, begins=np.array([0.0, 0.5]),
    )  # fmt: skip
    at, unseen, behind = tracks.moment(0.25)
    assert at == pytest.approx(np.array([(12.5, 0.0), (87.5, 0.0)]))
    assert not unseen.any()
    assert behind.tolist() == [False, True]
    at, _, behind = tracks.moment(1.0)
    assert at == pytest.approx(np.array([(50.0, 0.0), (50.0, 50.0)]))
    assert behind.tolist() == [True, False]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("film")
    for name, more in (("a.mp4", ["--fault", "side over the gutter", "--beside"]), ("b.gif", [])):
        told = CliRunner().invoke(cli, [*SMALL, "-o", str(folder / name), *more])
        assert told.exit_code == 0, told.output
    return folder


def test_an_mp4_has_its_frames(made: Path) -> None:
    """Read back by ffmpeg: size, length, and frames that differ where drops run."""
    reader = imageio_ffmpeg.read_frames(str(made / "a.mp4"))
    told = next(reader)
    assert told["size"] == (400, 240)
    assert told["duration"] == pytest.approx(1.0, abs=0.1)
    seen = [np.frombuffer(frame, np.uint8).reshape(240, 400, 3) for frame in reader]
    assert len(seen) == 25
    assert len(np.unique(seen[0].reshape(-1, 3), axis=0)) > 50
    assert (np.abs(seen[0].astype(int) - seen[5]) > 40).any(axis=2).mean() > 0.001
    left, right = seen[0][:, :200].astype(int), seen[0][:, 200:]
    assert (np.abs(left - right) > 40).any(axis=2).mean() > 0.003


def test_a_gif_has_its_frames(made: Path) -> None:
    """Read back by Pillow: twelve a second, and they differ."""
    with Image.open(made / "b.gif") as film:
        seen = [np.asarray(frame.convert("RGB")) for frame in ImageSequence.Iterator(film)]
    assert len(seen) == 12
    assert (seen[0] != seen[6]).any()
    assert sorted(path.name for path in made.iterdir()) == ["a.mp4", "b.gif"]


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["-o", "a.avi"], "a.avi: must end in .mp4 or .gif"),
        (["-o", "a.gif", "--seconds", "0"], "seconds must be 1 to 120"),
        (["-o", "a.gif", "--slow", "99"], "slow must be 0.25 to 20"),
        (["-o", "a.gif", "--size", "101x77"], "film size must be 320 to 1920 pixels wide"),
        (["-o", "a.gif", "--beside"], "--beside shows a scene with and without its faults"),
    ],
)
def test_what_can_not_be_filmed_is_one_line(
    options: list[str], line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit 2, one line, and no file."""
    monkeypatch.chdir(tmp_path)
    told = CliRunner().invoke(cli, ["film", "cottage", "--quiet", *options])
    assert told.exit_code == 2
    assert line in told.stderr
    assert len(told.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_without_its_writer_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line before the work."""
    monkeypatch.setattr(files, "lacking", lambda ending: files.NO_WRITER)
    told = CliRunner().invoke(cli, [*SMALL, "-o", str(tmp_path / "a.mp4")])
    assert told.exit_code == 2
    assert "pip install 'stackrain[film]'" in told.stderr


def test_a_cut_can_not_hold_nonsense() -> None:
    """Its bounds; an odd height would not fit the film's blocks."""
    with pytest.raises(SceneError, match="film size"):
        Cut(5.0, (640, 361), "eaves", 1.0)
