"""The tables of a scene file that measure: roof, stack, each piece, what lies in the gutter."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Auto = Literal["auto"]
Place = Annotated[float, Field(ge=-100_000, le=100_000)]
CoveringName = Literal[
    "plain tiles", "interlocking", "slates", "profiled", "one plane", "coursed", "plain"
]
PLAN_KEYS = {
    "rectangle": ("width_mm", "depth_mm"),
    "round": ("diameter_mm", "facets"),
    "regular": ("sides", "across_mm"),
    "points": ("points_mm",),
}
"""The keys of [stack] that each plan takes; those of the others must be left out."""
NEEDED_KEYS = ("width_mm", "depth_mm", "points_mm")
"""Those of them that have no default."""


class Table(BaseModel):
    """A table of a scene file: frozen, strict types, no unknown key, no NaN or infinity."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class RoofTable(Table):
    """[roof]"""

    pitch_deg: float = Field(description="pitch of the rafters")
    covering: CoveringName | None = Field(
        None,
        description='"plain tiles", "interlocking", "slates" or "profiled", which bring their usual '
        'figures; "coursed": your own; "one plane" or "plain": no courses',
    )
    gauge_mm: float | None = Field(None, description="from course to course, along the slope")
    thickness_mm: float | None = Field(None, description="height of a course's nose")
    head_lap_mm: float | None = Field(None, description="lap of the courses, along the slope")
    double_lap: bool | None = Field(
        None, description="true for plain tiles and slates, false for interlocking tiles"
    )
    wave_depth_mm: float | None = Field(
        None, description='of a "profiled" covering, from trough to crest'
    )
    wave_pitch_mm: float | None = Field(
        None, description='of a "profiled" covering, from crest to crest'
    )
    batten_mm: float | None = Field(
        None, description="from the underlay to the covering's underside"
    )
    clearance_mm: float | None = Field(None, description="from the stack to the cut covering")
    gutter_open_mm: float | None = Field(
        None, description="of the back gutter left open below the covering's nose"
    )
    below_mm: float | None = Field(None, description="roof below the stack, in plan")
    above_mm: float | None = Field(
        None, description="roof above the stack, in plan; not used where there is a ridge"
    )
    beside_mm: float | None = Field(None, description="roof beside the stack, each side")
    left_mm: float | Auto | None = Field(
        None, description='roof to the left of the stack, up to a verge; "auto": as beside_mm'
    )
    right_mm: float | Auto | None = Field(
        None, description='roof to the right of the stack, up to a verge; "auto": as beside_mm'
    )
    ridge_mm: float | Literal["none"] | None = Field(
        None,
        description="from the stack's front to the ridge that it stands through, in plan; "
        '"none": it stands on one slope',
    )


class StackTable(Table):
    """[stack]"""

    plan: Literal["rectangle", "round", "regular", "points"] | None = Field(
        None,
        description='"rectangle" (width_mm, depth_mm), "round" (diameter_mm, facets), '
        '"regular" (sides, across_mm) or "points" (points_mm)',
    )
    width_mm: float | None = Field(None, description="across the slope, in plan")
    depth_mm: float | None = Field(None, description="up the slope, in plan")
    diameter_mm: float | None = Field(None, description="of a round stack")
    facets: Annotated[int, Field(ge=8, le=64)] | None = Field(
        None, description="flat faces that stand for the round; an even number, 8 to 64"
    )
    sides: Annotated[int, Field(ge=3, le=64)] | None = Field(
        None, description="number of equal sides, 3 to 64; one looks down the slope before the turn"
    )
    across_mm: float | None = Field(
        None,
        description="from flat to flat; for an odd number of sides, twice from middle to flat",
    )
    points_mm: (
        Annotated[
            list[Annotated[list[Place], Field(min_length=2, max_length=2)]],
            Field(min_length=3, max_length=64),
        ]
        | None
    ) = Field(
        None,
        description="[to the right, up the slope] of each corner, in plan, in turn; 3 to 64, convex",
    )
    turn_deg: float | None = Field(
        None, description="of the plan about the upright, anticlockwise seen from above"
    )
    height_mm: float | None = Field(None, description="above the covering at the front")
    capping_overhang_mm: float | None = Field(None, description="of the capping, all round")
    capping_thickness_mm: float | None = Field(None, description="of the capping at its edge")
    chase_depth_mm: float | None = Field(None, description="of the slot for the turn-ins")
    chase_height_mm: float | None = Field(None, description="of the slot's mouth")
    pointed: bool | None = Field(
        None, description="false where the filling round the turn-ins has fallen out"
    )
    brick_gauge_mm: float | None = Field(
        None, description="height of a brick course with its joint, which steps follow"
    )


class ApronTable(Table):
    """[apron]"""

    turn_in_mm: float | None = Field(None, description="into the chase; 0 for none")
    upstand_mm: float | None = Field(None, description="up the stack's front face")
    cover_mm: float | None = Field(None, description="down over the covering")
    overhang_mm: float | None = Field(None, description="past the stack at each end")
    two_part: bool | None = Field(
        None, description="true: a free upstand, and a cover flashing down over it"
    )
    flashing_lap_mm: float | None = Field(
        None, description="of the cover flashing over the upstand, where two_part is true"
    )


class SidesTable(Table):
    """[sides]"""

    way: Literal["cover", "soakers", "stepped cover"] | None = Field(
        None,
        description='"cover" (one piece), "soakers" (one a course, step flashing over them) or '
        '"stepped cover" (steps and cover in one piece)',
    )
    turn_in_mm: float | None = Field(None, description="into the chase; 0 for none")
    upstand_mm: float | None = Field(None, description="to the water line, square to the slope")
    cover_mm: float | None = Field(None, description="sideways over the covering")
    corner_return_mm: float | None = Field(None, description="round the corners of the stack")
    fold_over_mm: float | None = Field(None, description="of a fin's edge over the apron's")
    soaker_width_mm: float | None = Field(None, description="of a soaker on the roof")
    soaker_upturn_mm: float | None = Field(
        None, description="of a soaker up the wall, over the noses of the courses"
    )
    step_lap_mm: float | None = Field(None, description="of each step over the next one down")


class GutterTable(Table):
    """[gutter]"""

    behind: Literal["gutter", "saddle", "by rule"] | None = Field(
        None,
        description='"gutter" (level), "saddle", or "by rule": a saddle behind a stack more than '
        "762 mm wide that doesn't meet the ridge (IRC R1003.20)",
    )
    turn_in_mm: float | None = Field(None, description="into the chase; 0 for none")
    upstand_mm: float | None = Field(None, description="up the stack's back face")
    upstand_return_mm: float | None = Field(
        None, description="of the upstand, round onto the stack's sides; 0 for none"
    )
    sole_mm: float | None = Field(None, description="width of the gutter's bottom")
    sole_fall_deg: float | None = Field(None, description="fall of the sole towards the stack")
    leg_mm: float | Auto | None = Field(
        None, description='from the covering\'s nose to the top edge; "auto": rises 75 mm'
    )
    welt_mm: float | None = Field(None, description="turned back at the top edge; 0 for none")
    lap_mm: float | Auto | None = Field(
        None, description='of the ends down over the sides; "auto": rises 75 mm'
    )
    beyond_stack_mm: float | Auto | None = Field(
        None, description='past the stack at each end; "auto": over the sides\' outer edges'
    )
    saddle_height_mm: float | Auto | None = Field(
        None,
        description="of a saddle's ridge at the stack, above the roof; "
        '"auto": the saddle has the roof\'s pitch',
    )
    open_mm: float | None = Field(
        None, description="of the valleys of a saddle, or behind a turned or round stack, left open"
    )
    two_part: bool | None = Field(
        None, description="true: a free upstand, and a cover flashing down over it"
    )
    flashing_lap_mm: float | None = Field(
        None, description="of the cover flashing over the upstand, where two_part is true"
    )


class UnderlayTable(Table):
    """[underlay]"""

    front_mm: float | None = Field(None, description="turned up at the stack's front")
    sides_mm: float | None = Field(None, description="turned up at the stack's sides")
    lap_mm: float | Auto | None = Field(
        None, description='down over the back gutter\'s top edge; "auto": by the pitch'
    )


class DebrisTable(Table):
    """[debris]"""

    leaves: Literal["none", "left", "right", "both"] | None = Field(
        None, description="ends of the back gutter that are blocked"
    )
    leaves_high_mm: float | None = Field(None, description="crest of a heap above the sole")
    leaves_long_mm: float | None = Field(None, description="along the gutter, from its end")
    snow_mm: float | None = Field(
        None, description="held behind the stack, above the covering; 0 for none"
    )
