"""From what the page sends to a scene: checked values, laid over those that the scene began with."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from meshes.errors import SceneError
from scenes.faults.apply import with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.scene import Scene, of_data
from scenes.stand.dial import dial_of
from scenes.stand.knob import Knob, Value
from scenes.stand.knobs import EVERYWHERE, ORDER, amount_key, fault_key, knobs_of
from scenes.template import full_text
from scenes.units import METRIC, Units
from scenes.units_keys import PITCH

MOST_VALUES = 400
"""Values in one request: more than there are knobs."""


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """A scene to change: every key of its file, and the knobs that change them. folder: where it stands;
    units: what its page speaks."""

    scene: Scene
    data: dict[str, Any]
    knobs: tuple[Knob, ...]
    folder: Path
    units: Units = METRIC

    @staticmethod
    def of(scene: Scene, folder: Path, units: Units = METRIC) -> Bench:
        """Raises SceneError for a scene that has no measures to change."""
        data = tomllib.loads(full_text(scene, folder))
        knobs = knobs_of(scene, data)
        if units.is_imperial:
            knobs = tuple(_in_inches(knob) for knob in knobs)
        return Bench(scene, data, knobs, folder, units)

    @property
    def start(self) -> dict[str, Value]:
        """What every knob stands at when the stand begins."""
        return {knob.key: knob.value for knob in self.knobs}

    def shown(self, values: Mapping[str, Value]) -> dict[str, Value]:
        """Values of the knobs as the page has them."""
        return {knob.key: knob.shown(values[knob.key]) for knob in self.knobs}

    def values(self, sent: object) -> dict[str, Value]:
        """What every knob stands at after the values that were sent, checked. Raises SceneError."""
        if not isinstance(sent, dict) or len(sent) > MOST_VALUES:
            raise SceneError("values must be names and values, one of each at most")
        known = {knob.key: knob for knob in self.knobs}
        now = self.start
        for key, value in sent.items():
            if key not in known:
                raise SceneError(f"there is nothing to change named {key!r:.60}")
            now[key] = known[key].checked(value)
        return now

    def scene_with(self, values: Mapping[str, Value]) -> Scene:
        """The scene with every knob at its value. Raises SceneError for what can't be built."""
        data = deepcopy(self.data)
        for knob in self.knobs:
            value = values[knob.key]
            # What was not moved stays as the file has it: "auto" goes on following the pitch.
            if knob.place and value != knob.value:
                *tables, key = knob.place
                held = data
                for table in tables:
                    held = held[table]
                held[key] = str(value).split(", ") if knob.place == ORDER else value
        weather = data["weather"]
        # A gust slants rain and drives water by itself.
        if weather["gust_m_s"] > 0:
            weather["slant_deg"], weather["push_m_s2"] = 0.0, [0.0, 0.0, 0.0]
        digest = sha256(repr(sorted(values.items())).encode()).hexdigest()
        scene = of_data(data, digest, self.scene.file, self.folder, {})
        return with_faults(scene, faults_of(values))

    def saved(self, values: Mapping[str, Value]) -> str:
        """The scene as the text of a file; faults, which are no part of a scene, as a remark. Raises
        SceneError for what can't be built."""
        scene = self.scene_with(values)
        text = full_text(scene, self.folder)
        asked = faults_of(values)
        if not asked:
            return text
        options = " ".join(f'--fault "{one}"' for one in asked)
        return f"# Wrong on purpose at the stand: stackrain run scene.toml {options}\n{text}"


def _in_inches(knob: Knob) -> Knob:
    pitch = knob.place[-1:] == (PITCH,)
    return replace(knob, dial=dial_of(knob.unit, knob.step, pitch=pitch))


def faults_of(values: Mapping[str, Value]) -> list[str]:
    """The faults that the knobs ask for, as the command line writes them."""
    asked = []
    for fault in CATALOGUE:
        where = values.get(fault_key(fault), False)
        if where is False or where == "":
            continue
        place = "" if where is True or where == EVERYWHERE else f"@{where}"
        amount = f"={values[amount_key(fault)]:g}" if fault.unit else ""
        asked.append(f"{fault.name}{place}{amount}")
    return asked
