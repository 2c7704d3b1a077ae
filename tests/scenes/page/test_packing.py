"""What goes into a page's data comes out again; odd numbers never get in."""

from __future__ import annotations

import gzip

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from scenes.page.packing import Blob, array_of, packed, unpacked
from sim.errors import TraceError

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=40
)
FINITE = st.floats(-50, 50, width=32)


@FEW
@given(arrays.arrays(np.float64, st.tuples(st.integers(0, 30), st.just(3)), elements=FINITE))
def test_points_come_back_within_half_a_step(points: np.ndarray) -> None:
    """Derived: rounding to whole steps moves each coordinate by half a step at most."""
    blob = Blob()
    blob.plain(np.arange(5), "u8")
    reference = blob.points(points)
    values, data = unpacked(packed({"points": reference}, blob))
    back = array_of(values["points"], data)
    assert back.shape == points.shape
    span = float(np.ptp(points, axis=0).max()) if len(points) else 0.0
    assert np.abs(back - points).max(initial=0.0) <= span / 64000 * 1.001 + 1e-9


@FEW
@given(st.lists(st.integers(0, 255), max_size=20), st.lists(FINITE, max_size=20))
def test_arrays_of_every_kind_come_back(small: list[int], real: list[float]) -> None:
    blob = Blob()
    values = {"a": blob.plain(np.array(small, int), "u8"), "b": blob.plain(np.array(real), "f32")}
    back, data = unpacked(packed(values, blob))
    assert array_of(back["a"], data).tolist() == small
    assert array_of(back["b"], data).tolist() == np.array(real, np.float32).tolist()
    assert all(reference["at"] % 4 == 0 for reference in back.values())


def test_the_same_values_give_the_same_bytes_and_no_date() -> None:
    first, second = (packed({"word": "é <b>"}, Blob()) for _ in range(2))
    assert first == second
    assert first[4:8] == bytes(4)  # RFC 1952: the time of change, nought for none


def test_the_json_begins_where_the_script_looks_for_it() -> None:
    """The length is the first four bytes, little end first, and arrays begin at a multiple of 8."""
    whole = gzip.decompress(packed({"a": 1}, Blob()))
    length = int.from_bytes(whole[:4], "little")
    assert whole[4 : 4 + length].strip() == b'{"a":1}'
    assert (4 + length) % 8 == 0


@pytest.mark.parametrize(
    ("values", "kind"),
    [(np.array([np.nan]), "f32"), (np.array([256]), "u8"), (np.array([-1]), "u32")],
)
def test_numbers_that_do_not_fit_are_ours_to_mend(values: np.ndarray, kind: str) -> None:
    with pytest.raises(TraceError):
        Blob().plain(values, kind)


def test_other_bytes_are_no_page_data() -> None:
    with pytest.raises(ValueError, match="not a page's data"):
        unpacked(b"something else")
