"""All levers of what is made: its measures, what can be made another way, and faults put right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from meshes.errors import SceneError
from meshes.spec import USUAL_ORDER, Detail, Dressed
from scenes.cures.lever import MILLIMETRE, Lever, Work
from scenes.cures.made import Made
from scenes.cures.measures import MEASURES, Measure
from scenes.cures.right import righting
from scenes.faults.asked import parsed
from scenes.faults.fault import Asked, OnMeasures
from scenes.faults.on_order import moved_before
from scenes.faults.usual import has_back, has_level_sole

CALLED: dict[Dressed, str] = {
    "apron": "front apron", "left": "left side flashing", "right": "right side flashing",
    "gutter": "sheet behind the stack", "underlay": "underlay",
}  # fmt: skip
LIES_UNDER: tuple[tuple[Dressed, Dressed], ...] = (
    ("apron", "left"), ("apron", "right"), ("left", "gutter"), ("right", "gutter"),
    ("gutter", "underlay"),
)  # fmt: skip
"""Of each pair, the usual order has the first under the second."""
LEAST_CHANGE = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """Something made another way: what is to be done, to which details, and what they are then."""

    words: str
    work: Work
    when: Callable[[Detail], bool]
    put: Callable[[Detail], Detail]

    def lever(self, made: Made) -> Lever | None:
        """The lever, None where it is so already, or can't be."""
        try:
            if not self.when(made.detail):
                return None
            self.put(made.detail)
        except SceneError:
            return None
        return whole(self.words, self.work, lambda thing: thing.but(self.put(thing.detail)))


def whole(words: str, work: Work, put: Callable[[Made], Made], *, known: bool = False) -> Lever:
    """A lever without a more or less; known: see `Lever`."""
    return Lever(
        words=words, work=work, start=0.0, far=1.0, step=1.0, whole=True, known=known,
        put=lambda thing, value: put(thing) if value > 0.5 else thing,
    )  # fmt: skip


def _joint(name: str) -> Choice:
    return Choice(
        f'make the corners as "{name}"', Work.ANOTHER,
        lambda detail: detail.joint != name,
        lambda detail: replace(detail, joint=name),  # type: ignore[arg-type]
    )  # fmt: skip


def _under(first: Dressed, then: Dressed) -> Choice:
    return Choice(
        f"dress the {CALLED[then]} over the {CALLED[first]}", Work.DRESS,
        lambda detail: detail.order.index(first) > detail.order.index(then),
        lambda detail: moved_before(detail, first, then),
    )  # fmt: skip


def _hung(table: str, where: str) -> Choice:
    def put(detail: Detail) -> Detail:
        piece = replace(getattr(detail, table), flashing_tucked=False)
        return replace(detail, **{table: piece})

    return Choice(
        f"hang the cover flashing down over the upstand {where} the stack", Work.DRESS,
        lambda detail: bool(getattr(detail, table).flashing_tucked), put,
    )  # fmt: skip


def _upside_down(detail: Detail) -> int:
    return sum(detail.order.index(a) > detail.order.index(b) for a, b in LIES_UNDER)


CHOICES: tuple[Choice, ...] = (
    Choice(
        "clear the leaves out of the gutter", Work.CLEAR,
        lambda detail: detail.debris.leaves != "none",
        lambda detail: replace(detail, debris=replace(detail.debris, leaves="none")),
    ),
    Choice(
        "keep the snow out of the gutter", Work.CLEAR, lambda detail: detail.debris.snow > 0,
        lambda detail: replace(detail, debris=replace(detail.debris, snow=0.0)),
    ),
    Choice(
        "point the chases", Work.MEND, lambda detail: not detail.stack.pointed,
        lambda detail: replace(detail, stack=replace(detail.stack, pointed=True)),
    ),
    *(_under(first, then) for first, then in LIES_UNDER),
    Choice(
        f"dress all in the usual order: {', '.join(CALLED[name] for name in USUAL_ORDER)}", Work.DRESS,
        lambda detail: _upside_down(detail) > 1,
        lambda detail: replace(detail, order=USUAL_ORDER),
    ),
    _hung("apron", "in front of"),
    _hung("gutter", "behind"),
    Choice(
        "fold the corners down the slope", Work.DRESS, lambda detail: detail.facing == "up-slope",
        lambda detail: replace(detail, facing="down-slope"),
    ),
    Choice(
        "dress the covers down over the courses", Work.DRESS,
        lambda detail: detail.cover_fit == "resting" and detail.roof.covering != "plain",
        lambda detail: replace(detail, cover_fit="dressed"),
    ),
    *(_joint(name) for name in ("return", "slit and patch", "bossed")),
    Choice(
        "put soakers between the courses, steps over them", Work.ANOTHER,
        lambda detail: detail.sides.way != "soakers" and detail.roof.covering == "coursed",
        lambda detail: replace(detail, sides=replace(detail.sides, way="soakers")),
    ),
    Choice(
        "put a saddle behind the stack", Work.ANOTHER,
        lambda detail: has_back(detail) and has_level_sole(detail),
        lambda detail: replace(detail, gutter=replace(detail.gutter, behind="saddle")),
    ),
)  # fmt: skip
"""All of them."""


def levers_of(made: Made) -> tuple[Lever, ...]:
    """All levers that a made thing has, those of least work first; the same list every time."""
    rights = [_put_right(made, parsed(text)) for text in made.faults]
    wrong = {measure for _, measure in rights if measure is not None}
    found = [lever for lever, _ in rights]
    found += [
        lever
        for measure in MEASURES
        if measure not in wrong and (lever := measure.lever(made)) is not None
    ]
    found += [lever for choice in CHOICES if (lever := choice.lever(made)) is not None]
    return tuple(sorted(found, key=lambda lever: lever.work))


def _put_right(made: Made, asked: Asked) -> tuple[Lever, Measure | None]:
    """The lever that takes a fault away, in part where it is a matter of how much; and its measure,
    which is no lever beside it: it would change what is right as well."""
    if isinstance(asked.fault, OnMeasures) and asked.fault.unit:
        for measure in MEASURES:
            if lever := _less_wrong(made, asked, measure):
                return lever, measure
    words, work = righting(asked)
    return whole(words, work, lambda thing: _less(thing, asked, 0.0), known=True), None


def _less_wrong(made: Made, asked: Asked, measure: Measure) -> Lever | None:
    """A measure of one side, from what the fault makes of it to what it would be without, and on from there
    with the other side's."""
    fault = asked.fault
    assert isinstance(fault, OnMeasures)
    wrong = fault.change(made.detail, (asked.place,), fault.in_si(asked.amount))
    try:
        if not measure.when(made.detail):
            return None
        start, right = measure.get(wrong), measure.get(made.detail)
    except SceneError:
        return None
    if abs(abs(right - start) - fault.in_si(asked.amount)) > LEAST_CHANGE:
        return None
    more = (measure.far - right) * (right - start) > 0
    lever = Lever(
        words=f"{measure.words} at the {asked.place}" if asked.place else measure.words,
        work=measure.work, start=start, far=measure.far if more else right, step=measure.step,
        last=fault.in_si(fault.least), right=right, beside=_other_sides(asked.place),
        usual=measure.usual(made.detail),
        put=lambda thing, value: put(thing, value),
    )  # fmt: skip

    def put(thing: Made, value: float) -> Made:
        if lever.past_right(value):
            return _less(thing.but(measure.put(thing.detail, value)), asked, 0.0)
        return _less(thing, asked, abs(right - value) / MILLIMETRE)

    return lever


def _other_sides(place: str) -> str:
    other = {"left": "right", "right": "left"}.get(place)
    return f"the same at the {other}" if other else ""


def _less(made: Made, asked: Asked, amount: float) -> Made:
    """The made thing with one of its faults of another amount [mm], or without it under its least one."""
    kept: list[str] = []
    for text in made.faults:
        if parsed(text).label != asked.label:
            kept.append(text)
        elif asked.fault.unit and amount >= asked.fault.least:
            kept.append(f"{asked.label}={round(amount, 6)!r}")
    return made.with_faults(tuple(kept))
