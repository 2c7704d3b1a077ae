"""`stackrain gust`: the same bytes again, the folder's rules, and what it refuses."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from scenes.cli import cli
from tests.scenes.gusts_once import PLAIN

Run = Callable[..., Result]
HEAD = "time,wind_m_s,wind_from_deg,rain_mm"
HOUR = "2013-01-01T00:00Z,20,90,2"


def gust_into(folder: Path, *more: str) -> Result:
    """Search the gusts of plain.toml, beside the folder, into it."""
    scene = folder.parent / "plain.toml"
    scene.write_text(PLAIN)
    return CliRunner().invoke(cli, ["gust", str(scene), "-o", str(folder), *more])


@pytest.fixture(scope="module")
def searched(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    """A folder with the gusts of a scene, searched on one core beside a record with bad hours, and what
    was said."""
    folder = tmp_path_factory.mktemp("gusts") / "one"
    record = folder.parent / "w.csv"
    bad = ["2013-01-01T01:00Z,468.5,90,2", "2013-01-01T02:00Z,3,90,1", "2013-01-01T04:00Z,4,,0"]
    record.write_text("\n".join([HEAD, HOUR, *bad]) + "\n")
    beside = ("--record", str(record), "--eaves-look-to", "180")
    said = gust_into(folder, "--threads", "1", *beside)
    assert said.exit_code == 0, said.stderr
    return folder, said


def test_the_same_bytes_again_whatever_the_threads(searched: tuple[Path, Result]) -> None:
    """Two searches, one of them on all cores and without a record: the same scene, the same gust.json
    but for the hours."""
    again = searched[0].parent / "all"
    said = gust_into(again)
    assert said.exit_code == 0, said.stderr
    found = json.loads((searched[0] / "gust.json").read_text())
    text = json.dumps(found | {"hours": None}, indent=2) + "\n"
    assert (again / "gust.json").read_text() == text


def test_bad_hours_of_a_record_are_left_out_and_told(searched: tuple[Path, Result]) -> None:
    """Derived: of four hours one blows 20 m/s at a side in the rain; the others can't be, are calm, or
    have no direction. They are counted, and the first is named by its line."""
    folder, said = searched
    assert "hours left out" in said.stderr
    assert "line 3" in said.stderr
    assert json.loads((folder / "gust.json").read_text())["hours"]["let_in"] == 1
    assert {"gust.json", "gust.png"} <= {path.name for path in folder.iterdir()}


def test_what_is_printed_is_what_is_written(searched: tuple[Path, Result]) -> None:
    """Table and rose on standard output hold gust.json's lowest gust; pictures where they are told of."""
    folder, said = searched
    found = json.loads((folder / "gust.json").read_text())
    lowest = f"{found['lowest']['gust_m_s']:.1f}"
    assert f"Stands gusts up to {lowest} m/s" in said.stdout
    assert f"> {lowest} <" in said.stdout
    assert "|  stack  |" in said.stdout
    assert found["lowest"]["path"]["way_in"] in " ".join(said.stdout.split())
    assert len(found["directions"]) == 16
    assert said.stderr.count(" of 16 directions") == 16
    told = said.stdout.splitlines()[-1].rsplit(": ", 1)[1].split(", ")
    assert set(told) == {path.name for path in folder.iterdir()}
    for name in told:
        assert name == "gust.json" or (folder / name).read_bytes().startswith(b"\x89PNG")


def test_a_folder_is_only_replaced_when_told_to(searched: tuple[Path, Result]) -> None:
    """Earlier results stay, in one line; that is said before anything is searched."""
    folder, _ = searched
    before = (folder / "gust.json").read_bytes()
    refused = gust_into(folder)
    assert refused.exit_code == 2
    assert "--force" in refused.stderr
    assert (refused.stderr.count("\n"), "directions" in refused.stderr) == (1, False)
    assert (folder / "gust.json").read_bytes() == before


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([HEAD.replace("wind_m_s", "wind_knots"), HOUR], "wind_m_s"),
        ([HEAD.replace("wind_m_s", "wind_mph"), HOUR], "wind_m_s"),
        ([HEAD], "w.csv"),
        ([HEAD, HOUR.replace("20", "nan")], "w.csv"),
        ([HEAD, HOUR.replace(",2", ",-2")], "w.csv"),
        ([], "w.csv"),
    ],
)
def test_a_record_that_is_none_gets_one_line(
    stackrain: Run, tmp_path: Path, rows: list[str], words: str
) -> None:
    """Wrong units, no hours, or none that can be right: said before anything is searched, and nothing
    is written."""
    (tmp_path / "w.csv").write_text("".join(row + "\n" for row in rows))
    asked = ("--record", "w.csv", "--eaves-look-to", 180)
    got = stackrain("gust", "cottage", "-o", "out", "--quiet", *asked)
    assert got.exit_code == 2
    assert got.stderr.count("\n") == 1
    assert words in got.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("cottag",), "cottage"),
        (("cottage", "--record", "none.csv", "--eaves-look-to", 0), "none.csv"),
        (("cottage", "--eaves-look-to", 10), "go together"),
        (("cottage", "--record", "w.csv"), "go together"),
        (("cottage", "--gust-factor", 1.5), "--record"),
        (("cottage", "--record", "w.csv", "--eaves-look-to", 400), "400"),
        (("cottage", "--threads", 0), "threads"),
    ],
)
def test_what_can_not_be_asked_gets_one_line(
    stackrain: Run, tmp_path: Path, asked: tuple[object, ...], words: str
) -> None:
    """Exit 2, one line on standard error, nothing on standard output."""
    (tmp_path / "w.csv").write_text(f"{HEAD}\n{HOUR}\n")
    got = stackrain("gust", *asked)
    assert (got.exit_code, got.stdout) == (2, "")
    assert got.stderr.count("\n") == 1
    assert words in got.stderr
