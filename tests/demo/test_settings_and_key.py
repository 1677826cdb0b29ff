"""The settings and the key beside the sample months."""

from __future__ import annotations

from pathlib import Path

from qa_audit import settings
from qa_audit.demo import write_samples
from qa_audit.demo.service import AGENCY, FILTER, NAME, OXYGEN_OFF, VEHICLES
from qa_audit.ingest import Key


def test_the_settings_are_read_and_name_every_vehicle(tmp_path: Path) -> None:
    write_samples(tmp_path)
    read = settings.load(tmp_path / "settings.yaml")
    key = Key.load(tmp_path / "demo.key")
    assert (read.agency.name, read.agency.number) == (NAME, AGENCY.number)
    assert read.labels == {key.pseudonym("U", vehicle): vehicle for vehicle in VEHICLES}


def test_the_settings_map_both_own_elements_and_find_the_key_beside_them(tmp_path: Path) -> None:
    write_samples(tmp_path)
    read = settings.load(tmp_path / "settings.yaml")
    assert read.key_file == tmp_path / "demo.key"
    assert read.custom_elements[FILTER].values == {"1": "present", "0": "negated"}
    assert read.custom_elements[OXYGEN_OFF].value == "time"


def test_letters_can_be_written_because_there_is_a_statement_that_says_it_is_invented(tmp_path: Path) -> None:
    write_samples(tmp_path)
    review = settings.load(tmp_path / "settings.yaml").peer_review
    assert review is not None
    assert "Invented" in review.statement


def test_the_key_says_that_it_is_invented_and_not_for_real_reports(tmp_path: Path) -> None:
    write_samples(tmp_path)
    text = (tmp_path / "demo.key").read_text()
    assert text.startswith("invented")
    assert "never-use-it-for-real-reports" in text
