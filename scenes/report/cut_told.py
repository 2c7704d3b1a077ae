"""What a report says of the cut list, where it was asked for: the blanks, and the order of dressing."""

from __future__ import annotations

from dataclasses import dataclass

from scenes.cutting.cut_list import CutList
from scenes.cutting.dressing import Dressing
from scenes.cutting.lengths import unit_words
from scenes.cutting.say import before_words
from scenes.cutting.say_pattern import size_words
from scenes.stage_words import capital
from scenes.units_text import in_units, spoken


@dataclass(frozen=True, slots=True)
class CutTold:
    """unit: of bare lengths; material: its name, thickness and mass; rows: blank, how many, hand, size, mass;
    before: what is there before the first piece; steps: name and words; left_out: what no stock takes;
    remarks: what whoever makes the pieces should know, of these blanks."""

    unit: str
    material: str
    rows: tuple[tuple[str, str, str, str, str], ...]
    before: str
    steps: tuple[tuple[str, str], ...]
    left_out: tuple[str, ...]
    remarks: tuple[str, ...]


def cut_told(found: CutList, dressing: Dressing) -> CutTold:
    """The cut list in words, in the units that are spoken."""

    def said(text: str) -> str:
        return in_units(text, spoken())

    material = found.material
    return CutTold(
        unit=unit_words(),
        material=said(f"{material.name}, {material.thickness * 1000:g} mm thick"),
        rows=tuple(
            (
                ", ".join(one.alike), f"{one.count}", one.hand if one.hand != "none" else "-",
                size_words(one), said(f"{found.mass(one):.2f} kg"),
            )
            for one in found.patterns
        ),
        before=f"{capital(before_words(dressing))}.",
        steps=tuple((capital(step.name), said(step.words)) for step in dressing.steps),
        left_out=tuple(said(f"Can't be cut from the usual stock: {why}") for why in found.left_out),
        remarks=tuple(said(text) for text in found.remarks),
    )  # fmt: skip
