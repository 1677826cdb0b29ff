"""Chance for the ordinary calls: one stream of numbers, the same for the same name on every version of Python."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TypeVar

Choice = TypeVar("Choice")


class Draw:
    """The chances of one call; only `Random.random` is used, whose stream is promised to stay as it is."""

    def __init__(self, name: str) -> None:
        """Begin the stream that belongs to a name."""
        self._random = Random(name)  # noqa: S311 - invented calls, nothing secret

    def chance(self, share: float) -> bool:
        """Return true as often as `share` says."""
        return self._random.random() < share

    def below(self, limit: int) -> int:
        """Return a whole number from 0 to one less than the limit."""
        return int(self._random.random() * limit)

    def one_of(self, choices: Sequence[Choice]) -> Choice:
        """Return one of the choices, each as often."""
        return choices[self.below(len(choices))]

    def by_share(self, shares: Sequence[tuple[float, Choice]], otherwise: Choice) -> Choice:
        """Return a choice as often as its share says; what is left over goes to `otherwise`."""
        drawn = self._random.random()
        for share, choice in shares:
            drawn -= share
            if drawn < 0:
                return choice
        return otherwise
