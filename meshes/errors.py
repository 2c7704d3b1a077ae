"""The errors a user can mend, and the one check that raises them."""

from __future__ import annotations

from math import isfinite, pi


class SceneError(ValueError):
    """What was asked for cannot be built or run: the user's to fix."""


class PieceError(SceneError):
    """A stack, a roof or a folded piece is geometrically impossible."""


def require(
    ok: bool, name: str, got: object, rule: str, error: type[SceneError] = PieceError
) -> None:
    """Raise `error` with one line giving the name, the rule and the value, unless `ok`."""
    if not ok:
        raise error(f"{name} must be {rule}. Got {name} = {got}")


def within(name: str, got: float, low: float, high: float, unit: str = "mm") -> None:
    """Require a length [m] or an angle [rad] to lie in its range; the message has mm or degrees.

    Raises PieceError.
    """
    factor = 180 / pi if unit == "degrees" else 1000
    ok = isfinite(got) and low - 1e-12 <= got <= high + 1e-12
    span = f"{low * factor:g} to {high * factor:g} {unit}"
    require(ok, name, f"{got * factor:g} {unit}", span)
