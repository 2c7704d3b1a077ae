"""What a way to flash the sides asks for, and how much room its sheets take off the wall."""

from __future__ import annotations

from math import cos

from meshes.errors import require
from meshes.rules import soaker_length, step_run
from meshes.spec import Detail

INNERMOST = 3  # bedding gaps: the underlay's upturn and the apron's return stand behind the soakers
STEPS_OUTSIDE = 1.75  # bedding gaps from the soakers' outermost line to the steps' innermost
FANNED = 1.5  # bedding gaps that a step's lower end stands further off than its upper end, and over
WITHIN = 0.0002  # [m] soakers' upturns keep this far from the covering's cut edges
LEAST_OF_STEP = 0.010  # [m] a step shows at least so much of itself below the next


def check_way(detail: Detail) -> None:
    """Raises PieceError where the sides can't be flashed as asked."""
    way, roof = detail.sides.way, detail.roof
    if way == "cover":
        return
    folded = detail.joint == "return" and detail.facing == "down-slope"
    _allowed(detail, folded, "cover where corners aren't returns that face down the slope")
    _allowed(detail, roof.ridge is None, "cover where the stack stands through a ridge")
    order = [name for name in detail.order if name != "underlay"]
    usual = order[0] == "apron" and order[-1] == "gutter"
    rule = "apron first and gutter last where the sides have steps"
    require(usual, "order", ", ".join(detail.order), rule)
    if way == "stepped cover":
        return
    _allowed(
        detail, roof.covering == "coursed", "cover or stepped cover on a covering without courses"
    )
    dressed = "cover or stepped cover where covers rest on the noses"
    _allowed(detail, detail.cover_fit == "dressed", dressed)
    need = INNERMOST * detail.gap + WITHIN + soaker_fan(detail)
    rule = f"at least {need * 1000:.1f} mm here, for the soakers' upturns"
    require(roof.clearance >= need, "clearance", f"{roof.clearance * 1000:g} mm", rule)
    run = step_run(detail.stack.brick_gauge, roof.pitch)
    most = run - LEAST_OF_STEP
    rule = f"at most {most * 1000:.0f} mm here, as a step runs {run * 1000:.0f} mm up the slope"
    require(detail.sides.step_lap <= most, "step lap", f"{detail.sides.step_lap * 1000:g} mm", rule)


def soaker_run(detail: Detail) -> float:
    """Length of a soaker in plan [m]."""
    roof = detail.roof
    return soaker_length(roof.gauge, roof.head_lap) * cos(roof.covering_pitch)


def soaker_fan(detail: Detail) -> float:
    """How much further off the wall a soaker's lower end stands than its upper end [m]: so much that
    each stands one bedding gap outside the one below it."""
    return detail.gap * soaker_run(detail) / (detail.roof.gauge * cos(detail.roof.pitch))


def steps_off(detail: Detail) -> float:
    """How far off the wall the upper ends of step flashings over soakers stand [m]."""
    return soaker_fan(detail) + (INNERMOST + STEPS_OUTSIDE) * detail.gap


def beyond_soakers(detail: Detail) -> float:
    """How much further off the wall [m] the sides' sheets, and all over them, stand for the soakers."""
    if detail.sides.way != "soakers":
        return 0.0
    return steps_off(detail) + (FANNED - INNERMOST) * detail.gap


def _allowed(detail: Detail, ok: bool, rule: str) -> None:
    require(ok, "side way", detail.sides.way, rule)
