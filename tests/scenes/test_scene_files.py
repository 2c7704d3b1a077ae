"""Scene files that can be used: keys, units, defaults, and the library."""

from __future__ import annotations

from dataclasses import fields
from math import radians
from pathlib import Path
from typing import get_args

import pytest

from meshes.parts import Role
from meshes.spec import TURNED_ROUND, Detail, Roof, Stack
from scenes.measures import PIECES, PLAIN_KEYS, keys_of, si_name
from scenes.plans import keys_beside
from scenes.scene import load, names, read
from scenes.tables import RoleName
from scenes.template import full_text

HERE = Path()


def test_three_keys_are_enough(smallest: str) -> None:
    """Derived: every other value is the builder's default."""
    scene = read(smallest, "a.toml", HERE)
    assert scene.detail == Detail(roof=Roof(pitch=radians(40)), stack=Stack(width=0.59, depth=0.44))
    assert scene.weather.rain == pytest.approx(75 / 3.6e6, rel=1e-15)
    assert scene.weather.drive == (0.0, 0.0, -9.80665)


def test_units_at_the_edge(smallest: str) -> None:
    """Derived: mm to m, degrees to rad, mm/h to m/s; a push adds to gravity."""
    text = (
        'joint = "fin"\norder = ["right", "left", "apron", "gutter", "underlay"]\n'
        "bedding_gap_mm = 1.5\n" + smallest + "[apron]\ncover_mm = 170\n[gutter]\nleg_mm = 230\n"
        'lap_mm = "auto"\nsole_fall_deg = 2\n[underlay]\nfront_mm = 120\n'
        "[weather]\nrain_mm_h = 36\nslant_deg = 30\nfrom_deg = 90\npush_m_s2 = [1, 2, 3]\n"
    )
    scene = read(text, "a.toml", HERE)
    detail, weather = scene.detail, scene.weather
    assert detail is not None
    assert (detail.joint, detail.order[0], detail.gap) == ("fin", "right", 0.0015)
    assert (detail.apron.cover, detail.gutter.leg, detail.gutter.lap) == (0.17, 0.23, None)
    assert detail.gutter.sole_fall == radians(2)
    assert detail.roof.underlay_front == 0.12
    assert weather.rain == pytest.approx(1e-5)
    assert (weather.slant, weather.from_angle) == (radians(30), radians(90))
    assert weather.drive == pytest.approx((1, 2, 3 - 9.80665))


def test_every_measurement_of_the_builder_has_a_key() -> None:
    """Contract: `new` writes every default out, so no field of meshes.spec may lack its key, but those
    that only faults set."""
    for table, kind in PIECES.items():
        keys = {si_name(key) for key in keys_of(table)}
        if table == "roof":
            keys |= {f"underlay_{si_name(key)}" for key in keys_of("underlay")}
        assert keys == {field.name for field in fields(kind)} - set(TURNED_ROUND), table
    plain = {field.name for field in fields(Detail)} - set(PIECES)
    assert set(PLAIN_KEYS.values()) == plain


def test_roles_are_the_roles_of_meshes() -> None:
    """Contract: the scene file's words for roles, written twice to keep numpy out, agree."""
    assert set(get_args(RoleName)) == {role.value for role in Role}


def test_the_library_as_the_issue_gives_it() -> None:
    """Cottage 590 x 440 mm, 40 degrees, gauge 100; terrace 840 x 560, 30, 345; joints."""
    assert {"cottage", "terrace"} <= set(names())
    told = []
    for name in ("cottage", "terrace"):
        detail = load(name).detail
        assert detail is not None
        roof, stack = detail.roof, detail.stack
        told.append((stack.width, stack.depth, roof.pitch, roof.gauge, detail.joint))
    assert told == [
        (0.590, 0.440, radians(40), 0.100, "return"),
        (0.840, 0.560, radians(30), 0.345, "fin"),
    ]


@pytest.mark.parametrize("name", names())
def test_the_library_says_that_it_is_invented(name: str) -> None:
    """Invented, and say so."""
    assert "invented" in load(name).note.lower()


@pytest.mark.parametrize("name", names())
def test_written_out_and_read_back_it_is_the_same(name: str) -> None:
    """Derived: every key written out, nothing changed, and a second writing changes no letter."""
    scene = load(name)
    text = full_text(scene, HERE)
    again = read(text, "again.toml", HERE)
    assert (again.detail, again.weather) == (scene.detail, scene.weather)
    assert (again.title, again.note) == (scene.title, scene.note)
    assert full_text(again, HERE) == text
    assert scene.detail is not None
    plan = scene.detail.stack.plan
    for table in (*PIECES, "underlay"):
        assert f"[{table}]" in text
        for key in keys_of(table):
            of_other_plans = table == "stack" and key in keys_beside(plan)
            assert (f"\n{key} = " in text) != of_other_plans


def test_remarks_stay_within_a_line() -> None:
    """Practice: remarks of a written file are broken before they run out of an editor's window."""
    lines = full_text(load("cottage"), HERE).splitlines()
    assert max(len(line) for line in lines if "order = " not in line) <= 110


def test_odd_figures_survive_the_writing(smallest: str) -> None:
    """Derived: a key given keeps its own digits; text with quotes and backslashes is escaped."""
    text = smallest.replace("40", "41.7") + "[apron]\ncover_mm = 151.3\nturn_in_mm = 0\n"
    scene = read('title = "A \\"B\\" \\\\ é"\n' + text, "a.toml", HERE)
    again = read(full_text(scene, HERE), "b.toml", HERE)
    assert (again.detail, again.title) == (scene.detail, 'A "B" \\ é')


def test_parts_alone_need_no_roof(tmp_path: Path) -> None:
    """A scene may consist of parts from files alone; found from the scene's place."""
    text = '[[part]]\nname = "dome"\nfile = "dome.stl"\nrole = "flashing"\nunit = "cm"\n'
    scene = read(text, "a.toml", tmp_path)
    assert scene.detail is None
    part = scene.parts[0]
    assert (part.name, part.path, part.unit) == ("dome", tmp_path / "dome.stl", "cm")
    elsewhere = tmp_path / "sub"
    assert 'file = "../dome.stl"' in full_text(scene, elsewhere)


def test_a_file_that_begins_with_a_byte_order_mark(tmp_path: Path, smallest: str) -> None:
    """Practice: some editors write one before the first letter; TOML readers often refuse it."""
    (tmp_path / "a.toml").write_bytes(b"\xef\xbb\xbf" + smallest.encode())
    assert load(str(tmp_path / "a.toml")).detail == read(smallest, "a.toml", tmp_path).detail


def test_a_name_in_other_bytes_than_text(tmp_path: Path, smallest: str) -> None:
    """Python: bytes of a file's name that the locale has no letter for come as lone surrogates,
    which no results file could hold."""
    name = tmp_path / "caf\udce9.toml"
    try:
        name.write_text(smallest)
    except (OSError, UnicodeError):
        return  # a system where all names are text
    assert load(str(name)).file == "caf\ufffd.toml"
