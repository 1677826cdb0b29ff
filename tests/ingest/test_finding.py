"""Finding the chart behind a pseudonym again."""

from __future__ import annotations

from pathlib import Path

from ingest.building import KEY, document, header, report, tag, uuid_of

from qa_audit import ingest


def test_a_report_is_found_wherever_it_stands_with_its_chart_number(tmp_path: Path) -> None:
    charts = [report(name, eRecord=tag("eRecord.01", f"chart-{name}")) for name in ("one", "two")]
    first, second, broken = tmp_path / "1.xml", tmp_path / "2.xml", tmp_path / "3.xml"
    first.write_text(document(header(*charts)))
    second.write_text(document(header(charts[1].replace(uuid_of("two"), uuid_of("two").upper()))), encoding="utf-16")
    broken.write_text(document(header(charts[1]))[:-10])
    found = ingest.find(KEY.pseudonym("R", uuid_of("two")), [tmp_path], KEY)
    assert [(each.file, each.chart_number) for each in found] == [(first, "chart-two"), (second, "chart-two")]
    assert first.read_bytes()[found[0].position :].startswith(charts[1].encode())


def test_a_broken_report_is_found_without_its_number_and_a_stranger_not_at_all(tmp_path: Path) -> None:
    file = tmp_path / "1.xml"
    file.write_text(document(header(report("one").replace("</eTimes>", ""), report(None))))
    assert [each.chart_number for each in ingest.find(KEY.pseudonym("R", uuid_of("one")), [file], KEY)] == [None]
    assert ingest.find(KEY.pseudonym("R", uuid_of("two")), [file], KEY) == []
