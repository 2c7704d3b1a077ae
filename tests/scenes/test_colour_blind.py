"""The colours of pictures as colour-blind eyes see them, simulated by a general-purpose library.

The simulation is that of Machado, Oliveira and Fernandes (IEEE TVCG 15 (2009) 1291) at full severity (for
eyes without blue cones an approximation, as its authors say), the difference CIEDE2000: about 2 is seen
side by side, 5 at a glance (practice).
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

from meshes.parts import Role
from scenes import colours

SIGHTS = ("full", "Protanomaly", "Deuteranomaly", "Tritanomaly")

PARTS = {
    **{f"sheet {n}": tint for n, tint in enumerate(colours.SHEET_TINTS, start=1)},
    **{role.name: t for role, t in colours.ROLE_TINTS.items() if role is not Role.FLASHING},
}
LINES = {name: getattr(colours, name) for name in ("WATER", "BEHIND", "SHORT_LAP", "DECIDING")}


@pytest.fixture(scope="module")
def library() -> Any:
    import colour

    return colour


def seen(library: Any, rgb: np.ndarray, sight: str) -> np.ndarray:
    """Colours (n, 3), 0 to 255, as L*, a*, b* (n, 3) to an eye."""
    light = library.models.eotf_sRGB(np.asarray(rgb, dtype=float) / 255)
    if sight != "full":
        matrix = library.blindness.matrix_cvd_Machado2009(sight, 1.0)
        light = np.clip(light @ np.asarray(matrix).T, 0, 1)
    white = library.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    xyz = library.RGB_to_XYZ(light, "sRGB", apply_cctf_decoding=False)
    return np.asarray(library.XYZ_to_Lab(xyz, white))


QUIET = pytest.mark.filterwarnings("ignore:.*tritanomaly.*")


@QUIET
@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize(("table", "least"), [(PARTS, 7.0), (LINES, 15.0)], ids=["parts", "lines"])
def test_what_differs_looks_different(library: Any, sight: str, table: dict, least: float) -> None:
    """A claim of `colours`: any two parts differ by 7, any two of the strong lines by 15."""
    names = list(table)
    labs = seen(library, np.array([table[name] for name in names]), sight)
    for one, two in combinations(range(len(names)), 2):
        apart = float(library.delta_E(labs[one], labs[two], method="CIE 2000"))
        assert apart >= least, (names[one], names[two])


@QUIET
@pytest.mark.parametrize("sight", SIGHTS)
def test_the_ramp_only_gets_lighter(library: Any, sight: str) -> None:
    """A claim of its source: to every eye each stop is lighter than the one before, by even steps."""
    labs = seen(library, np.array(colours.RAMP), sight)
    steps = np.diff(labs[:, 0])
    assert (steps > 3.0).all()
    assert steps.max() < 2.5 * steps.min()


def test_the_ramp_is_the_published_one() -> None:
    """Two copies: the table of the plotting library, at the same 16 places."""
    from matplotlib import colormaps

    places = np.linspace(0, 1, 16)
    theirs = np.rint(255 * colormaps["cividis"](places)[:, :3])
    assert np.abs(np.array(colours.RAMP) - theirs).max() <= 1
    assert (colours.on_the_ramp(places) == np.array(colours.RAMP)).all()
