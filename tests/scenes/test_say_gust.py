"""The gust that a detail stands, in plain words."""

from __future__ import annotations

import json
import re
from itertools import pairwise

from scenes.gust_words import both_units, covering_sentence, letters, side_words, verdict
from scenes.say_gust import gust_answer
from tests.scenes.gust_found import HOURS, INPUTS, USUAL, gusts_found

MIRRORED = (30.0, 30.0, 30.0, 20.0, 16.4, 20.0, *[None] * 5, 20.0, 16.4, 20.0, 30.0, 30.0)

WIDTH = 100
"""Letters of the longest line that is promised."""


def row_of(text: str, name: str) -> str:
    """The line of the table that begins with a direction's name."""
    (line,) = (line for line in text.splitlines() if re.match(rf"  {name} {{2,}}", line))
    return line


def test_the_verdict_is_one_sentence() -> None:
    """Derived from the findings given; 16.4 m/s is 59.04 km/h, and 0.602 x 16.4^2 = 161.9 Pa reaches
    the step of 150 Pa (ladder of EN 12208, seen)."""
    sentence = (
        "Stands gusts up to 16.4 m/s (59 km/h); lets water in first with wind from the right: under "
        "the edge of the right side flashing, at the right, driven across a lap."
    )
    assert verdict(gusts_found()) == sentence
    told = gust_answer(gusts_found()).split("\n\n")[1]
    assert told.replace("\n", " ") == f"{sentence} EN 12208 step 150 Pa."


def test_what_stands_every_gust_and_what_needs_no_wind() -> None:
    """Derived: nothing is promised beyond what was tried, and a calm leak has no gust."""
    stands = verdict(gusts_found([None] * 16))
    assert stands.startswith("No gust up to 75 m/s (270 km/h), from any of the 16 directions, gets")
    assert "EN 12208 step 0" not in gust_answer(gusts_found([None] * 16))
    for calm in (0.0, 0.04):
        said = verdict(gusts_found([calm, *USUAL[1:]]))
        assert said.startswith("Lets water in without any wind: under the edge of the front apron")
    said = verdict(gusts_found([0.16, *USUAL[1:]]))
    assert said.startswith(
        "Stands hardly any wind: as soon as rain is blown from the eaves, water gets"
    )


def test_directions_that_tie_are_all_named_or_counted() -> None:
    """Derived: a stack that is the same on both sides is weakest from both."""
    assert "with wind from the right, and from the left: under" in verdict(gusts_found(MIRRORED))
    assert "with wind from 16 of the 16 directions" in verdict(gusts_found([16.4] * 16))


def test_the_table_has_every_direction_with_its_figures() -> None:
    """Derived: 0.602 x 34.2^2 = 704 Pa, step 600 Pa; 34.2 m/s is 123 km/h."""
    text = gust_answer(gusts_found())
    for row in gusts_found()["directions"]:
        row_of(text, row["from"])
    eaves = row_of(text, "eaves").split()
    assert " ".join(eaves) == "eaves 34.2 m/s 123 km/h 704 Pa 600 Pa c lap 3: 34.1 m/s"
    assert "over 75 m/s" in row_of(text, "ridge")
    assert "not a class that was tested" in text.replace("\n", " ")
    assert "Mind the edge." in text


def test_ways_in_have_letters_the_weakest_first() -> None:
    """Derived: the right gives way at 16.4, the left at 17.4, the front at 33.0 m/s."""
    assert letters(gusts_found()) == [*"cccaaa", "", "", "", "", "", *"bbbcc"]
    text = gust_answer(gusts_found())
    assert re.search(r"\n   a  under the edge of the right side flashing", text)
    assert "In at (410, 250, 120)" in text.replace("\n      ", " ")


def test_a_path_that_no_lap_explains_is_marked_and_told() -> None:
    """Derived: one note for the same remark from two directions, and a star in both rows."""
    found = gusts_found()
    for number in (4, 12):
        found["directions"][number]["remark"] = "no lap explains this path."
    found["directions"][0]["agrees"] = False
    text = gust_answer(found)
    assert "\n* right; left: no lap explains this path.\n" in text
    assert "\n* eaves: the measured lap and the followed path differ.\n" in text
    starred = [line for line in text.splitlines() if line.endswith(" *")]
    assert [line.split()[0] for line in starred] == ["eaves", "right", "left"]


def test_water_that_comes_in_past_a_laps_edge_is_told() -> None:
    """Derived: in the row of its direction, with what the word means; elsewhere neither."""
    found = gusts_found()
    assert "past" not in gust_answer(found)
    found["directions"][0]["lap"]["inside_mm"] = 18.9
    text = gust_answer(found)
    assert row_of(text, "eaves").endswith("lap 3 past 19 mm: 34.1 m/s")
    assert "under another sheet, so far past its open edge" in text.replace("\n", " ")


def test_the_covering_is_told_only_where_it_gives_way_first() -> None:
    """Derived: 30.1 is under 34.2 m/s, and 40 is not under 16.4 m/s."""
    found = gusts_found()
    assert covering_sentence(found) == ""
    assert "covering  " not in gust_answer(found)
    found["directions"][0]["covering_gust_m_s"] = 30.1
    found["directions"][4]["covering_gust_m_s"] = 40.0
    found["directions"][8]["covering_gust_m_s"] = 50.0
    text = gust_answer(found)
    assert "2 of 16 directions, first at 30.1 m/s (108 km/h) from the eaves" in covering_sentence(
        found
    )
    assert row_of(text, "eaves").endswith("30.1 m/s")
    assert row_of(text, "right").endswith("-")
    assert row_of(text, "ridge").endswith("50.0 m/s")


def test_inputs_come_in_the_order_of_what_they_move() -> None:
    """Derived: the drag moves the gust by 1.9, the bedding gap by 0.5 m/s; no gust at all moves it
    by at least 75 - 16.4 = 58.6 m/s."""
    text = gust_answer(gusts_found(inputs=INPUTS))
    assert text.index("drag of the wind on a film (range: memory") < text.index(
        "bedding gap (range"
    )
    assert re.search(r"0\.003: 17\.9 m/s +0\.005: 16\.4 m/s +0\.01: 16\.0 m/s +1\.9 m/s", text)
    assert re.search(r"0\.5 mm: 16\.4 m/s", text)
    none = gusts_found(inputs=[INPUTS[0] | {"gust_high_m_s": None}, INPUTS[1]])
    text = gust_answer(none)
    assert re.search(r"2 mm: over 75 m/s +over 58\.6 m/s", text)
    assert text.index("bedding gap (range") < text.index("drag of the wind on a film (range")


def test_hours_are_told_by_direction_and_add_up() -> None:
    """Derived: 1 + 4 + 12 + 5 + 8 + 2 = 32 of 34 hours; the other two had no wind."""
    text = gust_answer(gusts_found(hours=HOURS))
    assert "of 574 hours with rain, 34 would have let water in" in text
    counts = [int(count) for count in re.findall(r"(\d+) hours?\b(?! with rain| left out)", text)]
    assert sorted(counts) == [1, 2, 2, 4, 5, 8, 12]
    assert re.search(r"no wind at all +2 hours", text)
    assert "51 hours left out" in text


def test_no_line_is_too_long_and_no_figure_parted_from_its_unit() -> None:
    """Derived: the longest names and figures, with every block there is."""
    found = gusts_found(
        inputs=INPUTS, hours=HOURS | {"by_direction": [8760] * 16, "let_in": 140160}
    )
    for row in found["directions"]:
        row["covering_gust_m_s"] = 0.1
        row["remark"] = "water runs " + "on for 750 mm and then 16.4 m/s and 59 km/h " * 6
    lines = gust_answer(found).splitlines()
    assert max(len(line) for line in lines) <= WIDTH
    for line, after in pairwise(lines):
        parted = line[-1:].isdigit() and re.match(r"\s*(?:m/s|km/h|mm|Pa|%|hours?)\b", after)
        assert not parted, line


def test_only_plain_values_are_needed() -> None:
    """Derived: what is written to a file and read again is told in the same words."""
    found = gusts_found(inputs=INPUTS, hours=HOURS)
    assert gust_answer(json.loads(json.dumps(found))) == gust_answer(found)


def test_speeds_and_sides_in_words() -> None:
    """Derived: 10 m/s is 36 km/h."""
    assert both_units(10.0) == "10.0 m/s (36 km/h)"
    assert side_words("eaves and left") == "the eaves and the left"
    assert side_words("right, towards ridge") == "the right, towards the ridge"
