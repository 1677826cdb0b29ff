"""Judging a batch: every edition that the charts reach into, every rule in one plan, chunk by chunk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import polars as pl

from qa_audit.audit.calendar import NONE_IN_FORCE, Calendar
from qa_audit.audit.edition_view import EditionView
from qa_audit.audit.evidence import with_evidence
from qa_audit.audit.kinder import kinder, with_own_edition
from qa_audit.rules import Edition, Rule, Ruleset
from qa_audit.rules.agency import choices_for, concepts_for
from qa_audit.rules.charts import claimed_facts, known_items
from qa_audit.rules.judging import judge_rule
from qa_audit.rules.view import ChartView, is_first_of
from qa_audit.settings import Settings
from qa_audit.tables import DETERMINATIONS, Batch

REPORTS_IN_A_CHUNK = 100_000
"""Chunks go by size, not by month: many small plans cost more than their data."""


def judge(batch: Batch, ruleset: Ruleset, settings: Settings) -> pl.DataFrame:
    """Return the determinations of a batch, sorted by report, rule, member and opportunity.

    Evidence and its digest are given for listed reports: those with a finding of a `must` rule.
    """
    calendar = Calendar(ruleset, settings.time_zone)
    # A chunk fits in memory, and sorting its timelines there takes a third of the time of the streaming engine.
    with pl.Config(engine_affinity="in-memory"):
        chunks = [_judge_chunk(chunk, calendar, settings) for chunk in _chunks(batch)]
    found = pl.concat(chunks) if chunks else DETERMINATIONS.empty()
    return found.sort("report", "rule", "member", "time", "opportunity", nulls_last=True)


def _chunks(batch: Batch) -> Iterator[Batch]:
    numbers = batch.reports.select("report").collect()["report"].sort()
    if numbers.len() <= REPORTS_IN_A_CHUNK:
        yield from [batch] if numbers.len() else []
        return
    for start in range(0, numbers.len(), REPORTS_IN_A_CHUNK):
        part = numbers.slice(start, REPORTS_IN_A_CHUNK)
        within = pl.col("report").is_between(part[0], part[-1])
        # A range is pushed into the scan, so that a chunk reads only its own rows.
        yield replace(
            batch,
            reports=batch.reports.filter(within),
            facts=batch.facts.filter(within),
            members=batch.members.filter(within),
        )


def _judge_chunk(batch: Batch, calendar: Calendar, settings: Settings) -> pl.DataFrame:
    items = known_items(batch.facts)
    reports = batch.reports.collect()
    reached = _reached_by(batch, reports, calendar)
    views = [
        EditionView(place, calendar.editions[place], _view(batch, wanted, items, calendar.editions[place], settings))
        for place, wanted in reached.items()
    ]
    plans = [_found(each, rule, calendar) for each in views for rule in each.edition.rules.values()]
    found = pl.concat(pl.collect_all(plans)).lazy()
    decided = kinder(with_own_edition(found, reports.lazy(), calendar), calendar)
    settled = _named(decided, calendar, reports.lazy()).collect()
    return with_evidence(settled, views)


def _reached_by(batch: Batch, reports: pl.DataFrame, calendar: Calendar) -> dict[int, pl.DataFrame]:
    """Return the reports that each edition may be asked about; nearly always one edition is asked about all."""
    ends = batch.facts.select(first=pl.col("time").min(), last=pl.col("time").max()).collect()
    widest = _reach(reports).select(
        low=pl.min_horizontal(pl.col("low").min(), ends["first"].item()),
        high=pl.max_horizontal(pl.col("high").max(), ends["last"].item()),
        offset_minutes=pl.concat([pl.col("offset_minutes").min(), pl.col("offset_minutes").max()]).implode(),
    )
    spread = widest.explode("offset_minutes")
    places = [place for place in range(len(calendar.editions)) if spread.select(_reaches(calendar, place).any()).item()]
    if len(places) == 1:
        return {places[0]: reports}
    timed = batch.facts.group_by("report").agg(first=pl.col("time").min(), last=pl.col("time").max()).collect()
    reach = _reach(reports.join(timed, on="report", how="left", maintain_order="left"), "first", "last")
    asked = {
        place: reports.filter(reach.select(_reaches(calendar, place).fill_null(value=False)).to_series())
        for place in places
    }
    return {place: wanted for place, wanted in asked.items() if wanted.height}


def _reach(reports: pl.DataFrame, *timed: str) -> pl.DataFrame:
    """Return `offset_minutes`, `low`, `high`: the span of time in which each report's acts can lie."""
    ends = ("at_patient", "unit_notified", "at_destination", "transfer_of_care", "left_scene", *timed)
    return reports.select("offset_minutes", low=pl.min_horizontal(ends), high=pl.max_horizontal(ends))


def _reaches(calendar: Calendar, place: int) -> pl.Expr:
    """Return whether an edition may be asked: it is in force in the span, or answers for the one that is."""
    scaled = {end: calendar.scaled(pl.col(end)) for end in ("low", "high")}
    near = {}
    for end, at in scaled.items():
        number = calendar.in_force(at)
        near[end] = pl.when(number == NONE_IN_FORCE).then(calendar.nearest(at)).otherwise(number)
    inside = (near["low"] <= place) & (near["high"] >= place)
    after = place + 1
    until = calendar.prior_answers_until(after) if after < len(calendar.editions) else None
    if until is None:
        return inside
    begun = calendar.on_scale(calendar.editions[after].begins)
    return inside | ((scaled["low"] < until) & (scaled["high"] >= begun))


def _view(
    batch: Batch, wanted: pl.DataFrame, items: tuple[str, ...], edition: Edition, settings: Settings
) -> ChartView:
    concepts = concepts_for(edition, settings)
    its = wanted.lazy().select("report")
    whole = wanted.height == batch.reports.select(pl.len()).collect().item()
    facts = batch.facts if whole else batch.facts.join(its, on="report", how="semi", maintain_order="left")
    members = batch.members if whole else batch.members.join(its, on="report", how="semi")
    return ChartView(
        reports=wanted.lazy(),
        members=members,
        claimed=claimed_facts(facts, concepts, items),
        every_fact=facts,
        known_items=items,
        concepts=concepts,
        everyone_suspected=edition.file.suspected_infection == "everyone",
        choices=choices_for(settings),
    )


def _found(each: EditionView, rule: Rule, calendar: Calendar) -> pl.LazyFrame:
    """Return one rule's opportunities under one edition, with what names and weighs them."""
    must = calendar.on_scale(each.edition.file.must_document_from)
    when = calendar.scaled(pl.coalesce("time", "at_patient", "unit_notified"))
    found = judge_rule(rule, each.view, None if must is None else when < must)
    no_time = pl.lit(None, pl.Datetime("ms", "UTC"))
    return found.with_columns(
        rule=pl.lit(rule.id),
        place=pl.lit(each.place, pl.Int32),
        slot=no_time if rule.check.once_a_report else pl.col("time"),
    )


def _named(decided: pl.LazyFrame, calendar: Calendar, reports: pl.LazyFrame) -> pl.LazyFrame:
    """Give each opportunity its name, its edition's label and its rule's hash; columns as DETERMINATIONS."""
    editions = list(enumerate(calendar.editions))
    labels = {place: edition.label for place, edition in editions}
    rules = pl.LazyFrame(
        [
            (place, rule.id, edition.rule_hash(rule), check.anchor_name(), check.amount_unit, check.once_a_report)
            for place, edition in editions
            for rule in edition.rules.values()
            for check in (rule.check,)
        ],
        schema={"place": pl.Int32, "rule": pl.String, "rule_hash": pl.String, "anchor": pl.String,
                "unit": pl.String, "once": pl.Boolean},
        orient="row",
    )  # fmt: skip
    undated = pl.col("undated_changeover") & (pl.col("outcome") != "excluded") & pl.col("decided_by").is_not_null()
    instant = pl.col("time").dt.strftime("%Y-%m-%dT%H:%M:%SZ").fill_null("untimed")
    spelled = pl.format("{}@{}#{}", "anchor", instant, "number")
    place_in_frame = pl.int_range(pl.len())
    first = pl.when(is_first_of("rule", "report")).then(place_in_frame).forward_fill()
    return (
        decided.sort("rule", "report", "time", "member", nulls_last=True)
        .with_columns(number=place_in_frame - first + 1)
        .join(rules, on=("place", "rule"), how="left")
        .join(reports.select("report", "report_id", "recipient"), on="report", how="left")
        .with_columns(
            outcome=pl.when(undated).then(pl.lit("cannot_tell")).otherwise("outcome"),
            reason=pl.when(undated).then(pl.lit("time_missing")).otherwise("reason"),
            opportunity=pl.when("once").then(pl.lit("report")).otherwise(spelled),
            edition=pl.col("decided_by").replace_strict(labels, default=None, return_dtype=pl.String),
            kinder_of=pl.col("other").replace_strict(labels, default=None, return_dtype=pl.String),
            amount_unit=pl.when(pl.col("amount").is_not_null()).then("unit"),
            answerable_by=pl.when("by_system").then(pl.lit("system")).otherwise(pl.lit("crew")),
            narrative=pl.lit(None, pl.String),
            evidence=pl.lit(None, pl.List(pl.UInt32)),
            evidence_digest=pl.lit(None, pl.String),
        )
    )
