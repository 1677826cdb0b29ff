"""One task: blocks of complete reports, parsed, walked and written as Parquet parts, in any process."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from qa_audit.ingest.choices import Choices
from qa_audit.ingest.header import Definition
from qa_audit.ingest.parsing import parsed
from qa_audit.ingest.splitting import Span
from qa_audit.ingest.standard.versions import Marks
from qa_audit.ingest.tabling.tables import tables
from qa_audit.ingest.walking import Walk

Use = tuple[str, Definition | None]
"""An id of an agency's own element and its definition in the Header that it is used under, if it has one."""


@dataclass(frozen=True)
class Block:
    """Reports of one file that stand under one Header; `first` is the ordinal of the first one in the run."""

    file: Path
    source: int
    encoding: str
    first: int
    spans: tuple[Span, ...]

    @property
    def length(self) -> int:
        """Bytes of its reports."""
        return sum(span.length for span in self.spans)


@dataclass(frozen=True)
class Unreadable:
    """One report that could not be parsed: where it stands, and the sentence."""

    source: int
    report: int
    position: int
    sentence: str
    record_sha256: str


@dataclass(frozen=True)
class Refusal:
    """One report with identifiers: where it stands, and how often each element (or kind in a text) occurred."""

    source: int
    position: int
    elements: dict[str, int]


@dataclass
class Outcome:
    """What a task hands back: small things only; its tables lie in `parts`, by name."""

    parts: dict[str, Path] = field(default_factory=dict)
    sources: tuple[int, ...] = ()
    length: int = 0
    marks: dict[int, Marks] = field(default_factory=dict)
    unreadable: list[Unreadable] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    used: dict[int, Counter[Use]] = field(default_factory=dict)


def read_blocks(number: int, blocks: Sequence[Block], choices: Choices, scratch: Path) -> Outcome:
    """Read a task's blocks and write its tables to `scratch`, named by the task's number."""
    outcome = Outcome(
        sources=tuple(dict.fromkeys(block.source for block in blocks)), length=sum(block.length for block in blocks)
    )
    walk = Walk(choices)
    for block in blocks:
        walk.marks = outcome.marks.setdefault(block.source, Marks())
        used = outcome.used.setdefault(block.source, Counter())
        for header in {id(span.header): span.header for span in block.spans}.values():
            used.update(dict.fromkeys(header.definitions.items(), 0))
        for report, record in enumerate(parsed(block.file, block.encoding, block.spans), start=block.first):
            span = record.span
            if isinstance(record.element, str):
                outcome.unreadable.append(Unreadable(block.source, report, span.offset, record.element, record.sha256))
                continue
            _note(walk, block.source, report, span, record.sha256)
            walk.report(report, record.element, span.header)
            used.update((name, span.header.definitions.get(name)) for name in walk.custom_used)
            if walk.refused:
                outcome.refusals.append(Refusal(block.source, span.offset, walk.refused))
    for name, table in tables(walk.cells, choices).items():
        outcome.parts[name] = scratch / f"{name}-{number:06}.parquet"
        table.write_parquet(outcome.parts[name], compression="lz4", statistics=False)
    return outcome


def _note(walk: Walk, source: int, report: int, span: Span, record_sha256: str) -> None:
    reports = walk.cells.reports
    reports.report.append(report)
    reports.source.append(source)
    reports.agency.append(span.header.agency)
    reports.position.append(span.offset)
    reports.sha256.append(record_sha256)
