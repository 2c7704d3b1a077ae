"""Rolls and sheets that blanks are cut from, by material, and what their sizes rest on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from re import fullmatch
from typing import Literal

from meshes.errors import SceneError, require

Form = Literal["roll", "sheet"]
NARROWEST, WIDEST = 0.05, 3.0
SHORTEST, LONGEST = 0.1, 100.0


@dataclass(frozen=True, slots=True)
class Stock:
    """A roll or a sheet: width and length [m]; source: what the size rests on.

    Raises SceneError for a width outside 50 to 3000 mm or a length outside 100 mm to 100 m.
    """

    form: Form
    width: float
    length: float
    source: str

    def __post_init__(self) -> None:
        wide, long = f"{self.width * 1000:g} mm", f"{self.length * 1000:g} mm"
        ok = NARROWEST <= self.width <= WIDEST
        require(ok, "stock width", wide, "50 to 3000 mm", SceneError)
        ok = SHORTEST <= self.length <= LONGEST
        require(ok, "stock length", long, "100 to 100000 mm", SceneError)

    @property
    def words(self) -> str:
        """`roll 300 mm wide, 6 m long`, `sheet 1000 x 2000 mm`."""
        if self.form == "roll":
            return f"roll {self.width * 1000:g} mm wide, {self.length:g} m long"
        return f"sheet {self.width * 1000:g} x {self.length * 1000:g} mm"


_STRIPS = "widths in steps of 30 mm: common practice, from memory, no source"
_TO_ORDER = "wider lead comes cut to order from the mill: memory, unsure"
_LEAD = (
    *(Stock("roll", width / 1000, 6.0, _STRIPS) for width in range(150, 481, 30)),
    *(Stock("roll", width / 1000, 6.0, _STRIPS) for width in (500, 600)),
    *(Stock("sheet", width / 1000, 3.0, _TO_ORDER) for width in (1000, 1200)),
)
_SHEETS = "EN 988's preferred sheets: second-hand"
_STRIP = "strip of this width: memory, unsure"
STOCK: dict[str, tuple[Stock, ...]] = {
    **{f"lead code {code}": _LEAD for code in (3, 4, 5, 6)},
    "zinc": (
        *(Stock("sheet", 1.0, length, _SHEETS) for length in (2.0, 3.0)),
        *(Stock("roll", width, 10.0, _STRIP) for width in (0.25, 0.333, 0.4, 0.5, 0.67, 1.0)),
    ),
    "copper": (
        Stock("sheet", 1.0, 2.0, "a usual sheet: memory, unsure"),
        *(Stock("roll", width, 10.0, _STRIP) for width in (0.3, 0.4, 0.6, 0.67, 1.0)),
    ),
    "aluminium": (
        Stock("sheet", 1.0, 2.0, "a usual sheet: memory, unsure"),
        Stock("sheet", 1.25, 2.5, "a usual sheet: memory, unsure"),
        *(Stock("roll", width, 10.0, _STRIP) for width in (0.25, 0.333, 0.5, 1.0)),
    ),
    "self-adhesive": tuple(
        Stock("roll", width, 5.0, "a usual roll: memory, unsure")
        for width in (0.14, 0.2, 0.25, 0.28, 0.37, 0.45, 0.56)
    ),
}
"""What each material comes in. The scene's own stock is asked for with `--stock`."""

ALONG = ("zinc", "self-adhesive")
"""Materials whose blanks keep their length along the roll: zinc is folded more safely so, stretchable
sheet gives most that way. Common practice, no source."""


def asked_stock(texts: Sequence[str]) -> tuple[Stock, ...]:
    """Stock from the command line: each WIDTHxLENGTH [mm], once each. Raises SceneError."""
    found = []
    for text in texts:
        match = fullmatch(r"\s*(\d{1,6}(?:\.\d+)?)\s*[xX]\s*(\d{1,6}(?:\.\d+)?)\s*", text)
        require(match is not None, "stock", repr(text[:40]), "WIDTHxLENGTH in mm", SceneError)
        assert match is not None
        wide, long = (float(number) / 1000 for number in match.groups())
        found.append(Stock("sheet", wide, long, "as asked for"))
    return tuple(dict.fromkeys(found))
