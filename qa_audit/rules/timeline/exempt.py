"""Exempt windows: times in which a saturation above the ceiling is no finding, opened by facts of anyone."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

import polars as pl
from pydantic import BaseModel, ConfigDict, Field

from qa_audit.rules.view import ChartView

Minutes = Annotated[int, Field(ge=0)]


class _Window(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Resuscitation(_Window):
    """From the first sign of resuscitation to some time after circulation returned, else to the end."""

    attempted: str
    started: tuple[str, ...]
    ended: str
    circulation_returned: str
    ended_because: str
    ended_by_return: str
    after_return: Minutes

    def reads(self) -> frozenset[str]:
        """Return every concept named."""
        named = (self.attempted, self.ended, self.circulation_returned, self.ended_because, self.ended_by_return)
        return frozenset({*named, *self.started})

    def starts(self, view: ChartView) -> pl.LazyFrame:
        """Return `report`, `opens`: the earliest usable start, null where a resuscitation has none."""
        begun = view.documented(*self.started).select("report", "time")
        attempted = view.documented(self.attempted).select("report", time=pl.lit(None, pl.Datetime("ms", "UTC")))
        return pl.concat([begun, attempted]).group_by("report").agg(opens=pl.col("time").min())

    def windows(self, view: ChartView) -> pl.LazyFrame:
        """Return `report`, `opens`, `closes` (null: to the end)."""
        returned = view.documented(self.circulation_returned).select("report").unique()
        # The end of resuscitation is the return of circulation only when the reason says so or is silent.
        stopped_otherwise = (
            view.documented(self.ended_because)
            .select("report")
            .unique()
            .join(view.documented(self.ended_by_return), on="report", how="anti")
        )
        ended = view.documented(self.ended).group_by("report").agg(ended=pl.col("time").min())
        closing = ended.join(returned, on="report", how="semi").join(stopped_otherwise, on="report", how="anti")
        opened = self.starts(view).filter(pl.col("opens").is_not_null()).join(closing, on="report", how="left")
        usable = pl.when(pl.col("ended") >= pl.col("opens")).then(pl.col("ended"))
        return opened.select("report", "opens", closes=usable + timedelta(minutes=self.after_return))


class Around(_Window):
    """From some time before the first fact to some time after the last (intubation)."""

    concepts: tuple[str, ...]
    before: Minutes
    after: Minutes

    def reads(self) -> frozenset[str]:
        """Return every concept named."""
        return frozenset(self.concepts)

    def windows(self, view: ChartView) -> pl.LazyFrame:
        """Return `report`, `opens`, `closes`."""
        timed = view.documented(*self.concepts).filter(pl.col("time").is_not_null())
        return timed.group_by("report").agg(
            opens=pl.col("time").min() - timedelta(minutes=self.before),
            closes=pl.col("time").max() + timedelta(minutes=self.after),
        )


class For(_Window):
    """For some time from each fact (nebulizer)."""

    concepts: tuple[str, ...]
    minutes: Minutes

    def reads(self) -> frozenset[str]:
        """Return every concept named."""
        return frozenset(self.concepts)

    def windows(self, view: ChartView) -> pl.LazyFrame:
        """Return `report`, `opens`, `closes`."""
        timed = view.documented(*self.concepts).filter(pl.col("time").is_not_null())
        return timed.select("report", opens="time", closes=pl.col("time") + timedelta(minutes=self.minutes))


class UntilOtherDevice(_Window):
    """From each fact until the next own oxygen entry with another known device, else to the end."""

    concepts: tuple[str, ...]
    without: tuple[str, ...] = ()
    unless_unsuccessful: tuple[str, ...] = ()
    own_devices: tuple[str, ...]
    """Oxygen devices that are this very thing, or run through it: an entry with one ends nothing."""

    def reads(self) -> frozenset[str]:
        """Return every concept named."""
        return frozenset({*self.concepts, *self.without, *self.unless_unsuccessful, *self.own_devices})

    def windows(self, view: ChartView, entries: pl.LazyFrame) -> pl.LazyFrame:
        """Return `report`, `opens`, `closes` (null: to the end); `entries` hold `report`, `time`, `device`."""
        failed = view.is_of(*self.unless_unsuccessful) & pl.col("success").eq_missing(other=False)
        outside = view.is_of(*self.without)
        opened = view.documented(*self.concepts).filter(pl.col("time").is_not_null(), ~failed, ~outside)
        opened = opened.select("report", opens="time").unique()
        ending = entries.filter(pl.col("device").is_not_null(), ~pl.col("device").is_in(self.own_devices))
        later = opened.join(ending.select("report", "time"), on="report", how="left")
        after = pl.col("time").filter(pl.col("time") > pl.col("opens"))
        return later.group_by("report", "opens").agg(closes=after.min())


class ExemptWindows(_Window):
    """Every exempt window of a check."""

    resuscitation: Resuscitation
    around: tuple[Around, ...] = ()
    lasting: tuple[For, ...] = ()
    until_other_device: tuple[UntilOtherDevice, ...] = ()

    def reads(self) -> frozenset[str]:
        """Return every concept named."""
        around = [window.reads() for window in self.around]
        lasting = [window.reads() for window in self.lasting]
        until = [window.reads() for window in self.until_other_device]
        return self.resuscitation.reads().union(*around, *lasting, *until)

    def windows(self, view: ChartView, entries: pl.LazyFrame) -> pl.LazyFrame:
        """Return every window: `report`, `opens`, `closes` (null: to the end)."""
        frames = [self.resuscitation.windows(view)]
        frames += [window.windows(view) for window in self.around]
        frames += [window.windows(view) for window in self.lasting]
        frames += [window.windows(view, entries) for window in self.until_other_device]
        return pl.concat(frames)

    def exempt_reports(self, view: ChartView) -> pl.LazyFrame:
        """Return the reports whose resuscitation has no usable start: exempt as a whole."""
        return self.resuscitation.starts(view).filter(pl.col("opens").is_null()).select("report")
