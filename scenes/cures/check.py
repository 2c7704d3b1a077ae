"""A cure run through: that it holds, and that it breaks nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite, pi, tau

from meshes.around.worth_saying import longest_side
from meshes.build import pieces
from meshes.errors import SceneError
from meshes.materials import MATERIALS
from scenes.cures.families import COVERING, Family, family_words
from scenes.cures.made import Made
from scenes.cures.quest import LAP_ROUNDING, LapKey, Quest, Target, key_of, spare
from scenes.cures.trial import InWind, Shares, in_still_air
from scenes.gust import laps_of
from scenes.gust_words import side_words
from sim.laps import Lap
from sim.wind import direction_name

WAYS = 8
"""Directions from which a cured detail must stand what it stood before."""
MOST_COMPARED = 40.0
"""Where the weather has no gust, stronger ones than this [m/s] are not compared."""
LOOSE = 0.03
"""Share of a gust to which the eight directions are narrowed down, from above."""
FALLS = 0.06
"""Share by which a gust may fall all the same: that, and as much for sheets that lie a gap higher."""
SMALL = 0.01
"""Of all water that got in before, so much in a new place is no new leak: it was hidden behind the others;
nor is so much of what a leak let in before still one."""
MORE, MORE_SE = 0.05, 0.002
"""Another leak has become worse when it lets in so much more of all water that got in before, and so much
of all that landed. Where one leak is stopped some of its water may come to another near by."""


@dataclass(frozen=True, slots=True)
class Before:
    """What a scene does before any cure. leaking: families of its leaks in its weather; shares: of all
    water, by family; laps: its laps; stood: the gust [m/s] that it stood from each of the directions (k,),
    at most the design gust; asks: pieces that ask too much of their material."""

    leaking: frozenset[Family]
    shares: Shares
    laps: tuple[Lap, ...]
    stood: tuple[float, ...]
    asks: frozenset[str]


@dataclass(frozen=True, slots=True)
class Fall:
    """A direction [rad] from which a cured detail stands a weaker gust [m/s] than it did before."""

    from_angle: float
    stood: float
    stands: float

    def words(self) -> str:
        """The same in words: "in wind from the eaves it stands 29.1 m/s instead of 33.1"."""
        side = side_words(direction_name(self.from_angle))
        least = "over " if self.stood >= MOST_COMPARED else ""
        gusts = f"{self.stands:.1f} m/s instead of {least}{self.stood:.1f}"
        return f"in wind from {side} it stands {gusts}"


@dataclass(frozen=True, slots=True)
class Checked:
    """Whether a cure holds. breaks: what it would break, in words, empty for nothing; stands: the least
    gust [m/s] from the weather's side that then brings any leak but the others that were there, inf for
    none; lengths: of
    the laps it is for, and what they need [m]; leaks: families that still leak in the weather; falls: the
    directions from which it stands less than before, but no less than the weakest did."""

    breaks: str
    stands: float
    lengths: dict[LapKey, tuple[float, float]]
    leaks: tuple[Family, ...]
    falls: tuple[Fall, ...] = ()


def ways_round(from_angle: float) -> list[float]:
    """The direction of the weather's wind first, then seven more all round [rad]."""
    return [(from_angle + tau * k / WAYS + pi) % tau - pi for k in range(WAYS)]


def stood_before(quest: Quest) -> tuple[float, ...]:
    """The gust [m/s] that a scene stands from each direction, at most the design gust, or `MOST_COMPARED`
    where that is nil. Nil all round where still rain gets in."""
    ways = ways_round(quest.weather.from_angle)
    wind = InWind.of(quest.assembly, quest.weather, ways, seed=quest.seed)
    return tuple(_stands(wind, way, most_asked(quest)) for way in range(len(ways)))


def most_asked(quest: Quest) -> float:
    """The strongest gust [m/s] that a cured detail is asked to stand from everywhere."""
    return quest.weather.gust if quest.windy else MOST_COMPARED


def _stands(wind: InWind, way: int, most: float) -> float:
    stands = wind.stands(None, way, most=most, from_gust=most, fineness=LOOSE)
    return min(stands, most)


def asks_too_much(made: Made) -> frozenset[str]:
    """The pieces that are longer than their material comes in, or stretched more than it gives."""
    material = MATERIALS[made.detail.material]
    return frozenset(
        piece.name
        for piece in pieces(made.detail).values()
        if longest_side(piece) > material.longest + 1e-9 or piece.stretch > material.stretch + 1e-9
    )


def check(quest: Quest, before: Before, made: Made, rows: Iterable[int]) -> Checked:
    """Run what a cure makes: all laps, the scene's weather, gusts from eight directions, its pieces.

    rows: the targets that it is to cure, by their places in the quest.
    """
    targets = [quest.targets[row] for row in rows]
    keys = [target.lap for target in targets if target.lap is not None]
    families = frozenset(family for target in targets for family in target.families)
    try:
        assembly = made.assembly()
        asks = asks_too_much(made) - before.asks
    except SceneError as error:
        return Checked(f"can't be built: {error}", 0.0, {}, ())
    if asks:
        return _broken(f"asks too much of the material of the {', '.join(sorted(asks))}")
    laps = laps_of(assembly)
    lengths = {
        target.lap: _like(target, laps)
        for target in targets
        if target.lap is not None and any(key_of(lap) == target.lap for lap in laps)
    }
    for key in sorted({key_of(lap) for lap in (*laps, *before.laps)}):
        now, was = spare(laps, key), spare(before.laps, key)
        fails = now < -LAP_ROUNDING and (
            key in keys or (isfinite(now) and now < was - LAP_ROUNDING)
        )
        if fails:
            return _broken(f"the lap of the {key[0]} over the {key[1]} would be too short")
    wind, ways = None, ways_round(quest.weather.from_angle)
    if quest.windy or any(before.stood):
        wind = InWind.of(assembly, quest.weather, ways, seed=quest.seed)
    if quest.windy:
        assert wind is not None
        shares = wind.rains(drops=quest.rain, seed=quest.seed, most=quest.rain)
    else:
        shares = in_still_air(
            assembly, quest.weather, drops=quest.rain, seed=quest.seed, most=quest.rain
        )
    if left := left_over(families, before.shares, shares):
        return _broken(f"water still gets in {family_words(left[0])}")
    all_of_it = sum(before.shares.values())
    for family in sorted(shares.keys() - before.leaking):
        if shares[family] > SMALL * all_of_it:
            return _broken(f"water would get in elsewhere, {family_words(family)}")
    for family, share in sorted(shares.items()):
        more = share - before.shares.get(family, 0.0)
        if family in before.leaking and more > MORE * all_of_it + MORE_SE:
            return _broken(f"more water would get in {family_words(family)}")
    stands = inf
    falls = [] if wind is None else falls_of(wind, ways, before.stood)
    if worse := too_far(falls, before.stood, quest.weather.gust):
        return _broken(worse.words())
    if wind is not None and quest.windy and families:
        shown = frozenset(f for t in targets if not t.by_rain for f in t.families)
        here = wind.stands(shown)
        if here < quest.weather.gust:
            return _broken("it doesn't stand the gust")
        # What gives way next is what counts, wherever that is; less what leaked elsewhere before.
        stands = wind.stands(None, but=before.leaking - families)
        stands = stands if quest.weather.gust <= stands else here
    return Checked("", stands, lengths, tuple(sorted(shares)), tuple(falls))


def falls_of(wind: InWind, ways: Sequence[float], before: Sequence[float]) -> list[Fall]:
    """Those of the directions (k,) [rad] from which a detail stands less than it did before [m/s], by more
    than FALLS."""
    return [
        # A stronger gust may bring nothing again: it is narrowed down from one that is known to.
        Fall(ways[way], stood, _stands(wind, way, stood * (1 - FALLS)))
        for way, stood in enumerate(before)
        if stood > 0 and wind.at(stood * (1 - FALLS), way) - {COVERING}
    ]


def too_far(falls: Iterable[Fall], before: Sequence[float], gust: float) -> Fall | None:
    """The first direction in which a detail falls too far, None for none: under the weakest of what it stood
    before, which is its first-leak gust, or under the weather's gust [m/s]."""
    for fall in falls:
        if fall.stands < max(min(before) * (1 - FALLS), min(fall.stood, gust)):
            return fall
    return None


def left_over(families: Iterable[Family], before: Shares, now: Shares) -> list[Family]:
    """Those of the families that are to be cured that still let in more than SMALL of what they did."""
    return sorted(
        family for family in set(families) if now.get(family, 0.0) > SMALL * before.get(family, 0.0)
    )


def _like(target: Target, laps: tuple[Lap, ...]) -> tuple[float, float]:
    """The length of a target's lap and what it needs [m]: of those of its name, the one that is judged
    most alike."""
    named = [lap for lap in laps if key_of(lap) == target.lap]
    lap = min(named, key=lambda lap: (abs(lap.needed - target.needed), lap.length))
    return lap.length, lap.needed


def _broken(words: str) -> Checked:
    return Checked(words, 0.0, {}, ())
