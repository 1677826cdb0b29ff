"""From files to tasks: every file split into reports, and neighbours, of one file or many, put into one task."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from qa_audit.ingest.blocks import Block
from qa_audit.ingest.foreign_splitting import ForeignSplitter
from qa_audit.ingest.opening import NotReadableError, Opening, open_head
from qa_audit.ingest.splitting import NotPlainError, PlainSplitter, Span

TASK_BYTES = 16 << 20
SPANS_AT_ONCE = 4 << 20
"""Bytes of reports of a large file that are put into one block."""


@dataclass
class ReadFile:
    """One file while it is read: its ordinal, its head, the ordinals of its reports, or why it is held back whole."""

    file: Path
    source: int
    first: int
    reports: int = 0
    sha256: str = ""
    opening: Opening | None = None
    refused: NotReadableError | None = None
    begun_again: bool = False
    """Its bytes misled: it is read again, as another source, and nothing of this reading counts."""

    @property
    def ordinals(self) -> range:
        """Ordinals of its reports in the run."""
        return range(self.first, self.first + self.reports)


@dataclass
class Tasks:
    """The tasks of a run; `files` grows as they are taken, and is complete when they are exhausted."""

    listed: Sequence[Path]
    files: list[ReadFile] = field(default_factory=list)
    _next_report: int = 0

    def __iter__(self) -> Iterator[list[Block]]:
        """Yield blocks for one task each."""
        task: list[Block] = []
        size = 0
        for file in self.listed:
            for block in self._blocks(file):
                task.append(block)
                size += block.length
                if size >= TASK_BYTES:
                    yield task
                    task, size = [], 0
        if task:
            yield task

    def _blocks(self, file: Path) -> Iterator[Block]:
        """Yield a file's blocks; a file that cannot be split is marked refused and takes one ordinal."""
        reading = self._begin(file)
        try:
            opening = open_head(file)
            if opening.is_plain:
                try:
                    yield from self._split(reading, opening, PlainSplitter(file, opening))
                except NotPlainError:
                    reading.begun_again = True
                    reading = self._begin(file)
                else:
                    return
            yield from self._split(reading, opening, ForeignSplitter(file, opening))
        except NotReadableError as refused:
            reading.refused = refused
            self._next_report = max(self._next_report, reading.first + 1)

    def _begin(self, file: Path) -> ReadFile:
        reading = ReadFile(file, len(self.files), self._next_report)
        self.files.append(reading)
        return reading

    def _split(self, reading: ReadFile, opening: Opening, splitter: PlainSplitter | ForeignSplitter) -> Iterator[Block]:
        reading.opening = opening
        spans: list[Span] = []
        for span in splitter.spans():
            spans.append(span)
            if span.offset + span.length - spans[0].offset >= SPANS_AT_ONCE:
                yield self._block(reading, opening, spans)
                spans = []
        if spans:
            yield self._block(reading, opening, spans)
        reading.sha256 = splitter.sha256

    def _block(self, reading: ReadFile, opening: Opening, spans: list[Span]) -> Block:
        block = Block(reading.file, reading.source, opening.encoding, self._next_report, tuple(spans))
        reading.reports += len(spans)
        self._next_report += len(spans)
        return block
