from __future__ import annotations

from pathlib import Path

import pytest

from qa_audit.errors import SettingsError
from qa_audit.settings import Settings, find, load


def written(folder: Path, text: str) -> Path:
    path = folder / "settings.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def refused(folder: Path, text: str) -> str:
    with pytest.raises(SettingsError) as raised:
        load(written(folder, text))
    return str(raised.value)


def test_a_misspelled_key_is_named_with_line_and_nearest_key(tmp_path: Path) -> None:
    said = refused(tmp_path, "agency: {name: Ostrel}\ntime_zome: America/Chicago\n")
    assert "settings.yaml:2: `time_zome` is not a key that is known here. Did you mean 'time_zone'?" in said


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path) -> None:
    said = refused(tmp_path, "recipient: everybody\ngate:\n  stop_above_share: 2\ntime_zone: Mars/Base\n")
    assert "settings.yaml:1: `recipient` is 'everybody'; allowed are 'ems_unit', 'primary' or 'team'." in said
    assert "settings.yaml:3: `gate.stop_above_share`" in said
    assert "settings.yaml:4: `time_zone`: 'Mars/Base' is not a time zone of the IANA list" in said


def test_a_custom_element_has_values_or_is_a_time(tmp_path: Path) -> None:
    said = refused(tmp_path, "custom_elements:\n  svc.filter: {concept: viral_filter}\n")
    assert "write either `values:` (each present or negated) or `value: time`" in said


def test_a_key_written_twice_is_a_fault(tmp_path: Path) -> None:
    assert "settings.yaml:2: not readable as YAML: the key 'recipient' stands here twice." in refused(
        tmp_path, "recipient: team\nrecipient: primary\n"
    )


def test_an_alias_is_a_fault(tmp_path: Path) -> None:
    assert "an alias stands here" in refused(tmp_path, "labels: &all {U-A: One}\nagency: *all\n")


def test_broken_yaml_is_named_with_its_line(tmp_path: Path) -> None:
    assert refused(tmp_path, "agency: {name: [}\n").startswith(f"{tmp_path}/settings.yaml:1: not readable as YAML")


def test_a_python_object_is_not_built(tmp_path: Path) -> None:
    assert "not readable as YAML" in refused(tmp_path, "agency: !!python/object/apply:os.system ['true']\n")


def test_a_relative_key_file_is_taken_from_the_settings_folder(tmp_path: Path) -> None:
    assert load(written(tmp_path, "key_file: demo.key\n")).key_file == tmp_path / "demo.key"


def test_the_digest_does_not_depend_on_where_the_key_lies(tmp_path: Path) -> None:
    here = load(written(tmp_path, "key_file: demo.key\nrecipient: team\n"))
    assert here.digest == Settings(recipient="team").digest
    assert here.digest != Settings().digest


def test_settings_are_found_beside_the_reports_before_the_working_directory(tmp_path: Path) -> None:
    beside, here = tmp_path / "reports", tmp_path / "here"
    beside.mkdir()
    here.mkdir()
    elsewhere = written(here, "recipient: team\n")
    assert find(None, [beside], here) == elsewhere
    nearer = written(beside, "recipient: primary\n")
    assert find(None, [beside], here) == nearer
    assert find(elsewhere, [beside], here) == elsewhere
    assert find(None, [beside], beside.parent) == nearer
