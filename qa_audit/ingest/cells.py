"""Cells: what the walk through the reports of a task picks up, column by column, before any of it is understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import polars as pl

from qa_audit.ingest.standard.elements import GROUPS, NAMES
from qa_audit.ingest.standard.words import WHY_EMPTY, WHY_NEGATIVE

ELEMENT = pl.Enum(NAMES)
GROUP = pl.Enum(list(GROUPS))
IN_GROUP = 256
"""One more than the largest number of an element."""
READ_ATTRIBUTES = frozenset({"{http://www.w3.org/2001/XMLSchema-instance}nil", "NV", "PN", "CodeType", "ETCO2Type"})
_NIL = "{http://www.w3.org/2001/XMLSchema-instance}nil"

Attributes = tuple[tuple[str, str], ...]


@dataclass
class Reports:
    """One entry for each report that could be parsed."""

    report: list[int] = field(default_factory=list)
    source: list[int] = field(default_factory=list)
    uuid: list[str | None] = field(default_factory=list)
    agency: list[str | None] = field(default_factory=list)
    position: list[int] = field(default_factory=list)
    sha256: list[str] = field(default_factory=list)


@dataclass
class CustomResults:
    """One entry for each result of an agency's own element that becomes a fact; `group` is what it is tied to."""

    report: list[int] = field(default_factory=list)
    item: list[str] = field(default_factory=list)
    status: list[str] = field(default_factory=list)
    why: list[str | None] = field(default_factory=list)
    value: list[float | None] = field(default_factory=list)
    moment: list[str | None] = field(default_factory=list)
    group: list[int | None] = field(default_factory=list)

    def add(  # noqa: PLR0913 - a column for each
        self,
        report: int,
        item: str,
        group: int | None,
        *,
        status: str = "present",
        why: str | None = None,
        value: float | None = None,
        moment: str | None = None,
    ) -> None:
        """Add one result."""
        self.report.append(report)
        self.item.append(item)
        self.status.append(status)
        self.why.append(why)
        self.value.append(value)
        self.moment.append(moment)
        self.group.append(group)


@dataclass
class Remarked:
    """One entry for each thing noticed while walking."""

    report: list[int] = field(default_factory=list)
    element: list[str | None] = field(default_factory=list)
    remark: list[str] = field(default_factory=list)

    def add(self, report: int, element: str, remark: str) -> None:
        """Add one remark."""
        self.report.append(report)
        self.element.append(element)
        self.remark.append(remark)


@dataclass
class Cells:
    """Everything picked up from the reports of one task.

    A cell is one entry of `code` (its element's number, and `IN_GROUP` times its group's number counted from 1, 0:
    none) and of `text`; `attributed` names the few cells that have attributes, `counts` how many cells each report has.
    """

    reports: Reports = field(default_factory=Reports)
    code: list[int] = field(default_factory=list)
    text: list[str | None] = field(default_factory=list)
    attributed: list[tuple[int, int]] = field(default_factory=list)
    counts: list[tuple[int, int]] = field(default_factory=list)
    group_report: list[int] = field(default_factory=list)
    group_kind: list[int] = field(default_factory=list)
    group_number: list[int] = field(default_factory=list)
    custom: CustomResults = field(default_factory=CustomResults)
    remarks: Remarked = field(default_factory=Remarked)
    narratives: list[tuple[int, str]] = field(default_factory=list)
    _attributes: dict[Attributes, int] = field(default_factory=lambda: {(): 0})

    def attributes_number(self, items: Sequence[tuple[str | bytes, str | bytes]]) -> int:
        """Return the number of a set of attributes: few sets occur, so each is understood once."""
        wanted = tuple((str(name), str(value)) for name, value in items if name in READ_ATTRIBUTES)
        return self._attributes.setdefault(wanted, len(self._attributes))

    def cell_frame(self) -> pl.DataFrame:
        """Return a row for each element: `cell`, `report`, `element`, `text`, `group` and its attributes' meaning."""
        reports = pl.DataFrame(self.counts, schema={"report": pl.UInt32, "cells": pl.UInt32}, orient="row")
        cells = pl.DataFrame(
            {
                "report": reports.select(
                    pl.col("report").repeat_by("cells").list.explode(keep_nulls=False, empty_as_null=False)
                ),
                "code": pl.Series(self.code, dtype=pl.UInt32),
                "text": pl.Series(self.text, dtype=pl.String),
            }
        )
        attributed = pl.DataFrame(self.attributed, schema={"cell": pl.UInt32, "attributes": pl.UInt32}, orient="row")
        group = pl.col("code") // IN_GROUP
        numbered = cells.with_row_index("cell").with_columns(
            element=(pl.col("code") % IN_GROUP).cast(pl.UInt8).cat.to(ELEMENT), group=pl.when(group > 0).then(group - 1)
        )
        meant = attributed.join(self._attribute_frame(), on="attributes", how="left", maintain_order="left").drop(
            "attributes"
        )
        joined = numbered.drop("code").join(meant, on="cell", how="left", maintain_order="left")
        return joined.with_columns(pl.col("nil").fill_null(value=False))

    def group_frame(self) -> pl.DataFrame:
        """Return a row for each group: `group`, `report`, `kind`, `call_group`."""
        return pl.DataFrame(
            {
                "report": pl.Series(self.group_report, dtype=pl.UInt32),
                "kind": pl.Series(self.group_kind, dtype=pl.UInt8).cat.to(GROUP),
                "call_group": pl.Series(self.group_number, dtype=pl.UInt16),
            }
        ).with_row_index("group")

    def _attribute_frame(self) -> pl.DataFrame:
        sets = [dict(items) for items in self._attributes]
        return pl.DataFrame(
            {
                "attributes": pl.Series(self._attributes.values(), dtype=pl.UInt32),
                "nil": pl.Series([each.get(_NIL) in ("true", "1") for each in sets], dtype=pl.Boolean),
                "nv": pl.Series([WHY_EMPTY.get(each.get("NV", "").strip()) for each in sets], dtype=pl.String),
                "pn": pl.Series([WHY_NEGATIVE.get(each.get("PN", "").strip()) for each in sets], dtype=pl.String),
                "code_type": pl.Series([each.get("CodeType") for each in sets], dtype=pl.String),
                "carbon_dioxide_type": pl.Series([each.get("ETCO2Type") for each in sets], dtype=pl.String),
            }
        )
