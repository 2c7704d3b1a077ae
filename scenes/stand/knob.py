"""One thing that can be changed at the live stand: a slider, a choice or a switch."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any, Literal

from meshes.errors import SceneError

Kind = Literal["slider", "choice", "switch"]
Value = float | str | bool
Place = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Knob:
    """One slider, choice or switch. key: its name between page and stand; place: the key of the scene's
    file that it changes, () for a fault's; low, high, step: of a slider, in `unit`; choices: (value,
    words) of a choice."""

    key: str
    label: str
    group: str
    kind: Kind
    value: Value
    place: Place = ()
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()

    def checked(self, value: object) -> Value:
        """A value that the page sent, if it is one of this knob's. Raises SceneError."""
        if self.kind == "switch":
            if isinstance(value, bool):
                return value
            rule = "on or off"
        elif self.kind == "choice":
            names = [name for name, _ in self.choices]
            if isinstance(value, str) and value in names:
                return value
            rule = "one of " + ", ".join(name or "none" for name in names)
        else:
            number = isinstance(value, int | float) and not isinstance(value, bool)
            if number and isfinite(value) and self.low <= value <= self.high:  # type: ignore[arg-type, operator]
                return float(value)  # type: ignore[arg-type]
            rule = f"{self.low:g} to {self.high:g} {self.unit}".rstrip()
        raise SceneError(f"{self.label} must be {rule}. Got {value!r:.60}")

    def to_dict(self) -> dict[str, Any]:
        """As the page's data hold it."""
        row: dict[str, Any] = {
            "key": self.key, "label": self.label, "group": self.group, "kind": self.kind,
            "value": self.value,
        }  # fmt: skip
        if self.kind == "slider":
            row |= {"low": self.low, "high": self.high, "step": self.step, "unit": self.unit}
        if self.kind == "choice":
            row["choices"] = [{"value": name, "label": words} for name, words in self.choices]
        return row
