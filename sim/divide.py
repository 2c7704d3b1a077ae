"""How water divides on a level bed between two ends, and the luck by which each drop takes its share."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np

from sim.compiled import compiled

GAMMA, FIRST, SECOND = (
    np.uint64(0x9E3779B97F4A7C15), np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB),
)  # fmt: skip
TOP_53, BY_30, BY_27, BY_31 = np.uint64(11), np.uint64(30), np.uint64(27), np.uint64(31)


@compiled
def nearer_share(near, far):
    """Share of the water fed to a level bed that runs to its nearer free end: far / (near + far) [1].

    near, far [m]: along the bed from the feed to its free ends, 0 <= near <= far, not both nil; far =
    inf: there is no other. 0.5 to 1. A film on a level bed runs by its own fall, q = -g h^3 / (3 nu)
    dh/dx, so h^4 is linear from the feed to each end, where the film is thin: q near = q' far. h^4
    adds up over feeds, so each drop may be shared out alone; and any law q = -f(h) dh/dx, a groove's
    too, gives the same shares. Range: laminar, and friction counts for more than inertia: ends further
    off than some q^(5/3) / (12 nu g^(1/3)), 0.2 mm at 1e-5 m2/s and 85 mm at 4e-4 m2/s. With inertia
    alone each end takes half. Source of the flow: Huppert, J. Fluid Mech. 121 (1982) 43; the shares
    are derived from it.
    """
    return 1.0 / (1.0 + near / far)


@compiled
def takes_first(first, second, luck):
    """Whether a drop with this luck [0 to 1) takes the first of two ways to a free end, so far off [m]:
    it takes the nearer one if its luck is less than that one's share."""
    nearer = luck < nearer_share(min(first, second), max(first, second))
    return nearer == (first <= second)


def key_of(seed: int, leg: int) -> np.uint64:
    """What the luck of all drops of a seed is drawn from on one leg of their way, both 0 or more."""
    return np.random.SeedSequence([seed, 2, leg]).generate_state(1, np.uint64)[0]


@compiled
def stream_of(key, number):
    """Where the luck of the drop of that number begins, `key` being that of all [uint64]."""
    return mixed(key + GAMMA * (np.uint64(number) + np.uint64(1)))


@compiled
def luck_at(stream):
    """The luck [0 to 1, 1 left out] at a place of a stream, which goes on by GAMMA; drawn as if evenly.

    Source: SplitMix64, of Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA
    2014, p. 453.
    """
    return np.float64(mixed(stream) >> TOP_53) * 2.0**-53


@compiled
def mixed(z):
    """Bits of z [uint64] mixed so that each of them decides about each that comes out."""
    z = (z ^ (z >> BY_30)) * FIRST
    z = (z ^ (z >> BY_27)) * SECOND
    return z ^ (z >> BY_31)
