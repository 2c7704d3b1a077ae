"""The usual cautions in short form; every printed answer and every results file carries them."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    "Work at height and on fragile roofs: scaffold, roof ladder, no one below.",
    "Lead dust and hot work: gloves, clean hands, a watch for fire.",
    "Flues are hot and give off combustion gases: keep their clearances to anything that burns, "
    "and keep them open.",
    "Local codes, the makers' instructions and a licensed practitioner decide. "
    "stackrain explains; it certifies nothing.",
)
