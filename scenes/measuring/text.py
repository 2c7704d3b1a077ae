"""The scene file of a measuring: what was measured, and beside it, marked, what was not."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from scenes.measuring.answers import data_of
from scenes.measuring.interview import Interview, letters
from scenes.places import Loc, key_lines
from scenes.scene import of_data
from scenes.template import HEAD, full_text

TITLE: Final = "{name}: as it was measured"
MOST_NAME: Final = 80
"""Letters of a file's name that go into the title."""
NOTE: Final = (
    "Measured on the roof. What stands behind a # was not measured: its usual value is taken."
)
SAID: Final = """\
# Taken on the roof by `stackrain new --ask`. A line that begins with # was not measured: take the #
# away and put your own figure there once it is.
"""


def measured_text(interview: Interview, name: str) -> str:
    """The scene of an interview that is finished, as the text of a file.

    name: what the title begins with. Every key is in it with a remark; one that was not measured is
    itself a remark, so that the file holds what was measured and nothing else.
    """
    data = data_of(interview.questions, interview.known)
    plain = "".join(letter if letter.isprintable() else "?" for letter in name)[:MOST_NAME]
    data |= {"title": TITLE.format(name=plain), "note": NOTE}
    scene = of_data(data, "", "", Path(), {})
    text = full_text(scene, Path()).replace(HEAD, HEAD + SAID + _taken(interview), 1)
    given: set[Loc] = {
        (table, key) for table, keys in data.items() if isinstance(keys, dict) for key in keys
    }
    given |= {(key,) for key, value in data.items() if not isinstance(value, dict)}
    return _marked(text, given)


def _taken(interview: Interview) -> str:
    """What was typed, question by question, as remarks."""
    marks, known = letters(interview.questions), interview.known
    typed = {one.key: one.typed for one in interview.answers}
    lines = [
        f"#   {marks.get(question.key, '-'):>2}  {question.words}: "
        + (str(known[question.key]) if question.choices else typed[question.key])
        for question in interview.questions
        if question.key in known
    ]
    return "\n".join(["#", *lines, ""])


def _marked(text: str, given: set[Loc]) -> str:
    """A scene's text with each key that isn't given turned into a remark."""
    lines = text.split("\n")
    for loc, number in key_lines(text).items():
        line = lines[number - 1]
        if line.lstrip().startswith("[") or loc in given or loc[0] == "weather":
            continue
        value, _, remark = line.partition("  #")
        lines[number - 1] = f"{f'# {value.rstrip()}':<32}# not measured: {remark.strip()}"
    return "\n".join(lines)
