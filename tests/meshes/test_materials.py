"""Materials against densities and the standards' tables, and what is said when one can't give enough."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from math import inf, nan

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import PieceError
from meshes.materials import LAP, MATERIALS, check_piece

DENSITIES = {"lead": 11340, "zinc": 7140, "copper": 8940, "aluminium": 2700}
CODE_TO_MASS = 0.45359237 / 0.3048**2  # [kg/m2] of a code: pounds a square foot
LEAD = MATERIALS["lead code 4"]


def test_the_materials_offered() -> None:
    """The issue: lead by code, zinc, copper, aluminium, stretchable self-adhesive sheet."""
    lead = [f"lead code {code}" for code in (3, 4, 5, 6)]
    assert list(MATERIALS) == [*lead, "zinc", "copper", "aluminium", "self-adhesive"]
    assert all(material.name == key for key, material in MATERIALS.items())


@pytest.mark.parametrize("key", [key for key in MATERIALS if key != "self-adhesive"])
def test_mass_is_density_times_thickness(key: str) -> None:
    """Derived: densities of the elements from handbooks (memory), 1 % since tables round."""
    material = MATERIALS[key]
    expected = DENSITIES[key.split(" ")[0]] * material.thickness
    assert material.mass == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("code", [3, 4, 5, 6])
def test_a_lead_code_is_its_pounds_a_square_foot(code: int) -> None:
    """Trade pages on BS EN 12588 (second-hand): a code is the old weight in lb/ft2.

    Tables round the thickness to what is rolled: within 5 %, the standard's tolerance (second-hand).
    """
    assert MATERIALS[f"lead code {code}"].mass == pytest.approx(code * CODE_TO_MASS, rel=0.05)


def test_thicknesses_of_the_standards() -> None:
    """EN 12588 by code (second-hand); NHBC 7.2 Table 22: zinc 0.8 at least, copper 0.55, aluminium 0.7
    to 0.9 mm, lead pieces to 1.5 m (seen)."""
    mm = {key: material.thickness * 1000 for key, material in MATERIALS.items()}
    lead = [mm[f"lead code {code}"] for code in (3, 4, 5, 6)]
    assert lead == pytest.approx([1.32, 1.80, 2.24, 2.65])
    assert mm["zinc"] >= 0.8 - 1e-12
    assert mm["copper"] == pytest.approx(0.55)
    assert 0.7 <= mm["aluminium"] <= 0.9
    assert LEAD.longest == 1.5
    assert max(material.longest for key, material in MATERIALS.items() if "lead" in key) == 1.5


@pytest.mark.parametrize("key", MATERIALS)
def test_every_figure_says_what_it_rests_on(key: str) -> None:
    """reference-values.md: seen, second-hand, derived, memory or practice, for each figure."""
    source = MATERIALS[key].source
    assert all(figure in source for figure in ("thickness", "mass", "stretch", "longest"))
    known = ("seen", "second-hand", "derived", "memory", "practice")
    parts = source.split("; ")
    assert all(any(word in part for word in known) for part in parts), parts


def test_soft_sheets_stretch_and_hard_ones_hardly() -> None:
    """Practice: zinc is folded, copper and aluminium give a little, lead is bossed, mesh gives most."""
    order = ["zinc", "copper", "lead code 3", "lead code 4", "self-adhesive"]
    given_ = [MATERIALS[key].stretch for key in order]
    assert given_ == sorted(given_)
    assert MATERIALS["zinc"].stretch == 0
    assert MATERIALS["aluminium"].stretch <= 0.05
    assert MATERIALS["self-adhesive"].stretch == 0.60


def test_a_piece_within_its_material_needs_no_remark() -> None:
    """Derived: at the limits themselves nothing is said."""
    assert check_piece(LEAD, LEAD.longest, LEAD.stretch, "apron") == ()


def test_remarks_name_piece_need_and_limit() -> None:
    """Derived: 1600 mm of lead in two parts; 33 % wanted of 25 %; zinc not at all."""
    remarks = check_piece(LEAD, 1.6, 1 / 3, "apron")
    assert remarks == (
        "apron is 1600 mm long, a piece of lead code 4 at most 1500 mm: "
        "divide it into at least 2 parts that lap",
        "apron must be stretched by 33 %, lead code 4 gives only 25 %: slit and patch it there",
    )
    (welded,) = check_piece(LEAD, 1.6, 0.0, "saddle", joined="welded")
    assert welded.startswith(
        "saddle is 1600 mm long once its parts are welded, a piece of lead code 4 at"
    )
    assert welded.endswith("1500 mm: let at least 2 parts lap instead")
    (only,) = check_piece(MATERIALS["zinc"], 1.6, 0.06, "right")
    assert only.startswith("right must be stretched by 6 %, zinc gives none")


def test_two_whole_lengths_leave_nothing_for_a_lap() -> None:
    """Exact: 3 m of 1.5 m pieces needs three; 2.9 m is what two cover with a lap of 100 mm."""
    assert "at least 3 parts" in check_piece(LEAD, 3.0, 0.0, "x")[0]
    assert "at least 2 parts" in check_piece(LEAD, 2 * 1.5 - LAP, 0.0, "x")[0]


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=100)
@given(key=st.sampled_from(list(MATERIALS)), length=st.floats(0.01, 40))
def test_the_parts_are_enough_and_no_more(key: str, length: float) -> None:
    """Property: n pieces less n - 1 laps cover the length, n - 1 pieces do not."""
    material = MATERIALS[key]
    remarks = check_piece(material, length, 0.0, "piece")
    parts = int(remarks[0].split("at least ")[1].split(" ")[0]) if remarks else 1

    def cover(count: int) -> float:
        return count * material.longest - (count - 1) * LAP

    assert cover(parts) >= length - 1e-6
    assert parts == 1 or cover(parts - 1) < length + 1e-6


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": " "}, "material name must be given"),
        ({"thickness": 0.0}, "thickness must be 0.1 to 10 mm. Got thickness = 0 mm"),
        ({"mass": nan}, "mass must be 0.1 to 100 kg/m2"),
        ({"stretch": 1.2}, "stretch must be 0 to 1. Got stretch = 1.2"),
        ({"longest": 0.1}, "longest piece must be 200 to 20000 mm. Got longest piece = 100 mm"),
        ({"source": ""}, "material source must be given"),
    ],
)
def test_a_material_holds_no_nonsense(change: dict[str, object], words: str) -> None:
    """Every check is reached; the line gives what, rule and value."""
    with pytest.raises(PieceError, match=words):
        replace(LEAD, **change)  # type: ignore[arg-type]


def test_a_piece_without_size_is_refused() -> None:
    """Every check is reached; and a material can't be changed."""
    with pytest.raises(PieceError, match="longest side of apron must be above 0 mm"):
        check_piece(LEAD, 0.0, 0.0, "apron")
    with pytest.raises(PieceError, match=r"stretch of apron must be 0 or more\. Got .* = -0\.1"):
        check_piece(LEAD, 1.0, -0.1, "apron")
    with pytest.raises(PieceError, match="longest side"):
        check_piece(LEAD, inf, 0.0, "apron")
    with pytest.raises(FrozenInstanceError):
        LEAD.mass = 1.0  # type: ignore[misc]
