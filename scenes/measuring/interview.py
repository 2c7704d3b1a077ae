"""The interview: answers in, the next question or a complaint out. Pure: it reads and writes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from meshes.errors import SceneError
from meshes.spec import Detail
from scenes.measures import key_to_blame
from scenes.measuring import reading
from scenes.measuring.answers import Answer, scene_so_far, usual
from scenes.measuring.question import Known, Question, Value, letter
from scenes.measuring.rows_now import QUESTIONS
from scenes.scene import Scene
from scenes.units import METRIC, Units
from scenes.units_text import in_units

BACK: Final = ("back", "b", "<")
HELP: Final = ("?", "help")


@dataclass(frozen=True, slots=True)
class Interview:
    """Where the measuring stands.

    questions: all, in order; answers: those given, measured or left to be usual; said: what to tell about
    the last answer, a complaint or how to measure, "" for nothing; wrong: answers complained of in a row.
    """

    units: Units = METRIC
    questions: tuple[Question, ...] = QUESTIONS
    answers: tuple[Answer, ...] = ()
    said: str = ""
    wrong: int = 0

    @property
    def known(self) -> Known:
        """What was measured, without answers to questions that are asked no more."""
        return dict(self._measured())

    @property
    def answered(self) -> tuple[str, ...]:
        """Keys of the questions that were answered, measured or left to be usual."""
        return tuple(one.key for one in self.answers)

    @property
    def question(self) -> Question | None:
        """The one that is asked; None where all are answered."""
        given, known = self.answered, self.known
        return next((q for q in self.questions if q.key not in given and q.asked(known)), None)

    @property
    def prompt(self) -> str:
        """The question with its letter, what it takes, and what is usual. Not to be asked at the end."""
        question = self._asked()
        mark = letters(self.questions).get(question.key, "-")
        return f"{mark:>2}  {question.words}{self._takes(question)}"

    def told(self, text: str) -> Interview:
        """The interview after an answer, which may be `back`, `back C`, `?`, or empty for the usual value."""
        said = " ".join(text.split())
        if said.lower() in HELP:
            return replace(self, said=self._how(), wrong=0)
        first, _, mark = said.partition(" ")
        if first.lower() in BACK:
            return self._back_to(mark.upper()) if mark else self._back()
        question = self._asked()
        try:
            value = self._read(question, said)
        except SceneError as error:
            return self._refused(str(error))
        kept = tuple(one for one in self.answers if one.key != question.key)
        after = replace(self, answers=(*kept, Answer(question.key, value, said)), said="", wrong=0)
        against = after._against()
        return self._refused(against) if against else after

    def rejected(self, key: str, why: str) -> Interview:
        """The interview with one answer to be given again, the others kept."""
        kept = tuple(one for one in self.answers if one.key != key)
        return replace(self, answers=kept, said=why, wrong=self.wrong + 1)

    def scene(self) -> Scene:
        """The scene of what was measured. Raises SceneError."""
        return scene_so_far(self.questions, self.known, self.answered)

    def tried(self, build: Callable[[Detail], object]) -> Interview:
        """The interview as it is where `build` takes the scene, else with the answer to blame to be given
        again. Raises SceneError where no answer is to blame."""
        scene = self.scene()
        assert scene.detail is not None
        try:
            build(scene.detail)
        except SceneError as error:
            why = str(error)
            loc = key_to_blame(scene.table, why, build)
            blamed = [q.key for q in self.questions if loc in q.places and q.key in self.known]
            if not blamed:
                raise
            return self.rejected(blamed[-1], self._in_units(why))
        return self

    def _measured(self) -> Iterator[tuple[str, Value]]:
        """Keys and values, each question asked by what the earlier ones gave."""
        given = {one.key: one.value for one in self.answers}
        known: dict[str, Value] = {}
        for question in self.questions:
            value = given.get(question.key)
            if value is not None and question.asked(known):
                known[question.key] = value
                yield question.key, value

    def _asked(self) -> Question:
        question = self.question
        if question is None:
            raise ValueError("all questions are answered")
        return question

    def _read(self, question: Question, said: str) -> Value | None:
        """The answer as a value; None for not measured. Raises SceneError."""
        if not said:
            if question.needed:
                what = "answered" if question.choices else "measured"
                raise SceneError(f"has no usual value: it has to be {what} (? says how)")
            return None
        if question.choices is not None:
            return reading.choice(said, tuple(question.choices))
        if question.kind == "pitch":
            return reading.pitch(said, self.units)
        return float(reading.length(said, self.units) * 1000)

    def _against(self) -> str:
        """The first complaint about what is known, "" for none: of measures against each other, then the
        builder's own."""
        known = self.known
        told = (q.check(known, self.units) for q in self.questions if q.key in known)
        if said := next((words for words in told if words), ""):
            return said
        try:
            self.scene()
        except SceneError as error:
            return self._in_units(str(error).partition(": ")[2])
        return ""

    def _refused(self, why: str) -> Interview:
        return replace(self, said=why, wrong=self.wrong + 1)

    def _back(self) -> Interview:
        """One question back: its answer and all later ones are to be given again."""
        asked = self._asked()
        before = self.questions[: self.questions.index(asked)]
        earlier = [q.key for q in before if q.key in self.answered]
        if not earlier:
            return self._refused("this is the first question")
        places = {q.key: n for n, q in enumerate(self.questions)}
        kept = tuple(one for one in self.answers if places[one.key] < places[earlier[-1]])
        return replace(self, answers=kept, said="", wrong=0)

    def _back_to(self, mark: str) -> Interview:
        """One measure to be given again by its letter, the other answers kept."""
        keys = {letter: key for key, letter in letters(self.questions).items()}
        if keys.get(mark) not in self.answered:
            return self._refused(f"{mark[:5]} was not asked yet")
        kept = tuple(one for one in self.answers if one.key != keys[mark])
        return replace(self, answers=kept, said="", wrong=0)

    def _takes(self, question: Question) -> str:
        detail = self.scene().detail
        assert detail is not None
        taken = in_units(usual(question, detail, self.known, self.units), self.units)
        note = f"  [{taken}]" if taken else ""
        if question.choices is not None:
            named = ", ".join(f"{n} {name}" for n, name in enumerate(question.choices, start=1))
            return f": {named}{note}"
        unit = "degrees, or 7 in 12" if question.kind == "pitch" else self.units.length_unit
        proof = "" if question.places or taken else "  [proves the others]"
        return f", {unit}{note}{proof}"

    def _how(self) -> str:
        return self._in_units(self._asked().how)

    def _in_units(self, words: str) -> str:
        return in_units(words, self.units)


def letters(questions: tuple[Question, ...]) -> dict[str, str]:
    """The letter of each question that is measured, by its key, in the order of asking."""
    measured = [question.key for question in questions if question.is_measured]
    return {key: letter(number) for number, key in enumerate(measured)}
