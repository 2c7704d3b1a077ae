"""What a film looks at and when: the whole, then each leak from near by, and the whole again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scenes.stage import Stage
from scenes.stage_camera import Camera

Floats = NDArray[np.float64]

MOST_LEAKS: Final = 3
CLOSE: Final = 3.0
"""How many times nearer a leak is looked at than the whole."""
MOVING: Final = 0.35
"""Share of a shot that the camera takes to get there."""


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """Where the camera looks: middle (2,) [units of the page], how near (1: the whole), and the words
    under it."""

    middle: Floats
    near: float
    words: str


def shots(stage: Stage, camera: Camera) -> tuple[Look, ...]:
    """The whole with the verdict; the largest leaks with their ways in; and the whole again."""
    middle = np.array([camera.width / 2, camera.height / 2])
    whole = Look(middle, 1.0, stage.verdict)
    closer = []
    for leak in stage.leaks[:MOST_LEAKS]:
        at = camera.project(leak.point[None])[0]
        half = middle / CLOSE
        inside = np.clip(at, half, 2 * middle - half)
        closer.append(Look(inside, CLOSE, f"{leak.number}: {leak.words}"))
    return (whole, *closer, whole) if closer else (whole,)


def look_at(looks: tuple[Look, ...], share: float) -> Look:
    """Where the camera looks after a share (0 to 1) of the film: each look has as long as the others,
    and the way to it is begun and ended gently."""
    place = min(max(share, 0.0), 1.0) * len(looks)
    number = min(int(place), len(looks) - 1)
    now = looks[number]
    if number == 0:
        return now
    gone = min((place - number) / MOVING, 1.0)
    eased = gone * gone * (3 - 2 * gone)
    before = looks[number - 1]
    near = before.near ** (1 - eased) * now.near**eased
    # The middle moves so that what is looked at next stays at rest on the picture while it grows.
    done = (
        1.0
        if now.near == before.near
        else (1 / before.near - 1 / near) / (1 / before.near - 1 / now.near)
    )
    if now.near == before.near:
        done = eased
    return Look(before.middle + done * (now.middle - before.middle), near, now.words)
