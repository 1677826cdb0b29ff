"""Charts: the facts that an edition's concepts claim, with agency fields resolved and contradictions marked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import polars as pl

from qa_audit.rules.concept import Concepts

IDENTITY = ("report", "item", "time")


def known_items(facts: pl.LazyFrame) -> tuple[str, ...]:
    """Return every item that occurs in the facts, sorted."""
    return tuple(facts.select(pl.col("item").unique().cast(pl.String)).collect()["item"].sort())


@dataclass(frozen=True)
class ClaimedFacts:
    """The facts that some concept claims, sorted by item, and where the facts of each item stand.

    Slicing by item costs nothing, so a rule that asks for one concept never looks at the rest.
    """

    frame: pl.DataFrame
    places: dict[str, tuple[int, int]]

    def of(self, items: Iterable[str]) -> pl.LazyFrame:
        """Return the facts of the items, in item order."""
        slices = [self.frame.slice(*self.places[item]) for item in sorted(items) if item in self.places]
        return pl.concat(slices, rechunk=False).lazy() if slices else self.frame.clear().lazy()


def claimed_facts(facts: pl.LazyFrame, concepts: Concepts, items: tuple[str, ...]) -> ClaimedFacts:
    """Return the facts that some concept claims, with `status` resolved and `in_conflict` added.

    An agency's value that means `negated` negates its fact. The same item present and negated at one instant is in
    conflict: both facts are left out of every judgement.
    """
    claimed = facts.filter(is_one_of(concepts.items(items, *concepts.named))).collect()
    denying = [item for item, (_, meaning) in concepts.custom.items() if meaning == "negated" and item in items]
    if denying:
        denied = is_one_of(denying) & (pl.col("status") == "present")
        claimed = claimed.with_columns(
            status=pl.when(denied).then(pl.lit("negated", claimed["status"].dtype)).otherwise("status")
        )
    torn = _contradicted(claimed.lazy()).with_columns(in_conflict=pl.lit(value=True)).collect()
    if torn.height:
        claimed = claimed.join(torn, on=IDENTITY, how="left", maintain_order="left")
        claimed = claimed.with_columns(pl.col("in_conflict").fill_null(value=False))
    else:
        claimed = claimed.with_columns(in_conflict=pl.lit(value=False))
    if not claimed["item"].cast(pl.String).is_sorted():
        claimed = claimed.sort(pl.col("item").cast(pl.String), maintain_order=True)
    runs = (
        claimed.select(run=pl.col("item").rle())
        .unnest("run")
        .with_columns(start=pl.col("len").cum_sum() - pl.col("len"))
    )
    places = {
        item: (start, length) for length, item, start in runs.with_columns(pl.col("value").cast(pl.String)).iter_rows()
    }
    return ClaimedFacts(claimed, places)


def without_conflicts(facts: pl.LazyFrame) -> pl.LazyFrame:
    """Return timed facts without those that are present and negated under one item at one instant."""
    return facts.join(_contradicted(facts), on=IDENTITY, how="anti")


def _contradicted(facts: pl.LazyFrame) -> pl.LazyFrame:
    """Return what (IDENTITY) the facts affirm and deny at one instant; an untimed fact contradicts none."""
    negated = facts.filter(pl.col("time").is_not_null(), pl.col("status") == "negated").select(IDENTITY)
    present = facts.filter(pl.col("status") == "present").join(negated, on=IDENTITY, how="semi")
    return present.select(IDENTITY).unique()


def is_one_of(items: Iterable[str]) -> pl.Expr:
    """Return whether the column `item` is one of the items."""
    wanted = sorted(items)
    return pl.col("item").is_in(pl.Series(wanted, dtype=pl.Categorical).implode()) if wanted else pl.lit(value=False)
