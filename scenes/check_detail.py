"""A detail whose answer is known, rained on: whether the program answers right on this machine."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from scenes.scene import Scene, load

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from scenes.follow import Followed

DETAIL: Final = "cottage"
DROPS: Final = 20_000
SEED: Final = 0
ERRORS: Final = 3
"""A share of so many drops lies within so many standard errors of the true one, 997 times in 1000."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What was asked, what was expected and why, what was found, and whether that is the same."""

    asked: str
    expected: str
    found: str
    right: bool


def known_answers() -> tuple[Answer, ...]:
    """Rain on a library detail, right and with its gutter too short, against what geometry says.

    Takes 2 s once the tracer is compiled. Raises SceneError for what can't be built.
    """
    scene = load(DETAIL)
    right = _rained_on(scene)
    return (_dry(right), _capping(scene, right), _short_gutter(scene), _threads(scene, right))


def _dry(rained: Followed) -> Answer:
    """Each sheet is lapped by the one above it, so that upright rain has no way in."""
    from sim.fates import Fate

    shed = int((rained.trace.fate == Fate.SHED).sum())
    return Answer(
        f"{DETAIL}: drops shed over the eaves and verges", f"{DROPS:,} of {DROPS:,}, by its laps",
        f"{shed:,}", shed == DROPS,
    )  # fmt: skip


def _capping(scene: Scene, rained: Followed) -> Answer:
    """Upright rain falls evenly in plan, and the capping keeps all but its own off the stack."""
    from meshes.layout import layout_of

    assert scene.detail is not None
    stack, roof, layout = scene.detail.stack, scene.detail.roof, layout_of(scene.detail)
    width, depth = (side + 2 * stack.capping_overhang for side in (stack.width, stack.depth))
    plan = (layout.courses.top - layout.courses.eaves) * 2 * (layout.half_stack + roof.beside)
    true = width * depth / plan
    error = ERRORS * (true * (1 - true) / DROPS) ** 0.5
    share = float(_touched(rained, "stack").mean())
    return Answer(
        f"{DETAIL}: share of the rain on the stack",
        f"{100 * true:.2f} % ± {100 * error:.2f} %, its part of the roof in plan",
        f"{100 * share:.2f} %", abs(share - true) <= error,
    )  # fmt: skip


def _short_gutter(scene: Scene) -> Answer:
    """A gutter that ends where the stack ends has nothing to shed onto: all runs in past its ends."""
    from sim.fates import Fate

    assert scene.detail is not None
    gutter = replace(scene.detail.gutter, beyond_stack=0.0)
    rained = _rained_on(replace(scene, detail=replace(scene.detail, gutter=gutter)))
    fates = rained.trace.fate[_touched(rained, "back gutter")]
    behind = int(((fates == Fate.UNDERLAY) | (fates == Fate.INSIDE)).sum())
    return Answer(
        f"{DETAIL}, its gutter no longer than the stack is wide: drops in it that get behind",
        "all of them, past its ends",
        f"{behind:,} of {len(fates):,}", behind == len(fates) > 0,
    )  # fmt: skip


def _threads(scene: Scene, rained: Followed) -> Answer:
    """Which core follows a drop never shows: one alone does the same to the last bit."""
    alone = _rained_on(scene, threads=1)
    same = (
        alone.trace.fate.tobytes() == rained.trace.fate.tobytes()
        and alone.trace.end.tobytes() == rained.trace.end.tobytes()
    )
    return Answer(
        f"{DETAIL} on one core and on all", "the same bytes", "the same" if same else "others", same
    )


def _rained_on(scene: Scene, threads: int | None = None) -> Followed:
    from scenes.assemble import assemble
    from scenes.follow import follow
    from scenes.progress import Remarks

    return follow(
        assemble(scene), scene.weather, drops=DROPS, seed=SEED, threads=threads,
        remarks=Remarks(quiet=True),
    )  # fmt: skip


def _touched(rained: Followed, name: str) -> NDArray:
    """(n,) whether each drop touched a part."""
    import numpy as np

    index = rained.charts.surface.part_names.index(name)
    return (rained.trace.parts_touched >> np.uint64(index)) & np.uint64(1) == 1
