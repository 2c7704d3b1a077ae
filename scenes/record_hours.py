"""From a weather record: the hours in which a detail would have let water in, by wind direction."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from scenes.record import Record
from sim.driving_rain import airfield_index

GUST_FACTOR: Final = 1.4
"""Gust over mean wind for hours without a gust on record: Durst (1960) for 2 s in 10 min, quoted in
J. Appl. Meteor. Climatol. 48 (2009) 534 (second-hand); the 1,507 hours of 2013 with a gust at John F.
Kennedy airport have 1.42 as their middle (derived). Over towns it is greater."""
HOUR: Final = 3600.0


@dataclass(frozen=True, slots=True, eq=False)
class HoursLetIn:
    """Hours with rain, and those of them in which water would have got in, by wind direction.

    Arrays (k,), one for each direction tried: from_angle [rad] and from_deg, the same as a compass
    bearing [degrees]; wet and let_in [hours]; rain and rain_let_in, what fell in them [mm].
    still_wet, still_let_in: hours with rain and no wind at all, which belong to no direction;
    still_rain: what fell in them [mm]. assumed: of all wet hours, those whose gust is the mean
    wind times gust_factor.
    """

    from_angle: NDArray[np.float64]
    from_deg: NDArray[np.float64]
    wet: NDArray[np.int64]
    let_in: NDArray[np.int64]
    rain: NDArray[np.float64]
    rain_let_in: NDArray[np.float64]
    still_wet: int
    still_let_in: int
    still_rain: float
    assumed: int
    gust_factor: float

    @property
    def hours_wet(self) -> int:
        """All hours with rain."""
        return int(self.wet.sum()) + self.still_wet

    @property
    def hours_let_in(self) -> int:
        """All hours in which water would have got in."""
        return int(self.let_in.sum()) + self.still_let_in


def hours_let_in(
    record: Record,
    from_angles: ArrayLike,
    gusts: ArrayLike,
    *,
    eaves_compass_deg: float,
    gust_factor: float = GUST_FACTOR,
) -> HoursLetIn:
    """Count the hours with rain whose gust reached the first-leak gust of the wind's direction.

    from_angles (k,): where wind was tried from, 0 the eaves side, pi/2 the right [rad]; gusts (k,):
    the first-leak gust of each, 0 or more, infinite where no gust gets water in [m/s]; each hour
    takes that of the nearest direction. eaves_compass_deg: the bearing that the eaves look to, 0
    north, 90 east [degrees]. gust_factor: 1 to 3, for hours with no gust on record.

    Assumes that the record's wind is the wind at the roof, whatever the height and the shelter,
    and that rain and the greatest gust of an hour meet. Raises SceneError outside the ranges.
    """
    tried = np.asarray(from_angles, dtype=np.float64)
    first = np.asarray(gusts, dtype=np.float64)
    alike = tried.ndim == 1 and len(tried) > 0 and tried.shape == first.shape
    shapes = (tried.shape, first.shape)
    require(alike, "directions and first-leak gusts", shapes, "as many of each", SceneError)
    lost, wrong = tried[~np.isfinite(tried)], first[~(first >= 0)]
    require(not lost.size, "from_angles", lost[:1], "finite rad", SceneError)
    require(not wrong.size, "first-leak gusts", wrong[:1], "0 m/s or more", SceneError)
    require(1 <= gust_factor <= 3, "gust_factor", gust_factor, "1 to 3", SceneError)
    _bearing("eaves_compass_deg", eaves_compass_deg)

    eaves = radians(eaves_compass_deg)
    bearings = np.round(np.degrees(eaves - tried), 9) % 360.0
    gust = np.where(np.isnan(record.gust), record.wind * gust_factor, record.gust)
    rainy, still = record.rain > 0, gust == 0
    # Looking up the slope the right is a quarter turn anticlockwise from the eaves on a compass.
    angle = eaves - np.radians(record.from_deg)
    sector = np.cos(angle[:, None] - tried).argmax(axis=1)
    blown = rainy & ~still
    within = blown & (gust >= first[sector])
    still_wet = int((rainy & still).sum())

    def by_sector(hours: NDArray[np.bool_]) -> NDArray[np.int64]:
        return np.bincount(sector[hours], minlength=len(tried)).astype(np.int64)

    def rain_of(hours: NDArray[np.bool_]) -> NDArray[np.float64]:
        total = np.bincount(sector[hours], record.rain[hours], minlength=len(tried))
        return total.astype(np.float64)

    return HoursLetIn(
        from_angle=tried,
        from_deg=bearings.astype(np.float64),
        wet=by_sector(blown),
        let_in=by_sector(within),
        rain=rain_of(blown),
        rain_let_in=rain_of(within),
        still_wet=still_wet,
        still_let_in=still_wet if first.min() == 0 else 0,
        still_rain=float(record.rain[rainy & still].sum()),
        assumed=int((rainy & np.isnan(record.gust)).sum()),
        gust_factor=gust_factor,
    )


def driving_rain_index(record: Record, facing_deg: float) -> float:
    """Rain that all hours of a record drive at an upright wall in the open [mm].

    facing_deg: the compass bearing that the wall looks to, 0 north, 90 east [degrees]. Source:
    ISO 15927-3:2009, see `sim.driving_rain.airfield_index`. Raises SceneError outside the ranges.
    """
    _bearing("facing_deg", facing_deg)
    rain = record.rain / 1000 / HOUR
    return 1000 * airfield_index(
        record.wind, rain, np.radians(record.from_deg), radians(facing_deg)
    )


def _bearing(name: str, got: float) -> None:
    require(-360 <= got <= 360, name, got, "-360 to 360 degrees", SceneError)
