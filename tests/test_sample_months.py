"""The sample months through the whole pipeline: planted outcomes, three numbers, the same pages on every run."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from charting import ROOT, RULESETS

from qa_audit import ingest, rules, settings
from qa_audit.demo import planted
from qa_audit.pipeline import Order, Result, run

SAMPLES = ROOT / "sample_reports"


def audited(out: Path) -> Result:
    chosen = settings.load(SAMPLES / "settings.yaml")
    assert chosen.key_file is not None
    order = Order(
        inputs=[SAMPLES],
        out=out,
        ruleset=rules.load(RULESETS, None),
        settings=chosen,
        key=ingest.Key.load(chosen.key_file),
        audited_on=date(2026, 4, 2),
    )
    return run(order, lambda *_: None)


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("samples") / "out"
    result = audited(folder)
    assert result.reports_read == result.admitted + result.held_back.total()
    assert (result.reports_read, dict(result.held_back), int(result.exit_code)) == (121, {"superseded": 1}, 0)
    return folder


@pytest.fixture(scope="module")
def determinations(out: Path) -> pl.DataFrame:
    found = pl.concat([pl.read_parquet(path) for path in sorted(out.glob("2*/determinations.parquet"))])
    return found.with_columns(pl.col("reason", "outcome").cast(pl.String))


def test_every_planted_call_is_judged_as_worked_out(determinations: pl.DataFrame) -> None:
    expected = planted.expected()
    assert len(expected) > 30
    wrong = []
    for row in expected:
        found = determinations.filter(
            pl.col("report_id") == row.report_id, pl.col("rule") == row.rule, pl.col("member").eq_missing(row.member)
        )
        got = sorted(found.select("outcome", "reason", "amount").rows(), key=repr)
        if row.outcome is None:
            wrong += [(row, got)] if got else []
        elif (row.outcome, row.reason, row.amount) not in got:
            wrong.append((row, got))
    assert wrong == []


def test_another_run_in_another_folder_gives_the_same_bytes(out: Path, tmp_path: Path) -> None:
    audited(tmp_path / "elsewhere")
    assert contents(tmp_path / "elsewhere") == contents(out)


def test_a_run_again_changes_no_byte_and_makes_no_version(out: Path) -> None:
    before = contents(out)
    audited(out)
    assert contents(out) == before
    assert [path.name for path in (out / "records/2026-01").iterdir()] == ["v0001"]


def contents(folder: Path) -> dict[str, bytes]:
    """Every page and table that a run leaves; the catalogue is a database and its pages may lie differently."""
    kept = [
        path for path in sorted(folder.rglob("*")) if path.is_file() and path.suffix in {".html", ".json", ".parquet"}
    ]
    return {str(path.relative_to(folder)): path.read_bytes() for path in kept}


def test_the_second_edition_begins_inside_the_middle_month(determinations: pl.DataFrame) -> None:
    editions = set(determinations["edition"].drop_nulls())
    assert editions == {"respiratory-precautions@2020-01-01", "respiratory-precautions@2026-02-17"}
    assert determinations["kinder_of"].drop_nulls().len() > 0


def test_no_leadership_page_links_to_a_report_or_names_a_vehicle_or_crew(
    out: Path, determinations: pl.DataFrame
) -> None:
    labels = settings.load(SAMPLES / "settings.yaml").labels
    named = [*labels, *labels.values(), *determinations["report_id"], *determinations["member"].drop_nulls()]
    for page in sorted(out.glob("2*/dashboard.html")) + sorted(out.glob("2*/rulebook.html")):
        text = page.read_text(encoding="utf-8")
        assert [name for name in named if name in text] == []
        assert "evidence/" not in text


def test_no_page_asks_the_network_for_anything(out: Path) -> None:
    for page in out.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "<script" not in text
        asked = re.findall(r"https?://(?!www\.w3\.org/2000/svg)|url\((?!#)|@import", text)
        assert asked == [], page.name


def test_every_link_leads_to_a_page(out: Path) -> None:
    pages = list(out.rglob("*.html"))
    assert len(pages) > 40
    for page in pages:
        for target in re.findall(r'href="([^"#]+)', page.read_text(encoding="utf-8")):
            assert (page.parent / target).resolve().exists(), f"{page.relative_to(out)} -> {target}"


def test_every_page_says_what_the_screen_is_not(out: Path) -> None:
    for page in out.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "never replaces, clinical judgement" in text, page.name
        assert "limited data set" in text, page.name


def test_no_input_name_and_no_raw_identifier_reaches_the_output(out: Path) -> None:
    xml = b"".join(path.read_bytes() for path in sorted(SAMPLES.rglob("*.xml")))
    raw = set(re.findall(rb"<eRecord.01>([^<]+)<", xml)) | set(re.findall(rb'UUID="([^"]+)"', xml))
    raw |= set(re.findall(rb"<eCrew.01>([^<]+)<", xml))
    assert len(raw) > 200
    found = b"".join(path.read_bytes() for path in out.rglob("*") if path.suffix in {".html", ".json"})
    assert [value for value in raw if value in found] == []
    assert [path.name for path in SAMPLES.rglob("*.xml") if path.name.encode() in found] == []
