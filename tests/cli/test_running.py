"""The command line as a reviewer meets it: what it prints, what it exits with, and what bad input gets."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import polars as pl
import pytest
from charting import RULESETS
from click.testing import CliRunner
from small_xml import HEAD, document, report

from qa_audit.cli import whole_command


@dataclass
class Done:
    returncode: int
    stdout: str
    stderr: str


@dataclass
class Desk:
    """A folder of reports, a settings file with an invented key, and the command run there."""

    folder: Path

    def write(self, name: str, text: str) -> Path:
        path = self.folder / "reports" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def run(self, *arguments: str) -> Done:
        result = CliRunner().invoke(whole_command(), arguments, env={"HOME": str(self.folder / "home")})
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Done(result.exit_code, result.stdout, result.stderr)

    def audit(self, *arguments: str) -> Done:
        return self.run("run", "reports", "--settings", "settings.yaml", "--audited-on", "2026-04-01", *arguments)

    def held_back(self, month: str = "undated") -> pl.DataFrame:
        return pl.read_parquet(self.folder / "output" / month / "held_back.parquet")


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "key").write_text("an invented key that no service uses for its reports\n")
    (tmp_path / "settings.yaml").write_text(
        "time_zone: America/Chicago\nkey_file: key\ngate: {stop_above_share: 0.9}\n"
    )
    shutil.copytree(RULESETS, tmp_path / "rulesets")
    return Desk(tmp_path)


def test_a_good_month_exits_with_0_and_three_numbers(desk: Desk) -> None:
    desk.write("month.xml", document(report(1), report(2)))
    done = desk.audit()
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[0] == "2 reports read = 2 admitted + 0 held back."
    assert "Open output/index.html" in done.stdout
    assert "No letters: the settings hold no peer_review statement." in done.stdout
    for page in ("index.html", "2026-01/index.html", "2026-01/dashboard.html", "2026-01/summary.json"):
        assert (desk.folder / "output" / page).is_file()


def test_quiet_prints_nothing(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    done = desk.audit("--quiet")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_broken_xml_is_held_back_and_the_rest_is_done(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    desk.write("b.xml", HEAD + report(2))
    done = desk.audit()
    assert done.returncode == 3
    assert done.stdout.startswith("2 reports read = 1 admitted + 1 held back.\n  unreadable: 1\n")
    assert "b.xml" in done.stderr


def test_one_broken_report_in_a_good_file_is_held_back_alone(desk: Desk) -> None:
    broken = report(2).replace("</eTimes>", "", 1)
    desk.write("month.xml", document(report(1), broken, report(3)))
    done = desk.audit()
    assert done.returncode == 3
    assert done.stdout.startswith("3 reports read = 2 admitted + 1 held back.")
    row = desk.held_back().row(0, named=True)
    assert row["check"] == "unreadable"
    assert row["position"] == len((HEAD + report(1)).encode())


def test_an_unknown_code_is_stripped_and_listed_and_the_report_stands(desk: Desk) -> None:
    desk.write("month.xml", document(report(1).replace("9927025", "9927999")))
    done = desk.audit()
    assert done.returncode == 0
    assert done.stdout.startswith("1 reports read = 1 admitted + 0 held back.")
    remarks = pl.read_parquet(desk.folder / "output/records/2026-01/v0001/remarks.parquet")
    found = remarks.filter(pl.col("remark") == "unknown_code").select("element", "code").rows()
    assert found == [("eMedications.04", "9927999")]


def test_a_doctype_is_refused(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    lines = document(report(2)).splitlines(keepends=True)
    desk.write("b.xml", lines[0] + '<!DOCTYPE EMSDataSet [<!ENTITY a "b">]>\n' + "".join(lines[1:]))
    done = desk.audit()
    assert done.returncode == 3
    assert "DOCTYPE" in desk.held_back()["sentence"].item()


def test_a_text_of_twelve_megabytes_is_held_back(desk: Desk) -> None:
    desk.write("month.xml", document(report(1), report(2, narrative="x" * 12_000_000)))
    done = desk.audit()
    assert done.returncode == 3
    assert done.stdout.startswith("2 reports read = 1 admitted + 1 held back.\n  unreadable: 1\n")


def test_an_empty_folder_exits_with_4(desk: Desk) -> None:
    (desk.folder / "reports").mkdir()
    done = desk.audit()
    assert done.returncode == 4
    assert "Nothing was admitted: the inputs hold no report" in done.stderr


def test_a_3_4_file_is_refused(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    old = report(2).replace("<eDisposition.27>4227001</eDisposition.27>", "<eDisposition.12>4212033</eDisposition.12>")
    desk.write("b.xml", document(old).replace("3.5.1.250403CP1", "3.4.0.200910CP2"))
    done = desk.audit()
    assert done.returncode == 3
    assert "version_not_supported: 1" in done.stdout
    assert "before 3.5" in desk.held_back()["sentence"].item()


def test_a_file_that_is_no_emsdataset_is_refused(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    desk.write("b.xml", "<?xml version='1.0'?>\n<schema/>\n")
    done = desk.audit()
    assert done.returncode == 3
    assert "not_emsdataset: 1" in done.stdout


def test_a_file_with_a_phone_number_is_refused_whole_and_nothing_of_it_is_stored(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    desk.write("b.xml", document(report(2), report(3, narrative="Call the daughter at 312-555-0147 please.")))
    done = desk.audit()
    assert done.returncode == 3
    assert done.stdout.startswith("3 reports read = 1 admitted + 2 held back.\n  identifiers_refused: 2\n")
    assert desk.held_back()["report_id"].null_count() == 2
    for path in (desk.folder / "output").rglob("*"):
        assert path.is_dir() or b"555-0147" not in path.read_bytes()
    assert "555-0147" not in done.stdout + done.stderr


def test_de_identify_drops_the_text_and_admits_the_report(desk: Desk) -> None:
    desk.write("month.xml", document(report(3, narrative="Call the daughter at 312-555-0147 please.")))
    done = desk.audit("--de-identify")
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, "1 reports read = 1 admitted + 0 held back.")
    narratives = pl.read_parquet(desk.folder / "output/records/2026-01/v0001/narratives.parquet")
    assert narratives.height == 0


def test_an_input_that_is_not_there_exits_with_2(desk: Desk) -> None:
    done = desk.run("run", "nowhere")
    assert done.returncode == 2
    assert "nowhere: there is no such file or folder" in done.stderr


def test_a_misspelled_setting_exits_with_2(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    (desk.folder / "settings.yaml").write_text("tme_zone: America/Chicago\n")
    done = desk.audit()
    assert done.returncode == 2
    assert done.stderr == "settings.yaml:1: `tme_zone` is not a key that is known here. Did you mean 'time_zone'?\n"


def test_a_setting_that_names_an_unknown_concept_exits_with_2(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    settings = desk.folder / "settings.yaml"
    settings.write_text(
        settings.read_text() + "custom_elements:\n  svc.f: {concept: viral_fliter, values: {'1': present}}\n"
    )
    done = desk.audit()
    assert done.returncode == 2
    assert "names the concept 'viral_fliter'" in done.stderr
    assert "Did you mean 'viral_filter'?" in done.stderr


def test_a_faulty_ruleset_exits_with_2_and_nothing_is_judged(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    path = desk.folder / "rulesets/respiratory-precautions/2020-01-01/edition.yaml"
    path.write_text(path.read_text() + "in_force_until: 2026-03-01\n")
    done = desk.audit()
    assert done.returncode == 2
    assert "overlap" in done.stderr
    assert not (desk.folder / "output").exists()


def test_another_key_than_the_stores_exits_with_5(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    assert desk.audit().returncode == 0
    (desk.folder / "key").write_text("quite another invented key, of no service whatsoever\n")
    done = desk.audit()
    assert done.returncode == 5
    assert "give the first key with --key-file" in done.stderr


def test_a_share_held_back_above_the_limit_exits_with_4(desk: Desk) -> None:
    settings = desk.folder / "settings.yaml"
    settings.write_text(settings.read_text().replace("0.9", "0.2"))
    desk.write("month.xml", document(report(1), report(2).replace("</eTimes>", "", 1)))
    done = desk.audit()
    assert done.returncode == 4
    assert "1 of 2" in done.stderr
    assert not (desk.folder / "output/2026-01").exists()


def test_a_report_read_twice_counts_once_and_the_last_one_wins(desk: Desk) -> None:
    desk.write("a.xml", document(report(1)))
    desk.write("b.xml", document(report(1)))
    done = desk.audit()
    assert (done.returncode, done.stdout.splitlines()[:2]) == (
        0,
        ["2 reports read = 1 admitted + 1 held back.", "  superseded: 1"],
    )
    listed = desk.run("held-back", "2026-01")
    assert "superseded: The same report was read again later" in listed.stdout
    assert listed.stdout.endswith("1 held back.\n")


def test_other_months_are_held_back_when_one_is_asked_for(desk: Desk) -> None:
    desk.write("month.xml", document(report(1), report(2, day="2026-02-03")))
    done = desk.audit("--month", "2026-01")
    assert (done.returncode, done.stdout.splitlines()[1]) == (0, "  outside_month: 1")
    assert "--month 2026-1x: is no month" in desk.audit("--month", "2026-1x").stderr


def test_find_says_where_a_chart_stands(desk: Desk) -> None:
    path = desk.write("month.xml", document(report(1), report(2)))
    assert desk.audit().returncode == 0
    reports = pl.read_parquet(desk.folder / "output/records/2026-01/v0001/reports.parquet")
    pseudonym = reports.filter(pl.col("report") == 1)["report_id"].item()
    done = desk.run("find", pseudonym, "reports", "--key-file", "key")
    position = len((HEAD + report(1)).encode())
    assert done.stdout == f"{path.relative_to(desk.folder)}, byte {position}: chart chart-00002\n"
    missing = desk.run("find", "R-AAAAAAAAAA", "reports", "--key-file", "key")
    assert (missing.returncode, missing.stdout) == (2, "")


def test_an_unchanged_run_reads_no_file_again_and_leaves_every_byte(desk: Desk) -> None:
    desk.write("month.xml", document(report(1), report(2)))
    assert desk.audit().returncode == 0
    before = {path: path.read_bytes() for path in (desk.folder / "output").rglob("*.html")}
    assert desk.audit().returncode == 0
    assert {path: path.read_bytes() for path in (desk.folder / "output").rglob("*.html")} == before
    assert (desk.folder / "output/records/2026-01").is_dir()
    assert [path.name for path in (desk.folder / "output/records/2026-01").iterdir()] == ["v0001"]


def test_a_folder_of_reports_and_no_zone_works_with_defaults(desk: Desk) -> None:
    desk.write("month.xml", document(report(1)))
    (desk.folder / "settings.yaml").unlink()
    done = desk.run("run", "reports", "--audited-on", "2026-04-01")
    assert done.returncode == 0
    assert "A key for the pseudonyms was made at" in done.stderr
    key = next((desk.folder / "home").rglob("key"))
    assert key.stat().st_mode & 0o777 == 0o600
    again = desk.run("run", "reports", "--audited-on", "2026-04-01")
    assert (again.returncode, again.stderr) == (0, "")
