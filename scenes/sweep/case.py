"""One case worked out. It runs in processes of its own, here or on another machine."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Final

from meshes.errors import SceneError
from scenes import __version__
from scenes.sweep.asked import Sweep
from scenes.sweep.key import Value
from scenes.sweep.measure import MEASURES

DONE, REFUSED, FAILED = "done", "refused", "failed"
"""Worked out; a scene that can't be built, or not be measured so; a defect of ours."""
GOES_ON: Final = "the same command goes on"
"""After whatever stops a sweep."""
LONGEST_REASON: Final = 400
Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Case:
    """A case to work out. number: from 1; values: of the parameters, in their order."""

    number: int
    values: tuple[Value, ...]
    sweep: Sweep


def worked_out(case: Case) -> Row:
    """A case's number, values, status, reason and figures, as plain values.

    What can't be built is told in its row; a defect of ours too, for one in thousands of cases must not
    stop the others. Raises SceneError where another version of stackrain asks.
    """
    sweep = case.sweep
    if sweep.version != __version__:
        raise SceneError(f"a worker has stackrain {__version__}, the sweep needs {sweep.version}")
    row: Row = {"case": case.number, "values": list(case.values), "status": DONE, "reason": ""}
    try:
        scene = sweep.scene(case.values)
        figures = MEASURES[sweep.measure].work(scene, sweep.drops, sweep.seed)
        row["figures"] = json.loads(json.dumps(figures, allow_nan=False))
    except SceneError as error:
        row |= {"status": REFUSED, "reason": _reason(str(error)), "figures": {}}
    except (MemoryError, OSError):
        raise  # of the machine, not of the case
    except Exception as error:
        told = _reason(f"{type(error).__name__}: {error}")
        row |= {"status": FAILED, "reason": told, "figures": {}}
    return row


def _reason(text: str) -> str:
    return " ".join(text.split())[:LONGEST_REASON]
