"""The usual cautions in short form; every printed answer and every results file carries them."""

from __future__ import annotations

from typing import Final

from meshes.spec import Detail

_HEIGHT: Final = "Work at height and on fragile roofs: scaffold, roof ladder, no one below."
_LEAD: Final = "Lead dust and hot work: gloves, clean hands, a watch for fire."
_SOLDERED: Final = "Sharp edges, flux and hot work: gloves, eyes covered, a watch for fire."
_WELDED: Final = "Sharp edges and hot work: gloves, eyes covered, a watch for fire."
_STUCK: Final = "Knives and sharp edges: gloves."
_FLUES: Final = (
    "Flues are hot and give off combustion gases: keep their clearances to anything that burns, "
    "and keep them open."
)
_WHO_DECIDES: Final = (
    "Local codes, the makers' instructions and a licensed practitioner decide. "
    "stackrain explains; it certifies nothing."
)
_BY_MATERIAL: Final = {
    "zinc": _SOLDERED, "copper": _SOLDERED, "aluminium": _WELDED, "self-adhesive": _STUCK,
}  # fmt: skip
"""How each is worked: common practice, no source. Every other material is lead."""

CAUTIONS: Final = (_HEIGHT, _LEAD, _FLUES, _WHO_DECIDES)
"""Where the material isn't known, or is lead."""


def cautions_for(material: str) -> tuple[str, ...]:
    """The cautions for pieces of a material, by its name in `meshes.materials`."""
    return (_HEIGHT, _BY_MATERIAL.get(material, _LEAD), _FLUES, _WHO_DECIDES)


def cautions_of(*details: Detail | None) -> tuple[str, ...]:
    """The cautions for some details, each once: None stands for parts from files, whose material nobody
    tells."""
    told = [CAUTIONS if one is None else cautions_for(one.material) for one in details]
    return tuple(dict.fromkeys(text for row in zip(*told, strict=True) for text in row))
