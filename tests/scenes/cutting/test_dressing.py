"""The dressing order: its laps against the meshes and the measures, which way edges look, what is printed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from click.testing import Result

from scenes.assemble import assemble
from scenes.cutting.cut_list import cut_list
from scenes.cutting.dressing import dressing_order
from scenes.report.cut_told import cut_told
from scenes.scene import load
from sim.laps import measure_laps
from sim.surface import Surface

Run = Callable[..., Result]


@pytest.mark.parametrize("name", ["cottage", "stepped", "ridge"])
def test_every_lap_of_a_step_is_one_of_the_meshes(name: str) -> None:
    """The issue: by how much is what is measured on the meshes; no pair of parts is left out."""
    scene = load(name)
    found = cut_list(scene)
    laps = measure_laps(Surface.of(assemble(scene)))
    steps = dressing_order(scene, found.detail).steps
    told = {(step.name, one.lower, one.where, one.length) for step in steps for one in step.over}
    assert told <= {(lap.upper, lap.lower, lap.where, lap.length) for lap in laps}
    assert {row[:3] for row in told} == {(lap.upper, lap.lower, lap.where) for lap in laps}
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert [step.name for step in steps if step.name in found.pieces] == list(found.order)


def test_laps_are_those_of_the_measures() -> None:
    """A second way: the covers over the covering are as wide as the scene's own measures have them
    (0.5 mm), and each piece goes over one that was dressed before it."""
    scene = load("cottage")
    found = cut_list(scene)
    steps = {step.name: step for step in dressing_order(scene, found.detail).steps}
    widths = {one.where: one.length for step in steps.values() for one in step.over
              if one.lower == "covering" and step.name != "back gutter"}  # fmt: skip
    assert widths["front"] == pytest.approx(found.detail.apron.cover, abs=5e-4)
    assert widths["left"] == pytest.approx(found.detail.sides.cover, abs=5e-4)
    for step in steps.values():
        assert all(
            one.lower == "covering" or steps[one.lower].number < step.number for one in step.over
        )


def test_edges_look_where_water_is_thrown_off() -> None:
    """Derived: an apron's edge looks down the slope, a side's away from the stack; mirrored, left is
    right. Folds turned the wrong way are said to be."""
    scene = load("cottage")
    found = cut_list(scene)
    steps = {step.name: step for step in dressing_order(scene, found.detail).steps}
    ways = {(step.name, one.lower): one.faces for step in steps.values() for one in step.over}
    assert ways["front apron", "covering"] == "down the slope"
    assert ways["left side flashing", "covering"] == "to the left"
    assert ways["right side flashing", "covering"] == "to the right"
    assert ways["left side flashing", "front apron"] == "to the right"
    assert ways["covering", "back gutter"] == "down the slope"
    assert "face down the slope" in steps["left side flashing"].folds
    assert steps["front apron"].folds == ""


def test_on_screen_laps_are_told_when_asked_for(stackrain: Run) -> None:
    """The order alone without --order, which keeps `cut` under a second; inches where they are asked for."""
    plain = stackrain("cut", "cottage").stdout
    assert "Dressing order\n   1  front apron\n   2  left side flashing" in plain
    assert "Laps the front apron" not in plain
    full = " ".join(stackrain("cut", "cottage", "--order").stdout.split())
    assert "Laps the front apron by 47 mm at the front left" in full
    inches = " ".join(stackrain("cut", "cottage", "--order", "--units", "imperial").stdout.split())
    assert "Laps the front apron by 1 7/8 in at the front left" in inches
    assert " mm" not in inches
    assert "27 3/16 x 12 15/16" in inches


def test_blanks_that_no_stock_takes_are_in_the_report_and_the_reason_too() -> None:
    """The issue: which and why."""
    from scenes.cutting.stock import asked_stock

    scene = load("terrace")
    found = cut_list(scene, asked_stock(("260x1500",)))
    told = cut_told(found, dressing_order(scene, found.detail))
    assert told.left_out
    assert all("the widest stock is a sheet 260 x 1500 mm" in why for why in told.left_out)
    assert any(replace(found, left_out=()).patterns[0].name == row[0] for row in told.rows)
