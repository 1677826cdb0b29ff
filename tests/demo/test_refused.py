"""A phone number in a narrative: refused, and in no folder that a README command reads."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import polars as pl
from charting import ROOT, RULESETS

from qa_audit import ingest, rules, settings
from qa_audit.demo.planted import narrative_with_a_phone_number
from qa_audit.demo.service import AGENCY
from qa_audit.demo.xml_writer import document
from qa_audit.errors import ExitCode
from qa_audit.ingest.text_scan import structured_identifier
from qa_audit.pipeline import Order, run

COMMITTED = ROOT / "sample_reports"


def test_the_file_is_refused_and_nothing_of_it_is_stored(tmp_path: Path) -> None:
    case = narrative_with_a_phone_number()
    (tmp_path / "refused").mkdir()
    (tmp_path / "refused/one.xml").write_bytes(document(AGENCY, [case], "3.5.1"))
    read = settings.load(COMMITTED / "settings.yaml")
    order = Order(
        inputs=[tmp_path / "refused", COMMITTED / "2026-01"],
        out=tmp_path / "out",
        ruleset=rules.load(RULESETS, None),
        settings=read,
        key=ingest.Key.load(COMMITTED / "demo.key"),
        audited_on=date(2026, 4, 10),
    )
    result = run(order, lambda *_: None)
    assert result.held_back == {"identifiers_refused": 1}
    assert result.exit_code is ExitCode.SOME_INPUT_REFUSED
    kept = pl.concat([pl.read_parquet(path) for path in (tmp_path / "out").rglob("reports.parquet")])
    assert order.key.pseudonym("R", str(case.uuid)) not in kept["report_id"].to_list()


def test_the_case_really_holds_a_phone_number() -> None:
    assert structured_identifier(narrative_with_a_phone_number().narrative or "") == "a phone number"


def test_no_sample_file_holds_it_and_no_readme_command_reads_a_refused_folder() -> None:
    uuid = str(narrative_with_a_phone_number().uuid).encode()
    assert not any(uuid in path.read_bytes() for path in COMMITTED.rglob("*.xml"))
    assert not list(COMMITTED.rglob("refused"))
    assert "refused/" not in (ROOT / "README.md").read_text(encoding="utf-8")
