"""Where along recorded paths their water gets in, and which stretches of them run behind a flashing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.fates import Fate
from sim.leaks_pieces import piece_count
from sim.leaks_ways import Reader
from sim.trace import Paths

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Entering:
    """Of k paths with p points. gets_in (k,): where each goes behind for good, counted in rows of all
    points: 7.25 is a quarter of the way from point 7 to point 8; infinite for a path that ends outside.
    behind (p,): whether the piece that begins at a point runs behind a flashing."""

    gets_in: Floats
    behind: NDArray[np.bool_]

    def times(self, times: Floats) -> Floats:
        """When each path gets in (k,) [s], of the times (p,) [s] at all points; infinite for one that ends
        outside."""
        return np.where(np.isfinite(self.gets_in), self.there(times[:, None])[:, 0], np.inf)

    def there(self, values: Floats) -> Floats:
        """What values (p, m) at all points come to where each path gets in (k, m); nil for one that ends
        outside."""
        enters = np.isfinite(self.gets_in)
        at = self.gets_in[enters]
        row = np.floor(at).astype(np.int64)
        onward = np.minimum(row + 1, len(values) - 1)
        found = np.zeros((len(enters), values.shape[1]))
        found[enters] = values[row] + (at - row)[:, None] * (values[onward] - values[row])
        return found


def entering(charts: Charts, paths: Paths, fates: NDArray[np.integer]) -> Entering:
    """How paths on these charts go behind; fates (k,) of `sim.fates.Fate`, one a path.

    The way in is the one that `find_leaks` tells. Raises ValueError for another number of fates.
    """
    if len(fates) != len(paths):
        raise ValueError(f"{len(paths)} paths need as many fates. Got {len(fates)}")
    gets_in = np.full(len(paths), np.inf)
    lost = np.flatnonzero(np.isin(fates, (Fate.UNDERLAY, Fate.INSIDE)))
    reader = Reader.of(charts)
    if len(lost):
        gets_in[lost] = _ways_in(reader, paths, lost)
    return Entering(gets_in, reader.pieces_behind(paths))


def _ways_in(reader: Reader, paths: Paths, lost: NDArray[np.int64]) -> Floats:
    """Where the paths `lost` (n,) get in, in rows of all points."""
    own = paths.some(lost)
    ways = reader.ways_in(own)
    pieces = piece_count(own, reader.under)
    first = np.cumsum(pieces) - pieces
    short = np.append(first, pieces.sum())[own.start[:-1]] + ways.before
    row = np.searchsorted(first, short, side="right") - 1
    onward = np.minimum(row + 1, own.start[1:] - 1)
    along = own.points[onward] - own.points[row]
    length = np.linalg.norm(along, axis=1)
    away = np.linalg.norm(ways.point - own.points[row], axis=1)
    share = np.divide(away, length, out=np.zeros_like(length), where=length > 0)
    share = np.where(ways.direct, 0.0, np.clip(share, 0.0, 1.0))
    at = row - own.start[:-1] + paths.start[lost] + share
    return np.minimum(at, paths.start[lost + 1] - 1)
