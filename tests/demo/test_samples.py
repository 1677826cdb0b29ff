"""The sample months: valid, without identifiers, and the same bytes on every machine.

Source of validity: the published NEMSIS v3.5.1 schemas, found beside the repository.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from charting import ROOT, SHARED
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from qa_audit.demo import SEED, samples, write_samples
from qa_audit.demo.samples import EXPORTED_TWICE, MONTHS, OLDER_FILE, REPORTS_A_MONTH
from qa_audit.demo.service import SAMPLE_VEHICLES, ZONE
from qa_audit.ingest.identifiers import REFUSE, REFUSED_ATTRIBUTE
from qa_audit.ingest.text_scan import structured_identifier

COMMITTED = ROOT / "sample_reports"
SCHEMA = SHARED / "reference/nemsis/xsd/EMSDataSet_v3.xsd"
needs_schema = pytest.mark.skipif(not SCHEMA.is_file(), reason="the standard's schemas lie in ../shared, not here")


@cache
def schema() -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(SCHEMA))


def elements(content: bytes) -> list[etree._Element]:
    return [node for node in etree.fromstring(content).iter() if isinstance(node.tag, str)]


def written(folder: Path) -> dict[str, bytes]:
    """Every file of the samples; the README's pictures of their pages lie beside them."""
    found = [path for path in folder.rglob("*") if path.is_file() and path.parent.name != "pictures"]
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def test_the_committed_samples_are_what_the_code_writes_byte_for_byte(tmp_path: Path) -> None:
    write_samples(tmp_path)
    fresh, committed = written(tmp_path), written(COMMITTED)
    assert sorted(fresh) == sorted(committed)
    assert [path for path in fresh if fresh[path] != committed[path]] == []


@needs_schema
@pytest.mark.parametrize("path", sorted(COMMITTED.rglob("*.xml")), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_committed_file_is_valid(path: Path) -> None:
    schema().assertValid(etree.parse(path))


@needs_schema
@settings(max_examples=4, deadline=None)
@given(st.integers(min_value=0, max_value=10**9))
def test_a_file_of_any_seed_is_valid_and_names_nobody(seed: int) -> None:
    for file in samples.files(seed):
        document = etree.fromstring(file.content)
        schema().assertValid(document)
        assert_names_nobody(file.content)


def test_a_committed_file_names_nobody() -> None:
    for path in COMMITTED.rglob("*.xml"):
        assert_names_nobody(path.read_bytes())


def assert_names_nobody(content: bytes) -> None:
    for node in elements(content):
        name = etree.QName(node).localname
        assert name not in REFUSE or not node.text, name
        assert REFUSED_ATTRIBUTE not in node.attrib
        assert structured_identifier(node.text or "") is None, name


def test_each_month_has_forty_reports_and_one_of_them_is_exported_twice() -> None:
    files = list(samples.files(SEED))
    for month in MONTHS:
        names = [case.name for file in files if file.path.startswith(month) for case in file.cases]
        assert len(set(names)) == REPORTS_A_MONTH
        twice = {name for name in names if names.count(name) > 1}
        assert twice == ({EXPORTED_TWICE} if EXPORTED_TWICE.startswith(month) else set())


def test_the_report_exported_again_is_read_last_and_differs() -> None:
    files = sorted(samples.files(SEED), key=lambda file: file.path)
    both = [(file.path, case) for file in files for case in file.cases if case.name == EXPORTED_TWICE]
    (earlier, first), (later, second) = both
    assert earlier < later
    assert first.uuid == second.uuid
    assert first.narrative != second.narrative


def test_every_report_stands_in_the_folder_of_its_local_month() -> None:
    for file in samples.files(SEED):
        assert {f"{case.milestones.notified.astimezone(ZONE):%Y-%m}" for case in file.cases} == {file.path[:7]}


def test_every_vehicle_of_the_samples_has_calls_in_every_month() -> None:
    for month in MONTHS:
        vehicles = {case.vehicle for file in samples.files(SEED) if file.path.startswith(month) for case in file.cases}
        assert vehicles == set(SAMPLE_VEHICLES)


def test_one_file_declares_3_5_0_and_uses_no_newer_element() -> None:
    content = (COMMITTED / OLDER_FILE).read_bytes()
    assert b"3.5.0" in content
    assert not {etree.QName(node).localname for node in elements(content)} & {"eProcedures.14", "eMedications.13"}
    others = [path for path in COMMITTED.rglob("*.xml") if path != COMMITTED / OLDER_FILE]
    assert all(b"3.5.1" in path.read_bytes() for path in others)


def test_oxygen_is_charted_in_about_a_third_of_the_ordinary_calls() -> None:
    """The brief for the samples asks for about 30 %; common practice, no source."""
    cases = [case for file in samples.files(SEED) for case in file.cases if "ordinary" in case.name]
    share = sum(any(drug.drug == "7806" for drug in case.medications) for case in cases) / len(cases)
    assert 0.2 < share < 0.45
