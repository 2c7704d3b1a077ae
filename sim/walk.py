"""The walk of one drop, from event to event, to its fate."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np

from sim.classes import Action
from sim.compiled import compiled, inlined
from sim.divide import GAMMA, luck_at, takes_first
from sim.events import Event
from sim.fans import Way
from sim.fates import Fate
from sim.tables import (
    CATCHES,
    CHART,
    CORNER,
    CREASES,
    FACTS,
    FAN,
    LENGTH,
    LEVEL,
    LINKS,
    NEIGHBOUR,
    NEXT,
    PART,
    RATE,
    REACH,
    ROW,
    RUNS,
    SPAN,
    STEP,
    VERTEX,
)  # fmt: skip
from sim.tolerances import MOST_HOPS, SAME_PLACE, SNAP, STANDOFF, WIDEN
from sim.tree import first_hit

PATIENCE = 16
FIRST_MARK = 128
"""Hops before a drop is suspected of going round: a calm drop has half as many, and pays nothing."""
ONE = np.uint64(1)

CROSS, CROSS_PART = int(Action.CROSS), int(Action.CROSS_PART)
SLIDE_SECOND, LEVEL_CREASE, FALL = int(Action.SLIDE_SECOND), int(Action.LEVEL), int(Action.FALL)
STAYS, RUNS_ON, SLIDES, DRIPS, ALONG = (
    int(w) for w in (Way.STAYS, Way.RUNS, Way.SLIDES, Way.DRIPS, Way.LEVEL)
)
MOVING, SHED, HELD = int(Fate.MOVING), int(Fate.SHED), int(Fate.HELD)
UNDERLAY, INSIDE, UNRESOLVED = int(Fate.UNDERLAY), int(Fate.INSIDE), int(Fate.UNRESOLVED)
LANDED, CROSSED, SLID = int(Event.LANDED), int(Event.CROSSED), int(Event.SLID)
FELL, ENDED = int(Event.FELL), int(Event.ENDED)


@compiled
def walk(hot, stack, chart, b0, b1, b2, stream, keep, at, points, charts, kinds):
    """Walk one drop from a place (b0, b1, b2) on a chart to its end.

    hot: `Hot` tables; stack: room for rays; stream: of its luck. With `keep`, its points go to rows
    `at` on of points (p, 3), charts (p,) and kinds (p,), all pointers. Returns fate, end x, y, z [m],
    last chart, bit mask of the parts run on, hops, falls, and the number of points of the path.
    """
    chart = np.int64(chart)
    hops, falls, kept, still = 0, 0, 0, 0
    touched = ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
    fate = MOVING
    x, y, z = 0.0, 0.0, 0.0
    # Where the wind drives water round and round it comes back to one of these.
    mark, mark0, mark1, mark_fan, next_mark = np.int64(-1), 0.0, 0.0, np.int64(-1), FIRST_MARK
    if keep:
        x, y, z = _place(hot, chart, b0, b1, b2)
        _note(points, charts, kinds, at, x, y, z, chart, LANDED)
    kept += 1
    while True:
        face = chart >> 1
        if touched & hot.inside:
            fate = INSIDE
            break
        if hops >= MOST_HOPS:
            fate = UNRESOLVED
            break
        if hops >= FIRST_MARK:
            if chart == mark and abs(b0 - mark0) < SAME_PLACE and abs(b1 - mark1) < SAME_PLACE:
                fate = HELD
                break
            if hops >= next_mark:
                mark, mark0, mark1 = chart, b0, b1
                next_mark = 2 * hops
        hops += 1
        lands, corner, onward, land_u, land_v = -2, -1, -1, 0.0, 0.0
        if hot.fact[FACTS * face + LEVEL] >> (chart & 1) & 1:
            if chart == hot.fact[FACTS * face + CATCHES]:
                fate = HELD
                break
            x, y, z = _place(hot, chart, b0, b1, b2)
            if keep:
                _note(points, charts, kinds, at + kept, x, y, z, chart, FELL)
            lift = STANDOFF if chart & 1 == 0 else -STANDOFF
            x += lift * hot.normals[3 * face]
            y += lift * hot.normals[3 * face + 1]
            z += lift * hot.normals[3 * face + 2]
            _, hit, land_u, land_v = first_hit(
                hot.tree, stack, x, y, z, hot.world[0], hot.world[1], hot.world[2],
                np.inf, -1, -1,
            )  # fmt: skip
            lands = np.int64(hot.fact[FACTS * hit + CATCHES]) if hit >= 0 else -1
        else:
            # Run straight to the first edge that the drive leads to.
            run = RUNS * chart
            t, i = np.inf, 0
            span = hot.run[run + SPAN]
            if span >= 0.0:
                t = b0 * span
            span = hot.run[run + SPAN + 1]
            if span >= 0.0 and b1 * span < t:
                t, i = b1 * span, 1
            span = hot.run[run + SPAN + 2]
            if span >= 0.0 and b2 * span < t:
                t, i = b2 * span, 2
            p = b1 if i == 0 else (b2 if i == 1 else b0)
            q = b2 if i == 0 else (b0 if i == 1 else b1)
            after, last = (i + 1) % 3, (i + 2) % 3
            p = max(p + t * hot.run[run + RATE + after], 0.0)
            q = max(q + t * hot.run[run + RATE + last], 0.0)
            s = q / (p + q)
            still = still + 1 if t <= 0.0 else 0
            link = LINKS * chart
            step = hot.link[link + STEP + i]
            action = step & 7
            if s < SNAP or s > 1.0 - SNAP or still > PATIENCE:
                corner = after if s < 0.5 else last
                still = 0
            elif action in (CROSS, CROSS_PART):
                near, far = (step >> 3) & 3, (step >> 5) & 3
                chart = np.int64(hot.link[link + NEIGHBOUR + i])
                r = 1.0 - s
                b0 = r if near == 0 else (s if far == 0 else 0.0)
                b1 = r if near == 1 else (s if far == 1 else 0.0)
                b2 = r if near == 2 else (s if far == 2 else 0.0)
                if action == CROSS_PART:
                    touched |= ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
                if keep:
                    x, y, z = _place(hot, chart, b0, b1, b2)
                    _note(points, charts, kinds, at + kept, x, y, z, chart, CROSSED)
                kept += 1
                continue
            else:
                b0 = 0.0 if i == 0 else (1.0 - s if i == 2 else s)
                b1 = 0.0 if i == 1 else (1.0 - s if i == 0 else s)
                b2 = 0.0 if i == 2 else (1.0 - s if i == 1 else s)
                row = np.int64(hot.link[link + ROW + i])
                if action == FALL:
                    if keep:
                        x, y, z = _place(hot, chart, b0, b1, b2)
                        _note(points, charts, kinds, at + kept, x, y, z, chart, FELL)
                    hit, land_u, land_v = _fall(hot, stack, row, s)
                    lands = np.int64(hot.fact[FACTS * hit + CATCHES]) if hit >= 0 else -1
                    if hit < 0:
                        x = hot.rim[6 * row] + s * hot.rim[6 * row + 3]
                        y = hot.rim[6 * row + 1] + s * hot.rim[6 * row + 4]
                        z = hot.rim[6 * row + 2] + s * hot.rim[6 * row + 5]
                else:
                    # A crease. Level ones lead to an outlet either way, as far as it is from here.
                    forth = action == SLIDE_SECOND
                    if action == LEVEL_CREASE:
                        at_crease = CREASES * row
                        size = hot.crease[at_crease + LENGTH]
                        first = hot.crease[at_crease + REACH] + s * size
                        second = hot.crease[at_crease + REACH + 1] + (1.0 - s) * size
                        if first == np.inf and second == np.inf:
                            fate = HELD
                            break
                        forth = not takes_first(first, second, luck_at(stream))
                        stream += GAMMA
                        onward = np.int64(hot.crease[at_crease + NEXT + forth])
                    if keep:
                        x, y, z = _place(hot, chart, b0, b1, b2)
                        _note(points, charts, kinds, at + kept, x, y, z, chart, SLID)
                    kept += 1
                    corner = last if forth else after

        if corner >= 0:
            # At corners their fans know the way, along creases from corner to corner. Once a drop has
            # picked its way along level ones, it keeps to it as far as the outlet.
            fan = np.int64(hot.link[LINKS * chart + FAN + corner])
            way = ALONG if onward >= 0 else hot.fan_to[3 * fan]
            while way in (SLIDES, ALONG) and hops < MOST_HOPS and not touched & hot.inside:
                onto, ahead = np.int64(hot.fan_to[3 * fan + 1]), np.int64(hot.fan_to[3 * fan + 2])
                if way == ALONG:
                    if onward < 0:
                        onward = _picked(hot, onto, ahead, luck_at(stream))
                        stream += GAMMA
                    at_crease, side = CREASES * (onward >> 1), onward & 1
                    onto = np.int64(hot.crease[at_crease + CHART])
                    ahead = np.int64(hot.crease[at_crease + CORNER + side])
                    onward = np.int64(hot.crease[at_crease + NEXT + side])
                if keep:
                    x, y, z = _corner(hot, chart, corner)
                    _note(points, charts, kinds, at + kept, x, y, z, onto, SLID)
                kept += 1
                hops += 1
                chart, corner = onto, ahead
                touched |= ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
                fan = np.int64(hot.link[LINKS * chart + FAN + corner])
                way = ALONG if onward >= 0 else hot.fan_to[3 * fan]
                if hops >= FIRST_MARK:
                    if fan == mark_fan:
                        way = STAYS
                    if hops >= next_mark:
                        mark_fan = fan
                        next_mark = 2 * hops
            if keep and way != STAYS:
                x, y, z = _corner(hot, chart, corner)
                onto = chart if way == DRIPS else np.int64(hot.fan_to[3 * fan + 1])
                kind = FELL if way == DRIPS else CROSSED
                _note(points, charts, kinds, at + kept, x, y, z, onto, kind)
            if way == RUNS_ON:
                kept += 1
                chart, corner = np.int64(hot.fan_to[3 * fan + 1]), hot.fan_to[3 * fan + 2]
                touched |= ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
            elif way == DRIPS:
                lands = np.int64(hot.fan_to[3 * fan + 1])
                land_u, land_v = hot.fan_at[6 * fan + 4], hot.fan_at[6 * fan + 5]
                x, y, z = hot.fan_at[6 * fan], hot.fan_at[6 * fan + 1], hot.fan_at[6 * fan + 2]
            b0 = 1.0 if corner == 0 else 0.0
            b1 = 1.0 if corner == 1 else 0.0
            b2 = 1.0 if corner == 2 else 0.0
            if way == STAYS:
                fate = HELD
                break

        if lands != -2:
            kept += 1
            falls += 1
            if lands == -1:
                fate = SHED
                break
            chart = lands
            b1, b2 = max(land_u, 0.0), max(land_v, 0.0)
            b0 = max(1.0 - b1 - b2, 0.0)
            touched |= ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
            if keep:
                x, y, z = _place(hot, chart, b0, b1, b2)
                _note(points, charts, kinds, at + kept, x, y, z, chart, LANDED)
            kept += 1

    if fate == SHED:
        x, y, z = _leave(hot, x, y, z)
    else:
        x, y, z = _place(hot, chart, b0, b1, b2)
    last = ONE << np.uint64(hot.fact[FACTS * (chart >> 1) + PART])
    if fate in (SHED, HELD) and last & hot.underlay:
        fate = UNDERLAY
    if keep:
        _note(points, charts, kinds, at + kept, x, y, z, chart, ENDED)
    kept += 1
    return fate, x, y, z, chart, touched, hops, falls, kept


@inlined
def _fall(hot, stack, row, s):
    """Face (-1: none), u and v where a fall from a rim lands, at share s of the rim."""
    begin, end = np.int64(hot.rim_list[4 * row + 2]), np.int64(hot.rim_list[4 * row + 3])
    best, hit, best_u, best_v = np.inf, np.int32(-1), 0.0, 0.0
    if begin < 0:
        best, hit, best_u, best_v = first_hit(
            hot.tree, stack,
            hot.rim[6 * row] + s * hot.rim[6 * row + 3],
            hot.rim[6 * row + 1] + s * hot.rim[6 * row + 4],
            hot.rim[6 * row + 2] + s * hot.rim[6 * row + 5],
            hot.world[0], hot.world[1], hot.world[2],
            np.inf, np.int64(hot.rim_list[4 * row]), np.int64(hot.rim_list[4 * row + 1]),
        )  # fmt: skip
    k = begin
    while 0 <= k < end and hot.line[7 * k + 6] <= best:
        u = hot.line[7 * k] + s * hot.line[7 * k + 3]
        v = hot.line[7 * k + 1] + s * hot.line[7 * k + 4]
        if u >= -WIDEN and v >= -WIDEN and u + v <= 1.0 + WIDEN:
            t = hot.line[7 * k + 2] + s * hot.line[7 * k + 5]
            face = hot.below[k]
            if t >= 0.0 and (t < best or (t == best and face < hit)):
                best, hit, best_u, best_v = t, face, u, v
        k += 1
    return hit, best_u, best_v


@inlined
def _picked(hot, one, other, luck):
    """Which of two runs (other -1: there is none) that begin at a corner a drop with this luck takes."""
    second = _out(hot, other) if other >= 0 else np.inf
    return one if takes_first(_out(hot, one), second, luck) else other


@inlined
def _out(hot, run):
    """How far it is from where a run along a level crease begins to its outlet."""
    at = CREASES * (run >> 1)
    return hot.crease[at + LENGTH] + hot.crease[at + REACH + (run & 1)]


@inlined
def _corner(hot, chart, corner):
    """Where a corner of a chart lies."""
    a = 3 * np.int64(hot.fact[FACTS * (chart >> 1) + VERTEX + corner])
    return hot.vertices[a], hot.vertices[a + 1], hot.vertices[a + 2]


@compiled
def _place(hot, chart, b0, b1, b2):
    """Where a place on a chart lies."""
    fact = FACTS * (chart >> 1) + VERTEX
    a = 3 * np.int64(hot.fact[fact])
    b = 3 * np.int64(hot.fact[fact + 1])
    c = 3 * np.int64(hot.fact[fact + 2])
    return (
        b0 * hot.vertices[a] + b1 * hot.vertices[b] + b2 * hot.vertices[c],
        b0 * hot.vertices[a + 1] + b1 * hot.vertices[b + 1] + b2 * hot.vertices[c + 1],
        b0 * hot.vertices[a + 2] + b1 * hot.vertices[b + 2] + b2 * hot.vertices[c + 2],
    )


@compiled
def _leave(hot, x, y, z):
    """Where a fall that meets nothing leaves the model: as deep, along the drive, as its deepest
    corner.
    """
    depth = x * hot.world[0] + y * hot.world[1] + z * hot.world[2]
    t = max(hot.world[3] - depth, 0.0)
    return x + t * hot.world[0], y + t * hot.world[1], z + t * hot.world[2]


@compiled
def _note(points, charts, kinds, k, x, y, z, chart, kind):
    """Keep one point of a path."""
    points[3 * k] = x
    points[3 * k + 1] = y
    points[3 * k + 2] = z
    charts[k] = chart
    kinds[k] = kind
