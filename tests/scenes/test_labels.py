"""Labels on a picture: boxes that don't overlap, leaders that cross no box."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenes.label_layout import Box, Wish, place

FRAME = Box(0, 0, 1000, 800)

WISHES = st.lists(
    st.builds(
        Wish,
        x=st.floats(0, 1000),
        y=st.floats(0, 800),
        width=st.floats(10, 180),
        height=st.floats(10, 40),
        distance=st.sampled_from([0.0, 16.0, 26.0]),
        keep_clear=st.floats(0, 6),
    ),
    max_size=14,
)


@settings(max_examples=60, deadline=None)
@given(WISHES)
def test_no_two_labels_overlap_and_all_lie_in_the_frame(wishes: list[Wish]) -> None:
    """Derived: what `place` promises, for any wishes, many of them on top of each other."""
    boxes = [box for box in place(wishes, FRAME) if box is not None]
    assert all(box.inside(FRAME) for box in boxes)
    assert not any(one.overlaps(two, 3.9) for one, two in combinations(boxes, 2))


@settings(max_examples=40, deadline=None)
@given(st.permutations([(x, y) for x in (150, 400, 650, 900) for y in (120, 350, 580)]))
def test_no_leader_crosses_another_label(points: list[tuple[float, float]]) -> None:
    """Derived: twelve points far enough apart that each label can stand beside its own."""
    wishes = [Wish(x, y, 130, 28, distance=26, keep_clear=4) for x, y in points]
    boxes = place(wishes, FRAME)
    for number, (wish, box) in enumerate(zip(wishes, boxes, strict=True)):
        assert box is not None
        leader = box.nearest_to(wish.x, wish.y), (wish.x, wish.y)
        others = [other for k, other in enumerate(boxes) if k != number and other is not None]
        assert not any(other.crossed_by(*leader) for other in others)


def test_ten_labels_for_one_point_all_find_room() -> None:
    """Derived: a frame of 1000 x 800 has room for ten labels of 120 x 28."""
    boxes = place([Wish(500, 400, 120, 28, distance=20)] * 10, FRAME)
    assert all(box is not None for box in boxes)


def test_a_label_keeps_off_what_is_taken_and_off_what_it_names() -> None:
    """Derived: the taken half of the frame stays free, and so do 10 pixels round the point."""
    taken = Box(500, 0, 1000, 800)
    (box,) = place([Wish(495, 400, 100, 30, distance=20, keep_clear=10)], FRAME, [taken])
    assert box is not None
    assert not box.overlaps(taken)
    assert not box.overlaps(Box.around(495, 400, 20, 20))


def test_no_room_gives_none() -> None:
    """Derived: a label wider than the frame fits nowhere."""
    assert place([Wish(50, 50, 200, 20)], Box(0, 0, 100, 100)) == [None]


def test_a_label_moves_off_what_is_worth_seeing() -> None:
    """Derived: with the left half precious, the box goes to the right half, not to the nearest
    spot."""
    wish = Wish(440, 400, 80, 20, distance=10)
    (near,) = place([wish], FRAME)
    (moved,) = place([wish], FRAME, spoils=lambda box: float(box.left < 500))
    assert near is not None
    assert moved is not None
    assert near.left < 500 <= moved.left


@pytest.mark.parametrize(
    ("start", "end", "crosses"),
    [
        ((0, 0), (10, 10), True),
        ((0, 4), (3.9, 4), False),
        ((0, 5), (10, 5), True),
        ((0, 0), (10, 1), False),
        ((5, 5), (5, 5), True),
        ((7, 0), (7, 10), False),
    ],
)
def test_line_against_box(
    start: tuple[float, float], end: tuple[float, float], crosses: bool
) -> None:
    """Derived by hand, for the box from (4, 4) to (6, 6)."""
    assert Box(4, 4, 6, 6).crossed_by(start, end) is crosses
