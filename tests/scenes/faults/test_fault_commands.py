"""Faults on the command line: `stackrain faults`, `--fault`, what is printed and written; the README."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from scenes.faults.catalogue import CATALOGUE, catalogue_table
from scenes.faults.readme import BEGIN, END, with_catalogue
from scenes.say import answer
from scenes.say_faults import wrong_lines
from tests.scenes.answer_found import found

ROOT = Path(__file__).parents[3]
Run = Callable[..., Result]
WRONG = {
    "name": "side over the gutter", "where": "left", "amount": None, "unit": None,
    "how_bad": "turned round", "done_wrong": "It lies over it.",
}  # fmt: skip


def test_the_readme_lists_the_catalogue() -> None:
    """Contract: the table is the code's; `python -m scenes.faults.readme README.md` makes it anew."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert with_catalogue(text) == text
    assert catalogue_table() in text


def test_a_readme_without_its_markers() -> None:
    """Derived: nothing is put where nobody asked for it."""
    with pytest.raises(ValueError, match="there must be a line"):
        with_catalogue("No table here.")
    text = f"before\n{BEGIN}\n| stale row |\n{END}\nafter\n"
    assert with_catalogue(with_catalogue(text)) == with_catalogue(text)
    assert "stale row" not in with_catalogue(text)


def test_the_list(stackrain: Run) -> None:
    """Every fault with its places, usual amount, bounds, what was done wrong and what to look at."""
    got = stackrain("faults")
    assert got.exit_code == 0
    words = " ".join(got.stdout.split())
    for fault in CATALOGUE:
        assert fault.name in words
        assert f"{fault.done_wrong} Found {fault.found}. {fault.look}" in words
    assert "cover too narrow; front, left, right; 60 mm (10 to 130)" in words


def test_the_lists_in_inches(stackrain: Run) -> None:
    """Contract: figures and bounds alike, with their unit; what is typed stays in mm, and so it says.
    Exact by hand: 60 mm are 2 3/8 in to a sixteenth, 10 are 3/8, 130 are 5 1/8; 1500 mm are 59 1/16 in."""
    for scene in ((), ("cottage",)):
        got = stackrain("faults", *scene, "--units", "imperial")
        words = " ".join(got.stdout.split())
        assert not re.findall(r"\d (?:mm|m|kg|m/s)\b", words)
        assert "cover too narrow; front, left, right; 2 3/8 in (3/8 to 5 1/8 in)" in words
        assert "gutter falls to the stack; 3 degrees (0.5 to 12 degrees)" in words
        assert re.search(r"\(\d+ to \d+\)", words) is None
    assert words.count("lead code 4 comes in pieces of up to 59 1/16 in") == 1


def test_the_list_for_a_scene(stackrain: Run) -> None:
    """Every fault once: those with room, and why not the others. `cottage` has no saddle and no fins."""
    got = stackrain("faults", "cottage")
    assert got.exit_code == 0
    words = " ".join(got.stdout.split())
    fits, _, others = words.partition("Has no room for")
    assert "no turn-in; front, left, right, back" in fits
    assert "saddle left out: cottage has no saddle" in others
    assert "ear mouth up-slope: cottage has corners of the kind" in others
    for fault in CATALOGUE:
        assert (f"- {fault.name}" in fits) != (f"- {fault.name}" in others)


def test_a_run_with_faults(stackrain: Run, tmp_path: Path) -> None:
    """The side over the gutter leaks at the back corner of that side in calm rain; the narrow cover is
    named among the laps. Both are told of in the head and in findings.json."""
    got = stackrain(
        "run", "cottage", "--fault", "side over the gutter@left", "--fault", "cover too narrow@right=90",
        "-o", "out", "--no-picture", "--drops", 4000, "--quiet",
    )  # fmt: skip
    assert got.exit_code == 0
    head = got.stdout.partition("Weather:")[0]
    assert head.startswith("Cottage: stack on a slope of plain tiles")
    assert "Wrong on purpose:" in head
    assert "cover too narrow, right: cover 90 mm short." in " ".join(head.split())
    findings = json.loads((tmp_path / "out" / "findings.json").read_text())
    assert [row["name"] for row in findings["faults"]] == [
        "side over the gutter",
        "cover too narrow",
    ]
    assert findings["faults"][1]["amount"] == 90
    leak = findings["leaks"][0]
    assert "back left" in leak["way_in"]
    assert leak["point_mm"][0] == pytest.approx(-295, abs=30)
    short = [lap for lap in findings["laps"] if not lap["ok"]]
    assert any(lap["upper"] == "right side flashing" for lap in short)


def test_a_run_without(stackrain: Run, tmp_path: Path) -> None:
    """Nothing is wrong: the list is empty and nothing is said."""
    got = stackrain("run", "cottage", "-o", "out", "--no-picture", "--drops", 50, "--quiet")
    assert "Wrong on purpose" not in got.stdout
    assert json.loads((tmp_path / "out" / "findings.json").read_text())["faults"] == []


@pytest.mark.parametrize("command", ["run", "gust", "show"])
@pytest.mark.parametrize(
    ("fault", "told"),
    [
        ("saddle left out", "stackrain: saddle left out: cottage has no saddle"),
        ("no turn in", "Did you mean no turn-in?"),
        ("cover too narrow=9", "must be 10 to 130 mm"),
    ],
)
def test_what_is_refused(
    stackrain: Run, tmp_path: Path, command: str, fault: str, told: str
) -> None:
    """Exit 2, one line, nothing written, on every command; before anything is built."""
    folder = ["-o", "out"] if command != "show" else []
    got = stackrain(command, "cottage", "--fault", fault, *folder)
    assert got.exit_code == 2
    assert told in got.stderr
    assert got.stderr.strip().splitlines()[-1].startswith("stackrain: ")
    assert "Traceback" not in got.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("command", ["run", "gust"])
def test_what_the_made_parts_refuse(stackrain: Run, tmp_path: Path, command: str) -> None:
    """A cut that finds nothing to cut: the same, though it is found when the scene is built."""
    got = stackrain(command, "cottage", "--fault", "torn by heat", "-o", "out", "--quiet")
    assert got.exit_code == 2
    told = "torn by heat: cottage has a front apron that is 690 mm long, and lead code 4 comes in pieces of"
    assert got.stderr.strip().endswith(f"{told} up to 1500 mm")
    assert not (tmp_path / "out").exists()


def test_a_scene_of_parts_alone(stackrain: Run, tmp_path: Path) -> None:
    """It has no measures to get wrong."""
    (tmp_path / "alone.toml").write_text(
        '[[part]]\nname = "slab"\nfile = "slab.stl"\nrole = "covering"\nunit = "mm"\n'
    )
    got = stackrain("run", "alone.toml", "--fault", "no welt", "-o", "out")
    assert got.exit_code == 2
    assert "no welt: alone is made of parts from files alone" in got.stderr
    listed = stackrain("faults", "alone.toml")
    assert listed.exit_code == 0
    assert "Has room for" not in listed.stdout


def test_the_head_of_the_answer() -> None:
    """What was done wrong stands between the title and the weather, and nowhere when nothing was."""
    told = answer(found(faults=[WRONG]))
    assert told.index("A stack") < told.index("Wrong on purpose:") < told.index("Weather:")
    assert "side over the gutter, left: turned round. It lies over it." in told
    assert wrong_lines([]) == []
    assert "Wrong on purpose" not in answer(found())
