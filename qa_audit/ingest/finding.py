"""Finding the chart behind a pseudonym again, for the terminal only."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from qa_audit.ingest.foreign_splitting import ForeignSplitter
from qa_audit.ingest.header import NS
from qa_audit.ingest.key import Key
from qa_audit.ingest.listing import list_files
from qa_audit.ingest.opening import NotReadableError, Opening, open_head
from qa_audit.ingest.parsing import parse_alone
from qa_audit.ingest.splitting import NotPlainError, PlainSplitter, Span

START_TAG = 4096
_UUID = re.compile(r"""\sUUID\s*=\s*["']([^"']*)["']""")


@dataclass(frozen=True)
class Standing:
    """Where one report stands: its file, the byte at which it begins, its chart number (eRecord.01)."""

    file: Path
    position: int
    chart_number: str | None


def find(report_id: str, inputs: Sequence[Path], key: Key) -> list[Standing]:
    """Return every place in the inputs where the report with this pseudonym stands, in reading order.

    Files that cannot be read are passed over.
    """
    return [
        standing
        for file in list_files(inputs).files
        for opening, span in _spans(file)
        if (standing := _standing(report_id, file, opening, span, key))
    ]


def _spans(file: Path) -> list[tuple[Opening, Span]]:
    try:
        opening = open_head(file)
        return [(opening, span) for span in _split(file, opening)]
    except NotReadableError:
        return []


def _split(file: Path, opening: Opening) -> list[Span]:
    if opening.is_plain:
        try:
            return list(PlainSplitter(file, opening).spans())
        except NotPlainError:
            pass
    return list(ForeignSplitter(file, opening).spans())


def _standing(report_id: str, file: Path, opening: Opening, span: Span, key: Key) -> Standing | None:
    with file.open("rb") as access:
        access.seek(span.offset)
        tag = access.read(min(START_TAG, span.length)).decode(opening.encoding, errors="replace").partition(">")[0]
    uuid = _UUID.search(tag)
    if not uuid or not uuid.group(1).strip() or key.pseudonym("R", uuid.group(1)) != report_id.strip():
        return None
    report = parse_alone(file, opening.encoding, span)
    number = "" if report is None else report.findtext(f"{NS}eRecord/{NS}eRecord.01", "").strip()
    return Standing(file, span.offset, number or None)
