"""The files that take longest, in the order in which they begin."""

from __future__ import annotations

LONGEST = (
    "scenes/faults/test_gust_effects.py",
    "meshes/test_sheets_apart.py",
    "scenes/page/test_page_browser.py",
    "scenes/test_any_plan.py",
    "scenes/cutting/test_pattern_files.py",
    "scenes/test_run_in_wind.py",
    "scenes/test_gust_details.py",
    "scenes/test_gusts.py",
    "scenes/test_right_details.py",
    "scenes/test_compare_command.py",
    "scenes/diagnose/test_diagnosis.py",
    "scenes/test_gust_command.py",
    "scenes/test_wrong_details.py",
    "scenes/test_compare_picture.py",
    "scenes/test_compare.py",
    "sim/test_soups.py",
    "scenes/sweep/test_same_bytes.py",
)
"""Each a quarter of a minute of one core or more. The first has the tracer compiled, which takes as long;
the second needs none of it, so that no two processes compile at once."""
