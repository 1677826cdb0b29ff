"""Evidence: the facts that a listed report's determinations rest on, fetched only for those reports."""

from __future__ import annotations

import hashlib

import polars as pl

from qa_audit.audit.edition_view import EditionView
from qa_audit.tables import DETERMINATIONS

DIGESTED = ("item", "time", "value", "unit", "count", "success", "member", "status")
"""What of a fact the digest covers: everything but its number, which a new version may change."""


def with_evidence(settled: pl.DataFrame, views: list[EditionView]) -> pl.DataFrame:
    """Return determinations (columns of the table), with evidence where a report is listed.

    Takes the settled opportunities, which still carry `place` (the edition that found them) and `until`.
    """
    must = {(each.place, rule.id) for each in views for rule in each.edition.rules.values() if rule.strength == "must"}
    strict = pl.DataFrame(sorted(must), schema={"place": pl.Int32, "rule": pl.String}, orient="row")
    findings = settled.filter(pl.col("outcome") == "not_met").join(strict, on=("place", "rule"), how="semi")
    numbered = settled.with_row_index("row", offset=0) if "row" not in settled.columns else settled
    listed = numbered.join(findings.select("report").unique(), on="report", how="semi")
    if listed.height:
        gathered = pl.concat([_gather(listed, each) for each in views]).unique().sort("row", "fact")
        numbered = _attach(numbered, listed, gathered, views)
    return DETERMINATIONS.conform(numbered.lazy()).collect()


def _gather(listed: pl.DataFrame, each: EditionView) -> pl.DataFrame:
    """Return `row`, `fact` for the listed opportunities that one edition found."""
    frames = []
    for rule in each.edition.rules.values():
        mine = listed.lazy().filter(pl.col("rule") == rule.id, pl.col("place") == each.place)
        asked = mine.select("row", "report", "member", "time", "until")
        frames.append(rule.check.evidence(each.view, asked).select("row", "fact"))
    return pl.concat(pl.collect_all(frames))


def _attach(
    numbered: pl.DataFrame, listed: pl.DataFrame, gathered: pl.DataFrame, views: list[EditionView]
) -> pl.DataFrame:
    wanted = gathered.select("fact").unique()
    every = [each.view.claimed.frame.select("fact", *DIGESTED).join(wanted, on="fact", how="semi") for each in views]
    facts = pl.concat(every).unique("fact").with_columns(pl.col("item").cast(pl.String))
    spelled = [pl.col(name).dt.epoch("ms") if name == "time" else pl.col(name) for name in DIGESTED]
    blank = [part.cast(pl.String).fill_null("") for part in spelled]
    lines = facts.select("fact", line=pl.concat_str(blank, separator="|"))
    rows = gathered.join(lines, on="fact", how="left").group_by("row", maintain_order=True).agg("fact", "line")
    outcomes = listed.select("row", "outcome").join(rows, on="row", how="left", maintain_order="left")
    digests = [
        hashlib.sha256("\n".join([outcome, *sorted(lines or [])]).encode()).hexdigest()
        for outcome, lines in outcomes.select("outcome", "line").iter_rows()
    ]
    found = outcomes.select("row", found=pl.col("fact").fill_null([]), digest=pl.Series(digests))
    return numbered.join(found, on="row", how="left", maintain_order="left").with_columns(
        evidence="found", evidence_digest="digest"
    )
