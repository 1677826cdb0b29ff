"""Splitting and parsing: any spelling of the same file gives the same tables; what is broken falls alone."""

from __future__ import annotations

import hashlib
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ingest.building import ROOT, Read, document, header, read_text, report, tag, vitals

from qa_audit.ingest import foreign_splitting, parsing, splitting
from qa_audit.ingest.opening import open_head

THREE = [report(name, eVitals=vitals(_12=value)) for name, value in (("one", 97), ("two", 95), ("three", 93))]
PLAIN = document(header(THREE[0], THREE[1], agency="12"), header(THREE[2], agency="13"))
BROKEN = THREE[1].replace("</eVitals.12>", "")


def seen(read: Read) -> list[tuple[object, ...]]:
    """Return what must be the same however a file is spelled."""
    readings = read.facts.filter(read.facts["item"] == "eVitals.12")["value"]
    return [*read.reports.select("report_id", "agency").rows(), *readings]


SAME = seen(read_text(PLAIN))


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.encode(),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        ("\n<?xml version='1.0'?>".strip() + "\n" + PLAIN).encode(),
        ("\n\n" + PLAIN).encode(),
        f"<!-- <PatientCareReport> --><?note PatientCareReport?>{PLAIN}<!-- end -->".encode(),
        PLAIN.encode("utf-16"),
        ('<?xml version="1.0" encoding="UTF-16"?>' + PLAIN).encode("utf-16"),
        ('<?xml version="1.0" encoding="ISO-8859-1"?>' + PLAIN).encode("latin-1"),
        ('<?xml version="1.0" encoding="windows-1252"?>' + PLAIN.replace("Unit", "Unît"))
        .replace("Unît", "Unit")
        .encode("cp1252"),
        PLAIN.replace("<eVitals>", "<eVitals><!-- </PatientCareReport> --><!-- <PatientCareReport> -->").encode(),
        PLAIN.replace(
            "</eTimes>",
            "</eTimes><eNarrative><eNarrative.01><![CDATA[<PatientCareReport>]]></eNarrative.01></eNarrative>",
        ).encode(),
        PLAIN.replace("</PatientCareReport>", "</PatientCareReport >\n<!-- between -->\n").encode(),
        PLAIN.replace('xmlns="', 'xmlns:n="').replace("<", "<n:").replace("<n:/", "</n:").encode(),
        PLAIN.replace("<Header>", '<Header xmlns="http://www.nemsis.org">').encode(),
    ],
    ids=[
        *(
            "plain",
            "mark",
            "declaration",
            "blank_lines",
            "tags_in_comments_outside",
            "utf16",
            "utf16_declared",
            "latin1",
            "cp1252",
        ),
        *("tags_in_comments", "tags_in_cdata", "spaces_in_tags", "prefix", "namespace_again"),
    ],
)
def test_every_spelling_of_a_file_reads_the_same(text: bytes) -> None:
    read = read_text(text)
    assert seen(read) == SAME
    assert read.held_back.height == 0


def test_a_report_stands_at_its_byte_with_the_digest_of_its_bytes() -> None:
    records = read_text(PLAIN).records
    for position, digest, text in zip(records["position"], records["record_sha256"], THREE, strict=True):
        assert PLAIN.encode()[position:].startswith(text.encode())
        assert digest == hashlib.sha256(text.encode()).hexdigest()


def test_one_broken_report_is_held_back_alone_with_its_place() -> None:
    text = document(header(THREE[0], BROKEN, THREE[2]))
    read = read_text(text)
    row = read.held_back.row(0, named=True)
    assert (read.reports.height, read.held_back.height, read.reports_read) == (2, 1, 3)
    assert (row["check"], row["position"]) == ("unreadable", text.encode().index(BROKEN.encode()))
    assert row["record_sha256"] == hashlib.sha256(BROKEN.encode()).hexdigest()
    assert "95" not in row["sentence"]


def test_a_report_without_an_end_tag_is_held_back_alone() -> None:
    read = read_text(document(header(THREE[0], THREE[1].removesuffix("</PatientCareReport>"), THREE[2])))
    assert (read.reports.height, read.held_back["check"].to_list()) == (2, ["unreadable"])


def test_bytes_that_are_no_utf8_break_only_their_own_report() -> None:
    read = read_text(PLAIN.encode().replace(b"95", b"\xff5"))
    assert (read.reports.height, read.held_back["check"].to_list()) == (2, ["unreadable"])


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.removesuffix("</EMSDataSet>"),
        PLAIN[: PLAIN.index("eVitals.12", PLAIN.index(THREE[1]))],
        PLAIN.replace("</DemographicGroup>", "", 1),
        PLAIN.replace("</Header><Header>", ""),
        PLAIN.replace(THREE[1], THREE[1].removesuffix("</PatientCareReport>")),
        PLAIN + "more",
    ],
    ids=["no_end", "cut_off", "broken_header", "headers_run_together", "report_swallows_header", "text_behind"],
)
def test_xml_broken_outside_the_reports_makes_the_file_one_unreadable(text: str) -> None:
    read = read_text(text)
    row = read.held_back.row(0, named=True)
    assert (read.reports.height, read.facts.height, read.held_back.height, read.reports_read) == (0, 0, 1, 1)
    assert (row["check"], row["position"]) == ("unreadable", None)
    assert any(word in row["sentence"] for word in ("line", "Header"))


@pytest.mark.parametrize(
    ("text", "check", "word"),
    [
        ("", "unreadable", "root element"),
        ("report,age\n1,44\n", "unreadable", "root element"),
        ("<EMSDataSet", "unreadable", "root element"),
        ("<xs:schema xmlns:xs='http://www.w3.org/2001/XMLSchema'/>", "not_emsdataset", "schema"),
        ("<EMSDataSet><Header/></EMSDataSet>", "not_emsdataset", "EMSDataSet"),
        (f'<!DOCTYPE EMSDataSet [<!ENTITY x "97">]>{PLAIN}', "unreadable", "DOCTYPE"),
        (
            f"<?xml version='1.0'?><!-- x --><!DOCTYPE EMSDataSet SYSTEM 'file:///etc/passwd'>{PLAIN}",
            "unreadable",
            "DOCTYPE",
        ),
        (document(header()), "unreadable", "no PatientCareReport"),
        ('<?xml version="1.0" encoding="nonsense"?>' + PLAIN, "unreadable", "encoding"),
    ],
)
def test_what_is_no_set_of_reports_is_one_row_with_a_sentence(text: str, check: str, word: str) -> None:
    read = read_text(text)
    row = read.held_back.row(0, named=True)
    assert (read.held_back.height, row["check"], row["position"]) == (1, check, None)
    assert word in row["sentence"]


def test_a_doctype_is_refused_in_any_encoding() -> None:
    text = f"<!DOCTYPE EMSDataSet>{PLAIN}".encode("utf-16")
    assert "DOCTYPE" in read_text(text).held_back["sentence"].item()


def test_an_entity_is_never_expanded() -> None:
    read = read_text(document(header(report("one", eVitals=vitals(_12="&secret;")), THREE[1])))
    assert (read.reports.height, read.held_back["check"].to_list()) == (1, ["unreadable"])


def test_a_text_of_twelve_megabytes_holds_back_its_report_alone_and_says_so() -> None:
    huge = report("huge", eLabs=tag("eLabs.09", "A" * 12_000_000))
    read = read_text(document(header(THREE[0], huge, THREE[2])))
    assert read.reports.height == 2
    assert "12,000,000 bytes" in read.held_back["sentence"].item()


def test_a_report_beyond_what_is_held_in_memory_is_held_back_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parsing, "LARGEST_REPORT", 3_000)
    monkeypatch.setattr(parsing, "PARSED_AT_ONCE", 3_000)
    big = report("big", eLabs=tag("eLabs.09", "A" * 4_000))
    read = read_text(document(header(THREE[0], big, THREE[2])))
    assert (read.reports.height, read.held_back["check"].to_list()) == (2, ["unreadable"])
    assert read.held_back["record_sha256"].item() == hashlib.sha256(big.encode()).hexdigest()


@settings(deadline=None, max_examples=60)
@given(st.integers(70, 400), st.integers(0, 12), st.booleans())
def test_windows_of_any_size_find_the_same_reports(window: int, padding: int, comment: bool) -> None:
    filling = "<!-- a <Header> -->" if comment else ""
    text = (
        ROOT
        + " " * padding
        + "".join(header(*THREE, agency=str(n)) + filling + " " * padding for n in range(3))
        + "</EMSDataSet>"
    )
    whole = text.encode()
    expected = [whole.index(each.encode(), start) for start in _starts(whole) for each in THREE]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(splitting, "WINDOW", window)
        assert [span.offset for span in _spans(whole, patch)] == expected


def test_both_splitters_agree_on_a_plain_file(tmp_path: Path) -> None:
    file = tmp_path / "one.xml"
    file.write_text(PLAIN)
    opening = open_head(file)
    plain, foreign = splitting.PlainSplitter(file, opening), foreign_splitting.ForeignSplitter(file, opening)
    assert [(each.offset, each.length, each.header) for each in plain.spans()] == [
        (each.offset, each.length, each.header) for each in foreign.spans()
    ]
    assert plain.sha256 == foreign.sha256 == hashlib.sha256(file.read_bytes()).hexdigest()


def _starts(whole: bytes) -> list[int]:
    return [place for place in range(len(whole)) if whole.startswith(b"<Header><", place)]


def _spans(whole: bytes, patch: pytest.MonkeyPatch) -> list[splitting.Span]:
    def pieces(_: Path, size: int) -> list[bytes]:
        return [whole[start : start + size] for start in range(0, len(whole), size)]

    patch.setattr(splitting, "chunks", pieces)
    with tempfile.NamedTemporaryFile(suffix=".xml") as file:
        file.write(whole)
        file.flush()
        return list(splitting.PlainSplitter(Path(file.name), open_head(Path(file.name))).spans())
