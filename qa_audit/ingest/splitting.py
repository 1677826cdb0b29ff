"""Splitting a plain file (UTF-8, default namespace) into its reports by their tags, without parsing them."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import BinaryIO

from lxml import etree

from qa_audit.ingest.header import Header, read_header
from qa_audit.ingest.listing import chunks
from qa_audit.ingest.opening import NotReadableError, Opening

TAG = b"PatientCareReport"
WINDOW = 4 << 20
AHEAD = 64
"""Bytes that a tag may need behind the place where it begins."""
BEHIND = 2
"""Bytes that stand before a tag's name: `</`."""
LARGEST_HEADER = 8 << 20
_SKIPS = ((b"<!--", b"-->"), (b"<![CDATA[", b"]]>"), (b"<?", b"?>"))
_COMMENTS = re.compile(r"<!--.*?-->|<\?.*?\?>", re.DOTALL)


class NotPlainError(Exception):
    """Bytes alone cannot tell: a tag in a comment or with a prefix, no report, XML broken outside the reports."""


@dataclass(frozen=True)
class Span:
    """Where one report stands in its file, and the Header it belongs to."""

    offset: int
    length: int
    header: Header


@dataclass
class PlainSplitter:
    """Finds the reports of a plain file in one pass over its bytes.

    `sha256` is the file's once `spans` is exhausted.
    """

    file: Path
    opening: Opening
    sha256: str = ""
    _skeleton: list[str] = field(default_factory=list)

    def spans(self) -> Iterator[Span]:
        """Yield every report in order; a report without an end tag reaches to the next report.

        Raises `NotPlainError` when an event parser must split the file; what was yielded before then does not count.
        """
        header: Header | None = None
        started: int | None = None
        ended = self.opening.starts_at
        with self.file.open("rb") as access:
            for begin, end, opens in self._tags():
                if opens and started is None:
                    header = self._between(access, ended, begin) or header
                if header is None or (started is None and not opens):
                    raise NotPlainError
                if started is not None:
                    ended = begin if opens else end
                    if opens:
                        _refuse_unclosed(access, started, ended)
                    yield Span(started, ended - started, header)
                started = begin if opens else None
            if started is not None or header is None:
                raise NotPlainError
            self._between(access, ended, access.seek(0, 2), last=True)
        self._finish()

    def _tags(self) -> Iterator[tuple[int, int, bool]]:
        """Yield begin, end and whether it opens, of every report's tag; no comment, CDATA or instruction holds one."""
        digest = hashlib.sha256()
        base, window, until, resume = 0, b"", b"", 0
        for chunk in chain(chunks(self.file, WINDOW), (b"",)):
            digest.update(chunk)
            window += chunk
            last = not chunk
            stop = len(window) if last else max(BEHIND, len(window) - AHEAD)
            if until:
                resume, until = _skipped(window, until, resume - base, base)
            for found, length, closer in _tokens(window, min(BEHIND, base), stop):
                if until or base + found < resume:
                    if not closer:
                        raise NotPlainError
                elif closer:
                    resume, until = _skipped(window, closer, found + length, base)
                else:
                    yield _tag(window, base, found)
            base, window = base + stop - BEHIND, window[stop - BEHIND :]
        self.sha256 = digest.hexdigest()

    def _between(self, access: BinaryIO, start: int, stop: int, *, last: bool = False) -> Header | None:
        """Read what stands between two reports; a Header that begins there is returned."""
        if stop - start > LARGEST_HEADER:
            raise NotPlainError
        access.seek(start)
        try:
            text = _COMMENTS.sub("", access.read(stop - start).decode())
        except UnicodeDecodeError:
            raise NotPlainError from None
        if not text.strip():
            return None
        self._skeleton.append(text)
        if last:
            return None
        begins = text.rfind("<Header")
        if begins < 0:
            raise NotPlainError
        try:
            return read_header(text[begins:], self.opening)
        except NotReadableError:
            raise NotPlainError from None

    def _finish(self) -> None:
        """Ask whether what stands outside the reports is well-formed: else reports could be given to another agency."""
        try:
            etree.fromstring("".join(self._skeleton).encode())
        except etree.XMLSyntaxError:
            raise NotPlainError from None


def _refuse_unclosed(access: BinaryIO, start: int, stop: int) -> None:
    """Refuse a report without an end tag that has swallowed the end of its Header."""
    access.seek(start)
    if b"Header" in access.read(stop - start):
        raise NotPlainError


def _tokens(window: bytes, start: int, stop: int) -> list[tuple[int, int, bytes]]:
    """Return place, length and closer (empty for a report's tag) of what begins between start and stop, in order."""
    found = [(place, len(TAG), b"") for place in _places(window, TAG, start, stop) if _is_tag(window, place)]
    for mark in (b"!", b"?"):  # one byte is found ten times as fast as two
        for place in _places(window, mark, start + 1, stop + 1):
            found += [
                (place - 1, len(opener), closer) for opener, closer in _SKIPS if window.startswith(opener, place - 1)
            ]
    return sorted(found)


def _places(window: bytes, wanted: bytes, start: int, stop: int) -> Iterator[int]:
    place = window.find(wanted, start)
    while 0 <= place < stop:
        yield place
        place = window.find(wanted, place + 1)


def _is_tag(window: bytes, place: int) -> bool:
    """Say whether a report's name found at `place` is a tag; raises `NotPlainError` for one with a prefix."""
    if window[place + len(TAG) : place + len(TAG) + 1] not in (b">", b" ", b"\t", b"\r", b"\n", b"/"):
        return False
    if window[place - 1 : place] == b":":
        raise NotPlainError
    return window[place - 1 : place] == b"<" or window[place - 2 : place] == b"</"


def _tag(window: bytes, base: int, found: int) -> tuple[int, int, bool]:
    opens = window[found - 1 : found] == b"<"
    end = window.find(b">", found)
    if not opens and end < 0:
        raise NotPlainError
    return base + found - (1 if opens else 2), base + end + 1, opens


def _skipped(window: bytes, closer: bytes, place: int, base: int) -> tuple[int, bytes]:
    """Return where reading resumes behind the closer, and the closer still looked for when it is not in the window."""
    found = window.find(closer, max(0, place))
    return (
        (base + found + len(closer), b"") if found >= 0 else (base + max(place, len(window) - len(closer) + 1), closer)
    )
