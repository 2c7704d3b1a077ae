"""What a scene file may say: one strict model a table, lengths in mm and angles in degrees.

A key left out (None here) takes the builder's default from `meshes.spec`, so no default is written
twice. `description` is the remark that `stackrain new` writes behind the key.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from scenes.weather import CASES, MOST_RAIN_MM_H
from sim.wind_inputs import DRAG, MOST_GUST, MOST_PRESSURE, STRONGEST_DRAG

Auto = Literal["auto"]
RoleName = Literal["covering", "flashing", "stack", "underlay", "inside", "debris"]
Unit = Literal["mm", "cm", "m", "in"]
CaseName = Literal["calm", "cloudburst", "driving", "spray rack"]
Text = Annotated[str, Field(min_length=1, max_length=120, pattern=r"^[^\x00-\x1f\x7f]+$")]
Note = Annotated[str, Field(max_length=2000, pattern=r"^[^\x00-\x08\x0b-\x1f\x7f]*$")]


class Table(BaseModel):
    """A table of a scene file: frozen, strict types, no unknown key, no NaN or infinity."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class RoofTable(Table):
    """[roof]"""

    pitch_deg: float = Field(description="pitch of the rafters")
    covering: Literal["coursed", "plain"] | None = Field(
        None, description='"coursed" (real courses) or "plain" (one plane)'
    )
    gauge_mm: float | None = Field(None, description="from course to course, along the slope")
    thickness_mm: float | None = Field(None, description="height of a course's nose")
    head_lap_mm: float | None = Field(None, description="lap of the courses, along the slope")
    double_lap: bool | None = Field(
        None, description="true for plain tiles and slates, false for interlocking tiles"
    )
    batten_mm: float | None = Field(
        None, description="from the underlay to the covering's underside"
    )
    clearance_mm: float | None = Field(None, description="from the stack to the cut covering")
    gutter_open_mm: float | None = Field(
        None, description="of the back gutter left open below the covering's nose"
    )
    below_mm: float | None = Field(None, description="roof below the stack, in plan")
    above_mm: float | None = Field(None, description="roof above the stack, in plan")
    beside_mm: float | None = Field(None, description="roof beside the stack, each side")


class StackTable(Table):
    """[stack]"""

    width_mm: float = Field(description="across the slope, in plan")
    depth_mm: float = Field(description="up the slope, in plan")
    height_mm: float | None = Field(None, description="above the covering at the front")
    capping_overhang_mm: float | None = Field(None, description="of the capping, all round")
    capping_thickness_mm: float | None = Field(None, description="of the capping at its edge")
    chase_depth_mm: float | None = Field(None, description="of the slot for the turn-ins")
    chase_height_mm: float | None = Field(None, description="of the slot's mouth")
    pointed: bool | None = Field(
        None, description="false where the filling round the turn-ins has fallen out"
    )


class ApronTable(Table):
    """[apron]"""

    turn_in_mm: float | None = Field(None, description="into the chase; 0 for none")
    upstand_mm: float | None = Field(None, description="up the stack's front face")
    cover_mm: float | None = Field(None, description="down over the covering")
    overhang_mm: float | None = Field(None, description="past the stack at each end")


class SidesTable(Table):
    """[sides]"""

    turn_in_mm: float | None = Field(None, description="into the chase; 0 for none")
    upstand_mm: float | None = Field(None, description="to the water line, square to the slope")
    cover_mm: float | None = Field(None, description="sideways over the covering")
    corner_return_mm: float | None = Field(None, description="round the corners of the stack")
    fold_over_mm: float | None = Field(None, description="of a fin's edge over the apron's")


class GutterTable(Table):
    """[gutter]"""

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


class WeatherTable(Table):
    """[weather]"""

    case: CaseName = Field(
        default="calm", description="rain and gust by name, for those that stand below are left out"
    )
    rain_mm_h: float = Field(
        default=75.0, gt=0, le=MOST_RAIN_MM_H, description="on level ground, wind or none"
    )
    gust_m_s: float = Field(default=0.0, ge=0, le=MOST_GUST, description="at the roof")
    from_deg: float = Field(
        default=0.0,
        ge=-360,
        le=360,
        description="0: wind and rain come from the eaves side, 90: from the right",
    )
    slant_deg: float = Field(
        default=0.0, ge=0, le=80, description="of the rain from the upright, where there is no gust"
    )
    drag_coefficient: float = Field(
        default=DRAG,
        ge=0,
        le=STRONGEST_DRAG,
        description="of wind on a film of water; 0.003 to 0.01",
    )
    pressure_factor: float = Field(
        default=1.0, ge=0, le=MOST_PRESSURE, description="on the wind's pressure at open edges"
    )
    push_m_s2: Annotated[
        list[Annotated[float, Field(ge=-50, le=50)]], Field(min_length=3, max_length=3)
    ] = Field(
        default=[0.0, 0.0, 0.0],
        description="added to gravity: [to the right, up-slope, upwards]; where there is no gust",
    )

    @property
    def case_it_is(self) -> str | None:
        """Name of the case that has just these figures of rain and gust; None for none."""
        figures = (self.rain_mm_h, self.gust_m_s)
        return next((c.name for c in CASES if (c.rain_mm_h, c.gust_m_s) == figures), None)

    @model_validator(mode="before")
    @classmethod
    def _of_its_case(cls, data: Any) -> Any:
        """What the case says of rain and gust, where the table says nothing."""
        known = {one.name: one for one in CASES}
        name = data.get("case") if isinstance(data, dict) else None
        if not isinstance(name, str) or name not in known:
            return data
        one = known[name]
        return {"rain_mm_h": one.rain_mm_h, "gust_m_s": one.gust_m_s} | data


class PartTable(Table):
    """[[part]]"""

    name: Text = Field(description="as it shall be called in the results")
    file: Text = Field(description="STL, OBJ, PLY or GLB, found from the scene file's folder")
    role: RoleName = Field(description="what the part does in the roof")
    unit: Unit = Field(description="of the numbers in the file")


class SceneTable(Table):
    """A scene file whole."""

    title: Text = Field("Untitled", description="stands over the results")
    note: Note = Field("", description="where the figures come from")
    joint: Literal["return", "fin"] | None = Field(
        None, description='at the front corners: "return" or "fin"'
    )
    cover_fit: Literal["dressed", "resting"] | None = Field(
        None, description='covers follow the courses ("dressed") or lie on the noses ("resting")'
    )
    order: list[Literal["apron", "left", "right", "gutter", "underlay"]] | None = Field(
        None, description="of dressing: a later piece lies over an earlier one"
    )
    bedding_gap_mm: float | None = Field(None, description="between two sheets that lap")
    roof: RoofTable | None = None
    stack: StackTable | None = None
    apron: ApronTable | None = None
    sides: SidesTable | None = None
    gutter: GutterTable | None = None
    debris: DebrisTable | None = None
    underlay: UnderlayTable | None = None
    weather: WeatherTable = WeatherTable()
    part: list[PartTable] = Field(default_factory=list, max_length=200)
