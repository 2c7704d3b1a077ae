"""Cautions fit the sheet that is worked: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

from scenes.cautions import CAUTIONS, cautions_of
from scenes.scene import load


def test_a_zinc_job_is_not_warned_of_lead() -> None:
    """Common practice, no source: lead for what is lead or not known, soldering for zinc."""
    zinc = " ".join(cautions_of(load("zinc").detail))
    assert "Lead" not in zinc
    assert "flux" in zinc
    assert cautions_of(load("cottage").detail) == cautions_of(None) == CAUTIONS


def test_two_details_are_warned_of_what_either_needs_each_once() -> None:
    """Contract."""
    detail = load("cottage").detail
    assert detail is not None
    both = cautions_of(detail, replace(detail, material="zinc"))
    assert set(both) == {*CAUTIONS, *cautions_of(replace(detail, material="zinc"))}
    assert len(both) == len(set(both)) == len(CAUTIONS) + 1
