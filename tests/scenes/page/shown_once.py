"""Results that several tests of the page look at, made once."""

from __future__ import annotations

from functools import cache

from scenes.faults.apply import with_faults
from scenes.progress import Remarks
from scenes.run import Result, run
from scenes.scene import load

DROPS = 2000
WRONG = "side over the gutter"


@cache
def leaking() -> Result:
    """The cottage with its side flashings dressed over the back gutter: water gets in."""
    scene = with_faults(load("cottage"), [WRONG])
    return run(scene, drops=DROPS, seed=0, remarks=Remarks(quiet=True))


@cache
def dry() -> Result:
    """The cottage as it should be."""
    return run(load("cottage"), drops=DROPS, seed=0, remarks=Remarks(quiet=True))
