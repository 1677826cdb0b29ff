"""companion: something needed is documented with something done; for each crew member, or for each episode."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated, ClassVar, Literal

import polars as pl
from pydantic import Field

from qa_audit.rules.kinds.check import CheckKind, as_opportunities
from qa_audit.rules.timeline.episodes import episodes_of
from qa_audit.rules.timeline.equipment import EquipmentLists, judge_lists
from qa_audit.rules.view import ChartView, is_arrest_record


class _Anchored(CheckKind):
    kind: Literal["companion"]
    anchor: str
    needed: str

    def anchor_name(self) -> str:
        """Return the concept whose facts open opportunities."""
        return self.anchor

    def needs(self) -> tuple[str, ...]:
        """Return what must be documented."""
        return (self.needed,)

    def anchors(self, view: ChartView, states: tuple[str, ...], *, in_conflict: bool = False) -> pl.LazyFrame:
        """Return this crew's anchor facts, failed ones too; of a state only its first.

        With `in_conflict` those that the chart affirms and denies at one instant, which open nothing by themselves.
        """
        facts = view.own_in_conflict(self.anchor) if in_conflict else view.own(self.anchor)
        is_state = view.is_of(*states)
        first_of_state = (
            facts.filter(is_state).sort("report", "time", "fact", nulls_last=True).unique("report", keep="first")
        )
        return pl.concat([facts.filter(~is_state), first_of_state])


class CompanionForMembers(_Anchored):
    """One opportunity per crew member of a report with an anchor; judged from equipment lists."""

    once_a_report: ClassVar[bool] = True

    form: Literal["members"] = Field(alias="for")
    accepts: tuple[str, ...] = ()
    """What an edition accepts in place of what is needed (a face mask while respirators are short)."""
    instead: tuple[str, ...] = ()
    """What on a list shows that something else was worn (another face covering)."""
    unclear: tuple[str, ...]
    """What on a list may be the needed item under another name."""
    lists: tuple[str, ...]
    """What makes an equipment list: any item of these concepts."""
    states: tuple[str, ...] = ()
    only_with_airway: tuple[str, ...] = ()
    """Anchors only where this crew placed an airway or used a bag (a patient met on a closed circuit is none)."""
    airway: tuple[str, ...] = ()
    drives: str
    cares: str

    def sentence(self) -> str:
        """Return the check in plain words."""
        return "Each crew member present is listed with what is needed, on the equipment list of the call."

    def reads(self) -> frozenset[str]:
        """Return every concept the check names."""
        named = {self.anchor, self.needed, self.drives, self.cares, *self.accepts, *self.instead, *self.unclear}
        return frozenset({*named, *self.lists, *self.states, *self.only_with_airway, *self.airway})

    def judge(self, view: ChartView) -> pl.LazyFrame:
        """Return one opportunity for each member of each report with an anchor."""
        # Both feed several of the steps below, so each is made once.
        anchored = self._anchored_reports(view).collect().lazy()
        present = self._members(view, anchored).collect().lazy()
        lists = judge_lists(view, present, EquipmentLists(
            items=self.lists, needed=(self.needed, *self.accepts), instead=self.instead, unclear=self.unclear,
        ))  # fmt: skip
        away, torn = pl.col("away"), pl.col("torn")
        return as_opportunities(
            lists.with_columns(
                outcome=pl.when(torn)
                .then(pl.lit("cannot_tell"))
                .when(away)
                .then(pl.lit("excluded"))
                .otherwise("outcome"),
                reason=pl.when(torn)
                .then(pl.lit("chart_conflict"))
                .when(away)
                .then(pl.lit("not_present"))
                .otherwise("reason"),
            )
        )

    def evidence(self, view: ChartView, opportunities: pl.LazyFrame) -> pl.LazyFrame:
        """Return the anchors of the report, and the lists that name the member or nobody."""
        anchors = self.anchors(view, self.states).select("report", "fact", member=pl.lit(None, pl.String))
        listed = view.facts(*self.lists).select("report", "fact", "member")
        facts = pl.concat([anchors, listed])
        joined = opportunities.select("row", "report", "member").join(facts, on="report", suffix="_of_fact")
        named = pl.col("member_of_fact")
        return joined.filter(named.is_null() | named.eq_missing(pl.col("member"))).select("row", "fact")

    def _anchored_reports(self, view: ChartView) -> pl.LazyFrame:
        """Return the reports with an anchor; `torn` where every one of them is affirmed and denied at once."""
        standing = self._opened(view, in_conflict=False).with_columns(torn=pl.lit(value=False))
        contradicted = self._opened(view, in_conflict=True).join(standing, on="report", how="anti")
        anchors = pl.concat([standing, contradicted.with_columns(torn=pl.lit(value=True))])
        milestones = view.reports.select("report", "left_scene", "at_destination", "local_date")
        timed = pl.col("time")
        moving = timed.is_between(pl.col("left_scene"), pl.col("at_destination")).fill_null(value=False)
        return (
            anchors.join(milestones, on="report")
            .group_by("report")
            .agg(
                pl.col("local_date").first(),
                pl.col("torn").first(),
                time=timed.min(),
                until=timed.max(),
                all_moving=moving.all(),
                by_system=is_arrest_record().all(),
            )
        )

    def _opened(self, view: ChartView, *, in_conflict: bool) -> pl.LazyFrame:
        """Return the anchors, without the circuits that this crew never opened."""
        anchors = self.anchors(view, self.states, in_conflict=in_conflict)
        closed = view.is_of(*self.only_with_airway)
        managed = view.own(*self.airway).select("report").unique()
        return pl.concat([anchors.filter(~closed), anchors.filter(closed).join(managed, on="report", how="semi")])

    def _members(self, view: ChartView, anchored: pl.LazyFrame) -> pl.LazyFrame:
        """Return the members of each anchored report: the crew list, else the ids on equipment lists, else nobody."""
        drives, cares = sorted(view.concepts.patterns(self.drives)), sorted(view.concepts.patterns(self.cares))
        roles = pl.col("roles").list.eval("eCrew.03=" + pl.element())
        driving = roles.list.set_intersection(drives).list.len() > 0
        caring = roles.list.set_intersection(cares).list.len() > 0
        crew = (
            view.members.filter(pl.col("member").is_not_null())
            .join(anchored, on="report", how="semi")
            .group_by("report", "member")
            .agg(driver=driving.any() & ~caring.any())
        )
        listed = (
            view.facts(*self.lists)
            .filter(pl.col("member").is_not_null())
            .join(anchored, on="report", how="semi")
            .join(crew, on="report", how="anti")
            .select("report", "member", driver=pl.lit(value=False))
            .unique()
        )
        known = pl.concat([crew, listed])
        return anchored.join(known, on="report", how="left").with_columns(
            away=(pl.col("driver") & pl.col("all_moving")).fill_null(value=False)
        )


class CompanionForEpisodes(_Anchored):
    """One opportunity per episode of the anchor; what is needed speaks for it by tie, by time, or for all."""

    form: Literal["episodes"] = Field(alias="for")
    episode_gap: int = Field(ge=0)
    """Minutes between neighbouring facts that still make one episode."""
    unless_unsuccessful: tuple[str, ...]
    """Placements: no anchor when recorded as unsuccessful."""
    also_from_setting: tuple[str, ...] = ()
    """Anchors from the date at which the agency's circuits take the needed item (`filter_on_cpap_from`)."""

    def sentence(self) -> str:
        """Return the check in plain words."""
        return (
            "Each episode has what is needed documented with it "
            f"(entries at most {self.episode_gap} minutes apart are one episode)."
        )

    def reads(self) -> frozenset[str]:
        """Return every concept the check names."""
        return frozenset({self.anchor, self.needed, *self.unless_unsuccessful, *self.also_from_setting})

    def judge(self, view: ChartView) -> pl.LazyFrame:
        """Return one opportunity for each episode: met by any positive, not met by a negative, else silent."""
        gap = timedelta(minutes=self.episode_gap)
        roots = (self.anchor, *self.also_from_setting)
        facts, episodes = (
            frame.lazy() for frame in pl.collect_all(episodes_of(view, self._anchor_facts(view), roots, gap))
        )
        said = self._said(view, facts, episodes, gap)
        positive, negative = pl.col("positive").fill_null(value=False), pl.col("negative").fill_null(value=False)
        judged = episodes.join(said, on="episode", how="left").with_columns(
            outcome=pl.when(positive)
            .then(pl.lit("met"))
            .when(negative)
            .then(pl.lit("not_met"))
            .otherwise(pl.lit("cannot_tell")),
            reason=pl.when(~positive & ~negative).then(pl.lit("not_documented")),
        )
        return pl.concat([as_opportunities(judged), as_opportunities(self._torn(view, episodes, gap))])

    def _torn(self, view: ChartView, episodes: pl.LazyFrame, gap: timedelta) -> pl.LazyFrame:
        """Return the episodes that rest on anchors alone which the chart affirms and denies at one instant."""
        contradicted = self._anchor_facts(view, in_conflict=True).filter(pl.col("status") == "present")
        spans = episodes.select("report", begun="time", ended="until")
        near = contradicted.join(spans, on="report").filter(
            pl.col("time").is_between(pl.col("begun") - gap, pl.col("ended") + gap)
        )
        roots = (self.anchor, *self.also_from_setting)
        _, torn = episodes_of(view, contradicted.join(near, on="fact", how="anti"), roots, gap)
        return torn.with_columns(outcome=pl.lit("cannot_tell"), reason=pl.lit("chart_conflict"))

    def evidence(self, view: ChartView, opportunities: pl.LazyFrame) -> pl.LazyFrame:
        """Return the episode's anchors, and what is needed in the report."""
        gap = timedelta(minutes=self.episode_gap)
        anchors = self._anchor_facts(view).select("report", "fact", "time", needed=pl.lit(value=False))
        needed = view.facts(self.needed).select("report", "fact", "time", needed=pl.lit(value=True))
        joined = opportunities.join(pl.concat([anchors, needed]), on="report", suffix="_of_fact")
        at = pl.col("time_of_fact")
        near = at.is_between(pl.col("time") - gap, pl.col("until") + gap)
        return joined.filter(pl.col("needed") | at.is_null() | near.fill_null(value=True)).select("row", "fact")

    def _anchor_facts(self, view: ChartView, *, in_conflict: bool = False) -> pl.LazyFrame:
        facts = self.anchors(view, (), in_conflict=in_conflict)
        if self.also_from_setting and view.choices.filter_on_cpap_from is not None:
            since = view.reports.filter(pl.col("local_date") >= view.choices.filter_on_cpap_from)
            taken = view.own_in_conflict if in_conflict else view.own
            also = taken(*self.also_from_setting).join(since, on="report", how="semi")
            facts = pl.concat([facts, also]).unique("fact", maintain_order=True)
        failed = view.is_of(*self.unless_unsuccessful) & pl.col("success").eq_missing(other=False)
        return facts.filter(~failed)

    def _said(self, view: ChartView, facts: pl.LazyFrame, episodes: pl.LazyFrame, gap: timedelta) -> pl.LazyFrame:
        """Return `episode`, `positive`, `negative`: what the chart says of the needed item for each episode."""
        usable = view.facts(self.needed).filter(~pl.col("in_conflict"), pl.col("status") != "missing")
        needed = usable.with_columns(
            positive=pl.col("status") == "present",
            # Somebody else's "no" counts against nobody here.
            negative=(pl.col("status") == "negated") & pl.col("by_others").not_().fill_null(value=False),
        ).select("report", "time", "call_group", "origin", "positive", "negative")
        groups = facts.select("report", "call_group", "episode").drop_nulls().unique()
        tied = needed.join(groups, on=("report", "call_group"))
        # A coded entry alone in its own group is tied to nothing; an agency's field with a group always is.
        loose = needed.join(groups, on=("report", "call_group"), how="anti").filter(
            pl.col("call_group").is_null() | (pl.col("origin") == "coded")
        )
        spans = episodes.select("report", "episode", "time", "until")
        near = loose.join(spans, on="report", suffix="_of_episode").filter(
            pl.col("time").is_null() | pl.col("time").is_between(pl.col("time_of_episode") - gap, pl.col("until") + gap)
        )
        columns = ("episode", "positive", "negative")
        said = pl.concat([tied.select(columns), near.select(columns)])
        return said.group_by("episode").agg(pl.col("positive").any(), pl.col("negative").any())


Companion = Annotated[CompanionForMembers | CompanionForEpisodes, Field(discriminator="form")]
