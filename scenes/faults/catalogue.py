"""All faults, and the tables that list them."""

from __future__ import annotations

from scenes.faults.fault import Fault
from scenes.faults.on_back import BACK
from scenes.faults.on_laps import LAPS
from scenes.faults.on_order import ORDER
from scenes.faults.on_parts import PARTS
from scenes.faults.on_sheets import SHEETS

CATALOGUE: tuple[Fault, ...] = (*ORDER, *LAPS, *SHEETS, *BACK, *PARTS)


def named(name: str) -> Fault | None:
    """The fault of a name, None when there is none."""
    return next((fault for fault in CATALOGUE if fault.name == name), None)


def where_words(fault: Fault) -> str:
    """Where it may be: "left, right", or "-" for a fault that has no side."""
    return ", ".join(fault.places) or "-"


def amount_words(fault: Fault) -> str:
    """How much it is, and its bounds: "60 mm (10 to 130)", or "-" for a fault that is or isn't."""
    if not fault.unit:
        return "-"
    return f"{fault.usual:g} {fault.unit} ({fault.least:g} to {fault.most:g})"


def catalogue_table() -> str:
    """The catalogue as a table in Markdown, for the README."""
    head = [
        "| fault | where | how much (bounds) | found | how bad | what was done wrong |",
        "|---|---|---|---|---|---|",
    ]
    rows = [
        f"| `{fault.name}` | {where_words(fault)} | {amount_words(fault)} |"
        f" {fault.found} | {fault.how_bad(fault.usual)} | {fault.done_wrong} |"
        for fault in CATALOGUE
    ]
    return "\n".join([*head, *rows])
