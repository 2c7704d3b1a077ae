"""A stack's plan in a scene file: every kind of plan, and what is said of one that can't be."""

from __future__ import annotations

from contextlib import suppress
from math import pi, radians
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from meshes.plan import Plan, plan_of, rectangle, regular, round_
from scenes.places import key_lines
from scenes.plans import keys_beside
from scenes.scene import read
from scenes.tables_pieces import PLAN_KEYS
from scenes.template import full_text

HERE = Path()
ROOF = "[roof]\npitch_deg = 40\n[stack]\n"
KITE = "points_mm = [[0, 0], [600, 0], [600, 450.5], [150, 450.5]]"

PLANS = [
    ("width_mm = 600\ndepth_mm = 400", rectangle(0.6, 0.4)),
    ('plan = "rectangle"\nwidth_mm = 600\ndepth_mm = 600\nturn_deg = 45',
     rectangle(0.6, 0.6, pi / 4)),
    ('plan = "round"', round_(0.3, 32)),
    ('plan = "round"\ndiameter_mm = 450\nfacets = 16', round_(0.45, 16)),
    ('plan = "regular"\nsides = 6\nacross_mm = 700\nturn_deg = -10', regular(6, 0.7, radians(-10))),
    ('plan = "regular"', regular(8, 0.6)),
    (f'plan = "points"\n{KITE}\nturn_deg = 30',
     plan_of([(0, 0), (0.6, 0), (0.6, 0.4505), (0.15, 0.4505)], radians(30))),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "plan"), PLANS)
def test_every_kind_of_plan(lines: str, plan: Plan) -> None:
    """Derived: mm to m, degrees to radians; written out and read back it is the same, with the keys of
    its own plan and no others."""
    scene = read(ROOF + lines, "a.toml", HERE)
    assert scene.detail is not None
    stack = scene.detail.stack
    assert stack.outline() == plan
    text = full_text(scene, HERE)
    assert read(text, "b.toml", HERE).detail == scene.detail
    for key in PLAN_KEYS[stack.plan]:
        assert f"\n{key} = " in text
    for key in keys_beside(stack.plan):
        assert f"\n{key} = " not in text


def test_points_may_go_round_either_way() -> None:
    """Derived: clockwise or anticlockwise, it is the same outline."""
    turned = "points_mm = [[150, 450.5], [600, 450.5], [600, 0], [0, 0]]"
    outlines = []
    for rows in (KITE, turned):
        detail = read(f'{ROOF}plan = "points"\n{rows}', "a.toml", HERE).detail
        assert detail is not None
        outlines.append(set(detail.stack.outline().corners))
    assert outlines[0] == outlines[1]


FAULTS = [
    ("width_mm = 600", 'line 3, stack.depth_mm: is missing, and has no default where plan = "rect'),
    ("turn_deg = 45", "line 3, stack.width_mm: is missing, and has no default"),
    ("width_mm = 600\ndepth_mm = 400\nturn_deg = 400", "line 6, stack.turn_deg: stack turn must be"),
    ("width_mm = 600\ndepth_mm = 400\nfacets = 16", "line 6, stack.facets: must be left out where "
     'plan = "rectangle", which takes width_mm and depth_mm. Got 16'),
    ("width_mm = 600\ndepth_mm = 400\nbrick_gauge_mm = 9", "line 6, stack.brick_gauge_mm: brick gau"),
    ('plan = "oval"', 'line 4, stack.plan: must be "rectangle", "round", "regular" or "points". Got'),
    ('plan = "round"\nwidth_mm = 300', "line 5, stack.width_mm: must be left out"),
    ('plan = "round"\ndiameter_mm = 70', "line 5, stack.diameter_mm: stack diameter must be 80 to"),
    ('plan = "round"\nfacets = 9', "line 5, stack.facets: facets must be an even number, 8 to 64"),
    ('plan = "round"\nfacets = 66', "line 5, stack.facets: must be 64 or less. Got 66"),
    ('plan = "round"\nfacets = 12.5', "line 5, stack.facets: must be a whole number. Got 12.5"),
    ('plan = "round"\nfacets = true', "line 5, stack.facets: must be a whole number. Got true"),
    ('plan = "round"\nfacets = 64\ndiameter_mm = 100', "stack.diameter_mm: plan's edges must be 10 mm"),
    ('plan = "regular"\nsides = 2', "line 5, stack.sides: must be 3 or more. Got 2"),
    ('plan = "regular"\nacross_mm = inf', "line 5, stack.across_mm: must be a finite number. Got inf"),
    ('plan = "regular"\nacross_mm = -6', "line 5, stack.across_mm: stack across must be 100 to 6000"),
    ('plan = "points"', "line 3, stack.points_mm: is missing, and has no default where plan ="),
    (KITE, 'line 4, stack.points_mm: must be left out where plan = "rectangle"'),
    ('plan = "points"\npoints_mm = [[0, 0], [9, 0]]', "line 5, stack.points_mm: must be a list of at l"),
    ('plan = "points"\npoints_mm = 5', "line 5, stack.points_mm: must be a list in square brackets"),
    ('plan = "points"\npoints_mm = [' + "[0, 0]," * 65 + "]", "at most 64. Got 65 of them"),
    (f'plan = "points"\n{KITE}\nheight_mm = 400', "line 6, stack.height_mm: stack height must be over"),
    ('plan = "round"\ndiameter_mm = 5000', "line 5, stack.diameter_mm: stack height must be over the"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "said"), FAULTS)
def test_a_plan_that_can_not_be(lines: str, said: str) -> None:
    """Missing, of another plan, negative, NaN, infinite, absurd; bounds of meshes.spec_stack."""
    one_line(ROOF + lines, said)


ROWS = [
    ("600, nan", "line 7, stack.points_mm[2][2]: must be a finite number. Got nan"),
    ("-inf, 0", "line 7, stack.points_mm[2][1]: must be a finite number. Got -inf"),
    ("600", "line 7, stack.points_mm[2]: must be a list of at least 2. Got [600]"),
    ("600, 0, 0", "line 7, stack.points_mm[2]: must be a list of at most 2. Got 3 of them"),
    ('"600", 0', 'line 7, stack.points_mm[2][1]: must be a number. Got "600"'),
    ("1e6, 0", "line 7, stack.points_mm[2][1]: must be 100000 or less. Got 1000000.0"),
    ("200, 200", "line 7, stack.points_mm[2]: must be a convex corner of the outline. Got [200.0, 2"),
    ("300, 300", "line 7, stack.points_mm[2]: must be a convex corner of the outline. Got [300.0, 3"),
    ("0, 9", "line 7, stack.points_mm[2]: must stand 10 mm or farther from the corner before it and"),
]  # fmt: skip


@pytest.mark.parametrize(("row", "said"), ROWS)
@pytest.mark.parametrize("comma", [",", ", # [a remark]"])
def test_the_row_to_blame_is_named_with_its_line(row: str, said: str, comma: str) -> None:
    """Derived: a triangle with the right angle at its first corner, its second row a bad one."""
    rows = f"points_mm = [  # [right, up]\n[0, 0],\n[{row}]{comma}\n  [600, 0],\n[0, 600]]\n"
    text = f'{ROOF}plan = "points"\n{rows}height_mm = 1600\n'
    one_line(text, said)
    sound = text.replace(f"[{row}]{comma}\n", "\n")
    assert read(sound, "a.toml", HERE).detail is not None
    one_line(sound.replace("1600", "16"), "line 10, stack.height_mm: stack height must be")


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (
            [(0, 0), (600, 600), (600, 0), (0, 600)],
            ": must go once round a convex outline. Got edges",
        ),
        ([(0, 0), (600, 0), (300, 0)], ": must go once round a convex outline. Got edges"),
        ([(0, 300), (500, 300), (95, 600), (250, 100), (405, 600)], ": must go once round"),
        ([(0, 0), (600, 0), (600, 400), (0, 400), (0, 0)], "[5]: must stand 10 mm or farther"),
        ([(0, 0), (0, 400), (100, 100), (600, 0)], "[3]: must be a convex corner of the outline"),
        ([(0, 0), (50, 0), (50, 50), (0, 50)], ": plan must be 80 mm to 6 m across. Got plan = 50"),
        (
            [(0, 0), (7000, 0), (3500, 5000)],
            ": plan must be 80 mm to 6 m across. Got plan = 7000 mm",
        ),
    ],
)
def test_outlines_that_are_none(points: list[tuple[float, float]], said: str) -> None:
    """Derived: a bow tie, a line there and back, a five-pointed star, a closing point, a dent in an
    outline that goes round clockwise; too small and too large for meshes.plan."""
    rows = ", ".join(f"[{x}, {y}]" for x, y in points)
    one_line(f'{ROOF}plan = "points"\npoints_mm = [{rows}]', f"line 5, stack.points_mm{said}")


def test_lines_of_lists_in_lists() -> None:
    """Derived: brackets in texts and remarks are no lists, and what follows keeps its line."""
    text = (
        'a = "[["  # [[\nb = """[ ["""\n[t]\nc = [[1, 2],  # ]\n [3, 4], [5,\n 6],\n[7]\n]\n'
        "d = [\n'[', # [\n]\n[u]\ne = 1\n"
    )
    lines = key_lines(text)
    assert [lines["t", "c", row] for row in range(4)] == [4, 5, 5, 7]
    assert (lines["t", "d"], lines[("u",)], lines["u", "e"]) == (9, 12, 13)
    assert ("7",) not in lines
    assert ("t", "c", 4) not in lines


NUMBERS = st.one_of(st.floats(), st.floats(-3000, 3000), st.integers(-2, 2).map(lambda n: n * 300))


@given(rows=st.lists(st.lists(NUMBERS, min_size=2, max_size=2), min_size=3, max_size=6))
@settings(
    max_examples=150, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate)
)
def test_whatever_the_points_are(rows: list[list[float]]) -> None:
    """Any points give a scene or one line that names them."""
    told = ", ".join(f"[{x!r}, {y!r}]" for x, y in rows)
    text = f'{ROOF}plan = "points"\npoints_mm = [{told}]\nheight_mm = 6000\n'
    with suppress(SceneError):
        assert read(text, "a.toml", HERE).detail is not None
        return
    one_line(text, "stack.")


def one_line(text: str, said: str) -> None:
    with pytest.raises(SceneError) as caught:
        read(text, "a.toml", HERE)
    message = str(caught.value)
    assert message.startswith("a.toml")
    assert said in message
    assert len(message.splitlines()) == 1
    assert len(message) < 400
