"""What can be varied: the keys of a scene file that hold one value, and how much a fault is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, Any, Final, Literal, get_args, get_origin

from pydantic import BaseModel

from meshes.errors import SceneError
from scenes.places import shown
from scenes.stand.knobs import CHOICES, SLIDERS
from scenes.tables import SceneTable
from scenes.units_keys import bare_key, unit_of

Kind = Literal["number", "whole", "yes or no", "words"]
Value = float | int | bool | str
Place = tuple[str, ...]

FAULT: Final = "fault"
NO_FAULT: Final = "none"
WEATHER_OPTIONS: Final[Mapping[str, Place]] = {
    "weather": ("weather", "case"), "from": ("weather", "from_deg"),
}  # fmt: skip
"""What options of `run` call a key."""
NOT_VARIED: Final = ("title", "note")
RULES: Final = {"whole": "a whole number", "yes or no": "true or false"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One thing that can be varied. place: of its value in the scene file, ("fault",) for which fault and
    ("fault", NAME) for how much one is; kind: of its values; words: texts that it may be, () for any;
    unit: of its numbers, "" for none; label: for people."""

    place: Place
    kind: Kind
    words: tuple[str, ...]
    unit: str
    label: str

    @property
    def name(self) -> str:
        """As it is written: `roof.pitch_deg`."""
        return ".".join(self.place)

    @property
    def is_number(self) -> bool:
        """Whether its values can be counted."""
        return self.kind in ("number", "whole")

    def value_of(self, text: str) -> Value:
        """A value written on the command line. Raises SceneError."""
        short = text.strip()
        if short in self.words or (self.kind == "words" and not self.words and short):
            return short
        if self.kind == "yes or no" and short in ("true", "false"):
            return short == "true"
        rules = [RULES.get(self.kind, "a number")] if self.kind != "words" else []
        if self.is_number:
            try:
                number = float(short)
                if self.kind == "number" and abs(number) < float("inf"):
                    return number
                if self.kind == "whole" and number.is_integer():
                    return int(number)
            except (ValueError, OverflowError):
                pass
        rule = " or ".join((*rules, *(f'"{word}"' for word in self.words)))
        raise SceneError(f"{self.name} must be {rule}. Got {shown(text)}")


def known_keys() -> tuple[Key, ...]:
    """Every key of a scene file that can be varied, in the order of a file with all keys."""
    return tuple(_keys())


def key_named(text: str) -> Key:
    """The key of that name. Raises SceneError with one line where there is none, or several.

    text: `roof.pitch_deg`, `pitch_deg` or `pitch` where one table alone has it, `sides.cover`, the words
    of the stand's slider (`side cover`), `weather` and `from` as options of `run`, `fault`, or a fault that
    has an amount, as `cover too narrow@left`.
    """
    asked = " ".join(text.split())
    if asked == FAULT:
        return Key(place=(FAULT,), kind="words", words=(), unit="", label="fault")
    keys = known_keys()
    place = WEATHER_OPTIONS.get(asked)
    found = [key for key in keys if key.place == place or asked in _names(key)]
    if len(found) == 1:
        return found[0]
    if found:
        several = " or ".join(key.name for key in found)
        raise SceneError(f"--vary {shown(asked)}: which one? Say {several}")
    return _of_a_fault(asked) or _unknown(asked, keys)


def _keys() -> Iterator[Key]:
    for name, field in SceneTable.model_fields.items():
        kinds = tuple(_kinds(field.annotation))
        table = next((kind for kind in kinds if _is_table(kind)), None)
        if table is None:
            yield from _key((name,), kinds)
            continue
        for inner, one in table.model_fields.items():
            yield from _key((name, inner), tuple(_kinds(one.annotation)))


def _key(place: Place, kinds: tuple[Any, ...]) -> Iterator[Key]:
    """The key, if its values are single ones."""
    words = tuple(word for kind in kinds if get_origin(kind) is Literal for word in get_args(kind))
    kind: Kind = "words"
    for of, name in ((float, "number"), (int, "whole"), (bool, "yes or no")):
        if of in kinds:
            kind = name  # type: ignore[assignment]
    if place[-1] in NOT_VARIED or (kind == "words" and not words):
        return
    yield Key(
        place=place, kind=kind, words=words, unit=unit_of(place[-1]), label=_label(place),
    )  # fmt: skip


def _kinds(annotation: Any) -> Iterator[Any]:
    """What a field may hold, out of unions and remarks."""
    if get_origin(annotation) is Annotated:
        yield from _kinds(get_args(annotation)[0])
    elif get_origin(annotation) in (Literal, list) or not get_args(annotation):
        yield annotation
    else:
        for one in get_args(annotation):
            yield from _kinds(one)


def _is_table(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _label(place: Place) -> str:
    """What the stand calls it, else its table's name and its own."""
    for row in SLIDERS:
        if row.place == place:
            return row.label
    for label, _, at, _ in CHOICES:
        if at == place:
            return label
    own = bare_key(place[-1]).replace("_", " ")
    return own if place[0] in ("weather", own) else " ".join((*place[:-1], own))


def _names(key: Key) -> set[str]:
    last, bare = key.place[-1], bare_key(key.place[-1])
    tables = key.place[:-1]
    return {last, bare, key.name, ".".join((*tables, bare)), key.label}


def _of_a_fault(asked: str) -> Key | None:
    """How much a fault is, for one that has an amount; None for no fault at all."""
    from scenes.faults.asked import parsed
    from scenes.faults.catalogue import named

    if named(asked.partition("@")[0].strip().lower()) is None:
        return None
    one = parsed(asked)
    if not one.fault.unit:
        rule = "has no amount that could be varied"
        raise SceneError(f"--vary {shown(asked)}: {rule}. Say {FAULT}={NO_FAULT},{one.label}")
    return Key(
        place=(FAULT, one.label), kind="number", words=(), unit=one.fault.unit, label=one.label,
    )  # fmt: skip


def _unknown(asked: str, keys: tuple[Key, ...]) -> Key:
    known = {name: key for key in keys for name in sorted(_names(key))}
    close = get_close_matches(asked, known, n=3, cutoff=0.55)
    names = list(dict.fromkeys(known[one].name for one in close))
    guess = (
        f" Did you mean {' or '.join(names)}?" if names else " stackrain new writes every key out"
    )
    raise SceneError(f"--vary {shown(asked)}: no key of a scene file.{guess}")
