"""The cut list on screen: plain text, 96 columns, in the units that are spoken."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.cutting.cut_list import CutList
from scenes.cutting.dressing import Dressing
from scenes.cutting.lengths import bare, unit_words, with_unit
from scenes.cutting.packing import Used
from scenes.cutting.pattern import Pattern
from scenes.cutting.say_pattern import pattern_rows, size_words
from scenes.cutting.steps_out import StepOut
from scenes.say_faults import wrong_lines
from scenes.say_text import hung, wrapped
from scenes.units_text import in_units, spoken

NAME = 43  # letters of a blank's name in the table
WET_SIDE = (
    "A blank is seen with its wet side up, the way up the slope upwards. Its cuts run from corner to"
    " corner, each told by how far right and up of the lower left corner it is; bends turn up"
    " towards you or down away from you, by so many degrees from flat."
)


ORDER_ASKED = (
    "What laps what, by how much and which way its edge faces: with --order, and in cut-list.pdf."
)


def cut_text(found: CutList, dressing: Dressing | None = None) -> str:
    """The cut list: blanks, their bends, steps, stock, what else to know, and the order of dressing, with
    its laps where they were measured."""
    material = found.material
    lines = wrapped(f"Cut list. {found.title}")
    lines += wrong_lines(found.faults)
    lines += wrapped(
        f"{material.name}, {material.thickness * 1000:g} mm thick, {material.mass:g} kg/m2. Lengths in "
        f"{unit_words()}. {WET_SIDE}"
    )
    area, mass_unit = ("sq ft", "lb") if spoken().is_imperial else ("m2", "kg")
    lines += ["", f"{'Blanks':<45}{'no.':>4}{'size':>21}{area:>8}{mass_unit:>7}  hand"]
    lines += [line for one in found.patterns for line in _blank_lines(found, one)]
    mass = found.area * material.mass
    lines += [f"{'  in all':<45}{sum(one.count for one in found.patterns):>4}{'':>21}"
              f"{_area(found.area):>8}{_mass(mass):>7}"]  # fmt: skip
    for one in found.patterns:
        lines += ["", *_pattern_lines(one)]
    if found.steps:
        lines += ["", *_step_lines(found.steps)]
    lines += ["", *_stock_lines(found)]
    lines += ["", *_order_lines(found, dressing)]
    if found.remarks:
        lines += ["", "Worth knowing"]
        lines += [line for text in found.remarks for line in hung("-", text)]
    return "\n".join(lines)


def _area(square_metres: float) -> str:
    return in_units(f"{square_metres:.3f} m2", spoken()).split()[0]


def _mass(kilograms: float) -> str:
    return spoken().mass(kilograms).split()[0]


def _blank_lines(found: CutList, one: Pattern) -> list[str]:
    """The row of a blank; its name on a line of its own where it is too long to stand before the rest."""
    name = one.name if one.count == 1 else f"{one.name} and {one.count - 1} more"
    hand = one.hand if one.hand != "none" else "-"
    rest = f"{one.count:>4}{size_words(one):>21}{_area(one.area):>8}{_mass(found.mass(one)):>7}  {hand}"
    if len(name) <= NAME:
        return [f"  {name:<{NAME}}{rest}"]
    return [f"  {name}", f"  {'':<{NAME}}{rest}"]


def _step_lines(steps: Sequence[StepOut]) -> list[str]:
    lines = wrapped(
        "Steps, from the front up: along the lower edge, from the stack's front corner to where each"
        " tread begins; the first rise is above the covering at the front"
    )
    lines.append(f"  {'side':<8}{'step':>5}{'along':>9}{'tread':>9}{'rise':>9}{'turn-in':>9}")
    for one in steps:
        figures = (one.along, one.tread, one.rise, one.turn_in)
        row = "".join(f"{bare(value):>9}" for value in figures)
        lines.append(f"  {one.side:<8}{one.number:>5}{row}")
    return lines


def _stock_lines(found: CutList) -> list[str]:
    packing = found.packing
    lines = [f"Stock: {100 * packing.waste:.0f} % of what is cut off it is waste"]
    for used in packing.used:
        lines += hung("-", _used_words(used))
    for source in dict.fromkeys(used.stock.source for used in packing.used):
        lines += hung("-", f"sizes: {source}")
    for why in found.left_out:
        lines += hung("!", f"can't be cut: {why}")
    return lines


def _order_lines(found: CutList, dressing: Dressing | None) -> list[str]:
    """The order of dressing, with laps where they were measured."""
    lines = wrapped("Dressing order")
    if dressing is None:
        for number, name in enumerate(found.order, start=1):
            lines += hung(f"{number}", name)
        return lines + wrapped(ORDER_ASKED)
    lines += hung("-", before_words(dressing))
    for step in dressing.steps:
        lines += hung(f"{step.number}", f"{step.name}. {step.words}")
    return lines


def before_words(dressing: Dressing) -> str:
    """What is there before the first piece."""
    return f"before the first piece: {', '.join(dressing.before)}, and the covering that the pieces lie on"


def _used_words(used: Used) -> str:
    names = ", ".join(f"{one.blank.name}{' (turned)' if one.turned else ''}" for one in used.laid)
    return f"{with_unit(used.length)} off a {used.stock.words}: {names}"


def _pattern_lines(one: Pattern) -> list[str]:
    lines = wrapped(", ".join(one.alike) if one.count > 1 else one.name)
    lines[0] = lines[0][:1].upper() + lines[0][1:]
    return lines + [line for mark, text in pattern_rows(one) for line in hung(mark, text)]
