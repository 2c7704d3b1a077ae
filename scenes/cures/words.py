"""Words of cures: lengths of laps, lists of pieces and of numbers. Loads nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Length = tuple[float, float]
"""How long a lap is, and how long it must be [m]."""


def length_words(was: Mapping[int, Length], now: Mapping[int, Length]) -> str:
    """Lengths of laps by their ids, and what they need [m], before and after: "150 mm long instead of 110,
    of 150 needed"."""
    before: dict[tuple[int, int], set[tuple[int, int]]] = {}
    for lap, (length, needed) in now.items():
        known = (round(length * 1000), round(needed * 1000))
        before.setdefault(known, set()).add(tuple(round(x * 1000) for x in was[lap]))  # type: ignore[arg-type]
    told = []
    for (has, needs), some in sorted(before.items()):
        had = sorted({length for length, _ in some})
        range_ = f"{had[0]}" if len(had) == 1 else f"{had[0]} to {had[-1]}"
        if any(needed == needs for _, needed in some):
            told.append(f"{has} mm long instead of {range_}, of {needs} needed")
        else:
            # Where sheets lie otherwise, another thing is asked of their lap.
            most = max(needed for _, needed in some)
            told.append(f"{has} mm long, of {needs} then needed, instead of {range_} of {most}")
    return joined(told)


def grouped(names: Sequence[str]) -> list[str]:
    """Names of pieces, those that differ by their number alone in one: "left soakers 1 to 3"."""
    numbers: dict[str, list[int]] = {}
    for name in names:
        words, _, number = name.rpartition(" ")
        if number.isdigit():
            numbers.setdefault(words, []).append(int(number))
        else:
            numbers.setdefault(name, [])
    return [
        f"{words}{'s' * (len(some) > 1)} {spans(some)}".rstrip() for words, some in numbers.items()
    ]


def spans(numbers: Sequence[int]) -> str:
    """Whole numbers in words, three or more that follow one another by their ends: "1, 3 and 5 to 7"."""
    told = []
    for first, last in _runs(numbers):
        far = last > first + 1
        told += [f"{first} to {last}"] if far else [str(one) for one in range(first, last + 1)]
    return joined(told) if told else ""


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of each run of numbers that follow one another."""
    runs: list[tuple[int, int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs


def joined(words: Sequence[str]) -> str:
    """Words with commas and an "and"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
