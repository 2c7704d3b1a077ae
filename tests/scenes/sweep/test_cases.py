"""Cases: every combination, or a sample that fills the space; and one case worked out."""

from __future__ import annotations

from math import nan
from typing import Any

import numpy as np
import pytest

import scenes.gust
from scenes.cutting.cut_list import cut_list
from scenes.progress import Remarks
from scenes.run import run
from scenes.sweep import measure
from scenes.sweep.case import Case, worked_out
from scenes.sweep.cases import cases_of
from scenes.sweep.varied import varied_of
from tests.scenes.gust_found import gusts_found
from tests.scenes.sweep.small import small, to_work_out


def test_a_grid_is_every_combination() -> None:
    """Derived: the first parameter changes most slowly."""
    varied = [varied_of("pitch=20:30:10"), varied_of("joint=return,fin")]
    wanted = [(20.0, "return"), (20.0, "fin"), (30.0, "return"), (30.0, "fin")]
    assert cases_of(varied, None, 0) == wanted


def test_a_sample_fills_the_space() -> None:
    """Sobol's points: of 64, each eighth of every range holds 8, each of 8 by 8 boxes one."""
    varied = [varied_of("pitch=20:60"), varied_of("rain=0:80")]
    points = np.array(cases_of(varied, 64, 3))
    columns = np.floor((points - [20, 0]) / [5, 10]).astype(int)
    for column in columns.T:
        assert (np.bincount(column, minlength=8) == 8).all()
    assert len({tuple(row) for row in columns.tolist()}) == 64


def test_a_sample_keeps_to_steps_and_lists() -> None:
    """Derived: each value has an equal part; the same seed the same cases, the first of a larger one too."""
    varied = [varied_of("pitch=20:50:10"), varied_of("joint=return,fin"), varied_of("rain=10:20")]
    cases = cases_of(varied, 32, 1)
    assert [sum(case[0] == pitch for case in cases) for pitch in (20, 30, 40, 50)] == [8] * 4
    assert sum(case[1] == "fin" for case in cases) == 16
    assert all(10 <= float(case[2]) <= 20 for case in cases)
    assert cases_of(varied, 8, 1) == cases[:8]
    assert cases_of(varied, 32, 2) != cases


def test_a_case_of_leaks_is_what_run_finds() -> None:
    """Contract: the same drops, the same figures; water gets in behind a side put over the gutter."""
    sweep, cases = small("fault=none,side over the gutter", measure="leak")
    dry, wet = (worked_out(case)["figures"] for case in to_work_out(sweep, cases))
    result = run(sweep.scene(cases[1]), drops=300, seed=0, threads=1, remarks=Remarks(quiet=True))
    found = result.to_dict()
    behind = [row for row in found["water"] if row["fate"] in ("underlay", "inside")]
    assert wet["behind_share"] == pytest.approx(sum(row["share"] for row in behind), rel=1e-4) != 0
    assert wet["behind_ml_min"] == pytest.approx(sum(r["flow_ml_min"] for r in behind), rel=1e-3)
    assert (wet["leaks"], wet["way_in"]) == (len(found["leaks"]), found["leaks"][0]["way_in"])
    assert (dry["leaks"], dry["behind_share"], dry["way_in"]) == (0, 0.0, None)
    assert dry["short_laps"] == 0 == dry["unresolved_drops"]


@pytest.mark.parametrize(("pitch", "cover"), [("20", "110"), ("45", "120")])
def test_a_cover_between_two_that_keep_a_gale_out_does_too(pitch: str, cover: str) -> None:
    """Common practice, no source. (With pressure between courses on triangles 180 mm long these two leaked,
    and the covers 10 mm narrower did not.)"""
    gale: Any = {"settings": {("weather", "case"): "driving"}, "drops": 5000}
    sweep, cases = small(f"pitch={pitch}", f"sides.cover={cover}", measure="leak", **gale)
    (case,) = to_work_out(sweep, cases)
    assert worked_out(case)["figures"]["leaks"] == 0


def test_a_case_of_gusts_is_what_gust_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Contract: the lowest of all directions, with its way in; nothing where none was found."""
    told: dict[str, Any] = gusts_found()

    class Gusts:
        found = told

    monkeypatch.setattr(scenes.gust, "gusts_of", lambda *_, **__: Gusts)
    sweep, cases = small("pitch=20:30:10", measure="first-leak-gust")
    row = worked_out(Case(1, cases[0], sweep))
    lowest = told["lowest"]
    assert row["figures"]["first_leak_gust_m_s"] == lowest["gust_m_s"]
    assert row["figures"]["way_in"] == lowest["path"]["way_in"]
    told["lowest"] = None
    figures = worked_out(Case(1, cases[0], sweep))["figures"]
    assert figures["first_leak_gust_m_s"] is None
    assert figures["tried_up_to_m_s"] == told["up_to_m_s"]


def test_a_case_of_sheet_metal_is_what_cut_adds_up() -> None:
    """Contract: all blanks of the cut list."""
    sweep, cases = small()
    row = worked_out(Case(5, cases[4], sweep))
    assert row["figures"]["area_m2"] == pytest.approx(
        cut_list(sweep.scene(cases[4])).area, abs=1e-6
    )
    assert (row["case"], tuple(row["values"]), row["status"]) == (5, cases[4], "done")


def test_what_cant_be_built_is_a_row_with_the_reason() -> None:
    """Contract: not a stop; 12 degrees are too flat for plain tiles behind the stack."""
    sweep, cases = small("pitch=12,40")
    row = worked_out(Case(1, cases[0], sweep))
    assert row["status"] == "refused"
    assert "gutter leg must be shorter" in row["reason"]
    assert row["figures"] == {}


@pytest.mark.parametrize("work", [lambda *_: 1 / 0, lambda *_: {"area_m2": nan}])
def test_a_defect_of_ours_is_told_in_its_row(monkeypatch: pytest.MonkeyPatch, work: Any) -> None:
    """Derived: one case of thousands must not stop the others, nor be passed over in silence."""
    faulty = measure.Measure(columns=(), work=work, drops=lambda drops: drops, title="")
    monkeypatch.setitem(measure.MEASURES, "cut-area", faulty)  # type: ignore[arg-type]
    sweep, cases = small()
    row = worked_out(Case(1, cases[0], sweep))
    assert row["status"] == "failed"
    assert "Error" in row["reason"]
