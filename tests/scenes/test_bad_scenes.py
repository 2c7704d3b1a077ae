"""Scene files that can't be used: one clear line with place, rule and value."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from click.testing import Result
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from scenes.measures import PIECES, keys_of
from scenes.scene import LARGEST_FILE, load, read
from scenes.tables import SceneTable
from scenes.template import toml_value

HERE = Path()

FAULTS = [
    ("pitch_deg = 89", "line 2, roof.pitch_deg: pitch must be 10 to 65 degrees. Got pitch = 89"),
    ("pitch_deg = -5", "line 2, roof.pitch_deg: pitch must be 10 to 65"),
    ("pitch_deg = nan", "line 2, roof.pitch_deg: must be a finite number. Got nan"),
    ("pitch_deg = inf", "line 2, roof.pitch_deg: must be a finite number. Got inf"),
    ('pitch_deg = "steep"', 'line 2, roof.pitch_deg: must be a number. Got "steep"'),
    ("pitch_deg = true", "line 2, roof.pitch_deg: must be a number. Got true"),
    ("pitch_deg = 1" + "0" * 400, "line 2, roof.pitch_deg: must be a number. Got 1000"),
    ("pitch_deg = 1979-05-27", "line 2, roof.pitch_deg: must be a number. Got datetime"),
    ("", "line 1, roof.pitch_deg: is missing"),
    ("pitch = 40", "line 2, roof.pitch: is not a key that is known here. Did you mean pitch_deg?"),
    ("pitch_deg = 40\nbelow_mm = 300\n[apron]\ncover_mm = 300",
     "line 5, apron.cover_mm: apron cover must be 100 mm less than the slope below"),
    ("pitch_deg = 40\ngauge = 100", "line 3, roof.gauge: is not a key that is known here. "
     "Did you mean gauge_mm?"),
    ("pitch_deg = 40\nturn_in_mm = 5", "It belongs to [apron] or [sides] or [gutter]"),
    ("pitch_deg = 40\npitch_deg = 41", "line 3: a key stands there for the second time"),
    ("pitch_deg = 40\n[stack]", "line 4: a table stands there for the second time"),
    ("pitch_deg = 12\ngauge_mm = 60\nthickness_mm = 20", "pitch of the covering itself must be"),
    ('pitch_deg = 40\ncovering = "thatch"', 'line 3, roof.covering: must be "plain tiles", "interlo'),
    ('pitch_deg = 40\ncovering = "interlocking"\ngauge_mm = 700', "line 4, roof.gauge_mm: gauge"),
    ("pitch_deg = 40\nridge_mm = 9000", "line 3, roof.ridge_mm: ridge must be 100 to 6000 mm"),
    ('pitch_deg = 40\nridge_mm = "auto"', 'line 3, roof.ridge_mm: must be a number or "none". Got'),
    ('pitch_deg = 40\nleft_mm = "none"', 'line 3, roof.left_mm: must be a number or "auto". Got'),
    ("pitch_deg = 40\nleft_mm = 20", "line 3, roof.left_mm: roof left must be 30 to 20000 mm"),
    ("pitch_deg = 40\nright_mm = -1", "line 3, roof.right_mm: roof right must be 30 to"),
    ('pitch_deg = 40\ncovering = "profiled"\nwave_depth_mm = 60',
     "line 4, roof.wave_depth_mm: wave depth must be at most 0.3 of the wave's pitch (45 mm)"),
    ('pitch_deg = 40\ncovering = "profiled"\nwave_pitch_mm = 80',
     "line 4, roof.wave_pitch_mm: wave depth must be at most 0.3 of the wave's pitch (24 mm)"),
]  # fmt: skip
FAULTS_BESIDE = [
    ("[apron]\ncover_mm = 1300", "line 9, apron.cover_mm: apron cover must be 20 to 1000 mm"),
    ("[sides]\ncover_mm = 1001", "line 9, sides.cover_mm: side cover must be 20 to 1000 mm"),
    ('[sides]\nway = "glue"', 'line 9, sides.way: must be "cover", "soakers" or "stepped cover"'),
    ("[sides]\nsoaker_width_mm = 9", "line 9, sides.soaker_width_mm: soaker width must be 50 to"),
    ("[sides]\nsoaker_upturn_mm = 9", "line 9, sides.soaker_upturn_mm: soaker upturn must be 40"),
    ("[sides]\nstep_lap_mm = nan", "line 9, sides.step_lap_mm: must be a finite number. Got nan"),
    ("[apron]\ntwo_part = 1", "line 9, apron.two_part: must be true or false. Got 1"),
    ("[apron]\nflashing_lap_mm = 5", "line 9, apron.flashing_lap_mm: apron flashing lap must be 20"),
    ("[gutter]\nflashing_lap_mm = 5", "line 9, gutter.flashing_lap_mm: gutter flashing lap must be"),
    ('[gutter]\nbehind = "hole"', 'line 9, gutter.behind: must be "gutter", "saddle" or "by rule"'),
    ("[gutter]\nsaddle_height_mm = 5000", "line 9, gutter.saddle_height_mm: saddle height must be"),
    ("[gutter]\nopen_mm = 5", "line 9, gutter.open_mm: valley open must be 30 to 400 mm"),
    ("[gutter]\nleg_mm = true", 'line 9, gutter.leg_mm: must be a number or "auto". Got true'),
    ("[gutter]\nlap_mm = 9\nwelt_mm = -3", "line 10, gutter.welt_mm: gutter welt must be 0 to 60"),
    ("[underlay]\nfront_mm = 5", "line 9, underlay.front_mm: underlay upturn at the front"),
    ("[aprn]\ncover_mm = 5", "line 8, aprn: is not a key that is known here. Did you mean apron?"),
    ("[weather]\nrain_mm_h = 0", "line 9, weather.rain_mm_h: must be more than 0. Got 0"),
    ("[weather]\nslant_deg = 90", "line 9, weather.slant_deg: must be 80 or less. Got 90"),
    ("[weather]\npush_m_s2 = [0, 0]", "weather.push_m_s2: must be a list of at least 3"),
    ("[weather]\npush_m_s2 = [0, 0, 12]", "must be 8.8 or less upwards: rain must still come"),
    ('[[part]]\nname = "a"\nfile = "b.stl"\nunit = "mm"', "line 8, part[1].role: is missing"),
    ('[[part]]\nname = "a"\nfile = "b.stl"\nunit = "mm"\nrole = "roof"',
     'line 12, part[1].role: must be "covering"'),
]  # fmt: skip


@pytest.mark.parametrize(("line", "said"), FAULTS)
def test_a_fault_in_the_roof(line: str, said: str) -> None:
    """Negative, NaN, absurd, missing, unknown; bounds of meshes.spec."""
    text = f"[roof]\n{line}\n[stack]\nwidth_mm = 590\ndepth_mm = 440\n"
    one_line(text, said)


@pytest.mark.parametrize(("lines", "said"), FAULTS_BESIDE)
def test_a_fault_beside_a_sound_roof(smallest: str, lines: str, said: str) -> None:
    """Cover wider than the slope below, unknown tables, parts, weather."""
    one_line(f"{smallest}\n{lines}\n", said)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "needs [roof] with pitch_deg and [stack]"),
        ("[apron]\ncover_mm = 150\n", "line 1, apron: needs [roof] with pitch_deg and [stack]"),
        ('order = ["apron", "left"]\n[SMALLEST]', "line 1, order: order must be each of apron"),
        ("bedding_gap_mm = 9\n[SMALLEST]", "line 1, bedding_gap_mm: bedding gap must be 0.5 to 2"),
        (
            "[roof]\npitch_deg = 40\n",
            "line 1, roof: needs [stack] with width_mm and depth_mm (or another plan) beside",
        ),
        ("[SMALLEST][part]\nname = 'a'\n", "part: must be written [[part]], with two brackets"),
        ("[SMALLEST]" + "[[part]]\n" * 201, "part: must be a list of at most 200. Got 201 of them"),
        (
            'joint = "glue"\n[SMALLEST]',
            'line 1, joint: must be "return", "fin", "slit and patch" or',
        ),
        ('facing = "east"\n[SMALLEST]', 'line 1, facing: must be "down-slope" or "up-slope"'),
        ('material = "tin"\n[SMALLEST]', 'line 1, material: must be "lead code 3", "lead code 4"'),
        ("title = 3\n[SMALLEST]", "line 1, title: must be a text in quotes. Got 3"),
        ("x = " + "[" * 9000, "nested too deep"),
        ("[roof", "isn't TOML that can be read"),
    ],
)
def test_a_fault_of_the_whole(smallest: str, text: str, said: str) -> None:
    """Not TOML, missing tables, keys outside any table."""
    one_line(text.replace("[SMALLEST]", smallest), said)


def test_keys_in_a_long_text_are_no_keys(smallest: str) -> None:
    """Derived: the line that is named is the key's own, not a like one inside a text."""
    text = f'note = """\n[roof]\npitch_deg = 1\n"""\n{smallest.replace("40", "70")}'
    one_line(text, "line 6, roof.pitch_deg: pitch must be")


def one_line(text: str, said: str) -> None:
    with pytest.raises(SceneError) as caught:
        read(text, "a.toml", HERE)
    message = str(caught.value)
    assert message.startswith("a.toml")
    assert said in message
    assert len(message.splitlines()) == 1
    assert len(message) < 400


ODD = st.one_of(
    st.floats(),
    st.integers(-(10**400), 10**400),
    st.booleans(),
    st.text(max_size=80),
    st.lists(st.floats(), max_size=4),
)
TABLES = [(), *((name,) for name in (*PIECES, "underlay", "weather", "part"))]


@given(table=st.sampled_from(TABLES), data=st.data())
@settings(max_examples=300, deadline=None)
def test_whatever_a_key_holds(table: tuple[str, ...], data: st.DataObject) -> None:
    """Any value, or any unknown key, gives a scene or one line."""
    known = keys_of(table[0]) if table and table[0] in PIECES else tuple(SceneTable.model_fields)
    key = data.draw(st.one_of(st.sampled_from(known), st.text(max_size=90)))
    line = f"{toml_value(key)} = {toml_value(data.draw(ODD))}\n"
    sound = {"roof": "pitch_deg = 40\n", "stack": "width_mm = 590\ndepth_mm = 440\n"}
    text = "" if table else line
    for name, rows in sound.items():
        text += f"[{name}]\n{rows}{line if table == (name,) else ''}"
    if table and table[0] not in sound:
        text += f"[{table[0]}]\n{line}"
    with suppress(SceneError):
        assert read(text, "a.toml", HERE).detail is not None
        return
    one_line(text, "")


def test_files_that_are_no_scene(tmp_path: Path) -> None:
    """A folder, a missing file, other bytes, a file too large, a device."""
    other = tmp_path / "other.toml"
    other.write_bytes(b"a = 1\nb = '\xff\xfe'\n")
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * (LARGEST_FILE + 1))
    cases = {
        str(tmp_path): "is a folder",
        str(tmp_path / "none.toml"): "no such file",
        "cottge": "Did you mean cottage?",
        str(other): "line 2: must be UTF-8 text",
        str(large): "must be at most 1,000,000 bytes",
        "/dev/zero": "is not an ordinary file",
        "a\0b": "can't be the name of a scene file",
        "": "can't be the name of a scene file",
        "x" * 5000: "can't be the name of a scene file",
        "x" * 900: "can't be read",
    }
    for name, said in cases.items():
        with pytest.raises(SceneError) as caught:
            load(name)
        assert said in str(caught.value)
        assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize("drops", ["0", "-3", "many", "1e9"])
def test_options_out_of_range(stackrain: Callable[..., Result], tmp_path: Path, drops: str) -> None:
    """Derived: one line, exit 2, nothing written."""
    got = stackrain("run", "cottage", "-o", "out", "--drops", drops)
    refused(got, "--drops")
    assert not (tmp_path / "out").exists()


def test_the_command_line_refuses_in_one_line(
    stackrain: Callable[..., Result], tmp_path: Path, smallest: str
) -> None:
    """One clear line, exit 2, nothing left behind; at the command line itself."""
    scene = tmp_path / "steep.toml"
    scene.write_text(smallest.replace("40", "89"))
    refused(stackrain("run", scene, "-o", "out"), "steep.toml, line 2, roof.pitch_deg")
    refused(stackrain("run", "cottage"), "'-o'")
    refused(stackrain("rnu", "cottage"), "run")
    refused(stackrain("new", "a", "--from", "nowhere"), "no such file")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["steep.toml"]


@pytest.mark.parametrize(
    ("content", "said"),
    [(None, "there"), (b"", "empty"), (b"not a mesh", "mesh"), (b"solid a\nendsolid a\n", "mesh")],
)
def test_part_files_that_are_no_mesh(
    stackrain: Callable[..., Result], tmp_path: Path, content: bytes | None, said: str
) -> None:
    """A mesh file that is missing, empty, or not a mesh; the place is named."""
    text = '[[part]]\nname = "dome"\nfile = "dome.stl"\nrole = "flashing"\nunit = "cm"\n'
    (tmp_path / "a.toml").write_text(text)
    if content is not None:
        (tmp_path / "dome.stl").write_bytes(content)
    got = stackrain("run", "a.toml", "-o", "out", "--quiet")
    refused(got, said)
    assert "a.toml, line 3, part[1].file: " in got.stderr
    assert not (tmp_path / "out").exists()


def refused(got: Result, said: str) -> None:
    assert got.exit_code == 2
    assert got.stdout == ""
    assert said in got.stderr
    assert len(got.stderr.splitlines()) == 1
