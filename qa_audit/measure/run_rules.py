"""Run rules: has a series a longer run, or fewer crossings of its centre, than chance would give?

Source: Anhoej and Olesen, PLoS ONE 2014;9(11):e113825 (longest run and number of crossings).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import comb, log2


@dataclass(frozen=True)
class Runs:
    """What a series shows; `useful` are its points off the centre, the others neither make nor break a run."""

    useful: int
    longest_run: int
    crossings: int

    @property
    def signal(self) -> bool:
        """Say whether the run is too long or the crossings too few for chance alone."""
        if not self.useful:
            return False
        return self.longest_run > longest_allowed(self.useful) or self.crossings < fewest_allowed(self.useful)


def runs(values: Sequence[float], centre: float) -> Runs:
    """Return the runs of a series about its centre."""
    sides = [value > centre for value in values if value != centre]
    longest = max((len(list(run)) for _, run in groupby(sides)), default=0)
    return Runs(len(sides), longest, sum(before != after for before, after in pairwise(sides)))


def longest_allowed(useful: int) -> int:
    """Return the longest run that chance may give: log2(n) rounded, plus 3."""
    return round(log2(useful)) + 3


def fewest_allowed(useful: int) -> int:
    """Return the fewest crossings that chance may give: the 5 % quantile of Binomial(n - 1, 1/2)."""
    throws, reached, crossings = useful - 1, 1, 0
    while reached * 20 < 2**throws:
        crossings += 1
        reached += comb(throws, crossings)
    return crossings
