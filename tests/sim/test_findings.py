"""Shares, flows and what the file of findings holds."""

from __future__ import annotations

import json
from dataclasses import replace
from math import fsum, radians, sqrt

import numpy as np
import pytest

from meshes.build import build
from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from meshes.spec import Apron, BackGutter, Detail, Roof, Sides, Stack
from sim.charts import Charts
from sim.errors import TraceError
from sim.fates import Fate
from sim.findings import find, shares
from sim.laps import measure_laps
from sim.rain import Drops, place, rain
from sim.shares import Whole
from sim.surface import Surface
from sim.trace import Trace, trace
from tests.sim.sheets_for_laps import along, on_slope

COTTAGE = Detail(roof=Roof(pitch=radians(40)), stack=Stack(width=0.590, depth=0.440))
SHORT_GUTTER = replace(COTTAGE, gutter=BackGutter(beyond_stack=0.0))
RAIN = 75 / 3.6e6


def drops_and_trace(flow, fate):
    """Drops of given flows with given fates, all at one place."""
    n = len(flow)
    drops = Drops(
        np.zeros((n, 3)), np.zeros(n, np.int32), np.tile([1.0, 0.0, 0.0], (n, 1)),
        np.asarray(flow, float), np.arange(n), n,
    )  # fmt: skip
    fates = Trace(
        np.asarray(fate, np.int8), np.zeros((n, 3)), np.zeros(n, np.int32), np.zeros(n, np.uint64),
        np.zeros(n, np.int32), np.zeros(n, np.int32),
    )  # fmt: skip
    return drops, fates


def found_in(detail, count=4000, seed=0):
    charts = Charts.of(build(detail))
    drops = rain(charts, count, seed=seed, rain_m_s=RAIN)
    return find(charts, drops, trace(charts, drops))


def test_equal_drops_have_the_binomial_error():
    """Derived: sqrt(p (1 - p) / n)."""
    share, error = Whole.of(np.full(400, 1e-7)).share(np.arange(400) < 100)
    assert share == pytest.approx(0.25, abs=1e-15)
    assert error == pytest.approx(sqrt(0.25 * 0.75 / 400), rel=1e-12)


def test_unequal_drops_count_by_their_flow():
    """Derived by hand: flows 1, 2, 3, the last chosen: 3/6; error sqrt(.25 + 1 + 2.25) / 6."""
    share, error = Whole.of(np.array([1.0, 2.0, 3.0])).share(np.array([False, False, True]))
    assert share == 0.5
    assert error == pytest.approx(sqrt(0.25 + 1.0 + 2.25) / 6, rel=1e-15)


def test_no_flow_has_no_shares():
    """Derived: a share of nothing is refused."""
    with pytest.raises(SceneError, match="flow that landed must be above 0"):
        Whole.of(np.zeros(3)).share(np.ones(3, dtype=bool))


def test_shares_add_up_to_one_and_flows_to_what_landed():
    """Derived: every drop has one fate; sums to 1e-12, whatever the flows."""
    rng = np.random.default_rng(5)
    flow, fate = rng.random(9973) * 10.0 ** rng.integers(-9, -3, 9973), rng.integers(1, 6, 9973)
    drops, fates = drops_and_trace(flow, fate)
    rows = shares(drops, fates)
    assert [row.fate for row in rows] == [Fate(number) for number in range(1, 6)]
    assert sum(row.drops for row in rows) == 9973
    assert fsum(row.share for row in rows) == pytest.approx(1.0, abs=1e-12)
    assert fsum(row.flow for row in rows) == pytest.approx(fsum(flow), rel=1e-12)
    for row in rows:
        assert row.drops == (fate == row.fate).sum()


def test_a_drop_without_a_fate_is_our_mistake():
    """Derived: MOVING never is in a finished trace, and a trace is of its own drops."""
    with pytest.raises(TraceError, match="1 of 3 drops have no fate"):
        shares(*drops_and_trace([1.0, 1.0, 1.0], [1, 0, 1]))
    drops, _ = drops_and_trace([1.0], [1])
    with pytest.raises(TraceError, match="2 fates for 1 drops"):
        shares(drops, drops_and_trace([1.0, 1.0], [1, 1])[1])


def test_nothing_that_lands_is_refused():
    """Derived: with no drop there is nothing to share out."""
    sheet = along(on_slope(0.5, 0, 1), -1, 1, name="covering", role=Role.COVERING)
    charts = Charts.of(Assembly((sheet,)))
    drops = place(charts, [[5.0, 5.0, 5.0]], (0, 0, -1))
    with pytest.raises(SceneError, match="flow that landed"):
        find(charts, drops, trace(charts, drops))


def test_a_leak_and_its_fate_tell_of_the_same_water():
    """Derived: leaks are the drops that ended on the underlay or inside, and no others."""
    found = found_in(SHORT_GUTTER)
    behind = [row for row in found.water if row.fate in (Fate.UNDERLAY, Fate.INSIDE)]
    assert sum(row.drops for row in behind) > 100
    assert fsum(leak.share for leak in found.leaks) == pytest.approx(
        fsum(row.share for row in behind), abs=1e-12
    )
    touched = {row.part: row.share for row in found.touched}
    caught = {row.fate: row.share for row in behind}
    assert touched["underlay"] == pytest.approx(caught[Fate.UNDERLAY], abs=1e-12)
    assert found.behind > 0.02


def test_the_file_holds_schema_1():
    """The keys of findings.json, schema 1, as the project's design lists them, less
    the leaks' `cure`: that is for the scenes to find."""
    found = found_in(SHORT_GUTTER).to_dict()
    json.dumps(found, allow_nan=False)
    assert [row["fate"] for row in found["water"]] == [
        "shed", "held", "underlay", "inside", "unresolved",
    ]  # fmt: skip
    assert {"fate", "share", "share_se", "flow_ml_min"} <= set(found["water"][0])
    assert list(found["leaks"][0]) == [
        "id", "severity", "way_in", "parts", "cause", "point_mm", "arrives_mm", "share", "share_se",
        "flow_ml_min", "why",
    ]  # fmt: skip
    assert list(found["laps"][0]) == [
        "id", "upper", "lower", "where", "length_mm", "rise_mm", "width_mm", "needed_mm", "rule",
        "source", "ok", "first_leak_gust_m_s", "gap_mm", "capillary_reach_mm", "stays_wet",
    ]  # fmt: skip
    assert found["unresolved"] == 0
    assert fsum(row["share"] for row in found["water"]) == pytest.approx(1.0, abs=5e-6)
    assert fsum(row["flow_ml_min"] for row in found["water"]) == pytest.approx(
        found["landed_ml_min"], rel=5e-6
    )


def test_figures_are_rounded_and_free_of_a_minus_nought():
    """Derived: six significant figures, tenths of millimetres."""
    text = json.dumps(found_in(COTTAGE).to_dict())
    assert "-0.0," not in text
    for lap in found_in(COTTAGE).to_dict()["laps"]:
        assert lap["length_mm"] == round(lap["length_mm"], 1)


def test_same_seed_same_findings_on_any_threads(monkeypatch):
    """Derived: nothing hangs on chance or on who does what, in the trace or in any ray cast."""
    monkeypatch.setattr("sim.threads.cores", lambda: 1)
    one = json.dumps(found_in(SHORT_GUTTER).to_dict())
    for threads in (2, 3):
        monkeypatch.setattr("sim.threads.cores", lambda threads=threads: threads)
        assert json.dumps(found_in(SHORT_GUTTER).to_dict()) == one


def measured(detail):
    return measure_laps(Surface.of(build(detail)))


RIGHT = {
    "cottage": COTTAGE,
    "resting covers": replace(COTTAGE, cover_fit="resting"),
    "plain covering": replace(COTTAGE, roof=Roof(pitch=radians(40), covering="plain")),
    "30 degrees": replace(COTTAGE, roof=Roof(pitch=radians(30))),
    "50 degrees": replace(COTTAGE, roof=Roof(pitch=radians(50))),
    "fins on interlocking tiles": Detail(
        roof=Roof(
            pitch=radians(30), gauge=0.345, thickness=0.025, head_lap=0.075, double_lap=False
        ),
        stack=Stack(width=0.840, depth=0.560),
        joint="fin",
    ),
}


@pytest.mark.parametrize("name", RIGHT)
def test_every_lap_of_a_right_detail_is_long_enough(name):
    """Derived from the builder's defaults, which are the rule book's own figures."""
    laps = measured(RIGHT[name])
    assert [lap.upper for lap in laps if not lap.ok] == []
    pairs = {(lap.upper, lap.lower) for lap in laps}
    for side in ("left side flashing", "right side flashing"):
        assert {(side, "covering"), (side, "front apron"), ("back gutter", side)} <= pairs
    assert {
        ("front apron", "covering"), ("covering", "back gutter"), ("upper underlay", "back gutter"),
    } <= pairs  # fmt: skip


def test_covers_of_the_standard_detail_measure_what_they_were_given():
    """Derived: 150 mm covers, 50 mm overhang less the side flashing's 3 mm, 150 mm laps up the slope."""
    laps = {(lap.upper, lap.lower, lap.where): lap for lap in measured(COTTAGE)}
    apron = laps["front apron", "covering", "front"]
    assert apron.length == pytest.approx(0.150, abs=1e-6)
    assert apron.width == pytest.approx(0.690, abs=1e-6)
    for side in ("left", "right"):
        cover = laps[f"{side} side flashing", "covering", side]
        assert cover.length == pytest.approx(0.150, abs=1e-6)
        beside = laps[f"{side} side flashing", "front apron", f"front {side}"]
        assert beside.length == pytest.approx(0.047, abs=1e-6)
        down = [
            lap for lap in measured(COTTAGE) if lap.upper == "back gutter" and lap.where == side
        ]
        assert max(lap.rise for lap in down) >= 0.075
    assert laps["covering", "back gutter", "back"].rise >= 0.075


@pytest.mark.parametrize(
    ("detail", "upper", "lower", "missing"),
    [
        (replace(COTTAGE, apron=Apron(cover=0.090)), "front apron", "covering", 0.060),
        (replace(COTTAGE, sides=Sides(cover=0.120)), "left side flashing", "covering", 0.030),
        (replace(COTTAGE, gutter=BackGutter(leg=0.125)), "covering", "back gutter", 0.025),
        (replace(COTTAGE, roof=Roof(pitch=radians(40), underlay_lap=0.060)), "upper underlay",
         "back gutter", 0.040),
    ],
)  # fmt: skip
def test_a_lap_too_short_is_flagged_with_what_it_lacks(detail, upper, lower, missing):
    """Derived: the measure given, less than the rule book's by so much."""
    short = {(lap.upper, lap.lower): lap for lap in measured(detail) if not lap.ok}
    assert short[upper, lower].missing == pytest.approx(missing, abs=1e-3)
