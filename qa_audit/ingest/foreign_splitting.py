"""Splitting any other file: other encodings, prefixed names, tags in comments; or saying where it is broken."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from qa_audit.ingest.header import NOT_READ, Header, read_header
from qa_audit.ingest.listing import chunks
from qa_audit.ingest.opening import DOCTYPE_FOUND, NotReadableError, Opening
from qa_audit.ingest.splitting import Span

CHUNK = 1 << 20
NO_REPORTS = NotReadableError(
    "unreadable",
    "The file holds no PatientCareReport; an EMSDataSet file holds at least one: leave it out or export it again.",
)
SECOND_AGENCY = NotReadableError(
    "unreadable",
    "The file names a second agency behind the reports of a Header; each agency's reports stand under a Header of"
    " their own: export the file again.",
)
BEGINNINGS = frozenset({"Header", "DemographicGroup", "PatientCareReport"})


@dataclass
class ForeignSplitter:
    """Finds the reports of a file with an event parser (expat), which knows where in the bytes each tag stands.

    `sha256` is the file's once `spans` is exhausted.
    """

    file: Path
    opening: Opening
    sha256: str = ""
    _found: list[tuple[str, int]] = field(default_factory=list)

    def spans(self) -> Iterator[Span]:
        """Yield every report in order; raises `NotReadableError` at the first place that is not well-formed."""
        header: Header | None = None
        header_at = started = reports = 0
        for name, place in self._events():
            if name == "Header":
                header, header_at = None, place
            elif name == "DemographicGroup" and header is not None:
                raise SECOND_AGENCY
            elif name == "PatientCareReport":
                header = header or self._header(header_at, place)
                started = place
                reports += 1
            elif name == "end" and header is not None:
                yield Span(started, place - started, header)
        if not reports:
            raise NO_REPORTS

    def _events(self) -> Iterator[tuple[str, int]]:
        """Yield where Headers and reports begin, and where reports end."""
        digest, parser = hashlib.sha256(), self._parser()
        try:
            for chunk in chunks(self.file, CHUNK):
                digest.update(chunk)
                parser.Parse(chunk, False)
                yield from self._found
                self._found.clear()
            parser.Parse(b"", True)
        except expat.ExpatError as fault:
            raise NotReadableError(
                "unreadable",
                f"The file is not well-formed XML at line {fault.lineno}, byte {parser.ErrorByteIndex}; a well-formed"
                " EMSDataSet is allowed: check that it was exported and copied whole.",
            ) from None
        yield from self._found
        self.sha256 = digest.hexdigest()

    def _parser(self) -> expat.XMLParserType:
        parser = expat.ParserCreate()
        end_tag = ">".encode(self.opening.encoding)

        def start(name: str, _: dict[str, str]) -> None:
            local = name.rpartition(":")[2]
            if local in BEGINNINGS:
                self._found.append((local, parser.CurrentByteIndex))

        def end(name: str) -> None:
            if name.rpartition(":")[2] == "PatientCareReport":
                self._found.append(("end", self._behind(parser.CurrentByteIndex, end_tag)))

        def doctype(*_: object) -> None:
            raise DOCTYPE_FOUND

        parser.StartElementHandler = start
        parser.EndElementHandler = end
        parser.StartDoctypeDeclHandler = doctype
        return parser

    def _behind(self, place: int, wanted: bytes) -> int:
        """Return the place behind the first `wanted` at or after a place."""
        with self.file.open("rb") as access:
            access.seek(place)
            ahead = access.read(1024)
        return place + ahead.index(wanted) + len(wanted)

    def _header(self, start: int, stop: int) -> Header:
        with self.file.open("rb") as access:
            access.seek(start)
            try:
                return read_header(access.read(stop - start).decode(self.opening.encoding), self.opening)
            except UnicodeDecodeError:
                raise NOT_READ from None
