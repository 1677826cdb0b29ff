"""Coherence: entries of one report that fit each other."""

from __future__ import annotations

import polars as pl

from qa_audit.gate.check import COMMON_PRACTICE, Answers, Check, Holds
from qa_audit.gate.sheet import Sheet, every

CONTENT = ("item", "time", "value", "unit", "count", "success", "member", "status")
HASH_BITS_DROPPED = 16
"""Sums of 48-bit hashes cannot overflow in a group of fewer than 65,536 facts."""


def equipment_members_on_crew_list(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every id of an equipment group stands on the crew list; a report without any crew id is not asked."""
    listed = sheet.batch.members.filter(pl.col("member").is_not_null()).select("report", "member").unique()
    worn = sheet.facts.filter(pl.col("item").cat.starts_with("eOther.03"), pl.col("member").is_not_null())
    asked = worn.select("report", "member").unique().join(listed.select("report").unique(), on="report", how="semi")
    known = asked.join(listed.with_columns(known=pl.lit(value=True)), on=["report", "member"], how="left")
    return known.group_by("report").agg(every(pl.col("known").is_not_null()))


def confirmed_tube_has_procedure(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with a confirmed tube for an intubation or induction entry of anyone."""
    confirmed = sheet.entries("airway_confirmed").filter(pl.col("status") == "present")
    placed = sheet.entries("intubation", "induction").filter(pl.col("status") == "present")
    return sheet.answer(confirmed, placed)


def confirmed_codes(sheet: Sheet) -> pl.LazyFrame:
    """Give the procedures that a tube confirmation names: `report`, `item`, `known` (an intubation of the edition)."""
    confirmed = sheet.entries("airway_confirmed").filter(
        pl.col("status") == "present", pl.col("call_group").is_not_null()
    )
    groups = confirmed.select("report", "call_group").unique()
    codes = sorted(sheet.concepts["intubation"] | sheet.concepts["induction"])
    named = sheet.facts.filter(pl.col("item").cat.starts_with("eProcedures.03="))
    return named.join(groups, on=["report", "call_group"], how="semi").select(
        "report", "item", known=pl.col("item").is_in(codes)
    )


def confirmed_codes_in_concept(sheet: Sheet) -> pl.LazyFrame:
    """Ask whether every procedure that a tube confirmation names is one of the edition's tube codes."""
    return confirmed_codes(sheet).group_by("report").agg(every(pl.col("known")))


def groups_not_doubled(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with timed groups whether no two of their groups have the same content at the same time."""
    content = pl.struct(CONTENT).hash() // 2**HASH_BITS_DROPPED
    groups = (
        sheet.facts.filter(pl.col("call_group").is_not_null())
        .select("report", "call_group", "time", content=content)
        .group_by("report", "call_group")
        .agg(pl.col("content").sum(), facts=pl.len(), timed=pl.col("time").is_not_null().any())
        .filter("timed")
    )
    return groups.group_by("report").agg(holds=~pl.struct("content", "facts").is_duplicated().any())


def entries_not_contradictory(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with timed negated entries whether none is also documented as done at the same instant."""
    key = ["report", "item", "time"]
    timed = sheet.facts.filter(pl.col("time").is_not_null())
    negated = timed.filter(pl.col("status") == "negated").select(key).unique()
    done = timed.filter(pl.col("status") == "present").join(negated, on=key, how="semi").select(key).unique()
    both = negated.join(done.with_columns(done=pl.lit(value=True)), on=key, how="left")
    return both.group_by("report").agg(every(pl.col("done").is_null()))


def own_elements_defined(sheet: Sheet) -> pl.LazyFrame:
    """Ask reports with results of the agency's own elements whether every element was defined in its file."""
    undefined = sheet.batch.definitions.lazy().filter(pl.col("data_type").is_null()).select("custom_id", undefined=True)
    used = sheet.facts.filter(pl.col("origin") == "custom").with_columns(
        custom_id=pl.col("item").cast(pl.String).str.strip_prefix("custom:").str.split("=").list.first()
    )
    return used.join(undefined, on="custom_id", how="left").group_by("report").agg(every(pl.col("undefined").is_null()))


def _check(name: str, sentence: str, basis: str, of: Answers, concepts: tuple[str, ...] = ()) -> Check:
    return Check(name, "coherence", "warn", sentence, basis, Holds(of), concepts)


CHECKS = (
    _check(
        "equipment_members_on_crew_list",
        "Every id of a protective-equipment group stands on the crew list.",
        "NEMSIS v3.5.1: eOther.04 names an id of eCrew.01",
        equipment_members_on_crew_list,
    ),
    _check(
        "confirmed_tube_has_procedure",
        "Where a tube was confirmed, an intubation or induction is charted.",
        COMMON_PRACTICE,
        confirmed_tube_has_procedure,
        ("airway_confirmed", "intubation", "induction"),
    ),
    _check(
        "confirmed_tube_code_known",
        "Every procedure that a tube confirmation names is one of the ruleset's intubation codes; others can be added"
        " in the settings (intubation_also).",
        COMMON_PRACTICE,
        confirmed_codes_in_concept,
        ("airway_confirmed", "intubation", "induction"),
    ),
    _check(
        "groups_not_doubled",
        "No vital-sign, medication or procedure group stands twice with the same content.",
        COMMON_PRACTICE,
        groups_not_doubled,
    ),
    _check(
        "entries_not_contradictory",
        "No entry is charted as done and as not done at the same moment.",
        COMMON_PRACTICE,
        entries_not_contradictory,
    ),
    _check(
        "own_elements_defined",
        "Every element of the agency's own is defined in the file that uses it.",
        "NEMSIS custom-element guide: a result names an element of eCustomConfiguration",
        own_elements_defined,
    ),
)
