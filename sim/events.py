"""What can happen to a drop at a point of its path."""

from __future__ import annotations

from enum import IntEnum


class Event(IntEnum):
    """Kind of a recorded point. Numbers are stored in files: append only."""

    LANDED = 0
    """Came down here, from the sky or from a rim above; runs on from here."""
    CROSSED = 1
    """Went over an edge or a corner; runs on in the next chart."""
    SLID = 2
    """Begins here to run along a crease or a contact, to the next point."""
    FELL = 3
    """Left the surface here; the next point is where it lands or leaves the model."""
    ENDED = 4
    """Last point of the path."""
    GATHERED = 5
    """The wind held it here until its weight won; it goes on from the next point, the same place."""
    STOOD = 6
    """It filled a hollow here; the next point is where that spills."""


NOT_ON_A_FACE = (Event.FELL, Event.GATHERED, Event.STOOD, Event.ENDED)
"""Events after which a path does not run along the chart that its point names."""
