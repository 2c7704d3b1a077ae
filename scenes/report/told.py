"""What a report says, in a householder's words, from what `findings.json` holds and the scene."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from itertools import groupby
from typing import Any, Final

from scenes.gust_words import verdict_with_step
from scenes.report.assumed import measures_of
from scenes.say import verdict
from scenes.say_text import count, figure
from scenes.say_weather import weather_words
from scenes.scene import Scene
from scenes.stage_words import capital, percent
from scenes.units_text import in_spoken

Found = Mapping[str, Any]

MOST_LEAKS: Final = 12
SEARCH_GUST: Final = (
    "Which gust the detail stands was not searched for here; whoever made this report can, with --gust."
    " Each lap's own figure stands in the table of laps."
)
SEARCH_CURES: Final = "Cures were not looked for here; whoever made this report can, with --cures."
ASSUMED: Final = (
    "Rain and wind are steady and the same all over the roof; drops do not splash, and eddies round the"
    " stack do not turn them.",
    "Sheets that lap lie {gap:g} mm apart and are as exact as drawn; real ones are less so.",
    "Pressures of the wind on open edges are this model's, not measured: they rank details, and promise"
    " nothing of a house.",
    "Side joints between tiles, battens and mortar are not modelled; the covering's own laps are told of"
    " apart.",
)
"""What the model leaves out and rests on: the README's tables say it in full."""


def told(found: Found, scene: Scene, picture: bytes | None, *, page: bool) -> dict[str, Any]:
    """All that the report's template shows, in the units that are spoken. found: what findings.json
    holds; picture: a PNG file, or None; page: whether page.html lies beside the report."""
    told = _told(found, scene, picture, page=page)
    return in_spoken(told) | {key: told[key] for key in ("title", "made")}


def _told(found: Found, scene: Scene, picture: bytes | None, *, page: bool) -> dict[str, Any]:
    leaks, short = found["leaks"], [lap for lap in found["laps"] if not lap["ok"]]
    gap = 1.0 if scene.detail is None else scene.detail.gap * 1000
    return {
        "title": scene.title,
        "note": scene.note,
        "finding": _finding(found),
        "bad": bool(leaks or short),
        "faults": found["faults"],
        "weather": capital(weather_words(found["weather"])),
        "image": None
        if picture is None
        else f"data:image/png;base64,{b64encode(picture).decode()}",
        "page": page,
        "leaks": [_leak(leak, found) for leak in leaks[:MOST_LEAKS]],
        "more_leaks": max(0, len(leaks) - MOST_LEAKS),
        "short": [_short(lap, found) for lap in short],
        "laps": [_lap(lap) for lap in found["laps"]],
        "together": found.get("cures_together"),
        "cures_asked": "cures" in found,
        "search_cures": SEARCH_CURES,
        "stands": verdict_with_step(found["first_leak"]) if "first_leak" in found else SEARCH_GUST,
        "making": found["making"],
        "groups": _groups(scene),
        "assumed": [line.format(gap=gap) for line in ASSUMED],
        "cautions": found["cautions"],
        "made": _made(found),
    }


def _finding(found: Found) -> str:
    """The finding in one sentence, in the weather that it holds for."""
    return verdict(found)


def _leak(leak: Found, found: Found) -> dict[str, Any]:
    where = "inside the house" if leak["severity"] == "inside" else "on the underlay"
    return {
        "number": leak["id"],
        "way_in": capital(leak["way_in"]),
        "share": f"{percent(leak['share'])} of the rain, {figure(leak['flow_ml_min'])} ml a minute",
        "arrives": where,
        "why": leak["why"],
        "cures": _cures("leaks", leak["id"], found),
    }


def _short(lap: Found, found: Found) -> dict[str, Any]:
    missing = lap["needed_mm"] - lap["length_mm"]
    return {
        "name": capital(f"{lap['upper']} over {lap['lower']}, {lap['where']}"),
        "sizes": f"{lap['length_mm']:.0f} mm long, {lap['needed_mm']:.0f} mm needed: "
        f"{missing:.0f} mm short",
        "rule": f"{capital(lap['rule'])}; source: {lap['source'].replace(' (seen)', '')}.",
        "cures": _cures("laps", lap["id"], found),
    }


def _cures(kind: str, number: int, found: Found) -> list[str]:
    """The cures of a leak or a lap, the least work first; or why there are none."""
    rows = [
        f"{capital(cure['what'])}: {cure['does']}. {capital(cure['takes'])}"
        for cure in found.get("cures", ())
        if number in cure[kind]
    ]
    key = kind.removesuffix("s")
    none = [capital(row["why"]) for row in found.get("uncured", ()) if row[key] == number]
    return rows[:3] or none


def _lap(lap: Found) -> dict[str, Any]:
    gust = lap["first_leak_gust_m_s"]
    return {
        "name": f"{lap['upper']} over {lap['lower']}, {lap['where']}",
        "length": f"{lap['length_mm']:.0f} mm",
        "needed": f"{lap['needed_mm']:.0f} mm",
        "gust": f"{gust:.0f} m/s",
        "ok": lap["ok"],
    }


def _groups(scene: Scene) -> list[dict[str, Any]]:
    """The scene's measures by the piece that they belong to: those that its file says, and the others in
    one text."""
    rows = []
    for name, some in groupby(measures_of(scene), key=lambda one: one.group):
        both = list(some)
        usual = "; ".join(f"{one.plain}: {one.value}" for one in both if not one.given)
        rows.append(
            {
                "name": name,
                "given": [one for one in both if one.given],
                "usual": capital(usual) if usual else "",
            }
        )
    return rows


def _made(found: Found) -> str:
    scene = found["scene"]
    return (
        f"stackrain {found['version']}, seed {found['seed']}, {count(found['drops'], 'drop')}; scene "
        f"{scene['file']}, SHA-256 {scene['sha256'][:16]}"
    )
