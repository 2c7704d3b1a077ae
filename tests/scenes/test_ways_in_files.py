"""Ways to flash any stack, and coverings by trade name, said in a scene file."""

from __future__ import annotations

from math import radians
from pathlib import Path
from typing import get_args

import pytest

from meshes.coverings import USUAL
from meshes.errors import SceneError
from meshes.materials import MATERIALS
from meshes.spec import Roof
from scenes.scene import read
from scenes.tables import MaterialName
from scenes.tables_pieces import CoveringName
from scenes.template import full_text

HERE = Path()

EVERY_KEY = """
joint = "slit and patch"
facing = "up-slope"
material = "copper"
[roof]
pitch_deg = 35
covering = "profiled"
wave_depth_mm = 24
wave_pitch_mm = 201
left_mm = 120
right_mm = "auto"
ridge_mm = 310
[stack]
width_mm = 600
depth_mm = 600
turn_deg = 45
height_mm = 1500
brick_gauge_mm = 76.2
[apron]
two_part = true
flashing_lap_mm = 80
[sides]
way = "stepped cover"
soaker_width_mm = 101.6
soaker_upturn_mm = 101.6
step_lap_mm = 50.8
[gutter]
behind = "by rule"
saddle_height_mm = 210
open_mm = 125
two_part = true
flashing_lap_mm = 90
"""


def test_ways_to_flash_any_stack() -> None:
    """Derived: each key reaches the builder's field of its name, in metres and radians."""
    scene = read(EVERY_KEY, "a.toml", HERE)
    detail = scene.detail
    assert detail is not None
    assert (detail.joint, detail.facing, detail.material) == (
        "slit and patch",
        "up-slope",
        "copper",
    )
    roof, stack, apron, sides = detail.roof, detail.stack, detail.apron, detail.sides
    assert (roof.covering, roof.gauge) == ("profiled", 0.330)
    assert (roof.wave_depth, roof.wave_pitch) == (0.024, 0.201)
    assert (roof.left, roof.right, roof.ridge) == (0.120, None, 0.310)
    assert (stack.turn, stack.brick_gauge) == (radians(45), 0.0762)
    assert (apron.two_part, apron.flashing_lap) == (True, 0.080)
    assert (sides.way, sides.step_lap) == ("stepped cover", 0.0508)
    assert (sides.soaker_width, sides.soaker_upturn) == (0.1016, 0.1016)
    gutter = detail.gutter
    assert (gutter.behind, gutter.saddle_height, gutter.open) == ("by rule", 0.210, 0.125)
    assert (gutter.two_part, gutter.flashing_lap) == (True, 0.090)
    again = read(full_text(scene, HERE), "b.toml", HERE)
    assert again.detail == detail


@pytest.mark.parametrize("key", [key for key in EVERY_KEY.splitlines() if "=" in key])
def test_no_key_is_read_in_vain(key: str) -> None:
    """Derived: without any one of these keys the detail is another, or none."""
    less = EVERY_KEY.replace(f"\n{key}\n", "\n", 1)
    whole = read(EVERY_KEY, "a.toml", HERE).detail
    if key.split()[0] in ("pitch_deg", "width_mm", "depth_mm"):
        with pytest.raises(SceneError, match="is missing, and has no default"):
            read(less, "a.toml", HERE)
    else:
        same = key.endswith('"auto"')
        assert (read(less, "a.toml", HERE).detail == whole) == same


def test_no_ridge_and_no_verge_are_written_in_words(smallest: str) -> None:
    """Derived: "none" and "auto" are what the builder's None is called, and are its defaults."""
    words = 'left_mm = "auto"\nright_mm = "auto"\nridge_mm = "none"\n'
    said = smallest.replace("pitch_deg = 40\n", f"pitch_deg = 40\n{words}")
    scene = read(said, "a.toml", HERE)
    assert scene.detail == read(smallest, "a.toml", HERE).detail
    for word in words.splitlines():
        assert word in full_text(scene, HERE)


@pytest.mark.parametrize("name", get_args(CoveringName))
def test_a_trade_name_brings_its_usual_figures(smallest: str, name: str) -> None:
    """Derived: what the file leaves out is the covering's usual figure, what it says stands."""
    start = f'pitch_deg = 40\ncovering = "{name}"\n'
    detail = read(smallest.replace("pitch_deg = 40\n", start), "a.toml", HERE).detail
    own = f"{start}gauge_mm = 250\n"
    scene = read(smallest.replace("pitch_deg = 40\n", own), "a.toml", HERE)
    assert detail is not None
    assert scene.detail is not None
    if name in ("coursed", "plain"):
        assert detail.roof == Roof(pitch=radians(40), covering=name)  # type: ignore[arg-type]
    else:
        usual = USUAL[name]
        assert detail.roof.covering == usual.covering
        for field, value in usual.figures().items():
            assert getattr(detail.roof, field) == value
            kept = 0.25 if field == "gauge" else value
            assert getattr(scene.detail.roof, field) == kept
    text = full_text(scene, HERE)
    assert f'covering = "{name}"' in text
    assert read(text, "b.toml", HERE).detail == scene.detail


def test_words_written_twice_agree() -> None:
    """Contract: coverings and materials of the scene file are those of meshes."""
    assert set(get_args(CoveringName)) == {*USUAL, "coursed", "plain"}
    assert set(get_args(MaterialName)) == set(MATERIALS)
