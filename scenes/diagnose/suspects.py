"""Who may have let the water in: every fault, everywhere that it fits, at three sizes, with its prior."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby
from typing import Final

from meshes.errors import SceneError
from scenes.faults.apply import FROM_FILES, as_text, called, with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.faults.fault import Asked, Fault, FaultError, Found
from scenes.scene import Scene

FOUND: Final[Mapping[Found, float]] = {"often": 4.0, "sometimes": 2.0, "seldom": 1.0}
"""How often faults are found, against each other. Nobody has counted: common practice, no source."""
NOTHING_WRONG: Final = 8.0
"""How often, against those, a detail is as the scene says and the weather was more than it stands."""
SIZES: Final = ((0.5, 1.0), (1.0, 2.0), (1.6, 1.0))
"""How large a fault is against its usual size, and how often it is so large."""
TWO_AT_ONCE: Final = 0.1
"""How often there are two faults, not one."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """What may be wrong. faults: none for a detail that is as the scene says; prior: over 0, against
    that of the others."""

    faults: tuple[Asked, ...]
    prior: float

    @property
    def key(self) -> tuple[tuple[str, str], ...]:
        """What it is, whatever its size: the name and the place of each fault."""
        return tuple((one.fault.name, one.place) for one in self.faults)

    def on(self, scene: Scene) -> Scene:
        """The scene with this wrong. Raises SceneError where it has no room for it."""
        return with_faults(scene, [as_text(one) for one in self.faults])


def suspects(scene: Scene, among: Sequence[Fault] = CATALOGUE) -> list[Suspect]:
    """All single faults at their places and sizes whose measures a scene has room for, and none at all.

    A fault's prior is shared evenly among its places, and among its sizes as SIZES says. Raises
    SceneError for a scene without measures.
    """
    if scene.detail is None:
        raise FaultError(f"{called(scene)}: {FROM_FILES}")
    found = [Suspect((), NOTHING_WRONG)]
    for fault in among:
        places = [place for place in fault.places or ("",) if _has_room(scene, fault, place)]
        for place in places:
            prior = FOUND[fault.found] / len(places)
            found += [Suspect((one,), prior * share) for one, share in _sizes(fault, place)]
    return found


def pairs(likeliest: Sequence[Suspect], total: float) -> list[Suspect]:
    """Each two of some single suspects together, less those of one fault at one place.

    total: of the priors of all single suspects. A pair's prior is that of both by chance, among all
    pairs, times how often there are two.
    """
    share = TWO_AT_ONCE / (1 - TWO_AT_ONCE)
    return [
        Suspect((*one.faults, *other.faults), 2 * share * one.prior * other.prior / total)
        for one, other in combinations(likeliest, 2)
        if one.faults and other.faults and one.key != other.key
    ]


def _has_room(scene: Scene, fault: Fault, place: str) -> bool:
    try:
        with_faults(scene, [f"{fault.name}@{place}" if place else fault.name])
    except SceneError:
        return False
    return True


def _sizes(fault: Fault, place: str) -> list[tuple[Asked, float]]:
    """The fault at each of its sizes within its bounds, with the share of each."""
    if not fault.unit:
        return [(Asked(fault, place, 0.0), 1.0)]
    total = sum(often for _, often in SIZES)
    sized = [
        (min(max(factor * fault.usual, fault.least), fault.most), often / total)
        for factor, often in SIZES
    ]
    by_amount = groupby(sorted(sized), key=lambda one: one[0])
    return [(Asked(fault, place, amount), sum(o for _, o in same)) for amount, same in by_amount]
