"""Own numbers: one recipient's counts over the last months, with the service beside them and nobody else."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

import polars as pl

ROLLING_MONTHS = 3
"""How many months a letter looks back (common practice, no source)."""
FEWEST_FOR_A_PERCENTAGE = 10
"""Below this many judged calls a letter prints no percentage (design of the letter)."""
FEWEST_OTHERS = 3
"""Others that the service's number must hold, or it would tell about one of them (common practice, no source)."""


@dataclass(frozen=True)
class Count:
    """`met` of `judged` reports: as the guidance asks, of those that could be judged either way."""

    met: int
    judged: int

    @property
    def plain(self) -> str:
        """Return `8 of 9`, or a dash."""
        return f"{self.met} of {self.judged}" if self.judged else "\N{EN DASH}"

    @property
    def words(self) -> str:
        """Return `8 of 9`, from ten on with the percentage and Wilson's 95 % interval."""
        if self.judged < FEWEST_FOR_A_PERCENTAGE:
            return self.plain
        low, high = wilson(self.met, self.judged)
        return f"{self.plain} ({100 * self.met / self.judged:.0f} %, {100 * low:.0f} to {100 * high:.0f})"


@dataclass(frozen=True)
class OwnNumbers:
    """One rule: the recipient's count in each month, over all of them, and the service's over the same months."""

    rule: str
    by_month: tuple[Count, ...]
    own: Count
    service: Count | None


def rolling_months(figures: pl.DataFrame, month: str) -> list[str]:
    """Return the last stored months up to and with this one, oldest first."""
    return figures.filter(pl.col("month") <= month)["month"].unique().sort().to_list()[-ROLLING_MONTHS:]


def own_numbers(figures: pl.DataFrame, recipient: str, months: list[str]) -> list[OwnNumbers]:
    """Return the numbers of each rule that judged a call of the recipient in these months, by rule id.

    A finding that only the service can answer counts for nobody here. The service's count is left out (null) where
    fewer than three other recipients stand behind it.
    """
    crew = pl.col("not_met").cast(pl.Int64) - pl.col("system")
    rows = figures.filter(pl.col("month").is_in(months)).select(
        "month", "rule", "recipient", met=pl.col("met").cast(pl.Int64), judged=pl.col("met").cast(pl.Int64) + crew
    )
    numbers: list[OwnNumbers] = []
    for (rule,), of_rule in rows.sort("rule").group_by("rule", maintain_order=True):
        mine = of_rule.filter(pl.col("recipient") == recipient)
        if mine["judged"].sum() == 0:
            continue
        others = of_rule.filter(pl.col("recipient") != recipient, pl.col("judged") > 0)["recipient"].n_unique()
        service = _total(of_rule.filter(pl.col("recipient").is_null())) if others >= FEWEST_OTHERS else None
        by_month = tuple(_total(mine.filter(pl.col("month") == month)) for month in months)
        numbers.append(OwnNumbers(str(rule), by_month, _total(mine), service))
    return numbers


def _total(rows: pl.DataFrame) -> Count:
    return Count(int(rows["met"].sum()), int(rows["judged"].sum()))


def wilson(met: int, judged: int) -> tuple[float, float]:
    """Return Wilson's 95 % interval of met/judged (Newcombe, Stat Med 1998;17:857, method 3)."""
    z = NormalDist().inv_cdf(0.975)
    share, square = met / judged, z * z
    centre = (share + square / (2 * judged)) / (1 + square / judged)
    half = z * sqrt(share * (1 - share) / judged + square / (4 * judged * judged)) / (1 + square / judged)
    return max(0.0, centre - half), min(1.0, centre + half)
