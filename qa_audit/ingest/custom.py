"""Results of an agency's own elements in one report: which become facts, what each is tied to, which are free text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from lxml import etree

from qa_audit.ingest.choices import Choices
from qa_audit.ingest.header import NS, Header
from qa_audit.ingest.standard.words import APPROXIMATE, BOOLEAN_WORDS, WHY_NEGATIVE

Element = etree._Element  # noqa: SLF001 - lxml names its element type so
NIL = "{http://www.w3.org/2001/XMLSchema-instance}nil"
DECIMAL = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")
RESULT, TIE = "eCustomResults.01", "eCustomResults.03"


@dataclass(frozen=True)
class Result:
    """One result that becomes a fact; `moment` is a date-time not parsed yet."""

    item: str
    group: int | None
    status: str = "present"
    why: str | None = None
    value: float | None = None
    moment: str | None = None


@dataclass
class Found:
    """What the results of one report came to: facts, remarks (element and word), texts to be searched, ids used."""

    results: list[Result] = field(default_factory=list)
    remarks: list[tuple[str, str]] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    used: set[str] = field(default_factory=set)


class _DanglingError(Exception):
    """A tie that names nothing in the report."""


@dataclass(frozen=True)
class CustomReader:
    """Reads the results of one report; `ties` gives the group of each of its CorrelationIDs (null: stands alone)."""

    ties: Mapping[str, int | None]
    header: Header
    choices: Choices
    found: Found = field(default_factory=Found)

    def read(self, section: Element) -> Found:
        """Read the report's section of such results."""
        groups = list(section.iterchildren(f"{NS}eCustomResults.ResultsGroup"))
        parents = {name: group for group in groups if (name := (group.get("CorrelationID") or "").strip())}
        for group in groups:
            custom_id = (group.findtext(f"{NS}eCustomResults.02") or "").strip()
            if not custom_id:
                continue
            self.found.used.add(custom_id)
            try:
                tied = self._tied(group, parents)
            except _DanglingError:
                self.found.remarks.append((TIE, "tie_to_nothing"))
                self.found.texts += [text for node in group.iterfind(f"{NS}{RESULT}") if (text := _text(node))]
                continue
            for node in group.iterfind(f"{NS}{RESULT}"):
                self._result(node, custom_id, tied)
        return self.found

    def _tied(self, group: Element, parents: Mapping[str, Element]) -> int | None:
        """Return the standard's group that a result is tied to, also through parent groups; null: to none."""
        seen: set[str] = set()
        while True:
            named = (group.findtext(f"{NS}{TIE}") or "").strip()
            if not named:
                return None
            if named in self.ties:
                return self.ties[named]
            if named not in parents or named in seen:
                raise _DanglingError
            seen.add(named)
            group = parents[named]

    def _result(self, node: Element, custom_id: str, tied: int | None) -> None:
        text = _text(node)
        negative = WHY_NEGATIVE.get((node.get("PN") or "").strip())
        if negative and negative != APPROXIMATE:
            self.found.results.append(Result(f"custom:{custom_id}", tied, status="negated", why=negative))
        elif text and node.get(NIL) not in {"true", "1"} and not node.get("NV"):
            self.found.results += self._value(text, custom_id, tied)
            return
        if text:
            self.found.texts.append(text)

    def _value(self, text: str, custom_id: str, tied: int | None) -> list[Result]:
        """Return a value as a fact: a declared one, a yes or no, a time or a number; all else is searched as text."""
        item = f"custom:{custom_id}"
        definition = self.header.definitions.get(custom_id)
        data_type = definition.data_type if definition else None
        declared = self.choices.mapped_values.get(custom_id, frozenset[str]())
        declared |= definition.values if definition else frozenset()
        if text in declared or (data_type == "boolean" and text.lower() in BOOLEAN_WORDS):
            return [Result(f"{item}={text}", tied)]
        if data_type == "date_time" or custom_id in self.choices.mapped_times:
            return [Result(item, tied, moment=text)]
        if data_type == "number" and DECIMAL.fullmatch(text):
            return [Result(item, tied, value=float(text))]
        self.found.texts.append(text)
        if not declared and data_type not in {"number", "boolean"}:
            return []
        self.found.remarks.append((RESULT, "not_a_number" if data_type == "number" else "unknown_code"))
        return [Result(item, tied, status="missing", why="unknown_code")]


def _text(node: Element) -> str:
    return (node.text or "").strip()
