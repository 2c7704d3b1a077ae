"""Where a drop's journey can end."""

from __future__ import annotations

from enum import IntEnum


class Fate(IntEnum):
    """One fate for each drop. Numbers are stored in files: append only."""

    MOVING = 0
    """Not ended yet; never seen in a finished trace."""
    SHED = 1
    """Left over the eaves, a verge or any other rim of something else than underlay."""
    HELD = 2
    """Found no way down: a pit, a level face, a level crease with both ends shut."""
    UNDERLAY = 3
    """Caught by the second line of defence: left the model over its rim, or held on it."""
    INSIDE = 4
    """Reached what must stay dry."""
    UNRESOLVED = 5
    """Gave up after the cap on hops: a defect of ours."""
