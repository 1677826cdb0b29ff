"""p-chart: limits of a proportion about a centre that is frozen, and what lies outside them.

Source: Montgomery, Introduction to Statistical Quality Control, section 7.2 (limits at three standard deviations).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, lgamma, log, log1p, sqrt
from typing import Literal

BASELINE = 24
"""Points that the centre is frozen on (common practice, no source)."""
ENOUGH_FOR_LIMITS = 20
ENOUGH_FOR_A_RUN_CHART = 10
"""Useful points before a series is tested at all (common practice, no source)."""
RARE = 0.00135
"""One tail beyond three standard deviations of a normal curve. The limits of a small denominator are passed more often
than that, so a signal needs the exact tail as well."""


@dataclass(frozen=True)
class Limits:
    """The limits of one point: three standard deviations, kept within 0 and 1."""

    lower: float
    upper: float


def centre_of(met: Sequence[int], judged: Sequence[int]) -> float:
    """Return the centre of a baseline: all met of all judged."""
    return sum(met) / sum(judged)


def limits(centre: float, judged: int) -> Limits:
    """Return the limits for a point of `judged` cases."""
    three = 3 * sqrt(centre * (1 - centre) / judged)
    return Limits(max(0.0, centre - three), min(1.0, centre + three))


def outside(met: int, judged: int, centre: float) -> Literal["signal", "watch"] | None:
    """Return `signal` outside the limits with an exact tail of at most RARE, `watch` outside alone, else null."""
    band = limits(centre, judged)
    share = met / judged
    if band.lower <= share <= band.upper:
        return None
    return "signal" if exact_tail(met, judged, centre) <= RARE else "watch"


def exact_tail(met: int, judged: int, centre: float) -> float:
    """Return the binomial chance of a count as far out as this, on its own side of the centre."""
    if not 0 < centre < 1:
        return 0.0 if met != centre * judged else 1.0
    beyond = range(met, judged + 1) if met > centre * judged else range(met + 1)
    return min(1.0, sum(exp(_log_chance(count, judged, centre)) for count in beyond))


def _log_chance(count: int, judged: int, centre: float) -> float:
    ways = lgamma(judged + 1) - lgamma(count + 1) - lgamma(judged - count + 1)
    return ways + count * log(centre) + (judged - count) * log1p(-centre)
