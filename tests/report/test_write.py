"""Every page of a run: no link leads nowhere, nothing stale stays, nothing released goes."""

from __future__ import annotations

from pathlib import Path

import pytest
from report.months import calendar, invented, month_of, ruleset, settings, stored
from report.pages import links

from qa_audit import measure, report

MONTHS = calendar("2026-01", 2)


def write(folder: Path, reports: int = 40) -> list[Path]:
    made = invented(MONTHS, reports)
    months = [month_of(made, month, reports) for month in MONTHS]
    return report.write(months, measure.count(stored(made)), ruleset(), settings(), folder)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("output")
    write(folder)
    return folder


def test_every_month_has_its_pages_and_one_index_stands_over_all(written: Path) -> None:
    pages = {"index", "dashboard", "reviewer", "data-quality", "rulebook"}
    for month in MONTHS:
        assert {path.stem for path in (written / month).glob("*.html")} == pages
        assert list((written / month / "letters").glob("*.html"))
        assert list((written / month / "evidence").glob("*.html"))
    assert (written / "index.html").is_file()


def test_no_link_leads_nowhere_or_out(written: Path) -> None:
    for page in written.rglob("*.html"):
        targets = [link for link in links(page) if not link.startswith("#")]
        assert [link for link in targets if not (page.parent / link.partition("#")[0]).is_file()] == []


def test_the_same_run_writes_the_same_bytes_in_another_folder(written: Path, tmp_path: Path) -> None:
    write(tmp_path)
    first = {path.relative_to(written): path.read_bytes() for path in written.rglob("*.html")}
    assert {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.html")} == first


def test_stale_drafts_go_and_released_letters_stay(tmp_path: Path) -> None:
    write(tmp_path)
    folder = tmp_path / MONTHS[0]
    stale = [folder / "letters" / "U-GONE.html", folder / "evidence" / "R-GONE.html"]
    released = folder / "letters" / "released" / "U-GONE-1.html"
    released.parent.mkdir()
    for path in (*stale, released):
        path.write_text("as it was", encoding="utf-8")
    write(tmp_path)
    assert not [path for path in stale if path.exists()]
    assert released.read_text(encoding="utf-8") == "as it was"


def test_a_month_that_no_rule_spoke_of_still_has_its_pages(tmp_path: Path) -> None:
    figures = measure.count(stored([]))
    pages = report.write([month_of([], MONTHS[0])], figures, ruleset(), settings(), tmp_path)
    assert {tmp_path / "index.html", tmp_path / MONTHS[0] / "dashboard.html"} <= set(pages)
