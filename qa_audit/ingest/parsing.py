"""Parsing reports: many at once, one by one only where that fails, so that a broken report falls alone."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from lxml import etree

from qa_audit.ingest.header import NS
from qa_audit.ingest.opening import PLAIN_ENCODINGS
from qa_audit.ingest.splitting import Span

PARSED_AT_ONCE = 2 << 20
LARGEST_REPORT = 64 << 20
LARGEST_TEXT = 10_000_000
"""Bytes that the XML parser (libxml2) takes as one text."""
REPORT = f"{NS}PatientCareReport"


@dataclass(frozen=True)
class Record:
    """One report: where it stands, the SHA-256 of its bytes, its element or the sentence why it cannot be read."""

    span: Span
    sha256: str
    element: etree._Element | str


def parsed(file: Path, encoding: str, spans: Sequence[Span]) -> Iterator[Record]:
    """Yield every report of the spans in order."""
    with file.open("rb") as access:
        for stretch in _stretches(spans):
            if stretch[0].length > LARGEST_REPORT:
                yield Record(stretch[0], _hashed(access, stretch[0]), _too_large(stretch[0]))
                continue
            start = stretch[0].offset
            access.seek(start)
            data = access.read(stretch[-1].offset + stretch[-1].length - start)
            elements = _all_at_once(data, stretch, encoding)
            for place, span in enumerate(stretch):
                record = data[span.offset - start : span.offset - start + span.length]
                element = elements[place] if elements else _alone(record, span, encoding)
                yield Record(span, hashlib.sha256(record).hexdigest(), element)


def parse_alone(file: Path, encoding: str, span: Span) -> etree._Element | None:
    """Return one report's element, or nothing when it cannot be read."""
    record = next(parsed(file, encoding, [span]))
    return None if isinstance(record.element, str) else record.element


def _stretches(spans: Sequence[Span]) -> Iterator[list[Span]]:
    """Yield neighbours under one Header that together are small enough to be parsed at once."""
    stretch: list[Span] = []
    size = 0
    for span in spans:
        if stretch and (span.header is not stretch[-1].header or size + span.length > PARSED_AT_ONCE):
            yield stretch
            stretch, size = [], 0
        stretch.append(span)
        size += span.length
    if stretch:
        yield stretch


def _all_at_once(data: bytes, stretch: list[Span], encoding: str) -> list[etree._Element] | None:
    root = _parse(data, stretch[0], encoding)
    if root is None:
        return None
    elements = list(root[0])
    fits = len(elements) == len(stretch) and all(element.tag == REPORT for element in elements)
    return elements if fits else None


def _alone(record: bytes, span: Span, encoding: str) -> etree._Element | str:
    root = _parse(record, span, encoding)
    if root is not None and len(root[0]) == 1 and root[0][0].tag == REPORT:
        element: etree._Element = root[0][0]
        return element
    longest = max(len(piece) - piece.find(b">") - 1 for piece in record.split(b"<"))
    if longest > LARGEST_TEXT:
        return (
            f"The report at byte {span.offset} holds a text of {longest:,} bytes; at most {LARGEST_TEXT:,} are allowed"
            " in one element: export it without the attachment."
        )
    return (
        f"The report at byte {span.offset} is not well-formed XML; only well-formed reports are allowed: export this"
        " report again."
    )


def _parse(data: bytes, span: Span, encoding: str) -> etree._Element | None:
    """Parse bytes inside their own Header's tags; returns nothing when they are not well-formed."""
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        remove_comments=True,
        remove_pis=True,
        remove_blank_text=True,
        collect_ids=False,
        huge_tree=False,
    )
    try:
        inside = data if encoding in PLAIN_ENCODINGS else data.decode(encoding).encode()
        return etree.fromstring(span.header.before.encode() + inside + span.header.after.encode(), parser)
    except (etree.XMLSyntaxError, UnicodeDecodeError):
        return None


def _hashed(access: BinaryIO, span: Span) -> str:
    digest = hashlib.sha256()
    access.seek(span.offset)
    left = span.length
    while left and (chunk := access.read(min(left, 1 << 20))):
        digest.update(chunk)
        left -= len(chunk)
    return digest.hexdigest()


def _too_large(span: Span) -> str:
    return (
        f"The report at byte {span.offset} is {span.length:,} bytes long; at most {LARGEST_REPORT:,} are allowed:"
        " export it without its attachments."
    )
