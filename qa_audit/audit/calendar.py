"""Which edition was in force when: instants, changeover days, and the editions that answer too."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

import polars as pl

from qa_audit.rules import Edition, Ruleset, instant

NONE_IN_FORCE = -1


@dataclass(frozen=True)
class Calendar:
    """The editions of a ruleset on one scale of time, oldest first.

    With a time zone the scale is instants; without one it is each report's own wall clock, labelled UTC.
    """

    ruleset: Ruleset
    time_zone: str | None

    @property
    def editions(self) -> tuple[Edition, ...]:
        """Return the editions, oldest first."""
        return self.ruleset.editions

    def on_scale(self, local: datetime | None) -> datetime | None:
        """Return a local moment of an edition file on the scale."""
        return None if local is None else instant(local, self.time_zone)

    def scaled(self, time: pl.Expr) -> pl.Expr:
        """Return a time of a chart on the scale (the frame has `offset_minutes`)."""
        return time if self.time_zone else time + pl.duration(minutes=pl.col("offset_minutes"))

    def in_force(self, scaled: pl.Expr) -> pl.Expr:
        """Return the place of the edition in force, NONE_IN_FORCE where there is none, null for a null time."""
        place = pl.lit(NONE_IN_FORCE, pl.Int32)
        for number, edition in enumerate(self.editions):
            place = pl.when(scaled >= self.on_scale(edition.begins)).then(pl.lit(number, pl.Int32)).otherwise(place)
        if self.editions[-1].until is not None:
            over = scaled >= self.on_scale(self.editions[-1].until)
            place = pl.when(over).then(pl.lit(NONE_IN_FORCE, pl.Int32)).otherwise(place)
        return pl.when(scaled.is_not_null()).then(place)

    def nearest(self, scaled: pl.Expr) -> pl.Expr:
        """Return the place of the edition whose concepts find opportunities where none is in force."""
        first = self.on_scale(self.editions[0].begins)
        return pl.when(scaled < first).then(pl.lit(0, pl.Int32)).otherwise(pl.lit(len(self.editions) - 1, pl.Int32))

    def prior_answers_until(self, number: int) -> datetime | None:
        """Return until when the edition before this one answers too: its transition, or until crews were told."""
        file = self.editions[number].file
        moments = [moment for moment in (file.transition_until, file.made_known) if moment is not None]
        return self.on_scale(max(moments)) if moments else None

    def changeover_days(self) -> list[date]:
        """Return the local days on which one edition gives way to another."""
        return [edition.begins.date() for edition in self.editions]

    def local_day(self, time: pl.Expr) -> pl.Expr:
        """Return the local date of a time of a chart."""
        if self.time_zone:
            return time.dt.convert_time_zone(self.time_zone).dt.date()
        return self.scaled(time).dt.date()
