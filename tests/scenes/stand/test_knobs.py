"""What can be changed, and that nothing else can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.faults.apply import with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.scene import LIBRARY, load, names, read
from scenes.stand.asked import Bench, faults_of
from scenes.stand.knob import Knob
from scenes.stand.knobs import amount_key, fault_key
from tests.scenes.stand.benches import bench

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=60
)


@pytest.mark.parametrize("name", names())
def test_at_its_start_a_bench_is_the_scene_itself(name: str) -> None:
    one = Bench.of(load(name), LIBRARY)
    again = one.scene_with(one.start)
    assert (again.detail, again.weather) == (one.scene.detail, one.scene.weather)
    assert len({knob.key for knob in one.knobs}) == len(one.knobs)
    for knob in one.knobs:
        assert knob.checked(knob.value) == knob.value


def test_a_moved_slider_changes_its_measure_alone() -> None:
    """Exact: 45 degrees, 80 mm; and what was "auto" goes on following the pitch."""
    one = bench()
    scene = one.scene_with(one.values({"pitch": 45.0, "side cover": 80}))
    before, now = one.scene.detail, scene.detail
    assert before is not None
    assert now is not None
    assert now.roof.pitch == pytest.approx(0.7853981633974483, abs=1e-12)
    assert now.sides.cover == pytest.approx(0.08)
    assert now.gutter.lap is before.gutter.lap is None
    sides = replace(now.sides, cover=before.sides.cover)
    assert replace(now, roof=before.roof, sides=sides) == before


def test_wind_takes_the_place_of_a_slant(smallest: str) -> None:
    slanted = smallest + "\n[weather]\nslant_deg = 20\n"
    one = Bench.of(read(slanted, "slanted.toml", Path()), Path())
    scene = one.scene_with(one.values({"gust": 12, "wind from": 90, "rain": 30}))
    assert (scene.weather.gust, scene.weather.slant) == (12.0, 0.0)
    assert scene.weather.rain == pytest.approx(30 / 3.6e6)


def test_every_fault_of_the_catalogue_is_a_knob_in_some_scene() -> None:
    known = {knob.key for name in names() for knob in Bench.of(load(name), LIBRARY).knobs}
    assert {fault_key(fault) for fault in CATALOGUE} <= known


def test_a_fault_at_the_stand_is_the_fault_of_the_command_line() -> None:
    """The same parts, by two ways to ask for them."""
    one = bench("cottage")
    narrow = next(fault for fault in CATALOGUE if fault.name == "cover too narrow")
    values = one.values({fault_key(narrow): "left", amount_key(narrow): 90.0})
    assert faults_of(values) == ["cover too narrow@left=90"]
    here = assemble(one.scene_with(values))
    there = assemble(with_faults(load("cottage"), ["cover too narrow@left=90"]))
    assert [part.vertices.tobytes() for part in here] == [part.vertices.tobytes() for part in there]


def test_a_scene_saved_at_the_stand_is_the_scene_shown(tmp_path: Path) -> None:
    one = bench("stepped")
    values = one.values({"pitch": 33.0, "step over step": 70.0, "gust": 9.0})
    text = one.saved(values)
    again = read(text, "saved.toml", LIBRARY)
    shown = one.scene_with(values)
    assert (again.detail, again.weather) == (shown.detail, shown.weather)


def test_faults_are_a_remark_in_a_saved_scene() -> None:
    one = bench("cottage")
    text = one.saved(one.values({"fault side over the gutter": "left"}))
    assert text.startswith("# Wrong on purpose")
    assert '--fault "side over the gutter@left"' in text.splitlines()[0]
    assert read(text, "saved.toml", LIBRARY).detail == one.scene.detail


ANYTHING = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20),
    st.lists(st.integers(), max_size=3), st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)  # fmt: skip


def _tried(call: Callable[[], Any]) -> tuple[Any, str]:
    """What a call gives, and the line with which it refuses."""
    try:
        return call(), ""
    except SceneError as error:
        return None, str(error)


@FEW
@given(st.sampled_from(bench().knobs), ANYTHING)
def test_a_knob_takes_its_own_values_and_nothing_else(knob: Knob, value: object) -> None:
    taken, line = _tried(lambda: knob.checked(value))
    if line:
        assert "\n" not in line
        assert len(line) < 900
        return
    if knob.kind == "slider":
        assert isinstance(taken, float)
        assert knob.low <= taken <= knob.high
    elif knob.kind == "switch":
        assert isinstance(taken, bool)
    else:
        assert taken in [name for name, _ in knob.choices]


@FEW
@given(st.one_of(ANYTHING, st.dictionaries(st.text(max_size=8), ANYTHING, max_size=4)))
def test_whatever_is_sent_ends_in_values_or_in_one_line(sent: object) -> None:
    one = bench()
    values, line = _tried(lambda: one.values(sent))
    assert "\n" not in line
    assert line or set(values) == set(one.start)


def test_parts_from_files_alone_have_nothing_to_change() -> None:
    text = '[[part]]\nname = "roof"\nfile = "roof.stl"\nrole = "covering"\nunit = "mm"\n'
    with pytest.raises(SceneError, match="nothing to change"):
        Bench.of(read(text, "parts.toml", Path()), Path())
