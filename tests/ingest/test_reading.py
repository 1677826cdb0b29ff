"""The door: files and folders into one batch, in one process or two, and nothing of a refused file left."""

from __future__ import annotations

import re
from pathlib import Path

import polars as pl
import pytest
from ingest.building import (
    KEY,
    Read,
    at,
    crew,
    document,
    equipment,
    header,
    medication,
    procedure,
    read,
    report,
    tag,
    vitals,
)
from polars.testing import assert_frame_equal

from qa_audit import ingest, tables
from qa_audit.errors import CommandError
from qa_audit.ingest import reading, tasks
from qa_audit.settings import Settings

SAMPLES = Path(__file__).parents[3] / "shared" / "reference" / "nemsis" / "samples"
TABLES = ("reports", "facts", "members", "narratives", "records", "remarks", "definitions", "held_back")
BECOMES_A_FACT = re.compile(
    r"<(?:eResponse\.0[57]|eDispatch\.01|eSituation\.(?:09|10|11|12|13|20)|eArrest\.(?:01|03|04|09|11|12|14|15|16|18|19)"
    r"|eHistory\.08|eVitals\.(?:03|06|07|10|12|14|15|16|17|19|20|21|22|23|26)|eExam\.2[23]|eProtocols\.01"
    r"|eMedications\.0[3478]|eProcedures\.(?:03|07|08|14)|eAirway\.0[13489]|eDisposition\.(?:21|27|28|29|30|31|32)"
    r"|eOther\.0[356])[ />]"
)
"""Every element that the notes on the input standard list as read, counted in a file's text."""
needs_samples = pytest.mark.skipif(not SAMPLES.is_dir(), reason="the official samples (../shared) are not here")


def call(name: str) -> str:
    """Return a report with something in every table."""
    return report(
        name,
        eCrew=crew("OS-1", "2403011") + crew("OS-2", "2403003"),
        eNarrative=tag("eNarrative.01", f"Short of breath, {name}."),
        eVitals=vitals(_01=at("10:20"), _02="9923001", _12=97) + vitals(_01=at("10:05"), _12="?"),
        eMedications=medication(_01=at("10:21"), _02="9923001", _03="7806", _04="9927025"),
        eProcedures=procedure(_01=at("10:22"), _02="9923001", _03="425447009", _09="OS-1"),
        eOther=equipment(_03="4503015", _04="OS-1"),
    )


def month(folder: Path, files: int = 6, reports: int = 5) -> Path:
    """Write a folder of files, some of one agency's reports, one with a broken report, one that names a person."""
    for number in range(files):
        calls = [call(f"{number}-{each}") for each in range(reports)]
        if number == 1:
            calls[2] = calls[2].replace("</eCrew>", "")
        if number == 2:
            calls[3] = report("named", ePatient=tag("ePatient.02", "Inventedname"))
        (folder / f"{number}.xml").write_text(document(header(*calls)))
    return folder


def assert_same(one: Read, other: Read) -> None:
    for name in TABLES:
        assert_frame_equal(getattr(one, name), getattr(other, name))


def test_every_report_read_is_admitted_or_held_back(tmp_path: Path) -> None:
    batch = read([month(tmp_path)])
    assert batch.reports_read == batch.reports.height + batch.held_back.height == 30
    assert batch.held_back.group_by("check").len().sort("check").rows() == [
        ("unreadable", 1),
        ("identifiers_refused", 5),
    ]
    assert batch.reports["source"].unique().sort().to_list() == [0, 1, 3, 4, 5]


def test_every_table_has_its_documented_columns(tmp_path: Path) -> None:
    settings = Settings()
    for place in (month(tmp_path), tmp_path / "empty"):
        place.mkdir(exist_ok=True)
        scratch = tmp_path / f"parts-{place.name}"
        scratch.mkdir()
        batch = ingest.read([place], key=KEY, settings=settings, scratch=scratch)
        for name in ("reports", "facts", "members", "narratives", "records", "remarks"):
            expected = getattr(tables, name.upper()).empty().lazy().collect_schema()
            assert getattr(batch, name).collect_schema() == expected
        assert batch.definitions.schema == tables.DEFINITIONS.empty().schema
        assert batch.held_back.schema == tables.HELD_BACK.empty().schema


def test_an_empty_folder_gives_an_empty_batch(tmp_path: Path) -> None:
    batch = read([tmp_path])
    assert (batch.reports.height, batch.held_back.height, batch.reports_read) == (0, 0, 0)


@pytest.mark.parametrize("task_bytes", [1, 10_000, 24 << 20])
def test_two_processes_and_tasks_of_any_size_give_the_same_tables(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, task_bytes: int
) -> None:
    folder = month(tmp_path)
    one = read([folder], workers=1)
    monkeypatch.setattr(tasks, "TASK_BYTES", task_bytes)
    monkeypatch.setattr(tasks, "SPANS_AT_ONCE", min(task_bytes, 4 << 20))
    assert_same(one, read([folder], workers=1))
    if task_bytes == 10_000:
        assert_same(one, read([folder], workers=2))


def test_a_large_input_is_read_by_two_processes_on_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = month(tmp_path, files=2)
    asked: list[int] = []
    once = reading._outcomes
    monkeypatch.setattr(reading, "WORTH_TWO_PROCESSES", 10)
    monkeypatch.setattr(reading, "_outcomes", lambda *given: asked.append(given[-1]) or once(*given[:-1], 1))
    read([folder])
    assert asked == [2]


def test_nothing_of_a_refused_file_stays_in_the_parts(tmp_path: Path) -> None:
    folder, scratch = tmp_path / "in", tmp_path / "parts"
    folder.mkdir()
    scratch.mkdir()
    month(folder)
    ingest.read([folder], key=KEY, settings=Settings(), scratch=scratch)
    refused = range(10, 15)
    for part in scratch.glob("*.parquet"):
        frame = pl.read_parquet(part)
        assert not frame.filter(pl.col("report").is_in(refused)).height
        assert b"Inventedname" not in part.read_bytes()


def test_a_file_that_must_be_split_again_midway_counts_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasks, "SPANS_AT_ONCE", 1)
    text = document(header(call("one"), call("two").replace("<eCrew>", "<eCrew><!-- <PatientCareReport> -->")))
    (tmp_path / "one.xml").write_text(text)
    (tmp_path / "two.xml").write_text(document(header(call("three"))))
    batch = read([tmp_path])
    assert (batch.reports.height, batch.held_back.height, batch.reports_read) == (3, 0, 3)
    assert batch.records["position"].to_list()[:2] == [
        text.index("<PatientCareReport"),
        text.index("<PatientCareReport UUID", 900),
    ]


def test_folders_are_read_in_order_of_path_and_the_rest_is_skipped_and_countable(tmp_path: Path) -> None:
    for name in ("b.xml", "a/z.XML", "a/.hidden.xml", ".git/c.xml", "settings.yaml", "a.xml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    listing = ingest.list_files([tmp_path])
    assert [str(file.relative_to(tmp_path)) for file in listing.files] == ["a/z.XML", "a.xml", "b.xml"]
    assert [file.name for file in listing.skipped] == ["settings.yaml"]


def test_a_named_file_is_read_whatever_its_ending_and_once(tmp_path: Path) -> None:
    file = tmp_path / "export.txt"
    file.write_text(document(header(call("one"))))
    assert read([file, file, tmp_path]).reports_read == 1


def test_an_input_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="no such file or folder"):
        read([tmp_path / "gone"])


def test_the_digest_of_the_inputs_changes_with_any_byte_and_any_order(tmp_path: Path) -> None:
    one, two = tmp_path / "one.xml", tmp_path / "two.xml"
    one.write_text("1")
    two.write_text("2")
    digest = ingest.inputs_digest([tmp_path])
    assert digest == ingest.inputs_digest([one, two]) != ingest.inputs_digest([two, one])
    two.write_text("3")
    assert ingest.inputs_digest([tmp_path]) != digest


def test_progress_grows_to_the_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasks, "TASK_BYTES", 1)
    folder = month(tmp_path, files=3)
    told: list[tuple[int, int]] = []
    read([folder], progress=lambda done, total: told.append((done, total)))
    total = sum(file.stat().st_size for file in folder.glob("*.xml"))
    assert told == sorted(told)
    assert told[-1] == (total, total)


def test_the_same_report_read_twice_is_left_to_the_gate(tmp_path: Path) -> None:
    (tmp_path / "one.xml").write_text(document(header(call("one"), call("one"))))
    assert read([tmp_path]).reports["report_id"].n_unique() == 1


@needs_samples
def test_four_of_the_nine_official_samples_hold_identifiers_and_are_refused_as_they_are() -> None:
    batch = read([SAMPLES])
    assert (batch.reports.height, batch.reports_read) == (5, 9)
    assert batch.held_back["check"].to_list() == ["identifiers_refused"] * 4
    assert batch.held_back["source"].to_list() == [0, 1, 2, 3]  # EMSDataset-*: generated with every element filled


@needs_samples
def test_all_nine_official_samples_are_read_with_de_identification() -> None:
    batch = read([SAMPLES], de_identify=True)
    assert (batch.reports.height, batch.held_back.height) == (9, 0)
    assert set(batch.reports["standard_version"]) == {"3.5.0"}  # what each declares in its schemaLocation
    coded = batch.facts.filter(pl.col("origin") == "coded").group_by("report").len().sort("report")["len"].to_list()
    files = sorted(SAMPLES.glob("*.xml"))
    assert coded == [len(BECOMES_A_FACT.findall(file.read_text(encoding="utf-8"))) for file in files]
    assert len(coded) == 9
    dropped = batch.remarks.filter(pl.col("remark") == "identifier_dropped")
    assert set(dropped["report"]) == {0, 1, 2, 3}


@needs_samples
def test_the_negated_drug_of_an_official_sample_is_not_given() -> None:
    batch = read([SAMPLES / "EMSDataset-PNs-1.xml"], de_identify=True)
    given = batch.facts.filter(pl.col("item").str.starts_with("eMedications."), pl.col("status") == "present")
    assert given.height == 0


@needs_samples
def test_custom_groups_of_an_official_sample_are_read_through_their_parent() -> None:
    batch = read([SAMPLES / "New_Grouping_PatientRestraint.xml"])
    times = batch.facts.filter(pl.col("item") == "custom:CDateTime")
    assert times["time"].dt.strftime("%H:%M").to_list() == ["05:10", "05:15"]
    assert (
        batch.facts.filter(pl.col("item").str.starts_with("custom:C10")).height == 0
    )  # free text without declared values
