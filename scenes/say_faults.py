"""What was done wrong on purpose, in words, from what `findings.json` holds of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scenes.say_text import hung

HEAD = "Wrong on purpose:"


def wrong_lines(faults: Sequence[Mapping[str, Any]]) -> list[str]:
    """A head and a line for each fault: its name, where, how bad, and what was done wrong."""
    if not faults:
        return []
    lines = [HEAD]
    for fault in faults:
        where = f", {fault['where']}" if fault["where"] else ""
        lines += hung("-", f"{fault['name']}{where}: {fault['how_bad']}. {fault['done_wrong']}")
    return lines
