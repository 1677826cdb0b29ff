"""The batch: parts of all tasks put together, refused files taken out, and what only whole files can say."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import polars as pl

from qa_audit.ingest.blocks import Outcome, Refusal, Unreadable, Use
from qa_audit.ingest.defined import definitions
from qa_audit.ingest.listing import chunks
from qa_audit.ingest.refusals import identifiers_sentence, version_sentence
from qa_audit.ingest.standard.versions import Marks, is_before_3_5, standard_version, subset
from qa_audit.ingest.tasks import ReadFile
from qa_audit.tables import FACTS, HELD_BACK, MEMBERS, NARRATIVES, RECORDS, REMARKS, REPORTS, Batch, Table
from qa_audit.tables.batch import Source

Row = dict[str, object]
Parts = dict[Path, tuple[int, ...]]
"""Parts of one table in reading order, each with the sources whose reports it holds."""


@dataclass
class Gathered:
    """What all tasks handed back."""

    parts: dict[str, Parts] = field(default_factory=dict)
    marks: dict[int, Marks] = field(default_factory=dict)
    unreadable: dict[int, list[Unreadable]] = field(default_factory=dict)
    refusals: dict[int, list[Refusal]] = field(default_factory=dict)
    used: dict[int, Counter[Use]] = field(default_factory=dict)

    def add(self, outcome: Outcome) -> None:
        """Add what one task handed back."""
        for name, part in outcome.parts.items():
            self.parts.setdefault(name, {})[part] = outcome.sources
        for source, marks in outcome.marks.items():
            self.marks.setdefault(source, Marks()).add(marks)
        for unreadable in outcome.unreadable:
            self.unreadable.setdefault(unreadable.source, []).append(unreadable)
        for refusal in outcome.refusals:
            self.refusals.setdefault(refusal.source, []).append(refusal)
        for source, used in outcome.used.items():
            self.used.setdefault(source, Counter()).update(used)

    @cached_property
    def records(self) -> pl.DataFrame:
        """Return where every report stands, read once before refused files are taken out."""
        return _scan(RECORDS, self).collect()

    def of(self, table: Table) -> Parts:
        """Return the parts of a table in reading order."""
        return dict(sorted(self.parts.get(table.name, {}).items()))


def batch(files: Sequence[ReadFile], gathered: Gathered) -> Batch:
    """Return the batch of a run; rows of refused files are taken out of the parts and stand in `held_back` alone."""
    for file in files:
        file.sha256 = file.sha256 or _sha256(file.file)
    read = [file for file in files if not file.begun_again]
    refused = {file.source: rows for file in read if (rows := _refused(file, gathered)) is not None}
    gone = [file for file in files if file.begun_again or file.source in refused]
    kept = [file for file in read if file.source not in refused]
    for table in (REPORTS, FACTS, MEMBERS, NARRATIVES, RECORDS, REMARKS):
        _take_out(gathered.of(table), gone)
    rows = [row for file in read for row in (refused.get(file.source) or _unreadable(file, gathered))]
    return Batch(
        reports=_reports(gathered, kept),
        facts=_scan(FACTS, gathered, row_index="fact"),
        members=_scan(MEMBERS, gathered),
        narratives=_scan(NARRATIVES, gathered),
        records=_scan(RECORDS, gathered),
        remarks=_scan(REMARKS, gathered),
        definitions=definitions(gathered.used.get(file.source, Counter()) for file in kept),
        held_back=HELD_BACK.frame(rows),
        sources=tuple(Source(file.source, file.sha256, max(1, file.reports)) for file in read),
    )


def _sha256(file: Path) -> str:
    digest = hashlib.sha256()
    for chunk in chunks(file):
        digest.update(chunk)
    return digest.hexdigest()


def _refused(file: ReadFile, gathered: Gathered) -> list[Row] | None:
    """Return the held-back rows of a file of which nothing is admitted; null when it is admitted."""
    if file.refused:
        return [_row(file, None, file.refused.check, file.refused.sentence, file.sha256)]
    marks, refusals = gathered.marks.get(file.source, Marks()), gathered.refusals.get(file.source, [])
    if marks.sections and is_before_3_5(marks, _schema_location(file)):
        said: Mapping[int, str] | str = version_sentence(marks)
        check = "version_not_supported"
    elif refusals:
        said, check = {}, "identifiers_refused"
    else:
        return None
    records = gathered.records.filter(pl.col("report").is_between(file.first, file.first + file.reports - 1))
    rows = [
        _row(file, place, check, said if isinstance(said, str) else identifiers_sentence(place, refusals), digest)
        for place, digest in records.select("position", "record_sha256").iter_rows()
    ]
    return sorted([*rows, *_unreadable(file, gathered)], key=lambda row: str(row["position"]).zfill(20))


def _unreadable(file: ReadFile, gathered: Gathered) -> list[Row]:
    found = gathered.unreadable.get(file.source, [])
    return [_row(file, each.position, "unreadable", each.sentence, each.record_sha256) for each in found]


def _row(file: ReadFile, position: int | None, check: str, sentence: str, record_sha256: str) -> Row:
    return {
        "source": file.source,
        "source_sha256": file.sha256,
        "position": position,
        "check": check,
        "sentence": sentence,
        "record_sha256": record_sha256,
    }


def _schema_location(file: ReadFile) -> str:
    return file.opening.schema_location if file.opening else ""


def _take_out(parts: Parts, gone: Sequence[ReadFile]) -> None:
    """Write the parts that hold reports of files that are gone again, without those."""
    for part, sources in parts.items():
        ordinals = [ordinal for file in gone if file.source in sources for ordinal in file.ordinals]
        if ordinals:
            out = pl.Series(ordinals, dtype=pl.UInt32)
            rest = pl.read_parquet(part).filter(~pl.col("report").is_in(out.implode()))
            rest.write_parquet(part, compression="lz4", statistics=False)


def _scan(table: Table, gathered: Gathered, row_index: str | None = None) -> pl.LazyFrame:
    parts = list(gathered.of(table))
    if not parts:
        return table.empty().lazy()
    return table.conform(pl.scan_parquet(parts, row_index_name=row_index))


def _reports(gathered: Gathered, kept: Sequence[ReadFile]) -> pl.LazyFrame:
    """Return the reports with what their whole file says: subset, version, digest."""
    parts = list(gathered.of(REPORTS))
    if not parts:
        return REPORTS.empty().lazy()
    marks = [(gathered.marks.get(file.source, Marks()), _schema_location(file)) for file in kept]
    of_files = pl.LazyFrame(
        {
            "source": pl.Series([file.source for file in kept], dtype=pl.UInt32),
            "source_sha256": pl.Series([file.sha256 for file in kept], dtype=pl.String),
            "subset": pl.Series([subset(*each) for each in marks], dtype=pl.String),
            "standard_version": pl.Series([standard_version(*each) for each in marks], dtype=pl.String),
        }
    )
    return REPORTS.conform(pl.scan_parquet(parts).join(of_files, on="source", how="left", maintain_order="left"))
