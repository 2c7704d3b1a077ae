"""What is to be done about a thing that was done wrong, as one roofer tells it another, and what work it is.

Words and work alone: a fault without a row here can be put right all the same, under its own name. By
common practice, no source.
"""

from __future__ import annotations

from scenes.cures.lever import Work
from scenes.faults.fault import Asked, OnParts

RIGHT: dict[str, tuple[str, Work]] = {
    "side stopped short": (
        "run the side flashing down to the apron's lower edge{at}", Work.ANEW,
    ),
    "split in a bend": ("weld, solder or patch the split in the bend{at}", Work.MEND),
    "torn by heat": (
        "weld, solder or patch the tear{at}, and leave the sheet free to move", Work.MEND,
    ),
    "lifted edge": ("dress the lifted edge down{at}, and clip it", Work.MEND),
    "nail through the cover": ("patch or solder the nail hole{at}", Work.MEND),
    "underlay not turned up": ("turn the underlay up the stack{at}", Work.COVERING),
    "underlay cut at the corner": ("patch the slit underlay{at}", Work.COVERING),
    "slit corner without patch": ("patch the slit corner{at}", Work.MEND),
    "tilt fillet left out": ("lay a tilt fillet under the gutter's upper edge", Work.COVERING),
    "soaker left out": ("lay the soaker that is missing{at}", Work.COVERING),
    "step left out": ("put the step that is missing{at} into its chase", Work.MEND),
    "soaker tucked under": (
        "lay the soaker that is tucked under{at} over the one below it", Work.COVERING,
    ),
    "step tucked under": (
        "dress the step that is tucked under{at} over the one below it", Work.DRESS,
    ),
    "step behind the soakers": (
        "dress the step that is behind the soakers{at} over them", Work.DRESS,
    ),
    "no turn-in": ("turn the upstand's top edge into its chase{at}", Work.ANEW),
    "return missing": ("turn the side flashing round the stack's corners{at}", Work.ANEW),
}  # fmt: skip
"""By the fault's name: what is to be done, {at} for where, and its work."""


def righting(asked: Asked) -> tuple[str, Work]:
    """What puts a fault right, and what work that is: "patch the slit corner at the front left"."""
    at = f" at the {asked.place}" if asked.place else ""
    if row := RIGHT.get(asked.fault.name):
        return row[0].format(at=at), row[1]
    work = Work.MEND if isinstance(asked.fault, OnParts) else Work.ANEW
    return f"put right{at}: {asked.fault.name}", work
