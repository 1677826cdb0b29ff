"""Measure: determinations to figures.

Takes the determinations of all stored months, gives `Figures`; never opens a file and writes no page.
"""

from __future__ import annotations

import polars as pl

from qa_audit.measure.composites import composites
from qa_audit.measure.counts import counts, reasons
from qa_audit.measure.phases import phases
from qa_audit.measure.rollup import roll_up
from qa_audit.measure.scoring import scores
from qa_audit.measure.showing import periods_shown
from qa_audit.measure.summary import summary
from qa_audit.measure.suppression import published
from qa_audit.measure.trends import trends
from qa_audit.tables.figures import Figures

__all__ = ["count", "summary"]


def count(determinations: pl.LazyFrame) -> Figures:
    """Count DETERMINATIONS of all stored months (with a column `month`) as reports after the roll-up."""
    rolled = roll_up(determinations).collect()
    counted = counts(rolled)
    for_leadership = published(counted)
    levels = periods_shown(for_leadership, sorted(set(counted["month"])))
    return Figures(
        counts=counted,
        scores=scores(counted),
        reasons=reasons(rolled),
        composites=composites(rolled),
        published=for_leadership,
        periods_shown=levels,
        trends=trends(for_leadership, levels, phases(rolled)),
    )
