"""What was found: where the water went, where it gets behind, and which laps are too short."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import fsum, sqrt
from typing import Any

from sim.charts import Charts
from sim.errors import TraceError
from sim.fates import Fate
from sim.findings_rows import ML_MIN, figure, gutter_row, lap_row, millimetres, standing_row
from sim.gutters import Gutter, gutters
from sim.lap_water import LapsKnown, LapWater
from sim.laps import Lap
from sim.leaks import Leak, find_leaks, went_behind
from sim.ponds import Ponds
from sim.rain import Drops
from sim.shares import Whole, evenly
from sim.standing import Standing, standing_water
from sim.threads import meanwhile
from sim.trace import Trace, record

ASKED = 2000  # drops whose whole paths are read for the share that ran behind a flashing

ENDS = (Fate.SHED, Fate.HELD, Fate.UNDERLAY, Fate.INSIDE, Fate.UNRESOLVED)


@dataclass(frozen=True, slots=True)
class Share:
    """Water by its fate: drops, share of what landed with its standard error [1], flow [m3/s]."""

    fate: Fate
    drops: int
    share: float
    share_se: float
    flow: float


@dataclass(frozen=True, slots=True)
class PartShare:
    """Water that ran on a part, at any time: its share of what landed and the standard error [1]."""

    part: str
    share: float
    share_se: float


@dataclass(frozen=True, slots=True, eq=False)
class Findings:
    """All that one run found.

    landed: drops; flow: of all that landed [m3/s]; water: one row a fate, shares adding up to 1 and
    flows to `flow`; touched: one row a part; behind and behind_se: share that ran behind a flashing,
    even if it came out again, from a sample, with its standard error [1]; leaks, the largest first;
    laps, by their parts, and what each does to water; standing: water in hollows, and level gutters,
    both from the same sample.
    """

    landed: int
    flow: float
    water: tuple[Share, ...]
    touched: tuple[PartShare, ...]
    behind: float
    behind_se: float
    leaks: tuple[Leak, ...]
    laps: tuple[Lap, ...]
    lap_water: tuple[LapWater, ...]
    standing: tuple[Standing, ...]
    gutters: tuple[Gutter, ...]

    @property
    def unresolved(self) -> int:
        """Drops that were not followed to an end: a defect, at most 1 in 100,000."""
        return next(row.drops for row in self.water if row.fate is Fate.UNRESOLVED)

    def to_dict(self) -> dict[str, Any]:
        """What `findings.json` (schema 1) holds of these, in mm and ml/min, rounded."""
        return {
            "landed": self.landed,
            "landed_ml_min": figure(self.flow * ML_MIN),
            "unresolved": self.unresolved,
            "water": [
                {
                    "fate": row.fate.name.lower(),
                    "drops": row.drops,
                    "share": figure(row.share),
                    "share_se": figure(row.share_se),
                    "flow_ml_min": figure(row.flow * ML_MIN),
                }
                for row in self.water
            ],
            "parts": [
                {
                    "part": row.part,
                    "share": figure(row.share),
                    "share_se": figure(row.share_se),
                }
                for row in self.touched
            ],
            "ran_behind_a_flashing": {
                "share": figure(self.behind),
                "share_se": figure(self.behind_se),
            },
            "leaks": [_leak(leak) for leak in self.leaks],
            "laps": [
                lap_row(lap, water) for lap, water in zip(self.laps, self.lap_water, strict=True)
            ],
            "standing_water": [standing_row(one) for one in self.standing],
            "gutters": [gutter_row(one) for one in self.gutters],
        }


def find(
    charts: Charts,
    drops: Drops,
    trace: Trace,
    *,
    ponds: Ponds | None = None,
    laps: Callable[[], LapsKnown] | None = None,
) -> Findings:
    """Add up where the water went, find its leaks and measure the laps.

    trace: of all `drops`; ponds: the hollows that held water filled, None: none did; laps: gives the
    laps when asked, None: they are measured on the charts' own surface. Raises SceneError when no drop
    landed, and TraceError when a drop has no fate or the trace is not of these drops.
    """
    laps = laps or meanwhile(partial(LapsKnown.on, charts.surface, charts.caster))
    water = shares(drops, trace)
    sample = evenly(len(drops), ASKED)
    paths, flow = record(charts, drops, sample), drops.flow[sample]
    total = fsum(drops.flow.tolist())
    behind, behind_se = Whole.of(flow).share(went_behind(charts, paths))
    standing: tuple[Standing, ...] = ()
    level: tuple[Gutter, ...] = ()
    if ponds is not None:
        standing = standing_water(charts, ponds, paths, flow)
        level = gutters(ponds.charts, paths, flow * total / fsum(flow.tolist()))
    known = laps()
    return Findings(
        landed=len(drops),
        flow=total,
        water=water,
        touched=touched_shares(charts, drops, trace),
        behind=behind,
        # A sample of nothing but one kind still leaves the doubt of one drop.
        behind_se=max(behind_se, _of_one_drop(len(sample)) if len(sample) < len(drops) else 0.0),
        leaks=find_leaks(charts, drops, trace, laps=known.laps),
        laps=known.laps,
        lap_water=known.water,
        standing=standing,
        gutters=level,
    )


def shares(drops: Drops, trace: Trace) -> tuple[Share, ...]:
    """Share of each fate by flow, with standard errors.

    Every drop counts once, and the shares add up to 1 within rounding. Raises as `find` does.
    """
    if len(trace.fate) != len(drops):
        raise TraceError(f"the trace has {len(trace.fate)} fates for {len(drops)} drops")
    rows, whole = [], Whole.of(drops.flow)
    for fate in ENDS:
        chosen = trace.fate == fate
        share, error = whole.share(chosen)
        flow = fsum(drops.flow[chosen].tolist())
        rows.append(Share(fate, int(chosen.sum()), share, error, flow))
    counted = sum(row.drops for row in rows)
    if counted != len(drops):
        raise TraceError(f"{len(drops) - counted} of {len(drops)} drops have no fate")
    return tuple(rows)


def touched_shares(charts: Charts, drops: Drops, trace: Trace) -> tuple[PartShare, ...]:
    """Share of the water that ran on each part, in the order of the parts."""
    whole = Whole.of(drops.flow)
    return tuple(
        PartShare(name, *whole.share(trace.touched(part)))
        for part, name in enumerate(charts.surface.part_names)
    )


def _leak(leak: Leak) -> dict[str, Any]:
    return {
        "id": leak.id,
        "severity": leak.severity,
        "way_in": leak.way_in,
        "parts": list(leak.parts),
        "cause": leak.cause.value,
        "point_mm": [millimetres(value) for value in leak.point.tolist()],
        "arrives_mm": [millimetres(value) for value in leak.arrives.tolist()],
        "share": figure(leak.share),
        "share_se": figure(leak.share_se),
        "flow_ml_min": figure(leak.flow * ML_MIN),
        "why": leak.why,
    }


def _of_one_drop(count: int) -> float:
    return sqrt((1 - 1 / count) / count / count)
