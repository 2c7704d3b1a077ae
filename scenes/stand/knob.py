"""One thing that can be changed at the live stand: a slider, a choice or a switch."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any, Literal

from meshes.errors import SceneError
from scenes.stand.dial import Dial

Kind = Literal["slider", "choice", "switch"]
Value = float | str | bool
Place = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Knob:
    """One slider, choice or switch. key: its name between page and stand; place: the key of the scene's
    file that it changes, () for a fault's; value, low, high, step: of a slider in `unit`, the file's; dial:
    in what the page counts it, None for the same; choices: (value, words) of a choice."""

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
    dial: Dial | None = None

    def checked(self, value: object) -> Value:
        """A value that the page sent, if it is one of this knob's; a slider's as the file counts it.
        Raises SceneError."""
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
            (low, high), unit = self._ends(), self._unit
            if number and isfinite(value) and low <= value <= high:  # type: ignore[arg-type, operator]
                return self._counted(float(value))  # type: ignore[arg-type]
            rule = f"{low:g} to {high:g} {unit}".rstrip()
        raise SceneError(f"{self.label} must be {rule}. Got {value!r:.60}")

    def shown(self, value: Value) -> Value:
        """A value of this knob as the page has it."""
        return self._shown(float(value)) if self.kind == "slider" else value

    @property
    def _unit(self) -> str:
        return self.unit if self.dial is None else self.dial.unit

    def _shown(self, number: float) -> float:
        return number if self.dial is None else self.dial.shown(number)

    def _counted(self, number: float) -> float:
        """From what the page counts to what the file does; what was not moved, exactly."""
        if self.dial is None:
            return number
        if number == self._shown(float(self.value)):
            return float(self.value)
        return min(max(self.dial.counted(number), self.low), self.high)

    def _ends(self) -> tuple[float, float]:
        """Ends of the slider as the page has them: on whole steps, if what it stands at is between."""
        if self.dial is None:
            return self.low, self.high
        now = self._shown(float(self.value))
        low, high = self.dial.within(self.low, self.high)
        return min(low, now), max(high, now)

    def to_dict(self) -> dict[str, Any]:
        """As the page's data hold it."""
        row: dict[str, Any] = {
            "key": self.key, "label": self.label, "group": self.group, "kind": self.kind,
            "value": self.shown(self.value),
        }  # fmt: skip
        if self.kind == "slider":
            step = self.step if self.dial is None else self.dial.step
            low, high = self._ends()
            row |= {"low": low, "high": high, "step": step, "unit": self._unit}
        if self.kind == "choice":
            row["choices"] = [{"value": name, "label": words} for name, words in self.choices]
        return row
