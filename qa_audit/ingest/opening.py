"""The head of a file: its encoding, its root element, and whether it may be split by its bytes."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from qa_audit.ingest.listing import chunks

NAMESPACE = "http://www.nemsis.org"
ROOT = f"{{{NAMESPACE}}}EMSDataSet"
SCHEMA_LOCATION = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"
HEAD = 1 << 20

_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_SKIPPED = re.compile(r"\s+|<\?.*?\?>|<!--.*?-->", re.DOTALL)
_START_TAG = re.compile(r"""<([^\s/>!?]+)(?:\s+[^\s=<>]+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*\s*/?>""")
PLAIN_ENCODINGS = ("utf-8", "ascii")


class NotReadableError(Exception):
    """A whole file that cannot be read: which check holds it back, and the sentence that says why."""

    def __init__(self, check: str, sentence: str) -> None:
        """Take a check of the held_back table and its sentence."""
        super().__init__(sentence)
        self.check = check
        self.sentence = sentence


DOCTYPE_FOUND = NotReadableError(
    "unreadable",
    "The file holds a DOCTYPE, through which XML can pull in other files; none is allowed: export it without one.",
)


@dataclass(frozen=True)
class Opening:
    """What a file's head says: its encoding, the root's own start and end tag, and the schema it names."""

    encoding: str
    root_start: str
    root_end: str
    schema_location: str
    starts_at: int
    """Byte offset of the first byte after a byte-order mark."""

    @property
    def is_plain(self) -> bool:
        """Say whether tags can be found as bytes: UTF-8 and the standard as the default namespace."""
        return self.encoding in PLAIN_ENCODINGS and ":" not in self.root_end


def open_head(file: Path) -> Opening:
    """Read a file's head; raises `NotReadableError` when it is no EMSDataSet, holds a DOCTYPE or is no XML."""
    head = next(chunks(file, HEAD), b"")
    mark, encoding = next(((mark, name) for mark, name in _MARKS if head.startswith(mark)), (b"", ""))
    if not encoding:
        declared = _DECLARED.search(head[:400])
        encoding = declared.group(1).decode().lower() if declared else "utf-8"
    try:
        encoding = codecs.lookup(encoding).name
        text = head[len(mark) :].decode(encoding, errors="replace")
    except LookupError:
        raise NotReadableError(
            "unreadable",
            "The file declares a text encoding that is not known; UTF-8 is allowed: export it again as UTF-8.",
        ) from None
    start = _root_start_tag(text)
    name = _START_TAG.match(start)
    root = _parsed(start, name.group(1) if name else "")
    if root.tag != ROOT:
        raise NotReadableError(
            "not_emsdataset",
            f"The file's root element is {_local(root.tag)}, not EMSDataSet of the NEMSIS standard; only EMSDataSet"
            " files of versions 3.5.0 and 3.5.1 are read: leave this file out or export the reports as EMSDataSet.",
        )
    opened = start[:-2] + ">" if start.endswith("/>") else start
    return Opening(encoding, opened, f"</{name.group(1) if name else ''}>", root.get(SCHEMA_LOCATION, ""), len(mark))


def _root_start_tag(text: str) -> str:
    place = 0
    while skipped := _SKIPPED.match(text, place):
        place = skipped.end()
    if text.startswith("<!DOCTYPE", place):
        raise DOCTYPE_FOUND
    found = _START_TAG.match(text, place)
    if not found:
        raise NotReadableError(
            "unreadable",
            "The file does not begin like XML (no root element found); an EMSDataSet file is allowed: check that it was"
            " exported and copied whole.",
        )
    return found.group()


def _parsed(start: str, name: str) -> etree._Element:
    whole = start if start.endswith("/>") else f"{start}</{name}>"
    try:
        return etree.fromstring(whole.encode())
    except etree.XMLSyntaxError:
        raise NotReadableError(
            "unreadable",
            "The file's root element cannot be read as XML; a well-formed EMSDataSet is allowed: export it again.",
        ) from None


def _local(tag: object) -> str:
    name = str(tag).rpartition("}")[2]
    return name if re.fullmatch(r"[A-Za-z][\w.-]{0,60}", name) else "another one"
