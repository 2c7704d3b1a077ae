"""What every fault does to the water: expected by reasoning about the detail, one row a fault.

Gusts lie between the two first-leak gusts, or just under and over the one that stays as it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Effect = Literal["still", "inside", "gust", "storm", "none"]
Box = tuple[float, float, float, float]
"""Least and greatest x, least and greatest y [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A fault in a scene, beside other faults if need be, and what it does there.

    effect: "still": it leaks in still rain; "inside": what leaks in beside it reaches the inside; "gust":
    it lets water in at `gust` [m/s] from `from_deg`, the scene without it none; "storm": it leaks in
    `weather`, where the scene without it doesn't (the search of the gust has no water under lifted
    edges to begin with, and none that flies through slots); "none": neither lets any in at `gust`,
    and the scene without it does at `more`. where: the place where a roofer would look, for "inside"
    that where it comes out; short: the upper sheet of laps that are then too short; why: what the
    expectation rests on.
    """

    fault: str
    why: str
    scene: str = "cottage"
    beside: str = ""
    from_deg: float = 0.0
    effect: Effect = "none"
    gust: float = 0.0
    more: float = 0.0
    weather: str = ""
    where: Box | None = None
    short: str = ""

    def __str__(self) -> str:
        return f"{self.scene}: {self.fault}"


LEFT_WALL: Box = (-335, -200, -40, 460)
LEFT_CORNER: Box = (-345, -270, -60, 60)
NAIL = "nail through the cover@back=10"

STILL = (
    Row(fault="side over the gutter@left", effect="still", weather="calm", where=(-460, -290, 400, 560),
        why="what runs off the gutter's end runs under the side's edge"),
    Row(fault="split in a bend@left", effect="still", weather="calm", where=LEFT_WALL,
        why="the bend is the side's channel: all that runs down it falls through"),
    Row(fault=NAIL, effect="still", weather="calm", where=(-200, 0, 440, 800),
        why="water runs over the hole, and nothing but the underlay lies under it"),
    Row(fault="underlay not turned up@back", beside=NAIL, effect="inside", weather="calm",
        where=(-310, 310, 400, 480),
        why="what the underlay caught runs down to the stack's back, where nothing turns it aside"),
    Row(fault="underlay cut at the corner@back left=40", beside=NAIL, effect="inside", weather="calm",
        where=(-360, -220, 380, 510),
        why="what the underlay caught runs along its upturn to the corner, and through the hole"),
    Row(fault="torn by heat@back", scene="wide", effect="still", weather="calm",
        where=(-800, 800, 480, 1400), why="the tear crosses the valleys' water"),
    Row(fault="soaker left out@left", scene="stepped", effect="still", weather="calm",
        where=(-460, -330, 100, 620), why="nothing but that soaker lies under the joint at the wall"),
    Row(fault="soaker tucked under@left", scene="stepped", effect="still", weather="calm",
        where=(-360, -330, 250, 420),
        why="what runs down it runs in under the soaker below, past whose end the joint at the wall is open"),
)  # fmt: skip
IN_WIND = (
    Row(fault="return tucked under@left", from_deg=270, effect="gust", gust=8.0, weather="spray rack",
        where=LEFT_CORNER, why="the apron's end faces what runs down the side, and the wind"),
    Row(fault="cover too narrow@left", from_deg=270, effect="gust", gust=14.8, weather="spray rack",
        where=(-480, -290, -100, 640), why="a lap across the slope stands by its width: 90 for 150 mm"),
    Row(fault="covering cut too far off", from_deg=270, effect="gust", gust=14.1, weather="spray rack",
        where=(-470, 310, -60, 660), why="it takes away from the covers' laps all round"),
    Row(fault="gutter too short", from_deg=270, effect="gust", gust=11.9, weather="spray rack",
        where=(-420, -300, 430, 700), why="the gutter's end is the lap that is narrow then"),
    Row(fault="mortar fallen out", from_deg=270, effect="gust", gust=8.0, weather="spray rack",
        where=(-310, 310, -40, 460),
        why="what runs down the wall falls into the open chases, and the wind blows it over the turn-ins"),
    Row(fault="back corner not soldered", from_deg=315, effect="gust", gust=8.0, weather="driving",
        where=(-310, 310, 430, 460),
        why="what runs down the wall at the corner runs in between the gutter's upstand and the side's"),
    Row(fault="covering starts too high", from_deg=270, effect="gust", gust=15.8,
        why="the gutter's leg is so much shorter under its first course"),
    Row(fault="no turn-in@left", from_deg=0, effect="gust", gust=20.3, where=LEFT_WALL,
        why="along the open chase there is no outward fall to cross"),
    Row(fault="no turn-in@front", from_deg=0, effect="storm", weather="driving",
        where=(-310, 310, -20, 20), why="what runs down the wall runs into the chase behind the apron"),
    Row(fault="apron too narrow=50", from_deg=270, effect="storm", weather="driving",
        where=LEFT_CORNER, why="cut as wide as the stack, its upstand ends short of the side's return"),
    Row(fault="lifted edge@left=60", from_deg=270, effect="storm", weather="driving",
        where=(-470, -380, 60, 380), why="rain that is blown along flies in under the lifted edge"),
    Row(fault="gutter too narrow=100", from_deg=270, effect="gust", gust=15.3,
        why="its end, shorter up the slope, lets water in under the side's cover nearer to the wall"),
    Row(fault="turn-in too shallow@left", beside="mortar fallen out", from_deg=270, effect="gust", gust=3.4,
        weather="spray rack", where=LEFT_WALL,
        why="in an open chase the turn-in stands by its depth: 10 for 25 mm"),
    Row(fault="slit corner without patch@front left", scene="zinc", from_deg=340, effect="storm",
        weather="spray rack", where=LEFT_CORNER,
        why="rain flies in through the slit; no film is driven round a free edge here"),
    Row(fault="fin folded the wrong way@left", scene="terrace", from_deg=0, effect="gust", gust=8.0,
        where=(-440, -400, -200, 20),
        why="what runs down the side's upstand runs into the fold, which faces up the slope"),
    Row(fault="corner fold up-slope", scene="ridge", from_deg=180, effect="gust", gust=30.0,
        why="the wind drives what runs down the side into the fold's mouth, which faces it"),
    Row(fault="step left out@left", scene="stepped", from_deg=270, effect="gust", gust=5.0,
        weather="driving", where=(-360, -320, 200, 460),
        why="what runs down the wall runs behind the soaker's upturn"),
    Row(fault="step behind the soakers@left", scene="stepped", from_deg=270, effect="gust", gust=5.0,
        weather="driving", where=(-350, -335, 240, 420),
        why="what runs down the wall and the step runs off it between the soakers' upturns and the wall"),
    Row(fault="cover flashing tucked behind@front", scene="stepped", from_deg=0, effect="gust", gust=5.0,
        weather="driving", where=(-340, 340, -10, 5),
        why="what runs down the wall and the flashing runs down behind the apron's free upstand"),
    Row(fault="cover flashing tucked behind@back", scene="stepped", from_deg=180, effect="gust", gust=5.0,
        weather="spray rack", where=(-340, 340, 555, 575),
        why="what runs down the wall and the flashing runs down behind the gutter's free upstand"),
)  # fmt: skip
UNHURT = (
    Row(fault="upstand too low@left", from_deg=270, gust=15.6, more=19.0,
        why="its top edge is turned in and pointed at any height; splash and snow aren't modelled"),
    Row(fault="return missing@left", from_deg=315, gust=17.0, more=20.0,
        why="the apron's own return still stands behind the side's edge"),
    Row(fault="return too short@left", from_deg=315, gust=17.0, more=20.0,
        why="the apron's own return still stands behind the side's edge"),
    Row(fault="side stopped short@left", from_deg=315, gust=17.0, more=20.0, short="left side flashing",
        why="the rest of the side's lap is as wide as it was"),
    Row(fault="leaves in the gutter@left", from_deg=315, gust=17.0, more=20.0,
        why="the gutter's other end carries the water, and the heap drains no lap"),
    Row(fault="gutter end lap too short", from_deg=315, gust=17.0, more=20.0, short="back gutter",
        why="the lap's width across the slope, which decides, is as it was"),
    Row(fault="gutter leg too short", gust=28.5, more=34.5, short="covering",
        why="the stack shelters the lap behind it from wind that blows up the slope"),
    Row(fault="no welt", gust=28.5, more=34.5,
        why="the stack shelters the lap behind it, and the underlay laps down over its edge"),
    Row(fault="underlay under the gutter", gust=28.5, more=34.5,
        why="no wind drives water as far up as the gutter's top edge before the sides let it in"),
    Row(fault="underlay lap too short", gust=28.5, more=34.5, short="upper underlay",
        why="no wind drives water as far up as the gutter's top edge before the sides let it in"),
    Row(fault="gutter falls to the stack", gust=28.0, more=34.5,
        why="the sole still falls to both ends, and the upstand is higher than what runs there"),
    Row(fault="snow in the gutter", gust=28.0, more=34.5,
        why="the snow lets no water through, and what runs round it runs over the sides' covers"),
    Row(fault="cover not dressed down", gust=28.5, more=34.5,
        why="pressure acts in gaps of up to 6 mm: under covers on the noses water falls clear"),
    Row(fault="tilt fillet left out", gust=28.5, more=34.5, why="sheets that nothing carries don't sag here"),
    Row(fault="ear mouth up-slope", scene="terrace", from_deg=315, gust=15.0, more=18.0,
        why="the ear lies on the apron: what it takes in runs out of it over the apron again"),
    Row(fault="fold over too short@left", scene="terrace", from_deg=315, gust=15.0, more=18.0,
        short="left side flashing", why="the wider side cover lets water in first"),
    Row(fault="wrong lap for a low pitch", scene="low", from_deg=270, gust=9.9, more=11.5,
        short="covering", why="the sides' covers, which are no wider, let water in first"),
    Row(fault="apron over the side@left", scene="zinc", from_deg=270, gust=14.0, more=16.0,
        why="the patch lies over both, whichever lies over the other"),
    Row(fault="soaker too narrow@left", scene="stepped", from_deg=270, gust=28.0, more=30.5,
        why="the open edge of the first soaker lets water in first"),
    Row(fault="soaker upturn too low@left", scene="stepped", from_deg=270, gust=28.0, more=30.5,
        why="the open edge of the first soaker lets water in first"),
    Row(fault="step lap too short@left", scene="stepped", from_deg=270, gust=28.0, more=30.5,
        why="the open edge of the first soaker lets water in first"),
    Row(fault="step tucked under@left", scene="stepped", from_deg=270, gust=28.0, more=30.5,
        why="what gets between the two steps runs down plumb, and off them before the soakers' upturns"),
    Row(fault="cover flashing too short@front", scene="stepped", gust=26.5, more=30.0,
        why="what is left of its lap rises 35 mm more than the wind drives water here"),
    Row(fault="saddle left out", scene="wide", gust=22.5, more=25.5,
        why="a level gutter drains too: what it asks for is leaves and snow"),
    Row(fault="saddle too low", scene="wide", gust=22.5, more=25.5,
        why="it still falls to both sides"),
)  # fmt: skip
ROWS = sorted(
    (*STILL, *IN_WIND, *UNHURT),
    key=lambda row: (row.scene, row.beside, row.from_deg, row.weather, row.fault),
)
"""Those of one scene and wind together, which is made once for them."""
