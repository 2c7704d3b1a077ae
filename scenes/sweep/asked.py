"""What a sweep is asked to do: a scene, what is varied in it, what is measured. Small, for it goes to every
process and every machine with each case."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from meshes.errors import SceneError
from scenes import __version__
from scenes.faults.apply import with_faults
from scenes.scene import BYTE_ORDER_MARK, Scene, find, load, of_data
from scenes.sweep.key import FAULT, NO_FAULT, Key, Place, Value
from scenes.sweep.measure import MeasureName
from scenes.sweep.varied import Varied
from scenes.text_file import text_of

CASE: Final[Place] = ("weather", "case")
OF_A_CASE: Final = ("rain_mm_h", "gust_m_s", "slant_deg", "push_m_s2")
"""Keys of [weather] that a weather case stands for."""
MOST_VARIED: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """What is asked. text: the scene file's; file, folder: its name, and where its part files are looked
    for; parts: a hash of each of them; settings: what options say of the weather, by the key's place;
    faults: in every case; varied: at least one; sample: how many cases of a sample, None for a grid;
    version: of the program that asks."""

    text: str
    file: str
    folder: str
    title: str
    parts: tuple[str, ...]
    settings: tuple[tuple[Place, Value], ...]
    faults: tuple[str, ...]
    varied: tuple[Varied, ...]
    measure: MeasureName
    sample: int | None
    seed: int
    drops: int
    version: str = __version__

    @property
    def sha256(self) -> str:
        """Of the scene file's text, as findings.json has it."""
        return sha256(self.text.encode()).hexdigest()

    def scene(self, values: Sequence[Value]) -> Scene:
        """The scene of a case; values: of each parameter, in their order. Raises SceneError for what can't
        be built."""
        keys = [one.key for one in self.varied]
        return self._scene([*zip(keys, values, strict=True)])

    def scene_as_it_is(self) -> Scene:
        """The scene before anything is varied."""
        return self._scene([])

    def _scene(self, changes: Sequence[tuple[Key, Value]]) -> Scene:
        data: dict[str, Any] = tomllib.loads(self.text.removeprefix(BYTE_ORDER_MARK))
        # A weather case first: what is said of rain and gust beside it stands over its figures.
        at_places = [*self.settings, *((key.place, value) for key, value in changes)]
        for place, value in sorted(at_places, key=lambda change: change[0] != CASE):
            if place[0] != FAULT:
                _put(data, place, value)
        scene = of_data(data, self.sha256, self.file, Path(self.folder), {})
        return with_faults(scene, [*self.faults, *_faults(changes)])

    def to_dict(self) -> dict[str, Any]:
        """What tells this sweep from every other, as plain values."""
        return {
            "program": "stackrain",
            "version": self.version,
            "scene": {"title": self.title, "file": self.file, "sha256": self.sha256},
            "parts_sha256": list(self.parts),
            "set": {".".join(place): value for place, value in self.settings},
            "faults": list(self.faults),
            "vary": [one.text for one in self.varied],
            "measure": self.measure,
            "sample": self.sample,
            "seed": self.seed,
            "drops": self.drops,
            "scene_text": self.text,
        }


def sweep_of(
    name: str, varied: Sequence[Varied], *, measure: MeasureName, sample: int | None, seed: int,
    drops: int, settings: Mapping[Place, Value], faults: Sequence[str],
) -> Sweep:  # fmt: skip
    """A sweep of the scene of that name or file, checked.

    Raises SceneError with one line: for what `load` refuses, a parameter that is varied twice or set too, a
    range without steps in a grid, a value that the scene file's rules don't allow, and for a parameter that
    can't take any of its values in this scene.
    """
    scene = load(name)
    path = find(name)
    _check_parameters(varied, sample, settings)
    sweep = Sweep(
        text=text_of(path, name, 10**9), file=scene.file, folder=str(path.parent.absolute()),
        title=scene.title, parts=tuple(_hash(part.path) for part in scene.parts),
        settings=tuple(settings.items()), faults=tuple(faults), varied=tuple(varied),
        measure=measure, sample=sample, seed=seed, drops=drops,
    )  # fmt: skip
    sweep.scene_as_it_is()
    for one in varied:
        _check_values(sweep, one)
    return sweep


def _check_parameters(
    varied: Sequence[Varied], sample: int | None, settings: Mapping[Place, Value]
) -> None:
    if not 1 <= len(varied) <= MOST_VARIED:
        raise SceneError(f"--vary: 1 to {MOST_VARIED} parameters. Got {len(varied)}")
    places = [one.key.place for one in varied]
    for number, one in enumerate(varied):
        if one.key.place in places[:number]:
            raise SceneError(f"--vary {one.key.name}: stands there twice")
        if one.key.place in settings:
            raise SceneError(f"--vary {one.key.name}: is set by an option too")
        if one.ends and sample is None:
            rule = "a range needs a STEP, FROM:TO:STEP, where no --sample is drawn"
            raise SceneError(f"--vary {one.key.name}: {rule}")


def _check_values(sweep: Sweep, one: Varied) -> None:
    """Refuse values that a scene file can't hold, and a parameter that has no value that can be built."""
    reasons = []
    for value in one.values or one.ends:
        try:
            sweep._scene([(one.key, value)])
            continue
        except SceneError as error:
            reasons.append(str(error))
            if isinstance(error.__cause__, ValidationError) or one.key.place[0] == FAULT:
                raise SceneError(f"--vary {one.key.name}: {error}") from error
    if len(reasons) == len(one.values or one.ends):
        raise SceneError(f"--vary {one.key.name}: none of its values can be built. {reasons[0]}")


def _put(data: dict[str, Any], place: Place, value: Value) -> None:
    *tables, key = place
    held = data
    for table in tables:
        held = held.setdefault(table, {})
    if place == CASE:
        for other in OF_A_CASE:
            held.pop(other, None)
    held[key] = value


def _faults(changes: Sequence[tuple[Key, Value]]) -> list[str]:
    """Those that the values of a case ask for, as the command line writes them."""
    found = []
    for key, value in changes:
        if key.place == (FAULT,) and value != NO_FAULT:
            found.append(str(value))
        elif key.place[0] == FAULT and len(key.place) > 1:
            found.append(f"{key.place[1]}={value!r}")
    return found


def _hash(path: Path) -> str:
    """Of a part's file; what it is good for is found out when the scene is built. Raises SceneError."""
    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise SceneError(f"{path}: can't be read ({error.strerror})") from error
