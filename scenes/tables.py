"""What a scene file may say: one strict model a table, lengths in mm and angles in degrees.

A key left out (None here) takes the builder's default from `meshes.spec`, so no default is written
twice. `description` is the remark that `stackrain new` writes behind the key.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from scenes.tables_pieces import (
    ApronTable,
    DebrisTable,
    GutterTable,
    RoofTable,
    SidesTable,
    StackTable,
    Table,
    UnderlayTable,
)
from scenes.weather import CASES, MOST_RAIN_MM_H
from sim.wind_inputs import DRAG, MOST_GUST, MOST_PRESSURE, STRONGEST_DRAG

RoleName = Literal["covering", "flashing", "stack", "underlay", "inside", "debris"]
Unit = Literal["mm", "cm", "m", "in"]
CaseName = Literal["calm", "cloudburst", "driving", "spray rack"]
MaterialName = Literal[
    "lead code 3",
    "lead code 4",
    "lead code 5",
    "lead code 6",
    "zinc",
    "copper",
    "aluminium",
    "self-adhesive",
]
Text = Annotated[str, Field(min_length=1, max_length=120, pattern=r"^[^\x00-\x1f\x7f]+$")]
Note = Annotated[str, Field(max_length=2000, pattern=r"^[^\x00-\x08\x0b-\x1f\x7f]*$")]


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
    joint: Literal["return", "fin", "slit and patch", "bossed"] | None = Field(
        None, description='at the corners: "return", "fin", "slit and patch" or "bossed"'
    )
    facing: Literal["down-slope", "up-slope"] | None = Field(
        None, description='of the corners\' folds: "down-slope" sheds water, "up-slope" scoops it'
    )
    material: MaterialName | None = Field(
        None,
        description='of the flashings: "lead code 3" to "lead code 6", "zinc", "copper", '
        '"aluminium" or "self-adhesive"',
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
