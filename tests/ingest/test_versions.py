"""Versions: the marks of a file weighed together, the UUID first."""

from __future__ import annotations

import pytest
from ingest.building import ROOT, SCHEMA, document, header, procedure, read_text, report, tag

OLD_DISPOSITION = {"eDisposition": tag("eDisposition.12", "4212033")}
AIRWAY_ONLY = {"eOther": "", "eAirway": ""}


def declared(text: str, schema: str) -> str:
    """Return a document that names another schema, or none."""
    root = ROOT.replace(f' xsi:schemaLocation="{SCHEMA}"', f' xsi:schemaLocation="{schema}"' if schema else "")
    return text.replace(ROOT, root)


@pytest.mark.parametrize(
    ("text", "schema"),
    [
        (report(None, **OLD_DISPOSITION), ""),
        (report("one", **OLD_DISPOSITION), "http://www.nemsis.org .../3.4.0.160713CP2/XSDs/EMSDataSet_v3.xsd"),
        (report("one", **OLD_DISPOSITION), ""),
        (report(None, eDisposition=""), ""),
        (report(None, eDisposition=tag("eDisposition.27", "4227001") + tag("eDisposition.12", "4212033")), ""),
    ],
)
def test_a_file_of_before_3_5_is_refused_with_a_row_for_each_report(text: str, schema: str) -> None:
    read = read_text(declared(document(header(text, text)), schema))
    assert (read.reports.height, read.facts.height) == (0, 0)
    assert read.held_back["check"].to_list() == ["version_not_supported"] * 2
    assert read.reports_read == 2
    assert "3.5.1" in read.held_back["sentence"][0]


@pytest.mark.parametrize(
    ("text", "schema", "version"),
    [
        (report("one"), "http://www.nemsis.org .../release-3.5.0/XSDs/EMSDataSet_v3.xsd", "3.5.0"),
        (report("one"), "http://www.nemsis.org .../3.5.1.250403CP1/XSDs/EMSDataSet_v3.xsd", "3.5.1"),
        (report("one"), "", "3.5.0"),
        (report("one", eProcedures=procedure(_15="9923001")), "http://www.nemsis.org .../3.5.0.191130CP1/", "3.5.1"),
        (report(None) + report("one"), "", "3.5.0"),
        (report("one", eDisposition=""), "http://www.nemsis.org .../3.4.0.160713CP2/", "3.5.0"),
    ],
)
def test_a_file_of_3_5_has_the_version_that_it_uses_or_declares(text: str, schema: str, version: str) -> None:
    read = read_text(declared(document(header(text)), schema))
    assert set(read.reports["standard_version"]) == {version}


def test_a_file_is_a_national_subset_when_it_says_so_or_holds_none_of_the_other_sections() -> None:
    full = document(header(report("one")))
    assert read_text(full).reports["subset"].item() == "full"
    assert read_text(full.replace("<eOther></eOther>", "")).reports["subset"].item() == "national"
    national = declared(full, "http://www.nemsis.org .../3.5.1.250403CP1/XSDs/EMSDataSet_v3_NAT.xsd")
    assert read_text(national).reports["subset"].item() == "national"
    assert read_text(full.replace("3.5.1.250403CP1", "INTERNATIONAL/3.5.1")).reports["subset"].item() == "full"


def test_the_subset_is_a_files_and_not_a_reports() -> None:
    short = report("two").replace("<eOther></eOther>", "")
    assert set(read_text(document(header(report("one"), short))).reports["subset"]) == {"full"}
