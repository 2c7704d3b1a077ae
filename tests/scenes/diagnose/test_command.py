"""`stackrain diagnose`: what it refuses, each in one line, before any work."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from scenes.cli import cli
from scenes.diagnose import diagnosis
from scenes.faults.catalogue import named

PLAIN = ["diagnose", "cottage", "--damp", "300,260"]


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["diagnose", "cottage"], "Missing option '--damp'"),
        (
            ["diagnose", "cottage", "--damp", "300"],
            "must be two lengths, X,Y, as 300,150 or 12in,6in. Got '300'",
        ),
        (["diagnose", "cottage", "--damp", "1,nan"], "must be two finite lengths, X,Y"),
        (["diagnose", "cottage", *["--damp", "1,1"] * 6], "--damp: at most 5 places. Got 6"),
        (
            ["diagnose", "cottage", "--damp", "9000,0", "--after", "calm"],
            "damp place must be within",
        ),
        ([*PLAIN, "--wind", "north"], "must be eaves, right, ridge, left or -360 to 360 degrees"),
        ([*PLAIN, "--wind", "400"], "must be eaves, right, ridge, left or -360 to 360 degrees"),
        (
            [*PLAIN, "--wind", "right", "--after", "calm"],
            "--wind is for water that comes with wind",
        ),
        ([*PLAIN, "--after", "fog"], "'fog' is not one of 'calm', 'driving', 'blocked'"),
        ([*PLAIN, "--fault", "leak"], "fault 'leak': no such fault"),
    ],
)
def test_what_can_not_be_used_is_one_line(options: list[str], line: str) -> None:
    """Exit 2 and one line, never a traceback."""
    told = CliRunner().invoke(cli, options)
    assert told.exit_code == 2
    assert line in told.stderr
    assert len(told.stderr.strip().splitlines()) == 1


def test_a_folder_in_use_is_kept(tmp_path: Path) -> None:
    """Refused before the minutes of work, with nothing changed."""
    (tmp_path / "mine.txt").write_text("mine")
    told = CliRunner().invoke(cli, [*PLAIN, "-o", str(tmp_path)])
    assert told.exit_code == 2
    assert "holds files already" in told.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_it_answers_and_writes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole command among one fault alone: words out, one file written."""
    fault = named("split in a bend")
    assert fault is not None
    whole = diagnosis.diagnose
    monkeypatch.setattr(diagnosis, "diagnose", lambda *a, **b: whole(*a, **b, among=[fault]))
    folder = tmp_path / "damp place"
    options = [*PLAIN, "--after", "calm", "-o", str(folder), "--no-picture", "--processes", "1"]
    told = CliRunner().invoke(cli, options)
    assert told.exit_code == 0, told.output
    assert "Likeliest: split in a bend at the right" in told.stdout
    assert [path.name for path in folder.iterdir()] == ["diagnosis.json"]
