"""Header: what stands before the reports and is valid for them alone: the agency and its own elements."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from lxml import etree

from qa_audit.ingest.opening import NAMESPACE, NotReadableError, Opening
from qa_audit.ingest.standard.words import DATA_TYPES

_START = re.compile(r"<(?:[^\s<>/:]+:)?Header(?:\s[^<>]*)?>")
NS = f"{{{NAMESPACE}}}"


@dataclass(frozen=True)
class Definition:
    """One element of the agency's own: what it extends, its data type (a word), the values it declares."""

    extends: str | None
    data_type: str | None
    values: frozenset[str]


@dataclass(frozen=True)
class Header:
    """One Header: the tags that stand around its reports, its agency (dAgency.02), its own elements by id."""

    before: str
    after: str
    agency: str | None
    definitions: Mapping[str, Definition] = field(default_factory=dict)


NOT_READ = NotReadableError(
    "unreadable",
    "The file's Header cannot be read as XML; without it its reports belong to no agency: export the file again.",
)


def read_header(segment: str, opening: Opening) -> Header:
    """Read one Header from the text between its start tag and its first report; raises `NotReadableError`."""
    tag = _START.search(segment)
    if not tag:
        raise NOT_READ
    name = tag.group()[1:-1].split()[0]
    before, after = opening.root_start + tag.group(), f"</{name}>{opening.root_end}"
    try:
        root = etree.fromstring((before + segment[tag.end() :] + after).encode())
    except etree.XMLSyntaxError:
        raise NOT_READ from None
    header = root[0]
    agency = header.findtext(f"{NS}DemographicGroup/{NS}dAgency.02", "").strip()
    groups = header.iterfind(f"{NS}eCustomConfiguration/{NS}eCustomConfiguration.CustomGroup")
    return Header(
        before,
        after,
        agency or None,
        {group.get("CustomElementID", "").strip(): _definition(group) for group in groups},
    )


def _definition(group: etree._Element) -> Definition:
    title = group.find(f"{NS}eCustomConfiguration.01")
    values = (value.text or "" for value in group.iterfind(f"{NS}eCustomConfiguration.06"))
    return Definition(
        extends=(title.get("nemsisElement") if title is not None else None) or None,
        data_type=DATA_TYPES.get(group.findtext(f"{NS}eCustomConfiguration.03", "").strip(), "other"),
        values=frozenset(text for value in values if (text := value.strip())),
    )
