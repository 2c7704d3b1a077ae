"""All cures of a run: levers tried in the order of their work, what holds checked and ranked."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from math import inf

from meshes.parts import Assembly
from scenes.cures.check import Before, Checked, check, stood_before
from scenes.cures.cure import Cure, change_words, worth_it
from scenes.cures.lever import ROUND_OFF, Lever, Work
from scenes.cures.levers import levers_of
from scenes.cures.made import Made
from scenes.cures.metal import cut_anew, metal
from scenes.cures.quest import Quest, Target, falls_short
from scenes.cures.solve import Solved, both, solve, values_along
from scenes.cures.targets import Ran, faint, quest_of
from scenes.in_processes import Workers
from scenes.progress import Remarks

ENOUGH = 3
"""Cures of one target; once it has so many, harder work isn't looked into for it."""
GIVES = 0.02
"""Share of its area by which a piece that is dressed again may be off: sheets lie a gap higher or lower."""
GIVES_RIGHT = 0.07
"""The same of one that was laid wrong and is laid right: it was folded round its neighbours another way."""
HELPS = 1e-3
"""Share of what a target lacks that a lever must give it to help at all."""
RETRIES = 2
"""Steps that a cure may be moved on when its check says that it doesn't quite hold."""
NOT_QUITE = ("water still gets in", "it doesn't stand")


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What was found. cures: ranked; none: of each leak ("leak", id) or lap ("lap", id) without one, a
    sentence that says why; together: one that cures all that have a cure, None where one of the cures
    does, or they don't go together: apart says why not; tried: details tried."""

    cures: tuple[Cure, ...]
    none: dict[tuple[str, int], str]
    together: Cure | None
    tried: int
    apart: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """What may be a cure: levers by their numbers, at these values, for these targets; the first `base` of
    them are cures of others."""

    numbers: tuple[int, ...]
    values: tuple[float, ...]
    rows: tuple[int, ...]
    retries: int = 0
    base: int = 0


@dataclass(slots=True, eq=False)
class _Search:
    """A search under way."""

    quest: Quest
    before: Before
    stood: dict[int, float]
    workers: Workers
    remarks: Remarks
    all_round: Callable[[], tuple[float, ...]]
    levers: tuple[Lever, ...]
    cures: list[tuple[Cure, tuple[int, ...]]] = field(default_factory=list)
    solved: dict[int, Solved] = field(default_factory=dict)
    broken: dict[int, tuple[str, str]] = field(default_factory=dict)
    aside: list[tuple[Cure, tuple[int, ...]]] = field(default_factory=list)
    tried: int = 0

    def lacking(self, enough: int) -> list[int]:
        """Targets with fewer cures than that."""
        have = [row for _, rows in self.cures for row in rows]
        return [row for row in range(len(self.quest.targets)) if have.count(row) < enough]

    def by_levers(self, work: Work | None) -> None:
        """Try all levers of one class of work, or those that put right what is known to be wrong (None),
        for the targets that still want cures."""
        wanted = self.lacking(1 if work is Work.ANOTHER else ENOUGH)
        if work is not None and work > Work.DRESS:
            wanted = [row for row in wanted if not self._put_right(row)]
        numbers = [
            number
            for number, lever in enumerate(self.levers)
            if (None if lever.known else lever.work) is work
        ]
        if not wanted or not numbers:
            return
        kind = "put right" if work is None else work.name.lower()
        changes = "1 change" if len(numbers) == 1 else f"{len(numbers)} changes"
        with self.remarks.step(f"Cures: {changes} tried ({kind})"):
            got = self.workers.map(solve, [(self.quest, number, wanted) for number in numbers])
        self.solved |= dict(zip(numbers, got, strict=True))
        self.tried += sum(one.tried for one in got)
        self.checked(
            Candidate((number,), (value,), same_water(self.quest.targets, rows))
            for number, one in zip(numbers, got, strict=True)
            for value, rows in by_value(self.levers[number], one.values)
        )

    def _put_right(self, row: int) -> bool:
        """Whether a target has a cure that needs no piece cut anew, or that puts right what is known to
        be wrong: nobody cuts others then."""
        return any(
            cure.work <= Work.DRESS or all(lever.known for lever in cure.levers)
            for cure, rows in self.cures
            if row in rows
        )

    def checked(self, candidates: Iterable[Candidate]) -> None:
        """Check candidates, those that take least first, until every target has enough. One that has its
        price is a cure where a target has no other."""
        self._check(candidates)
        for row in range(len(self.quest.targets)):
            some = [one for one in self.aside if row in one[1]]
            if some and row in self.lacking(1):
                self.cures.append(min(some, key=lambda one: one[0].rank))

    def _check(self, candidates: Iterable[Candidate]) -> None:
        waiting = sorted(candidates, key=lambda one: self._cure(one, None).rank)
        while waiting:
            wanted = self.lacking(ENOUGH)
            now: list[Candidate] = []
            room = {row: ENOUGH - sum(row in rows for _, rows in self.cures) for row in wanted}
            for one in waiting:
                if any(room.get(row, 0) > 0 for row in one.rows):
                    now.append(one)
                    room |= {row: room[row] - 1 for row in one.rows if row in room}
            if not now:
                return
            waiting = [one for one in waiting if one not in now]
            with self.remarks.step(f"Cures: {len(now)} checked by running them"):
                self.before = replace(self.before, stood=self.all_round())
                args = [(self.quest, self.before, self._made(one), one.rows) for one in now]
                answers = self.workers.map(check, args)
            self.tried += len(now)
            for one, answer in zip(now, answers, strict=True):
                if not answer.breaks:
                    kept = self.aside if answer.falls else self.cures
                    kept.append((self._cure(one, answer), one.rows))
                elif again := once_more(one, self.levers[one.numbers[0]], answer.breaks):
                    waiting.insert(0, again)
                else:
                    for row in one.rows:
                        self.broken.setdefault(row, (self._words(one), answer.breaks))

    def on_top(self) -> None:
        """For targets that nothing cures as things are: the levers that do most for them, once the
        cures of the others are made."""
        rows = self.lacking(1)
        base = self._first_of_each()
        made = None if base is None or not rows else self._made(base)
        assembly = None if made is None else made.assembly_or_none()
        if base is None or made is None or assembly is None:
            return
        quest = replace(self.quest, made=made, assembly=assembly)
        words = [lever.words for lever in levers_of(made)]
        for row in rows:
            best = [
                (words.index(self.levers[number].words), number)
                for number in self._helpful(row)
                if self.levers[number].words in words and number not in base.numbers
            ][:2]
            with self.remarks.step("Cures: what helps once the others are made"):
                got = self.workers.map(solve, [(quest, there, [row]) for there, _ in best])
            self.tried += sum(one.tried for one in got)
            self.checked(
                Candidate(
                    (*base.numbers, number),
                    (*base.values, one.values[row]),
                    tuple(sorted({*base.rows, row})),
                    base=len(base.numbers),
                )
                for (_, number), one in zip(best, got, strict=True)
                if row in one.values
            )

    def _helpful(self, row: int) -> list[int]:
        """Levers by their numbers that do something for a target at their far ends, but not enough."""
        lacks = self.quest.targets[row].margin
        some = [(-one.far[row], number) for number, one in self.solved.items() if row in one.far]
        return [
            number
            for spare, number in sorted(some)
            if -spare > lacks + abs(lacks) * HELPS and row not in self.solved[number].values
        ]

    def pairs(self) -> None:
        """For targets that no lever cures alone: the two that do most for it, together."""
        for row in self.lacking(1):
            best = self._helpful(row)[:2]
            if len(best) < 2:
                continue
            numbers = (best[0], best[1])
            with self.remarks.step("Cures: the two best changes tried together"):
                share, tried = both(self.quest, numbers, row)
            self.tried += tried
            if share is not None:
                values = values_along([self.levers[number] for number in numbers], share)
                self.checked([Candidate(numbers, tuple(values), (row,))])

    def all_together(self) -> tuple[Cure | None, str]:
        """The first cure of each target, all in one, checked; None where one cures all of them, or where
        they don't go together, and why not."""
        one = self._first_of_each()
        if one is None or any(set(one.rows) <= set(some) for _, some in self.cures):
            return None, ""
        answer: Checked = self.workers.map(
            check, [(self.quest, self.before, self._made(one), one.rows)]
        )[0]
        self.tried += 1
        return (None, answer.breaks) if answer.breaks else (self._cure(one, answer), "")

    def _first_of_each(self) -> Candidate | None:
        """The first cure of each target that has one, all in one; None where there is none."""
        rows = tuple(sorted({row for _, some in self.cures for row in some}))
        first: dict[str, Cure] = {}
        for row in rows:
            cure = min((c for c, some in self.cures if row in some), key=lambda c: c.rank)
            first[cure.what] = cure
        steps = [
            (lever, value)
            for cure in first.values()
            for lever, value in zip(cure.levers, cure.values, strict=True)
        ]
        most: dict[str, tuple[Lever, float]] = {}
        for lever, value in steps:
            known = most.get(lever.words)
            farther = known is None or abs(value - lever.start) > abs(known[1] - lever.start)
            most[lever.words] = (lever, value) if farther else most[lever.words]
        if not most:
            return None
        words = [lever.words for lever in self.levers]
        numbers = tuple(words.index(name) for name in most)
        return Candidate(numbers, tuple(value for _, value in most.values()), rows)

    def why_none(self) -> dict[tuple[str, int], str]:
        """A sentence for each target without a cure."""
        return {self._name(row): self._why_none(row) for row in self.lacking(1)}

    def _why_none(self, row: int) -> str:
        if row in self.broken:
            words, breaks = self.broken[row]
            return f"None found. What comes nearest, {words}, won't do: {breaks}."
        near = [number for number, one in self.solved.items() if row in one.far]
        if not near:
            return "None found: nothing that can be changed here lies on this water's way."
        tried = f"{len(near)} changes were tried" if len(near) > 1 else "one change was tried"
        each = "each as far as it goes" if len(near) > 1 else "as far as it goes"
        best = self._helpful(row)
        if not best:
            return f"None found: {tried}, {each}; none helps."
        together = ", and the two best together" if len(best) > 1 else ""
        most = self.levers[best[0]].words
        far = falls_short(self.quest, self.quest.targets[row], self.solved[best[0]].far[row])
        return f"None found: {tried}, {each}{together}. What helps most, {most}, {far}."

    def _made(self, one: Candidate) -> Made:
        made = self.quest.made
        for number, value in zip(one.numbers, one.values, strict=True):
            made = self.levers[number].put(made, value)
        return made

    def _words(self, one: Candidate) -> str:
        pairs = zip(one.numbers, one.values, strict=True)
        words = [change_words(self.levers[number], value) for number, value in pairs]
        return " and ".join(words[one.base :]) + " beside the cures of the others" * (one.base > 0)

    def _name(self, row: int) -> tuple[str, int]:
        target = self.quest.targets[row]
        return "leak" if target.lap is None else "lap", target.number

    def _off(self, one: Candidate) -> float:
        """Share of its area by which a piece may be off and still be the one that was there."""
        levers = [self.levers[number] for number in one.numbers]
        if all(lever.known and lever.work not in (Work.ANEW, Work.CHASE) for lever in levers):
            return GIVES_RIGHT
        return GIVES if all(lever.work <= Work.DRESS for lever in levers) else 0.0

    def _cure(self, one: Candidate, answer: Checked | None) -> Cure:
        quest = self.quest
        targets = [quest.targets[row] for row in one.rows]
        made = self._made(one)
        assembly: Assembly = made.assembly()
        lengths = {
            target.number: answer.lengths[target.lap]
            for target in targets
            if answer is not None and target.lap is not None
        }
        leaks = tuple(target.number for target in targets if target.lap is None)
        stood = [self.stood[row] for row in one.rows if row in self.stood]
        return Cure(
            leaks=leaks, laps=tuple(t.number for t in targets if t.lap is not None),
            levers=tuple(self.levers[number] for number in one.numbers), values=one.values,
            was=quest.made, now=made, stands=answer.stands if stood and answer else None,
            stood=min(stood) if stood else None, lengths=lengths,
            short={t.number: (t.length, t.needed) for t in targets if t.lap is not None},
            falls=() if answer is None else answer.falls,
            others=len(leaks) < sum(target.lap is None for target in quest.targets),
            metal=metal(quest.assembly, assembly, quest.made.detail.material),
            anew=cut_anew(quest.assembly, assembly, self._off(one)),
        )  # fmt: skip


def once_more(one: Candidate, lever: Lever, breaks: str) -> Candidate | None:
    """A candidate of a single lever once more, by what its check says that it breaks: a step on where it
    doesn't quite hold; as far as is usual where something else suffers short of that; None otherwise."""
    if len(one.numbers) > 1 or one.retries >= RETRIES:
        return None
    (value,) = one.values
    if breaks.startswith(NOT_QUITE):
        following = lever.beyond(value)
        return (
            None
            if following is None
            else replace(one, values=(following,), retries=one.retries + 1)
        )
    if lever.usual is None or not lever.short_of_usual(value):
        return None
    return replace(one, values=(lever.outward(lever.usual),), retries=RETRIES)


def same_water(targets: Sequence[Target], rows: Collection[int]) -> tuple[int, ...]:
    """Rows of some targets, and of all leaks besides whose water goes in where that of those does: what
    keeps the one out keeps out the other."""
    cured = {family for row in rows for family in targets[row].families}
    return tuple(
        row
        for row, target in enumerate(targets)
        if row in rows or (target.families and cured.issuperset(target.families))
    )


def by_value(lever: Lever, values: dict[int, float]) -> list[tuple[float, tuple[int, ...]]]:
    """Each value that some target needs, and all targets that it is enough for; of two that are a step
    apart, the farther one serves both."""
    sign = 1 if lever.far >= lever.start else -1
    marks = sorted({sign * value for value in values.values()})
    kept = [
        mark
        for mark, following in zip(marks, [*marks[1:], inf][: len(marks)], strict=True)
        if following - mark > (1 + ROUND_OFF) * lever.step
    ]
    return [
        (sign * mark, tuple(row for row, one in sorted(values.items()) if sign * one <= mark))
        for mark in kept
    ]


def cures_of(ran: Ran, *, processes: int, remarks: Remarks) -> Found:
    """Look for cures of all that a run found. The same answer whatever the number of processes."""
    nothing = not ran.findings.leaks and all(lap.ok for lap in ran.findings.laps)
    if nothing:
        return Found((), {}, None, 0)
    with Workers(processes) as workers:
        with remarks.step("Cures: what the scene stands as it is"):
            quest, before, stood = quest_of(ran)
        if not quest.targets:
            return Found((), faint(ran), None, 0)
        all_round = _stood(quest, before, workers)
        search = _Search(quest, before, stood, workers, remarks, all_round, levers_of(quest.made))
        for work in (None, *Work):
            if work is Work.ANOTHER:
                search.on_top()
                search.pairs()
            search.by_levers(work)
        together, apart = search.all_together()
    ranked = sorted(worth_it([cure for cure, _ in search.cures]), key=lambda cure: cure.rank)
    return Found(tuple(ranked), search.why_none() | faint(ran), together, search.tried, apart)


def _stood(quest: Quest, before: Before, workers: Workers) -> Callable[[], tuple[float, ...]]:
    """The gusts stood from all round, begun now and asked for later; none are compared where still rain
    gets in already."""
    if not quest.windy and before.shares:
        return lambda: ()
    return cache(workers.begin(stood_before, quest))
