"""Who is suspected, and how much, before anything was seen."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from meshes.errors import SceneError
from scenes.diagnose.ranking import Evidence, ranked
from scenes.diagnose.suspects import FOUND, NOTHING_WRONG, TWO_AT_ONCE, Suspect, pairs, suspects
from scenes.diagnose.trial import GUSTS, Tried
from scenes.faults.catalogue import CATALOGUE, named
from scenes.scene import load
from sim.comes_out import ComesOut


def test_each_fault_weighs_what_it_is_found() -> None:
    """Exact: over its places and sizes a fault's priors add up to how often it is found."""
    weights: Counter[str] = Counter()
    for one in suspects(load("cottage")):
        weights[one.faults[0].fault.name if one.faults else ""] += one.prior
    assert weights.pop("") == NOTHING_WRONG
    assert weights.keys() <= {fault.name for fault in CATALOGUE}
    assert len(weights) > 25
    for name, weight in weights.items():
        fault = named(name)
        assert fault is not None
        assert weight == pytest.approx(FOUND[fault.found])


def test_suspects_differ_and_keep_within_bounds() -> None:
    """Exact: no suspect twice; `Asked` holds each to the bounds of its fault."""
    all_of_them = suspects(load("cottage"))
    keys = [(one.key, *(fault.amount for fault in one.faults)) for one in all_of_them]
    assert len(set(keys)) == len(keys)


def test_a_fault_without_room_is_no_suspect() -> None:
    """The cottage's corners are returns, and it has no soakers."""
    names = {name for one in suspects(load("cottage")) for name, _ in one.key}
    assert not names & {"fin folded the wrong way", "soaker too narrow", "step lap too short"}


def test_two_at_once_are_as_seldom_as_is_said() -> None:
    """Exact: over all pairs of n equal suspects, (n - 1) / n of the odds of two at once: the rest would
    be the same suspect twice."""
    faults = [fault for fault in CATALOGUE if not fault.places and not fault.unit][:3]
    single = [one for one in suspects(load("cottage"), faults) if one.faults]
    single = [Suspect(one.faults, 1.0) for one in single]
    count = len(single)
    assert count >= 2
    total = sum(one.prior for one in pairs(single, float(count)))
    odds = TWO_AT_ONCE / (1 - TWO_AT_ONCE)
    assert total == pytest.approx(odds * count * (count - 1) / count)


def test_a_scene_of_files_has_no_suspects() -> None:
    """One line: there are no measures to get wrong."""
    bare = replace(load("cottage"), detail=None)
    with pytest.raises(SceneError, match="cottage: is made of parts from files alone"):
        suspects(bare)


def test_a_fault_answers_only_for_water_of_its_own() -> None:
    """Derived: where the sound detail leaks at the damp place in the same weather, a fault that leaks there
    too is no likelier than by chance, however often it is found; one that leaks at the place alone is."""
    faults = [fault for fault in CATALOGUE if not fault.places and not fault.unit][:2]
    single = suspects(load("cottage"), faults)
    wet = [ComesOut(np.array([(x, 0.0, 0.0)]), np.ones(1, bool), np.ones(1)) for x in (0.0, 0.5)]
    dry = ComesOut.none()
    tried = [Tried(dry, ((one,) * len(GUSTS),)) for one in (wet[0], wet[0], wet[1])]
    states = ((0.0, single[0].key), (0.5, single[2].key))
    for place, key in states:
        seen = Evidence(np.array([[place, 0.0]]), "driving", None, 2.0)
        rows = ranked(single, tried, seen)
        assert rows[0].suspect.key == key
        assert rows[0].probability > 0.8
