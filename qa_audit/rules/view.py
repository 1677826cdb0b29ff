"""ChartView: the charts of one chunk as a rule sees them, through one edition's concepts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl

from qa_audit.rules.charts import ClaimedFacts, is_one_of, without_conflicts
from qa_audit.rules.concept import Concepts
from qa_audit.rules.standard import can_carry

LATEST_ENTRY_SECTIONS = ("eVitals.", "eMedications.", "eProcedures.", "eAirway.")
DAYS_IN_A_YEAR = 365.25


@dataclass(frozen=True)
class AgencyChoices:
    """What an agency's settings change about a judgement; every default accuses nobody."""

    equipment_speaks_for_crew_from: date | None = None
    equipment_lists_complete_from: date | None = None
    filter_on_cpap_from: date | None = None


@dataclass(frozen=True)
class ChartView:
    """What a kind of check may read.

    `reports`: rows of the reports table. `members`: rows of the members table.
    `claimed`: the facts that some concept of the edition claims. `every_fact`: all facts, for the latest entry.
    """

    reports: pl.LazyFrame
    members: pl.LazyFrame
    claimed: ClaimedFacts
    every_fact: pl.LazyFrame
    known_items: tuple[str, ...]
    concepts: Concepts
    everyone_suspected: bool = False
    choices: AgencyChoices = AgencyChoices()

    def items(self, *concepts: str) -> list[str]:
        """Return the items in these charts that belong to the concepts."""
        return self.concepts.items(self.known_items, *concepts)

    def is_of(self, *concepts: str) -> pl.Expr:
        """Return whether a fact belongs to one of the concepts; of none it never does."""
        return is_one_of(self.items(*concepts))

    def facts(self, *concepts: str) -> pl.LazyFrame:
        """Return every fact of the concepts, whatever its status and whoever's, with `in_conflict`."""
        return self.claimed.of(self.items(*concepts))

    def documented(self, *concepts: str) -> pl.LazyFrame:
        """Return the present facts of the concepts, anyone's, without those in conflict."""
        return self.facts(*concepts).filter(pl.col("status") == "present", ~pl.col("in_conflict"))

    def own(self, *concepts: str) -> pl.LazyFrame:
        """Return the present facts of the concepts that are known to be this crew's."""
        return self.documented(*concepts).filter(pl.col("by_others").not_())

    def own_in_conflict(self, *concepts: str) -> pl.LazyFrame:
        """Return this crew's facts that the chart both affirms and denies at one instant."""
        return self.facts(*concepts).filter(pl.col("in_conflict"), pl.col("by_others").not_())

    def cohort(self, name: str) -> pl.LazyFrame:
        """Return the reports (column `report`) of a cohort: a concept over the whole report, anyone's facts."""
        if name == "suspected_infection" and self.everyone_suspected:
            return self.reports.select("report")
        frames = [self.documented(name).select("report")]
        ages = [self.concepts.named[member].at_most_days_old for member in self.concepts.family(name)]
        for days in (age for age in ages if age is not None):
            old = (pl.col("age_years").cast(pl.Float64) * DAYS_IN_A_YEAR).round(2)
            frames.append(self.reports.filter(old <= days).select("report"))
        return pl.concat(frames).unique()

    def latest_entry(self, reports: pl.LazyFrame) -> pl.LazyFrame:
        """Return `report`, `latest_entry`: the last timed vital sign, drug, procedure or confirmation, anyone's."""
        items = [item for item in self.known_items if item.startswith(LATEST_ENTRY_SECTIONS)]
        entries = self.every_fact.filter(pl.col("time").is_not_null(), is_one_of(items))
        wanted = without_conflicts(entries.join(reports, on="report", how="semi"))
        return wanted.group_by("report").agg(latest_entry=pl.col("time").max())

    def assessable(self, *needed: str) -> pl.Expr:
        """Return whether a report (a row of reports) can carry any of the needed concepts at all."""
        if any(self.concepts.is_mapped(name) for name in needed):
            return pl.lit(value=True)
        return can_carry(frozenset().union(*(self.concepts.elements(name) for name in needed)))

    def rests_on_agency_fields(self, *needed: str) -> bool:
        """Say whether only the agency's own fields can carry the needed concepts."""
        return not any(self.concepts.elements(name) for name in needed)


def is_arrest_record() -> pl.Expr:
    """Return whether a fact stands in the arrest section, which names no performer and mostly no time."""
    return pl.col("item").cast(pl.String).str.starts_with("eArrest.")


def forward_fill_within(column: str, key: str) -> pl.Expr:
    """Return the column filled forward over rows of the same key; the frame must be sorted by key.

    A plain fill with the key filled alongside as a guard: several times faster than `.over(key)`.
    """
    known = pl.col(column).is_not_null()
    same = pl.when(known).then(pl.col(key)).forward_fill() == pl.col(key)
    return pl.when(same).then(pl.col(column).forward_fill())


def is_first_of(*keys: str) -> pl.Expr:
    """Return whether a row opens a new combination of the keys; the frame must be sorted by them."""
    return pl.any_horizontal(pl.col(key).ne_missing(pl.col(key).shift(1)) for key in keys) | (
        pl.int_range(pl.len()) == 0
    )
