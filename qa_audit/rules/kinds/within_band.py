"""within_band: a therapy keeps its reading at or below a ceiling (oxygen kept within target)."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar, Literal

import polars as pl
from pydantic import BaseModel, ConfigDict, Field, model_validator

from qa_audit.rules.kinds.check import CheckKind, as_opportunities
from qa_audit.rules.timeline.answered import mark_answered
from qa_audit.rules.timeline.exempt import ExemptWindows
from qa_audit.rules.timeline.readings import Saturation, blocked_stretches, counted_of, own_entries, timeline_of
from qa_audit.rules.timeline.therapies import Therapy, entries_of, flow_of_entry, rows_of, therapies_of
from qa_audit.rules.view import ChartView, is_first_of

CLEARLY_ABOVE = 2
"""Points above the ceiling that one reading alone makes plain (device error is smaller)."""
ABOVE = 1
ENOUGH = 2


class Band(BaseModel):
    """A cohort with its ceiling, or with `exclude`; a band without cohort is everyone else's."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    cohort: str | None = None
    ceiling: float | None = None
    exclude: bool = False

    @model_validator(mode="after")
    def _ceiling_or_exclude(self) -> Band:
        if self.exclude == (self.ceiling is not None):
            raise ValueError("a band has either a `ceiling` or `exclude: true`.")
        return self


class WithinBand(CheckKind):
    """One opportunity per therapy; the amount is the minutes above the ceiling, assumed time left out."""

    amount_unit: ClassVar[str | None] = "minutes"

    kind: Literal["within_band"]
    therapy: str
    stopped: str
    devices: tuple[tuple[str, ...], ...]
    reading: str
    readable: tuple[float, float]
    unobtainable: tuple[str, ...]
    bands: tuple[Band, ...] = Field(min_length=1)
    settle: int = Field(ge=0)
    judge_at_least: int = Field(ge=0)
    answer: int = Field(ge=0)
    carry: int = Field(ge=0)
    assumed_after: int = Field(ge=0)
    tolerance: float = Field(ge=0)
    persistent_over: int = Field(ge=0)
    pause: int = Field(ge=0)
    reduction: float = Field(gt=0)
    exempt: ExemptWindows

    @model_validator(mode="after")
    def _last_band_is_for_everyone(self) -> WithinBand:
        if any(band.cohort is None for band in self.bands[:-1]) or self.bands[-1].cohort is not None:
            raise ValueError("the last band, and only it, has no cohort: it is everyone else's.")
        return self

    def anchor_name(self) -> str:
        """Return the therapy."""
        return self.therapy

    def sentence(self) -> str:
        """Return the check in plain words."""
        everyone = self.bands[-1].ceiling
        return (
            f"Counted from {self.settle} minutes after a start or change, readings stay at or below the ceiling "
            f"(everyone else: {everyone:g} %); more than {self.tolerance:g} minutes above it, seen in repeated "
            "readings and not answered, is a finding."
        )

    def reads(self) -> frozenset[str]:
        """Return every concept and cohort the check names."""
        devices = {device for rank in self.devices for device in rank}
        cohorts = {band.cohort for band in self.bands if band.cohort is not None}
        return frozenset({self.therapy, self.stopped, self.reading, *devices, *cohorts}) | self.exempt.reads()

    def needs(self) -> tuple[str, ...]:
        """Return the measurement."""
        return (self.reading,)

    def judge(self, view: ChartView) -> pl.LazyFrame:
        """Return one opportunity for each therapy, and one for a report whose oxygen cannot be placed in time."""
        # Each of these feeds several of the steps below, so it is made once.
        entries = entries_of(view, self._therapy()).collect().lazy()
        rows = rows_of(view, self._therapy(), entries).collect().lazy()
        bands = self._banded(view).collect().lazy()
        banded = therapies_of(rows).join(bands, on="report", how="left").collect().lazy()
        blocked = blocked_stretches(banded, rows, self.exempt.windows(view, entries), _minutes(self.settle))
        timeline, reductions = pl.collect_all(
            [
                timeline_of(banded, blocked, own_entries(view, self._saturation(), banded)),
                rows.filter("reduced").select("therapy", reduced_at="time"),
            ]
        )
        readings = self._counted(timeline.lazy(), banded, reductions)
        figures = banded.join(self._time_and_entries(timeline.lazy(), banded), on="therapy", how="left")
        judged = self._decide(figures.join(self._above(readings), on="therapy", how="left")).collect().lazy()
        whole = self.exempt.exempt_reports(view).with_columns(whole=pl.lit(value=True))
        every = pl.concat([as_opportunities(judged), as_opportunities(self._not_placed(view, judged))])
        every = every.join(bands, on="report", how="left").join(whole, on="report", how="left")
        outside = pl.col("excluded_as").is_not_null() | pl.col("whole").is_not_null()
        return as_opportunities(
            every.with_columns(
                outcome=pl.when(outside).then(pl.lit("excluded")).otherwise("outcome"),
                reason=pl.when(outside).then(pl.coalesce("excluded_as", pl.lit("exempt"))).otherwise("reason"),
                amount=pl.when(~outside).then("amount"),
            )
        )

    def evidence(self, view: ChartView, opportunities: pl.LazyFrame) -> pl.LazyFrame:
        """Return the oxygen entries, readings and window-opening facts of the therapy's time."""
        devices = tuple(device for rank in self.devices for device in rank)
        named = (self.therapy, self.stopped, self.reading, *devices, *sorted(self.exempt.reads()))
        facts = view.facts(*named).select("report", "fact", at="time")
        joined = opportunities.join(facts, on="report")
        near = pl.col("at").is_between(pl.col("time"), pl.col("until"))
        untimed = pl.col("time").is_null() | pl.col("at").is_null()
        return joined.filter(untimed | near.fill_null(value=False)).select("row", "fact")

    def _therapy(self) -> Therapy:
        return Therapy(self.therapy, self.stopped, self.devices, _minutes(self.pause), self.reduction)

    def _saturation(self) -> Saturation:
        return Saturation(self.reading, *self.readable, self.unobtainable)

    def _banded(self, view: ChartView) -> pl.LazyFrame:
        """Return reports on the therapy with `ceiling`, `excluded_as` (the cohort's name): the first band to match."""
        reports = view.facts(self.therapy).select("report").unique()
        order = pl.lit(None, pl.Int32)
        for place, band in reversed(list(enumerate(self.bands))):
            if band.cohort is None:
                order = pl.lit(place, pl.Int32)
                continue
            cohort = view.cohort(band.cohort).with_columns(pl.lit(value=True).alias(band.cohort))
            reports = reports.join(cohort, on="report", how="left")
            order = pl.when(pl.col(band.cohort).is_not_null()).then(pl.lit(place, pl.Int32)).otherwise(order)
        ceilings = {place: band.ceiling for place, band in enumerate(self.bands)}
        excluded = {place: band.cohort if band.exclude else None for place, band in enumerate(self.bands)}
        return reports.select(
            "report",
            ceiling=order.replace_strict(ceilings, return_dtype=pl.Float64),
            excluded_as=order.replace_strict(excluded, return_dtype=pl.String),
        )

    def _counted(self, timeline: pl.LazyFrame, therapies: pl.LazyFrame, reductions: pl.DataFrame) -> pl.LazyFrame:
        """Return the counted readings with `above`, `clearly`, `answered` and the minutes each one holds.

        `holds` is the time above without what is only assumed, `assumed` that time; `late` a reading in assumed time.
        """
        limits = therapies.select(
            "therapy", "ceiling", assumed_from=pl.col("last_oxygen") + _minutes(self.assumed_after)
        )
        counted = counted_of(timeline).join(limits, on="therapy", how="left", maintain_order="left")
        over = (pl.col("value") - pl.col("ceiling")).round(6)
        counted = counted.with_columns(
            above=over > 0,
            point_above=over >= ABOVE,
            clearly=over >= CLEARLY_ABOVE,
            late=pl.col("time") >= pl.col("assumed_from"),
        )
        marked = mark_answered(counted.collect(), reductions, _minutes(self.answer)).lazy()
        following = pl.when(pl.col("therapy") == pl.col("therapy").shift(-1)).then(pl.col("time").shift(-1))
        until = pl.min_horizontal(following, pl.col("time") + _minutes(self.carry), "stretch_end")
        live = pl.col("above") & ~pl.col("answered")
        sure = pl.min_horizontal(until, pl.max_horizontal("assumed_from", "time"))
        nothing = timedelta(0)
        return marked.with_columns(
            live=live,
            holds=pl.when(live).then(sure - pl.col("time")).otherwise(nothing),
            assumed=pl.when(live).then(until - sure).otherwise(nothing),
        )

    def _above(self, readings: pl.LazyFrame) -> pl.LazyFrame:
        """Return for each `therapy` how many readings counted, the time above, and whether it persisted."""
        persistence = [self._persistent(readings.with_columns(pl.col("live") & ~pl.col("late")), "persistent"),
                       self._persistent(readings, "persistent_assumed")]  # fmt: skip
        totals = readings.group_by("therapy").agg(
            counted=pl.len(),
            above_for=pl.col("holds").sum(),
            above_assumed=pl.col("assumed").sum(),
            lone_fine=(pl.len() == 1) & (~pl.col("clearly") | pl.col("answered")).all(),
        )
        for frame in persistence:
            totals = totals.join(frame, on="therapy", how="left")
        return totals

    def _persistent(self, readings: pl.LazyFrame, name: str) -> pl.LazyFrame:
        """Say of each therapy whether neighbours stay above: two clearly, or three over some minutes."""
        point = pl.col("live") & pl.col("point_above")
        clear = pl.col("live") & pl.col("clearly")
        neighbours = pl.col("therapy") == pl.col("therapy").shift(1)
        marked = readings.with_columns(point=point, pair=neighbours & clear & clear.shift(1))
        group = is_first_of("therapy", "point").cast(pl.UInt32).cum_sum()
        spans = (
            marked.with_columns(group=group)
            .group_by("group")
            .agg(
                pl.col("therapy").first(),
                pl.col("pair").any(),
                long=pl.col("point").first()
                & (pl.len() > ENOUGH)
                & (pl.col("time").max() - pl.col("time").min() >= _minutes(self.persistent_over)),
            )
        )
        return spans.group_by("therapy").agg((pl.col("pair") | pl.col("long")).any().alias(name))

    def _time_and_entries(self, timeline: pl.LazyFrame, therapies: pl.LazyFrame) -> pl.LazyFrame:
        """Return `therapy`, `judged_for`, `own` (readings), `own_above`, `entries`, `unobtainable`."""
        limits = therapies.select("therapy", "ceiling")
        heard = pl.col("entries").is_not_null() & ~pl.col("paused")
        own = heard & pl.col("value").is_not_null()
        return (
            timeline.join(limits, on="therapy", how="left", maintain_order="left")
            .group_by("therapy")
            .agg(
                judged_for=pl.col("lasts").filter("judged").sum(),
                own=own.sum(),
                own_above=(own & ((pl.col("value") - pl.col("ceiling")).round(6) > 0)).sum(),
                entries=pl.col("entries").filter(heard).sum(),
                unobtainable=pl.col("unobtainable").filter(heard).sum(),
            )
        )

    def _decide(self, therapies: pl.LazyFrame) -> pl.LazyFrame:
        """Give each therapy its outcome: the first case that fits, in this order."""
        length = pl.col("end") - pl.col("start")
        short = length < _minutes(self.settle + self.judge_at_least)
        judged, own = pl.col("judged_for"), pl.col("own")
        counted = pl.col("counted").fill_null(0)
        sure, assumed = pl.col("above_for"), pl.col("above_for") + pl.col("above_assumed")
        tolerance = timedelta(minutes=self.tolerance)
        silent = (own == 0) & (pl.col("entries") > 0) & (pl.col("entries") == pl.col("unobtainable"))
        cases = [
            (silent, "excluded", "reading_unobtainable"),
            ((own == 0) & short, "excluded", "too_short_to_judge"),
            (own == 0, "cannot_tell", "not_documented"),
            ((pl.col("own_above") == 0) & ((own >= ENOUGH) | (judged <= _minutes(self.carry))), "met", None),
            (pl.col("own_above") == 0, "cannot_tell", "too_few_readings"),
            ((judged < _minutes(self.judge_at_least)) & short, "excluded", "too_short_to_judge"),
            (judged < _minutes(self.judge_at_least), "excluded", "exempt"),
            ((counted == 1) & pl.col("lone_fine") & (judged <= _minutes(self.carry)), "met", None),
            (counted < ENOUGH, "cannot_tell", "too_few_readings"),
            ((sure > tolerance) & pl.col("persistent"), "not_met", None),
            ((assumed > tolerance) & pl.col("persistent_assumed"), "cannot_tell", "therapy_end_unknown"),
            (pl.lit(value=True), "met", None),
        ]
        place = pl.coalesce(
            pl.when(case.fill_null(value=False)).then(pl.lit(number, pl.Int32))
            for number, (case, _, _) in enumerate(cases)
        )
        outcomes = {number: outcome for number, (_, outcome, _) in enumerate(cases)}
        reasons = {number: reason for number, (_, _, reason) in enumerate(cases)}
        return therapies.with_columns(
            time="start",
            until="end",
            outcome=place.replace_strict(outcomes, return_dtype=pl.String),
            reason=place.replace_strict(reasons, return_dtype=pl.String),
            amount=pl.when(counted > 0).then((sure.dt.total_milliseconds() / 60_000).round(6)),
        )

    def _not_placed(self, view: ChartView, judged: pl.LazyFrame) -> pl.LazyFrame:
        """Return reports whose own oxygen has no usable time, and therapies that rest on contradicted entries alone."""
        own = view.own(self.therapy)
        timed = own.filter(pl.col("time").is_not_null()).select("report")
        flowing = (flow_of_entry() != 0).fill_null(value=True)
        untimed = own.filter(pl.col("time").is_null(), flowing).join(timed, on="report", how="anti")
        missing = untimed.select("report").unique()
        torn = self._torn(view, judged).join(missing, on="report", how="anti")
        no_time = pl.lit(None, pl.Datetime("ms", "UTC"))
        return pl.concat(
            [
                missing.select("report", time=no_time, outcome=pl.lit("cannot_tell"), reason=pl.lit("time_missing")),
                torn.select("report", time="start", outcome=pl.lit("cannot_tell"), reason=pl.lit("chart_conflict")),
            ]
        )

    def _torn(self, view: ChartView, judged: pl.LazyFrame) -> pl.LazyFrame:
        """Return the therapies of entries that the chart affirms and denies at once, where no other therapy runs."""
        entries = entries_of(view, self._therapy(), in_conflict=True)
        torn = therapies_of(rows_of(view, self._therapy(), entries))
        standing = judged.select("report", begun="time", ended="until")
        overlap = (pl.col("begun") <= pl.col("end")) & (pl.col("start") <= pl.col("ended"))
        overlapping = torn.join(standing, on="report").filter(overlap)
        return torn.join(overlapping, on="therapy", how="anti")


def _minutes(number: float) -> timedelta:
    return timedelta(minutes=number)
