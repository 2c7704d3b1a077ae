"""The hours of a weather record in which a detail would have let water in, in plain values."""

from __future__ import annotations

from typing import Any

from scenes.gust import Gusts
from scenes.record import Record
from scenes.record_hours import GUST_FACTOR, hours_let_in


def hours_told(
    record: Record, gusts: Gusts, bearing: float, gust_factor: float | None
) -> dict[str, Any]:
    """What `gust.json` holds of a record; bearing: that the eaves look to [degrees of the compass]."""
    hours = hours_let_in(
        record,
        [leak.from_angle for leak in gusts.leaks],
        [leak.gust for leak in gusts.leaks],
        eaves_compass_deg=bearing,
        gust_factor=gust_factor or GUST_FACTOR,
    )
    remarks = list(record.remarks())
    if hours.assumed:
        remarks.append(
            f"{hours.assumed:,} of {hours.hours_wet:,} hours with rain have no gust on record: the "
            f"mean wind times {hours.gust_factor:g} stands for it"
        )
    return {
        "file": record.file,
        "eaves_look_to_deg": bearing,
        "wet": hours.hours_wet,
        "let_in": hours.hours_let_in,
        "by_direction": [int(count) for count in hours.let_in],
        "remarks": remarks,
    }
