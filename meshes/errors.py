"""The errors a user can mend, and the one check that raises them."""

from __future__ import annotations


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
