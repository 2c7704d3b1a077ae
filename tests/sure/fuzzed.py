"""Cases drawn by number, and what must hold for each: a result that adds up, or one clear line."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random

import numpy as np

from meshes.errors import SceneError
from meshes.files import load_part
from scenes.assemble import assemble
from scenes.faults.apply import with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.run import Result, paths_text, run
from scenes.say import answer
from scenes.scene import Scene, load, names, read
from scenes.template import full_text
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import place
from sim.trace import trace
from tests.sim.test_invariance import CHANGES, FAR
from tests.sure.mesh_bytes import ENDINGS, a_mesh, a_soup, spoilt

DROPS = 300
LONGEST_LINE = 1000
ROUNDED = 1e-6
"""Shares are written with so many digits."""
HERE = Path()
FIGURE = re.compile(r"(?m)^(\w+) = (-?\d+(?:\.\d+)?)(?=\s)")
FACTORS = (0.7, 0.9, 0.95, 0.99, 1.01, 1.05, 1.1, 1.3)
WILD = (0, 0.3, 2, 10, -1)
WORDS = re.compile(r'(?m)^(\w+) = "([\w -]+)"')
ODD = (
    "nan", "inf", "-inf", "1e400", "9" * 400, "''", '"\\u0000"', "[]", "{}", "[[[[1]]]]", "true",
    "1979-05-27", '"\\U0001F327"', "0x7fffffffffffffff", "-0.0", "1e-320", '"auto"', '"none"',
)  # fmt: skip


class LineError(AssertionError):
    """A refusal that is no clear line."""


def case(kind: str, number: int, home: Path) -> str:
    """Try one case; "result" or "refused". home: an empty folder. Raises whatever is wrong."""
    try:
        KINDS[kind](Random(f"{kind} {number}"), home)
    except SceneError as error:
        line = str(error)
        clear = line.isprintable() and line.strip() and len(line) <= LONGEST_LINE
        if not clear:
            raise LineError(repr(line)) from error
        return "refused"
    return "result"


@cache
def _texts() -> tuple[str, ...]:
    return tuple(full_text(load(name), HERE) for name in names())


def scene_text(draw: Random, home: Path) -> None:
    """A scene file with letters changed, left out, doubled or swapped, or odd values put in."""
    content = bytearray(draw.choice(_texts()).encode())
    for _ in range(draw.choice((1, 1, 2, 5, 40))):
        content = spoilt(draw, content, b'[]{}=".,\\#\n\r\t\0\xff\xc3"\xe2\x80\xa8')
    text = content.decode(errors=draw.choice(("replace", "ignore")))
    if draw.random() < 0.5:
        rows = text.splitlines()
        row = draw.randrange(len(rows))
        rows[row] = re.sub(r"=.*", lambda _: f"= {draw.choice(ODD)}", rows[row])
        text = "\n".join(rows)
    (home / "a.toml").write_text(text, encoding="utf-8")
    scene = load(str(home / "a.toml"))
    _same_when_read_back(scene)
    assemble(scene)


def scene_run(draw: Random, home: Path) -> None:
    """A scene with figures and words changed and something done wrong, run to its end."""
    result = run(_scene(draw), drops=DROPS, seed=draw.randrange(2**63), threads=1)
    adds_up(result)


def changed(draw: Random, home: Path) -> None:
    """Mirrored, turned, cut finer and moved away, no drop changes its fate."""
    scene = _scene(draw, still=True)
    assembly = assemble(scene)
    change = draw.choice(sorted(CHANGES))
    vector, whole = CHANGES[change]
    corners = np.concatenate([part.vertices[:, :2] for part in assembly])
    low, high = [*corners.min(0), 9.0], [*corners.max(0), 9.1]
    rng = np.random.default_rng(draw.randrange(2**32))
    start = rng.uniform(low, high, (DROPS, 3))
    way, pull = np.array([0.25, 0.3, -1.0]), np.array([0.0, 0.0, -9.80665])
    one, other = Charts.of(assembly, tuple(pull)), Charts.of(whole(assembly), tuple(vector(pull)))
    fallen = place(one, start, way)
    shift = FAR if change == "1 km away" else np.zeros(3)
    moved = place(other, vector(start) + shift, vector(way))
    before, after = trace(one, fallen), trace(other, moved)
    assert (moved.drop == fallen.drop).all(), change
    differ = np.flatnonzero(before.fate != after.fate)
    assert not len(differ), f"{change}: {len(differ)} of {len(before.fate)} drops, {scene.faults}"


def mesh_bytes(draw: Random, home: Path) -> None:
    """A mesh file of any format with bytes changed, its counts and its JSON among them."""
    ending = draw.choice(ENDINGS)
    content = bytearray(a_mesh(draw, ending))
    for _ in range(draw.choice((0, 1, 1, 2, 5, 40))):
        content = spoilt(draw, content, b"\0\xff\n 0129-.eEnf/[]{},:")
    path = home / f"a{ending}"
    path.write_bytes(content)
    part = load_part(path, name="a", role="flashing", unit="mm")
    assert np.isfinite(part.vertices).all()
    assert len(part.faces)
    assert part.faces.max() < len(part.vertices)


def soup(draw: Random, home: Path) -> None:
    """Triangles anyhow, alone or beside a built detail, rained on."""
    head = "" if draw.random() < 0.5 else draw.choice(_texts())
    (home / "a.stl").write_bytes(a_soup(draw, beside=bool(head)))
    part = '[[part]]\nname = "a"\nfile = "a.stl"\nunit = "m"\n'
    role = draw.choice(("covering", "flashing", "underlay", "stack", "inside"))
    scene = read(f'{head}\n{part}role = "{role}"\n', "a.toml", home)
    adds_up(run(scene, drops=DROPS, seed=1, threads=1))


KINDS: dict[str, Callable[[Random, Path], None]] = {
    "scene text": scene_text,
    "scene run": scene_run,
    "changed": changed,
    "mesh bytes": mesh_bytes,
    "soup": soup,
}


def _scene(draw: Random, *, still: bool = False) -> Scene:
    """A library scene with some figures changed, other words taken, and up to two faults."""
    text = draw.choice(_texts())
    figures, words = list(FIGURE.finditer(text)), list(WORDS.finditer(text))
    others = {(one[1], one[2]) for whole in _texts() for one in WORDS.finditer(whole)}
    swaps = []
    for one in draw.sample(figures, draw.choice((1, 2, 4))):
        value = float(one[2]) * draw.choice(WILD if draw.random() < 0.1 else FACTORS)
        swaps.append((one, f"{one[1]} = {int(value) if value.is_integer() else round(value, 4)}"))
    for one in draw.sample(words, draw.choice((0, 0, 1))):
        found = sorted(word for key, word in others if key == one[1])
        swaps.append((one, f'{one[1]} = "{draw.choice(found)}"'))
    for one, line in sorted(swaps, key=lambda swap: -swap[0].start()):
        text = text[: one.start()] + line + text[one.end() :]
    if still:
        text = re.sub(r"(?m)^(gust_m_s|slant_deg) = \S+", r"\1 = 0", text)
    scene = read(text, "a.toml", HERE)
    _same_when_read_back(scene)
    asked = [draw.choice(CATALOGUE).name for _ in range(draw.choice((0, 1, 1, 2)))]
    return with_faults(scene, asked) if asked else scene


def _same_when_read_back(scene: Scene) -> None:
    again = read(full_text(scene, HERE), "b.toml", HERE)
    assert (again.detail, again.weather) == (scene.detail, scene.weather)
    assert (again.title, again.note) == (scene.title, scene.note)


def adds_up(result: Result) -> None:
    """Every drop has one end, all flows add up, and nothing that is written is NaN."""
    fates = result.trace.fate
    assert not (fates == Fate.UNRESOLVED).any(), "unresolved drops"
    assert np.isfinite(result.trace.end).all()
    found = json.loads(json.dumps(result.to_dict(), allow_nan=False))
    shares = [row["share"] for row in found["water"]]
    flows = [row["flow_ml_min"] for row in found["water"]]
    assert all(0 <= share <= 1 for share in shares)
    assert abs(sum(shares) - 1) < ROUNDED * len(shares)
    assert abs(sum(flows) / found["landed_ml_min"] - 1) < ROUNDED * len(flows) + 1e-3
    assert sum(row["drops"] for row in found["water"]) == len(fates) == found["landed"]
    assert "nan" not in re.findall(r"[a-z]+", answer(found).lower())
    paths_text(result)
