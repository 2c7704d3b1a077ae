"""`stackrain run --cures`: what is printed and written, and that a cure holds when it is written down."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from click.testing import Result

from scenes.assemble import assemble
from scenes.cures.keys import with_detail
from scenes.cures.made import Made
from scenes.cures.rows import with_cures
from scenes.cures.search import Found, cures_of
from scenes.cures.targets import Ran, faint
from scenes.faults.apply import with_faults
from scenes.progress import Remarks
from scenes.run import run
from scenes.say import answer
from scenes.say_cures import cure_lines
from scenes.scene import Scene, load, read
from scenes.template import full_text
from sim.charts import Charts
from sim.findings import Findings
from sim.ground import Ground
from sim.rain import rain
from tests.scenes.answer_found import found as found_words

Run = Callable[..., Result]
DROPS = 1000


def cured(scene: Scene, threads: int) -> tuple[Found, dict[str, Any]]:
    result = run(
        scene, drops=DROPS, seed=0, cures=True, threads=threads, remarks=Remarks(quiet=True)
    )
    assert result.cures is not None
    return result.cures, result.to_dict()


def written(scene: Scene, made: Made, folder: Path) -> Scene:
    """A scene with what a cure makes of it, from the text of a file as `stackrain new` writes it."""
    assert not made.faults
    return read(full_text(with_detail(scene, made.detail), folder), "cured.toml", folder)


@pytest.fixture(scope="module")
def wrong() -> Scene:
    """The side over the gutter at the left, and an apron 40 mm short: a leak and a short lap."""
    return with_faults(load("cottage"), ["side over the gutter@left", "cover too narrow@front=40"])


@pytest.fixture(scope="module")
def all_of_it(wrong: Scene) -> tuple[Found, dict[str, Any]]:
    return cured(wrong, 1)


def test_a_cure_for_each(all_of_it: tuple[Found, dict[str, Any]]) -> None:
    """The leak is stopped by dressing the gutter over that side, the least work; the lap gets its own
    40 mm back; and both go together."""
    _, found = all_of_it
    best = found["leaks"][0]["cure"]
    assert best.startswith(
        "dress the sheet behind the stack over the left side flashing: keeps this"
    )
    of_lap = next(cure for cure in found["cures"] if cure["laps"])
    assert of_lap["what"] == "apron's cover 110 -> 150 mm"
    assert of_lap["changes"] == [
        {"key": "[apron] cover_mm", "was": 110.0, "now": 150.0, "unit": "mm"}
    ]
    # The sides reach the apron's lower edge, wherever that is.
    made = ["front apron", "left side flashing", "right side flashing"]
    assert sorted(of_lap["cut_anew"]) == made
    assert of_lap["metal_kg"] > 0
    together = found["cures_together"]
    assert together["leaks"] == [leak["id"] for leak in found["leaks"]]
    assert together["laps"] == of_lap["laps"]
    assert found["cures_tried"] > 5


def test_a_cure_holds_when_it_is_written_down(
    wrong: Scene, all_of_it: tuple[Found, dict[str, Any]], tmp_path: Path
) -> None:
    """Round trip: the scene with all its cures, written as `stackrain new` writes it and read again,
    neither leaks nor has a short lap."""
    together = all_of_it[0].together
    assert together is not None
    scene = written(load("cottage"), together.now, tmp_path)
    assert scene.detail is not None
    found = run(scene, drops=DROPS, seed=0, remarks=Remarks(quiet=True)).to_dict()
    assert found["leaks"] == []
    assert all(lap["ok"] for lap in found["laps"])


def test_words_of_what_has_no_cure() -> None:
    """Contract: a target without a cure has its sentence, in the leak's own row and in the list; a leak
    too small to look into says so."""
    leaks = [{"id": 1}, {"id": 2}]
    none = {("leak", 1): "None found: it is so.", ("lap", 3): "None found: nothing helps."}
    told = with_cures({"leaks": leaks}, Found((), none, None, 7), load("cottage"))
    assert [leak["cure"] for leak in told["leaks"]] == [
        "None found: it is so.",
        "None looked for: it is under 1 % of what gets in.",
    ]
    text = " ".join(cure_lines(told))
    assert "Cures: none found (7 details tried)" in text
    assert "For lap 3: None found: nothing helps." in text
    assert cure_lines({}) == []


def test_what_has_no_cure_for_one_reason_is_told_in_one() -> None:
    """Contract: leaks and laps of one reason in one line, in the order of the file."""
    rows = [
        {"leak": leak, "lap": lap, "why": why}
        for leak, lap, why in (
            (1, None, "So."),
            (2, None, "Other."),
            (3, None, "So."),
            (None, 7, "So."),
        )
    ]
    found = {"cures": [], "cures_together": None, "uncured": rows, "cures_tried": 9}
    assert cure_lines(found)[0] == "Cures: none found (9 details tried)"
    assert cure_lines(found | {"cures_tried": 0})[0] == "Cures: none"
    assert [line.strip() for line in cure_lines(found)[1:]] == [
        "-  For leaks 1 and 3 and lap 7: So.",
        "-  For leak 2: Other.",
    ]


def test_three_cures_of_a_leak_are_told() -> None:
    """Contract: a fourth for the same leak stays in the file; what is for another one is told."""
    row = {"leaks": [1], "laps": [], "does": "keeps it out", "takes": "no more metal; mend."}
    cures = [row | {"what": f"way {n}"} for n in range(5)]
    cures.append(row | {"what": "way of another", "leaks": [1, 2]})
    found = {"cures": cures, "cures_together": None, "uncured": [], "cures_tried": 9}
    text = " ".join(cure_lines(found))
    assert [f"way {n}" in text for n in range(5)] == [True, True, True, False, False]
    assert "For leaks 1 and 2: way of another" in text


def test_a_cure_is_told_once_in_full() -> None:
    """Contract: a leak with the cure of one before it names that one."""
    leak = found_words()["leaks"][0] | {"cure": "side cover 150 -> 195 mm: it stands."}
    words = answer(found_words(leaks=[leak, leak | {"id": 2}]))
    assert words.count("Cure: side cover 150 -> 195 mm: it stands.") == 1
    assert "Cure: the same as that of leak 1." in words


def test_cures_that_do_not_go_together() -> None:
    """Contract: why not is told in place of one that does it all, and kept in the file."""
    row = {"leaks": [1], "laps": [], "what": "this", "does": "keeps it out", "takes": "mend."}
    apart = "water would get in elsewhere, behind the apron"
    told = with_cures({"leaks": []}, Found((), {}, None, 7, apart), load("cottage"))
    assert (told["cures_together"], told["cures_apart"]) == (None, apart)
    text = " ".join(" ".join(cure_lines(told | {"cures": [row]})).split())
    assert f"The first of each, all in one, won't do: {apart}." in text


def test_a_leak_of_few_drops_is_not_looked_into() -> None:
    """Contract: one of fewer than four drops has its reason, and one of four none. No detail is tried where
    there is no other."""
    scene = load("cottage")
    ran = few_drops(scene, 3, 4)
    (told,) = faint(ran).items()
    assert told[0] == ("leak", 1)
    assert told[1].startswith("None looked for: under 4 of the 50 drops got in there")
    found = cures_of(few_drops(scene, 3), processes=1, remarks=Remarks(quiet=True))
    assert (found.cures, found.tried, list(found.none)) == ((), 0, [("leak", 1)])


def few_drops(scene: Scene, *drops: int) -> Ran:
    """A run whose leaks have so many drops each, invented; the rest is rain in still air."""
    assembly = assemble(scene)
    charts = Charts.on(Ground.of(assembly, scene.weather.drive))
    fallen = rain(charts, 50, seed=0, rain_m_s=scene.weather.rain)
    ends = np.cumsum([0, *drops])
    leaks = tuple(
        SimpleNamespace(id=number, share=0.01, rows=np.arange(first, last))
        for number, (first, last) in enumerate(pairwise(ends.tolist()), start=1)
    )
    findings = SimpleNamespace(leaks=leaks, laps=())
    return Ran(scene, assembly, charts, fallen, cast(Findings, findings), 0)


def test_nothing_to_cure(stackrain: Run, tmp_path: Path) -> None:
    """A right detail in still rain needs none, and says so."""
    got = stackrain(
        "run", "cottage", "--cures", "-o", "out", "--drops", 100, "--no-picture", "--quiet"
    )
    assert got.exit_code == 0
    assert "Cures: none needed." in got.stdout
    assert "wrong on purpose" not in got.stdout
    found = json.loads((tmp_path / "out" / "findings.json").read_text())
    assert (found["cures"], found["uncured"], found["cures_tried"]) == ([], [], 0)


def test_a_fault_that_does_no_harm_needs_none_here() -> None:
    """Contract: it is said to be harmless in this weather, not to be right; nothing is said where no cure
    was looked for."""
    found = {"cures": [], "uncured": [], "cures_together": None, "cures_tried": 0}
    words = " ".join(cure_lines(found | {"faults": [{"fault": "no welt"}]}))
    assert words.startswith("Cures: none needed. In this weather no water gets behind")
    assert "wrong on purpose does no harm that shows here" in words
    assert "on purpose" not in " ".join(cure_lines(found | {"faults": []}))
    assert cure_lines({"faults": []}) == []


def test_parts_from_files_alone(stackrain: Run, tmp_path: Path) -> None:
    """One line and exit 2, before anything is built: there is nothing to change."""
    (tmp_path / "alone.toml").write_text(
        '[[part]]\nname = "slab"\nfile = "slab.stl"\nrole = "covering"\nunit = "mm"\n'
    )
    got = stackrain("run", "alone.toml", "--cures", "-o", "out")
    assert got.exit_code == 2
    told = "stackrain: alone.toml: --cures needs measures to change. Got parts from files alone"
    assert got.stderr.strip() == told
    assert not (tmp_path / "out").exists()


def test_a_scene_as_it_was_is_written_back(tmp_path: Path) -> None:
    """Round trip: a detail with changed measures, words and order is read back as it is."""
    scene = load("terrace")
    assert scene.detail is not None
    changed = replace(
        scene.detail,
        sides=replace(scene.detail.sides, cover=0.190),
        roof=replace(scene.detail.roof, underlay_lap=0.150, clearance=0.012),
        order=("apron", "right", "left", "gutter", "underlay"),
        joint="slit and patch",
    )
    again = read(full_text(with_detail(scene, changed), tmp_path), "again.toml", tmp_path)
    assert again.detail == changed
