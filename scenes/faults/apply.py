"""Faults put into a scene: first into its measures, then into the parts that are made from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from meshes.build import build, pieces
from meshes.errors import SceneError
from meshes.parts import Assembly
from meshes.spec import Detail
from scenes.faults.asked import asked_for
from scenes.faults.fault import SIDES, Asked, FaultError, NotHere, OnMeasures, OnParts
from scenes.faults.sides import sides_alone

if TYPE_CHECKING:
    from scenes.scene import Scene

FROM_FILES = "is made of parts from files alone, which have no measures to get wrong"


def with_faults(scene: Scene, asked: Sequence[str]) -> Scene:
    """The scene with these faults, on top of those that it has; each is "NAME[@WHERE][=HOW MUCH]".

    Raises SceneError with one line for what can't be asked for, FaultError for a fault that the scene
    gives no room for.
    """
    if not asked:
        return scene
    texts = [*(as_text(one) for one in scene.faults), *asked]
    wrong = replace(scene, faults=asked_for(texts))
    if wrong.detail is None:
        raise FaultError(f"{wrong.faults[0].label}: {called(wrong)} {FROM_FILES}")
    _measures(wrong, wrong.detail)
    return wrong


def as_text(asked: Asked) -> str:
    """As it is written on the command line."""
    return f"{asked.label}={asked.amount!r}" if asked.fault.unit else asked.label


def made_wrong(scene: Scene, build: Callable[[Detail], Assembly] = build) -> Assembly:
    """The scene's built parts with its faults in them: changed measures first, then changed parts.

    build: makes the parts of a detail; one that remembers saves time when many faults are tried.
    Raises FaultError (a fault's name, the scene's, and why it has no room there), and SceneError where
    the scene can't be built without its faults.
    """
    assert scene.detail is not None, "with_faults refuses a scene without a detail"
    everywhere, alone = _measures(scene, scene.detail)
    try:
        assembly = build(everywhere)
    except SceneError as error:
        if everywhere == scene.detail:
            raise  # The scene itself can't be built.
        raise FaultError(f"{_labels(scene, OnMeasures)}: {called(scene)}: {error}") from error
    changed: dict[str, Detail] = {}
    for (place, _), own in sorted(alone.items()):
        for one in own:
            changed[place] = _changed(scene, changed.get(place, everywhere), one, (place,))
        try:
            assembly = sides_alone(assembly, build(changed[place]), changed[place], place, own)
        except SceneError as error:
            raise FaultError(f"{own[-1].label}: {called(scene)}: {error}") from error
    for one in scene.faults:
        if isinstance(one.fault, OnParts):
            assembly = _parts_changed(scene, everywhere, assembly, one)
    return assembly


def detail_made(scene: Scene) -> Detail | None:
    """What the pieces of a scene are made to: its measures with the faults that are all round in them."""
    if scene.detail is None or not scene.faults:
        return scene.detail
    return _measures(scene, scene.detail)[0]


def flashings_made_right(scene: Scene) -> tuple[str, ...]:
    """Names of the flashings that a scene with faults has without them; nothing for one without either."""
    if scene.detail is None or not scene.faults:
        return ()
    return _names_of(scene.detail)


@lru_cache(maxsize=64)
def _names_of(detail: Detail) -> tuple[str, ...]:
    return tuple(piece.name for piece in pieces(detail).values())


def note_of(scene: Scene) -> str:
    """A scene's note, after what is wrong in it on purpose."""
    if not scene.faults:
        return scene.note
    names = [
        f"{one.fault.name}, {one.place}" if one.place else one.fault.name for one in scene.faults
    ]
    return f"Wrong on purpose: {'; '.join(names)}. {scene.note}".rstrip()


def told(scene: Scene) -> list[dict[str, Any]]:
    """What findings.json holds of a scene's faults: see `told_of`."""
    return told_of(scene.faults)


def told_of(faults: Sequence[Asked]) -> list[dict[str, Any]]:
    """Name, where, amount, unit, how_bad and done_wrong of each of some faults, as plain values."""
    return [
        {
            "name": one.fault.name,
            "where": one.place or None,
            "amount": one.amount if one.fault.unit else None,
            "unit": one.fault.unit or None,
            "how_bad": one.fault.how_bad(one.amount),
            "done_wrong": one.fault.done_wrong,
        }
        for one in faults
    ]


def called(scene: Scene) -> str:
    """A scene's name for a message: its file's, without the ending."""
    return scene.file.removesuffix(".toml")


def _measures(scene: Scene, right: Detail) -> tuple[Detail, dict[tuple[str, str], list[Asked]]]:
    """The measures with all faults but those of one side's pieces alone, and those by their side and by
    what those pieces are called there."""
    detail = right
    alone: dict[tuple[str, str], list[Asked]] = {}
    for one in scene.faults:
        if not isinstance(one.fault, OnMeasures):
            continue
        places = _places(scene, detail, one)
        own = one.fault.own
        one_side = one.fault.side_alone is not None and one.place in SIDES
        if one.fault.side_by_side or one_side:
            for place in places:
                if lack := one.fault.alone_lacks(detail, place):
                    raise FaultError(f"{one.label}: {called(scene)} {lack}")
                alone.setdefault((place, own), []).append(one)
            continue
        detail = _changed(scene, detail, one, places)
    return detail, alone


def _places(scene: Scene, detail: Detail, one: Asked) -> tuple[str, ...]:
    """Where a fault goes: the place asked for, else all that have room for it. Raises SceneError."""
    tried = (one.place,) if one.place else one.fault.places or ("",)
    lacking = [_lacks(scene, detail, one, place) for place in tried]
    if all(lacking):
        raise FaultError(f"{one.label}: {called(scene)} {lacking[0]}")
    return tuple(place for place, lack in zip(tried, lacking, strict=True) if not lack)


def _lacks(scene: Scene, detail: Detail, one: Asked, place: str) -> str:
    try:
        return one.fault.lacks(detail, place)
    except SceneError as error:
        raise FaultError(f"{one.label}: {called(scene)}: {error}") from error


def _changed(scene: Scene, detail: Detail, one: Asked, places: tuple[str, ...]) -> Detail:
    assert isinstance(one.fault, OnMeasures)
    try:
        return one.fault.change(detail, places, one.fault.in_si(one.amount))
    except SceneError as error:
        raise FaultError(f"{one.label}: {called(scene)}: {error}") from error


def _parts_changed(scene: Scene, detail: Detail, assembly: Assembly, one: Asked) -> Assembly:
    assert isinstance(one.fault, OnParts)
    places = _places(scene, detail, one)
    lacking = ""
    hit = False
    for place in places:
        try:
            assembly = one.fault.change(assembly, detail, place, one.fault.in_si(one.amount))
            hit = True
        except NotHere as error:
            lacking = lacking or str(error)
    if not hit:
        raise FaultError(f"{one.label}: {called(scene)} {lacking}")
    return assembly


def _labels(scene: Scene, kind: type) -> str:
    return ", ".join(one.label for one in scene.faults if isinstance(one.fault, kind))
