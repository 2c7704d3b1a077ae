"""Parts and assemblies: frozen, checked, the same bytes each time."""

from __future__ import annotations

import hashlib
import subprocess
import sys

import numpy as np
import pytest

from meshes.build import build
from meshes.errors import PieceError, SceneError
from meshes.parts import Assembly, Part, Role
from meshes.spec import Apron, Detail, Roof, Stack
from tests.meshes.details import ORDERS, detail

SQUARE = np.array([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)], float)
FACES = np.array([(0, 1, 2), (0, 2, 3)])


def _digest(made: Assembly) -> str:
    whole = hashlib.sha256()
    for part in made:
        whole.update(part.name.encode() + part.vertices.tobytes() + part.faces.tobytes())
    return whole.hexdigest()


def test_meshes_are_frozen() -> None:
    """Vertices and faces can't be written, and later changes to the given arrays don't reach them."""
    given = SQUARE.copy()
    part = Part("sheet", Role.FLASHING, given, FACES)
    given[0, 0] = 9.0
    assert part.vertices[0, 0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        part.vertices[0, 0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        part.faces[0, 0] = 1


def test_the_same_bytes_each_time() -> None:
    """Two builds here, and one in another process with another hash seed."""
    first = _digest(build(detail(35, joint="fin")))
    assert _digest(build(detail(35, joint="fin"))) == first
    code = (
        "from tests.meshes.test_parts import _digest, build, detail;"
        "print(_digest(build(detail(35, joint='fin'))))"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONHASHSEED": "7", "PATH": ""},
    )
    assert run.stdout.strip() == first


@pytest.mark.parametrize(
    ("vertices", "faces", "said"),
    [
        (SQUARE[:, :2], FACES, "rows of three"),
        (SQUARE * np.nan, FACES, "must be finite"),
        (SQUARE, FACES + 2, "0 to 3"),
        (SQUARE, FACES[:0], "rows of three"),
    ],
)
def test_a_part_can_not_hold_nonsense(vertices: np.ndarray, faces: np.ndarray, said: str) -> None:
    """Own edge cases."""
    with pytest.raises(SceneError, match=said):
        Part("sheet", Role.FLASHING, vertices, faces)


def test_an_assembly_needs_parts_with_different_names() -> None:
    """Own edge cases."""
    part = Part("sheet", Role.FLASHING, SQUARE, FACES)
    with pytest.raises(SceneError, match=r"different from each other\. Got part names = sheet"):
        Assembly((part, part))
    with pytest.raises(SceneError, match="at least one"):
        Assembly(())
    with pytest.raises(KeyError):
        Assembly((part,))["tray"]


def test_wet_sides_face_the_weather() -> None:
    """Every lying face of a flashing's wet side looks up, every upstand's away from the stack."""
    made = build(detail(40))
    middle = np.array([0.0, 0.22])
    for name in ("front apron", "left side flashing", "right side flashing", "back gutter"):
        part = made[name]
        corners = part.vertices[part.faces]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        normals /= np.linalg.norm(normals, axis=1)[:, None]
        centres = corners.mean(axis=1)
        lying = normals[:, 2] > 0.3
        hanging = normals[:, 2] < -0.3
        # Only the welt and its edge, folded back on themselves, show their wet side downward.
        assert hanging.sum() == (4 if name == "back gutter" else 0), name
        upright = np.abs(normals[:, 2]) < 0.05
        near = np.abs(centres[:, :2] - middle).max(axis=1) < 0.31
        away = ((centres[:, :2] - middle) * normals[:, :2]).sum(axis=1)
        # The lips of a front return, and of the cover's edge below it, look to the apron's middle.
        lip = (centres[:, 1] < -0.002) & (np.abs(normals[:, 0]) > 0.9) & (name != "front apron")
        stands = upright & near & (np.abs(away) > 0.2) & ~lip
        assert (away[lip] < 0).all(), name
        assert lying.any()
        assert (away[stands] > 0).all(), name


def test_dressing_order_is_the_order_of_the_parts() -> None:
    """A later piece lies over an earlier one, and the assembly lists them so."""
    made = build(detail(40, order=ORDERS["sides over gutter"]))
    names = [part.name for part in made if part.role is Role.FLASHING]
    assert names == ["front apron", "back gutter", "left side flashing", "right side flashing"]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (
            lambda: Roof(pitch=np.radians(89)),
            "pitch must be 10 to 65 degrees. Got pitch = 89 degrees",
        ),
        (lambda: Roof(pitch=float("nan")), "pitch must be 10 to 65 degrees. Got pitch = nan"),
        (lambda: Roof(pitch=0.2, gauge=0.08, thickness=0.03), "pitch of the covering itself"),
        (lambda: Stack(width=-1, depth=0.4), "stack width must be 200 to 6000 mm"),
        (lambda: Apron(cover=float("inf")), "apron cover must be 20 to 1000 mm"),
        (lambda: detail(order=("apron",)), "order must be each of apron, left"),
        (lambda: detail(joint="glue"), "joint must be return, fin, slit and patch or bossed"),
        (
            lambda: detail(stack=Stack(width=0.6, depth=0.9, height=0.5)),
            "stack height must be over",
        ),
        (lambda: detail(apron=Apron(cover=0.9), roof=Roof(pitch=0.5, below=0.4)), "apron cover"),
        (lambda: build(detail(12)), "gutter leg must be shorter"),
        (lambda: build(detail(40, roof=Roof(pitch=0.7, above=0.5, head_lap=0.3))), ""),
    ],
)
def test_measurements_that_can_not_be(make, said: str) -> None:  # type: ignore[no-untyped-def]
    """Each says what, the rule and the value in one line (own edge cases); the last one can be built."""
    if not said:
        assert isinstance(make(), Assembly)
        return
    with pytest.raises(PieceError, match=said) as error:
        make()
    assert "\n" not in str(error.value)
    assert isinstance(detail(40), Detail)
