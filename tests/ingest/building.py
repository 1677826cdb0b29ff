"""Small EMSDataSet files for the tests of ingest: only what a test is about stands in them."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_OID, uuid5

import polars as pl

from qa_audit import ingest
from qa_audit.settings import Settings

KEY = ingest.Key(b"an invented key for the tests alone")
SCHEMA = "http://www.nemsis.org http://www.nemsis.org/3.5.1.250403CP1/XSDs/EMSDataSet_v3.xsd"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
ROOT = f'<EMSDataSet xmlns="http://www.nemsis.org" xmlns:xsi="{XSI}" xsi:schemaLocation="{SCHEMA}">'
NIL = 'xsi:nil="true"'
NOTIFIED, CONTACT = "2026-01-10T10:00:00-06:00", "2026-01-10T10:10:00-06:00"
ORDER = (
    *(
        "eRecord",
        "eResponse",
        "eDispatch",
        "eCrew",
        "eTimes",
        "ePatient",
        "ePayment",
        "eScene",
        "eSituation",
        "eInjury",
    ),
    *("eArrest", "eHistory", "eNarrative", "eVitals", "eLabs", "eExam", "eProtocols", "eMedications", "eProcedures"),
    *("eAirway", "eDevice", "eDisposition", "eOutcome", "eCustomResults", "eOther"),
)


def at(clock: str, offset: str = "-06:00") -> str:
    """Return a time of the invented day: `10:20` or `10:20:30`."""
    return f"2026-01-10T{clock if clock.count(':') == 2 else clock + ':00'}{offset}"


def tag(name: str, text: object = "", attributes: str = "") -> str:
    """Return one element."""
    return f"<{name}{' ' + attributes if attributes else ''}>{text}</{name}>"


def nil(name: str, code: str, kind: str = "NV") -> str:
    """Return an empty element with its NV or PN code."""
    return tag(name, attributes=f'{NIL} {kind}="{code}"')


def group(section: str, name: str, elements: dict[str, object], attributes: str = "") -> str:
    """Return a group of a section; elements by number, a ready element as it is, a list for one that repeats."""
    inside = "".join(
        each if str(each).startswith("<") else tag(f"{section}.{number}", each)
        for number, value in elements.items()
        for each in (value if isinstance(value, list) else [value])
    )
    return tag(f"{section}.{name}", inside, attributes)


def vitals(attributes: str = "", **elements: object) -> str:
    """Return a vitals group: `vitals(_01=at("10:20"), _02=NO, _12=97)`."""
    return group("eVitals", "VitalGroup", _numbered(elements), attributes)


def medication(attributes: str = "", **elements: object) -> str:
    """Return a medication group."""
    return group("eMedications", "MedicationGroup", _numbered(elements), attributes)


def procedure(attributes: str = "", **elements: object) -> str:
    """Return a procedure group."""
    return group("eProcedures", "ProcedureGroup", _numbered(elements), attributes)


def crew(member: object, *roles: str, level: object = "9925007") -> str:
    """Return one entry of a crew list."""
    return group("eCrew", "CrewGroup", {"01": member, "02": level, "03": list(roles)})


def equipment(attributes: str = "", **elements: object) -> str:
    """Return one equipment group."""
    return group("eOther", "EMSCrewMemberGroup", _numbered(elements), attributes)


def result(custom_id: str, *values: str, tie: str = "", own: str = "") -> str:
    """Return one result of an agency's own element; a value that is an element already stands as it is."""
    inside = "".join(value if value.startswith("<") else tag("eCustomResults.01", value) for value in values)
    tied = tag("eCustomResults.03", tie) if tie else ""
    attributes = f'CorrelationID="{own}"' if own else ""
    return tag("eCustomResults.ResultsGroup", inside + tag("eCustomResults.02", custom_id) + tied, attributes)


def definition(custom_id: str, data_type: str, *values: str, extends: str = "") -> str:
    """Return one definition of an agency's own element."""
    title = tag("eCustomConfiguration.01", "A title", f'nemsisElement="{extends}"' if extends else "")
    declared = "".join(tag("eCustomConfiguration.06", value) for value in values)
    inside = title + tag("eCustomConfiguration.03", data_type) + declared
    return tag("eCustomConfiguration.CustomGroup", inside, f'CustomElementID="{custom_id}"')


def report(name: str | None = "one", **sections: str) -> str:
    """Return a report whose UUID is made of `name` (null: without one); times and disposition stand in it already."""
    filled = {
        "eResponse": tag("eResponse.14", "Unit 7"),
        "eTimes": tag("eTimes.03", NOTIFIED) + tag("eTimes.07", CONTACT),
        "eDisposition": tag("eDisposition.27", "4227001"),
        "eOther": "",
        **sections,
    }
    inside = "".join(tag(section, filled[section]) for section in ORDER if section in filled)
    return tag("PatientCareReport", inside, f'UUID="{uuid_of(name)}"' if name else "")


def uuid_of(name: str) -> str:
    """Return the UUID of a report of that name."""
    return str(uuid5(NAMESPACE_OID, name))


def header(*reports: str, agency: str = "12", custom: str = "") -> str:
    """Return a Header with its reports."""
    configuration = tag("eCustomConfiguration", custom) if custom else ""
    group_ = tag("DemographicGroup", tag("dAgency.01", "S1") + tag("dAgency.02", agency) + tag("dAgency.04", "49"))
    return tag("Header", group_ + configuration + "".join(reports))


def document(*headers: str) -> str:
    """Return a whole file's text."""
    return ROOT + "".join(headers) + "</EMSDataSet>"


@dataclass(frozen=True)
class Read:
    """A batch with every table collected."""

    reports: pl.DataFrame
    facts: pl.DataFrame
    members: pl.DataFrame
    narratives: pl.DataFrame
    records: pl.DataFrame
    remarks: pl.DataFrame
    definitions: pl.DataFrame
    held_back: pl.DataFrame
    reports_read: int

    def fact(self, item: str) -> dict[str, Any]:
        """Return the only fact of an item."""
        return (
            self.facts.filter(pl.col("item") == item).row(0, named=True) if self.count(item) == 1 else self._fail(item)
        )

    def count(self, item: str) -> int:
        """Return how many facts an item has."""
        return self.facts.filter(pl.col("item") == item).height

    def noticed(self) -> set[tuple[str | None, str, str | None]]:
        """Return element, word and code of every remark."""
        return set(self.remarks.select("element", "remark", "code").iter_rows())

    def _fail(self, item: str) -> dict[str, Any]:
        message = f"{self.count(item)} facts of {item}; there are {sorted(map(str, self.facts['item']))}"
        raise AssertionError(message)


def read(inputs: Iterable[Path], settings: Settings | None = None, **options: Any) -> Read:
    """Read files and collect every table."""
    with tempfile.TemporaryDirectory() as scratch:
        batch = ingest.read(list(inputs), key=KEY, settings=settings or Settings(), scratch=Path(scratch), **options)
        tables = {
            name: getattr(batch, name).collect().with_columns(pl.col(pl.Categorical).cast(pl.String))
            for name in ("reports", "facts", "members", "narratives", "records", "remarks")
        }
    read_reports = sum(source.reports for source in batch.sources)
    return Read(**tables, definitions=batch.definitions, held_back=batch.held_back, reports_read=read_reports)


def read_text(text: str | bytes, settings: Settings | None = None, **options: Any) -> Read:
    """Read a file of that text."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "one.xml"
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read([file], settings, **options)


def read_report(settings: Settings | None = None, **sections: str) -> Read:
    """Read a file with one report of these sections."""
    return read_text(document(header(report(**sections))), settings)


def _numbered(elements: dict[str, object]) -> dict[str, object]:
    return {number.removeprefix("_"): value for number, value in elements.items()}
