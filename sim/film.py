"""A film of water on a plane, drawn down by gravity and along by the wind.

The film is thin, laminar and even: its speed across its thickness is a parabola, steeper by what the
wind drags at its surface. The pull is gravity along the plane, g sin(slope) [m/s2]; the shear is the
wind's drag on the surface [Pa], above nought where it helps the pull. Ripples are left out.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.water import GRAVITY, VISCOSITY, WATER_DENSITY

Floats = NDArray[np.float64]

RIPPLES_FROM, TURBULENT_FROM = 20.0, 1500.0
"""Reynolds numbers, 4 q / nu, between which a film ripples."""
HALVINGS = 64
"""Of the bracket round a thickness: more than the 53 bits of a double."""


class Regime(IntEnum):
    """How a film runs."""

    SMOOTH = 0
    RIPPLING = 1
    TURBULENT = 2


def pull_on(slope: ArrayLike) -> Floats:
    """Gravity along a plane [m/s2]; slope from the level, 0 to pi/2 [rad]."""
    tilt = _within("slope", slope, 0.0, np.pi / 2)
    return np.asarray(GRAVITY * np.sin(tilt))


def nusselt_thickness(flow: ArrayLike, pull: ArrayLike) -> Floats:
    """Thickness [m] of a film in still air: (3 nu q / pull)^(1/3).

    flow per width, not negative [m2/s]; pull above 0 [m/s2]; they broadcast. Raises SceneError
    outside. Source: Nusselt, Z. VDI 60 (1916) 541 (page from memory).
    """
    q, g = _within("flow", flow), _above_nought("pull", pull)
    return np.asarray(np.cbrt(3 * VISCOSITY * q / g))


def flow_with_shear(thickness: ArrayLike, pull: ArrayLike, shear: ArrayLike = 0.0) -> Floats:
    """Flow per width along the pull [m2/s]: pull h^3 / (3 nu) + shear h^2 / (2 mu).

    thickness h, not negative [m]; pull [m/s2]; shear along the pull [Pa]. Below nought: the wind
    takes the film up the slope. Source: as `nusselt_thickness`, with a drag at the surface.
    """
    h, g, tau = _within("thickness", thickness), np.asarray(pull), np.asarray(shear)
    nu = VISCOSITY
    return np.asarray(g * h**3 / (3 * nu) + tau * h**2 / (2 * WATER_DENSITY * nu))


def mean_speed(thickness: ArrayLike, pull: ArrayLike, shear: ArrayLike = 0.0) -> Floats:
    """Mean speed across the film, along the pull [m/s]. Arguments as `flow_with_shear`."""
    h, g, tau = _within("thickness", thickness), np.asarray(pull), np.asarray(shear)
    nu = VISCOSITY
    return np.asarray(g * h**2 / (3 * nu) + tau * h / (2 * WATER_DENSITY * nu))


def surface_speed(thickness: ArrayLike, pull: ArrayLike, shear: ArrayLike = 0.0) -> Floats:
    """Speed of the film's surface, along the pull [m/s]. Arguments as `flow_with_shear`."""
    h, g, tau = _within("thickness", thickness), np.asarray(pull), np.asarray(shear)
    nu = VISCOSITY
    return np.asarray(g * h**2 / (2 * nu) + tau * h / (WATER_DENSITY * nu))


def reynolds(flow: ArrayLike) -> Floats:
    """Reynolds number of a film [1], 4 q / nu; flow per width, not negative [m2/s]."""
    return np.asarray(4 * _within("flow", flow) / VISCOSITY)


def regime(number: ArrayLike) -> NDArray[np.int8]:
    """`Regime` of films with these Reynolds numbers (n,): smooth under 20, turbulent from 1500."""
    bounds = [RIPPLES_FROM, TURBULENT_FROM]
    return np.searchsorted(bounds, _within("number", number), side="right").astype(np.int8)


def surface_stop_shear(thickness: ArrayLike, pull: ArrayLike) -> Floats:
    """Shear up the slope that stops the film's surface [Pa]: rho pull h / 2."""
    h, g = _within("thickness", thickness), _within("pull", pull)
    return np.asarray(WATER_DENSITY * g * h / 2)


def flow_stop_shear(thickness: ArrayLike, pull: ArrayLike) -> Floats:
    """Shear up the slope that stops the film's net flow [Pa]: 2 rho pull h / 3."""
    h, g = _within("thickness", thickness), _within("pull", pull)
    return np.asarray(2 * WATER_DENSITY * g * h / 3)


def film_drive(shear: ArrayLike, thickness: ArrayLike) -> Floats:
    """What a shear adds to the pull on a film's mean flow [m/s2]: 3 shear / (2 rho h).

    shear of any shape [Pa]; thickness above 0 [m]. Derived: mean speed = h^2 / (3 nu) times the
    sum of both.
    """
    h = _above_nought("thickness", thickness)
    return np.asarray(3 * np.asarray(shear) / (2 * WATER_DENSITY * h))


def equilibrium_time(length: ArrayLike, rain: ArrayLike, pull: ArrayLike) -> Floats:
    """Time until a plane in steady rain sheds all that falls on it [s]: (L / (alpha i^2))^(1/3).

    length of the run along the slope [m]; rain per area of the plane itself, so the rain on a level
    area times cos(slope) [m/s]; pull [m/s2]; all above 0. alpha = pull / (3 nu). Source: kinematic
    wave of Lighthill and Whitham, Proc. R. Soc. A 229 (1955) 281 (memory), with Nusselt's flow.
    """
    run, i = _above_nought("length", length), _above_nought("rain", rain)
    alpha = _above_nought("pull", pull) / (3 * VISCOSITY)
    return np.asarray(np.cbrt(run / (alpha * i**2)))


def thickness_with_shear(flow: ArrayLike, pull: ArrayLike, shear: ArrayLike) -> Floats:
    """Thickness [m] at which a film carries a flow while the wind drags at it: the least root h of
    flow = pull h^3 / (3 nu) + shear h^2 / (2 mu).

    flow per width in the direction that counts as forward, not negative [m2/s]; pull and shear
    forward, of either sign [m/s2], [Pa]; they broadcast. A shear that opposes the pull holds the
    film up: it is thicker than 3 |shear| / (2 rho pull), at which nothing would flow, and at no flow
    just that thick. Water that a shear takes up the slope (pull below nought) has a thin and a thick
    answer: the thin one, which grows with the flow, is given. inf where no film can carry the flow.
    """
    q, g, tau = np.broadcast_arrays(
        _within("flow", flow), _finite("pull", pull), _finite("shear", shear)
    )
    nu, mu = VISCOSITY, WATER_DENSITY * VISCOSITY
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = -3 * tau / (2 * WATER_DENSITY * g)
        by_pull = np.where(g > 0, np.cbrt(3 * nu * q / g), np.inf)
        by_shear = np.where(tau > 0, np.sqrt(2 * mu * q / tau), np.inf)
        held = (g > 0) & (tau < 0)
        lifted = (g < 0) & (tau > 0)
        low = np.where(held, turn, 0.0)
        high = np.where(held, turn + by_pull, np.minimum(by_pull, by_shear))
        # Up the slope the flow is greatest at two thirds of the thickness at which it is nil.
        high = np.where(lifted, 2 * turn / 3, high)
    none = ~np.isfinite(high) & (q > 0)
    high = np.where(np.isfinite(high), high, 0.0)
    none |= lifted & (_carried(high, g, tau) < q)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        enough = _carried(middle, g, tau) >= q
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    high = np.where((q == 0) & ~held, 0.0, high)
    return np.where(none, np.inf, high)


def _carried(h: Floats, pull: Floats, shear: Floats) -> Floats:
    return (pull * h / 3 + shear / (2 * WATER_DENSITY)) * h**2 / VISCOSITY


def _finite(name: str, values: ArrayLike) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    require(bool(np.isfinite(array).all()), name, values, "finite", SceneError)
    return array


def _within(name: str, values: ArrayLike, least: float = 0.0, most: float = np.inf) -> Floats:
    array = _finite(name, values)
    rule = f"{least:g} or more" if np.isinf(most) else f"{least:g} to {most:.4g}"
    ok = bool(((array >= least) & (array <= most)).all())
    require(ok, name, values, rule, SceneError)
    return array


def _above_nought(name: str, values: ArrayLike) -> Floats:
    array = _finite(name, values)
    require(bool((array > 0).all()), name, values, "above 0", SceneError)
    return array
