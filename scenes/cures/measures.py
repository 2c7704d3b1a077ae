"""Measures that a cure may make longer, higher, deeper or narrower, each to the end of what is usual.

Far ends are common practice, no source: a cure beyond them is not one that a roofer would make.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from math import radians
from typing import Any

from meshes.errors import SceneError
from meshes.plan import Kind
from meshes.spec import Apron, BackGutter, Detail, Sides
from scenes.cures.lever import MILLIMETRE, Lever, Work
from scenes.cures.made import Made
from scenes.faults.usual import (
    beyond_of,
    has_back,
    has_level_sole,
    lap_of,
    leg_of,
    saddle_of,
    underlay_lap_of,
)

STEP = 5 * MILLIMETRE
DEGREES_STEP = radians(0.5)
REACHES = 1e-3  # [m] a sheet that ends within this of a line reaches it

Get = Callable[[Detail], float]
Put = Callable[[Detail, float], Detail]
When = Callable[[Detail], bool]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measure:
    """A measure [m, rad]: what it is called, the end that a cure may take it to, how it is read off a
    detail and put into one, and which details have it."""

    words: str
    far: float
    get: Get
    put: Put
    when: When
    work: Work = Work.ANEW
    step: float = STEP

    def lever(self, made: Made) -> Lever | None:
        """The lever of a made thing; None where it has no such measure or is at its far end already."""
        try:
            if not self.when(made.detail):
                return None
            start = self.get(made.detail)
        except SceneError:
            return None
        if abs(self.far - start) < self.step / 2 or self.beyond_the_end(start):
            return None
        return Lever(
            words=self.words, work=self.work, start=start, far=self.far, step=self.step,
            usual=self.usual(made.detail),
            put=lambda thing, value: thing.but(self.put(thing.detail, value)),
        )  # fmt: skip

    def usual(self, detail: Detail) -> float | None:
        """What the measure is in a detail whose file says nothing of it; None where there is no telling."""
        try:
            return self.get(as_usual(detail))
        except SceneError:
            return None

    def beyond_the_end(self, value: float) -> bool:
        """Whether a value is past the far end already: what gets less does so down to it."""
        return value < self.far if self.words in LESS else value > self.far


def as_usual(detail: Detail) -> Detail:
    """The detail, made the same way, with the measures that its pieces have where a file says none."""
    pieces = {}
    for table, plain in (("apron", Apron()), ("sides", Sides()), ("gutter", BackGutter())):
        values = {field.name: getattr(plain, field.name) for field in fields(plain)}
        measures = {
            key: value for key, value in values.items() if value is None or type(value) is float
        }
        pieces[table] = replace(getattr(detail, table), **measures)
    plain_roof = {field.name: field.default for field in fields(detail.roof)}
    roof: dict[str, Any] = {
        key: plain_roof[key] for key in ("clearance", "gutter_open", "underlay_lap")
    }
    return replace(detail, roof=replace(detail.roof, **roof), **pieces)


def _kind(kind: Kind) -> When:
    return lambda detail: any(edge.kind is kind for edge in detail.stack.outline().edges)


def _sides(detail: Detail) -> bool:
    return _kind(Kind.LEFT)(detail) or _kind(Kind.RIGHT)(detail)


def _covers(detail: Detail) -> bool:
    return _sides(detail) and detail.sides.way != "soakers"


def _soakers(detail: Detail) -> bool:
    return _sides(detail) and detail.sides.way == "soakers"


def _of(table: str, key: str) -> tuple[Get, Put]:
    def get(detail: Detail) -> float:
        return float(getattr(getattr(detail, table), key))

    return get, _put(table, key)


def _put(table: str, key: str) -> Put:
    def put(detail: Detail, value: float) -> Detail:
        piece = replace(getattr(detail, table), **{key: value})
        return replace(detail, **{table: piece})

    return put


def _plain(
    words: str, table: str, key: str, far: float, when: When, work: Work = Work.ANEW
) -> Measure:
    get, put = _of(table, key)
    return Measure(words=words, far=far, get=get, put=put, when=when, work=work)


def _wider(detail: Detail, value: float) -> Detail:
    """Wider side covers; a sheet behind the stack that reached over their edges still does."""
    wider = _put("sides", "cover")(detail, value)
    beyond = detail.gutter.beyond_stack
    if beyond is None or not has_back(detail):
        return wider
    loose = replace(detail.gutter, beyond_stack=None)
    if beyond < beyond_of(replace(detail, gutter=loose)) - REACHES:
        return wider
    return _put("gutter", "beyond_stack")(
        wider, max(beyond, beyond_of(replace(wider, gutter=loose)))
    )


def _covering_down(detail: Detail, value: float) -> Detail:
    """The covering brought down over the gutter: the lap grows by what the opening loses."""
    leg = leg_of(detail) + detail.roof.gutter_open - value
    return _put("roof", "gutter_open")(_put("gutter", "leg")(detail, leg), value)


MEASURES: tuple[Measure, ...] = (
    Measure(
        words="side cover", far=0.300, get=lambda detail: detail.sides.cover, put=_wider,
        when=_covers,
    ),
    _plain("side upstand", "sides", "upstand", 0.150, _covers, Work.CHASE),
    _plain(
        "return of the sides", "sides", "corner_return", 0.075,
        lambda detail: _sides(detail) and detail.joint == "return",
    ),
    _plain("turn-in of the sides", "sides", "turn_in", 0.035, _sides),
    _plain(
        "fold over the fin", "sides", "fold_over", 0.040,
        lambda detail: _sides(detail) and detail.joint == "fin",
    ),
    _plain("soakers' leg on the roof", "sides", "soaker_width", 0.200, _soakers),
    _plain("soakers' upturn", "sides", "soaker_upturn", 0.150, _soakers),
    _plain("lap of the steps", "sides", "step_lap", 0.120, _soakers),
    _plain("apron's cover", "apron", "cover", 0.300, _kind(Kind.FRONT)),
    _plain("apron's upstand", "apron", "upstand", 0.300, _kind(Kind.FRONT), Work.CHASE),
    _plain("apron past the stack", "apron", "overhang", 0.250, _kind(Kind.FRONT)),
    _plain("turn-in of the apron", "apron", "turn_in", 0.035, _kind(Kind.FRONT)),
    _plain(
        "lap of the apron's cover flashing", "apron", "flashing_lap", 0.150,
        lambda detail: _kind(Kind.FRONT)(detail) and detail.apron.two_part,
    ),
    _plain("upstand behind the stack", "gutter", "upstand", 0.250, has_back, Work.CHASE),
    _plain("gutter's sole", "gutter", "sole", 0.300, has_level_sole),
    _plain("gutter's welt", "gutter", "welt", 0.040, has_back),
    _plain("return behind the stack", "gutter", "upstand_return", 0.075, has_back),
    _plain("turn-in behind the stack", "gutter", "turn_in", 0.035, has_back),
    _plain(
        "lap of the cover flashing behind", "gutter", "flashing_lap", 0.150,
        lambda detail: has_back(detail) and detail.gutter.two_part,
    ),
    Measure(
        words="gutter up under the covering", far=0.500, get=leg_of, when=has_back,
        put=_put("gutter", "leg"),
    ),
    Measure(
        words="gutter's ends down over the sides", far=0.400, get=lap_of, when=has_back,
        put=_put("gutter", "lap"),
    ),
    Measure(
        words="gutter past the stack", far=0.500, get=beyond_of, when=has_back,
        put=_put("gutter", "beyond_stack"),
    ),
    Measure(
        words="height of the saddle", far=1.0, get=saddle_of, put=_put("gutter", "saddle_height"),
        when=lambda detail: has_back(detail) and saddle_of(detail) > 0,
    ),
    Measure(
        words="fall of the sole to the stack", far=radians(0.5), step=DEGREES_STEP,
        get=lambda detail: detail.gutter.sole_fall, put=_put("gutter", "sole_fall"),
        when=has_level_sole,
    ),
    Measure(
        words="underlay over the gutter's top edge", far=0.300, get=underlay_lap_of,
        put=_put("roof", "underlay_lap"), when=has_back, work=Work.COVERING,
    ),
    Measure(
        words="gap from the stack to the covering", far=0.010, work=Work.COVERING,
        get=lambda detail: detail.roof.clearance, put=_put("roof", "clearance"),
        when=lambda detail: True,
    ),
    Measure(
        words="gutter left open below the covering", far=0.020, work=Work.COVERING,
        get=lambda detail: detail.roof.gutter_open, put=_covering_down, when=has_back,
    ),
)  # fmt: skip
"""All of them."""
LESS = (
    "fall of the sole to the stack",
    "gap from the stack to the covering",
    "gutter left open below the covering",
)
"""Measures that a cure makes less."""
