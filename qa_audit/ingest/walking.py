"""The walk through one report: one look-up for each element read, refused or searched; nothing is understood yet."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum
from typing import cast

from lxml import etree

from qa_audit.ingest import identifiers
from qa_audit.ingest.cells import IN_GROUP, Cells
from qa_audit.ingest.choices import Choices
from qa_audit.ingest.custom import TIE, CustomReader, Element
from qa_audit.ingest.header import NS, Header
from qa_audit.ingest.standard.elements import ELEMENTS, GROUPS, NAMES, section_of
from qa_audit.ingest.standard.versions import MARKS, Marks
from qa_audit.ingest.text_scan import SHORTEST_OWN_VALUE, holds_own_value, own_values, structured_identifier

CUSTOM_SECTION = f"{NS}eCustomResults"
NAMED_PROCEDURE = "ProcedureGroupCorrelationID"
with_correlation = etree.XPath("descendant::*[@CorrelationID]")


class Does(IntEnum):
    """What the walk does at an element that is not simply read."""

    NOTE = 0
    GROUP = 1
    REFUSE = 2
    SCAN = 3
    OWN_NUMBER = 4


_KINDS = list(GROUPS)
ALONE = len(_KINDS)
"""The group kind of elements that stand in no group."""
CONFIRMATION, PROCEDURE = _KINDS.index("eAirway.ConfirmationGroup"), _KINDS.index("eProcedures.ProcedureGroup")


def _kind(element: str) -> int:
    return next((_KINDS.index(group) for group, members in GROUPS.items() if element in members), ALONE)


def _does(name: str) -> Does:
    if name in GROUPS:
        return Does.GROUP
    if name in identifiers.REFUSE:
        return Does.REFUSE
    if name in identifiers.SCAN:
        return Does.SCAN
    return Does.OWN_NUMBER if name in identifiers.OWN_NUMBERS else Does.NOTE


_STOPS = {*GROUPS, *identifiers.REFUSE, *identifiers.SCAN, *identifiers.OWN_NUMBERS, *MARKS}
NUMBERS = {name: (NAMES.index(name), _kind(name)) for name in ELEMENTS}
"""Each element's number and the number of its group kind."""
READS = {f"{NS}{name}": numbers for name, numbers in NUMBERS.items() if name not in _STOPS}
"""The same by tag, for elements that are simply read."""
STOPS = {f"{NS}{name}": (name, _does(name)) for name in _STOPS}
"""Every other element at which the walk stops, by tag."""


def _sections() -> dict[str, tuple[str, ...]]:
    """Return the tags to stop at in each section: a short list is found faster than a long one."""
    sections: dict[str, list[str]] = {}
    for name in sorted({*ELEMENTS, *_STOPS}):
        sections.setdefault(f"{NS}{section_of(name)}", []).append(f"{NS}{name}")
    return {section: tuple(tags) for section, tags in sections.items()}


SECTIONS = _sections()


@dataclass
class Walk:
    """The walk through a task's reports: `cells`, `marks` grow, `refused` and `custom_used` are the last report's."""

    choices: Choices
    cells: Cells = field(default_factory=Cells)
    marks: Marks = field(default_factory=Marks)
    refused: dict[str, int] = field(default_factory=dict)
    custom_used: set[str] = field(default_factory=set)
    _number: int = 0
    _groups: dict[Element, int] = field(default_factory=dict)
    _current: list[int] = field(default_factory=list)
    _identifying: list[str] = field(default_factory=list)
    _texts: list[tuple[str, str]] = field(default_factory=list)

    def report(self, number: int, report: Element, header: Header) -> None:
        """Walk one report; `number` is its ordinal in the run."""
        self.refused, self.custom_used = {}, set()
        self._number, self._groups, self._identifying, self._texts = number, {}, [], []
        self._current = [0] * (ALONE + 1)
        before = len(self.cells.code)
        uuid = (report.get("UUID") or "").strip()
        self.marks.with_uuid += bool(uuid)
        self.cells.reports.uuid.append(uuid or None)
        self._identifying.append(uuid)
        results: Element | None = None
        for section in report:
            tag = section.tag
            self.marks.sections.add(tag)
            if tag == CUSTOM_SECTION:
                results = section
            elif (tags := SECTIONS.get(tag)) is not None:
                self._section(section, tags)
        self.cells.counts.append((number, len(self.cells.code) - before))
        self._ties(report, results, header)
        self._search_texts()

    def _section(self, section: Element, tags: tuple[str, ...]) -> None:
        cells, reads, numbers = self.cells, READS, self._current
        codes, add_text = cells.code, cells.text.append
        for node in section.iter(*tags):
            read = reads.get(node.tag)
            if read is None:
                self._other(node)
                continue
            codes.append(read[0] + numbers[read[1]])
            add_text(node.text)
            if items := node.items():
                cells.attributed.append((len(codes) - 1, cells.attributes_number(items)))

    def _other(self, node: Element) -> None:
        name, does = STOPS[node.tag]
        if does is Does.GROUP:
            self._group(node, _KINDS.index(name))
            return
        if name in MARKS:
            self.marks.elements.add(name)
        text = node.text
        if does is Does.REFUSE:
            if text and text.strip():
                self._refuse(name, text)
            if (attribute := node.get(identifiers.REFUSED_ATTRIBUTE)) and attribute.strip():
                self._refuse(name, attribute)
        elif text and does is Does.SCAN:
            self._texts.append((name, text.strip()))
        elif text and does is Does.OWN_NUMBER:
            self._identifying.append(text)
        if name in NUMBERS:
            index, kind = NUMBERS[name]
            self.cells.code.append(index + self._current[kind])
            self.cells.text.append(node.text)
            if items := node.items():
                self.cells.attributed.append((len(self.cells.code) - 1, self.cells.attributes_number(items)))

    def _group(self, node: Element, kind: int) -> None:
        cells = self.cells
        self._groups[node] = len(cells.group_report)
        cells.group_report.append(self._number)
        cells.group_kind.append(kind)
        cells.group_number.append(len(self._groups))
        self._current[kind] = len(cells.group_report) * IN_GROUP

    def _refuse(self, element: str, value: str) -> None:
        self._identifying.append(value)
        if self.choices.de_identify:
            self.cells.remarks.add(self._number, element, "identifier_dropped")
        else:
            self.refused[element] = self.refused.get(element, 0) + 1

    def _ties(self, report: Element, results: Element | None, header: Header) -> None:
        """Resolve what names a CorrelationID: airway confirmations, then the agency's own results."""
        confirmations = self._named(CONFIRMATION, NAMED_PROCEDURE)
        if confirmations:
            procedures = dict(self._named(PROCEDURE, "CorrelationID"))
            numbers = self.cells.group_number
            for named, group in confirmations:
                numbers[group] = numbers[procedures.get(named, group)]
        if results is not None:
            self._custom(results, self._correlated(report, results), header)

    def _named(self, kind: int, attribute: str) -> list[tuple[str, int]]:
        """Return the name that an attribute holds, and the group, for each group of a kind that has one."""
        kinds = self.cells.group_kind
        of_kind = ((node.get(attribute), group) for node, group in self._groups.items() if kinds[group] == kind)
        return [(name.strip(), group) for name, group in of_kind if name and name.strip()]

    def _correlated(self, report: Element, results: Element) -> dict[str, int | None]:
        """Return the group of everything in the report that has a CorrelationID; null: it stands alone."""
        ties: dict[str, int | None] = {}
        if next(results.iter(f"{NS}{TIE}"), None) is None:
            return ties
        for node in cast("list[Element]", with_correlation(report)):
            above = [node, *node.iterancestors()]
            if results not in above:
                group = next((self._groups[each] for each in above if each in self._groups), None)
                ties.setdefault(node.get("CorrelationID", "").strip(), group)
        return ties

    def _custom(self, results: Element, ties: dict[str, int | None], header: Header) -> None:
        found = CustomReader(ties, header, self.choices).read(results)
        for result in found.results:
            self.cells.custom.add(
                self._number,
                result.item,
                result.group,
                status=result.status,
                why=result.why,
                value=result.value,
                moment=result.moment,
            )
        for element, remark in found.remarks:
            self.cells.remarks.add(self._number, element, remark)
        self._texts += [(identifiers.CUSTOM_RESULT, text) for text in found.texts]
        self.custom_used |= found.used

    def _search_texts(self) -> None:
        if not self._texts:
            return
        own = (
            own_values(self._identifying)
            if max(len(text) for _, text in self._texts) >= SHORTEST_OWN_VALUE
            else frozenset()
        )
        for element, text in self._texts:
            what = structured_identifier(text)
            if what is None and not holds_own_value(text, own):
                if element == identifiers.NARRATIVE and self.choices.keep_narrative:
                    self.cells.narratives.append((self._number, text))
            elif self.choices.de_identify:
                self.cells.remarks.add(self._number, element, "text_dropped")
            else:
                found = f"{element} ({what or 'a value of this report that identifies it or the patient'})"
                self.refused[found] = self.refused.get(found, 0) + 1
