from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from charting import RULESETS

from qa_audit import rules
from qa_audit.errors import RulesetError

NAME = "respiratory-precautions"
OXYGEN_RULE = "rules/oxygen/oxygen-kept-within-target.yaml"


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """The shipped ruleset, to be spoilt; returns the base edition's folder."""
    shutil.copytree(RULESETS, tmp_path / "rulesets")
    return tmp_path / "rulesets" / NAME / "2020-01-01"


def spoil(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")


def faults(edition: Path) -> str:
    with pytest.raises(RulesetError) as raised:
        rules.load(edition.parents[1], None)
    return str(raised.value)


def test_the_shipped_editions_tile_time() -> None:
    ruleset = rules.load(RULESETS, None)
    assert ruleset.name == NAME
    for earlier, later in zip(ruleset.editions, ruleset.editions[1:], strict=False):
        assert earlier.until == later.begins
    assert ruleset.newest.until is None


def test_a_misspelled_key_is_named_with_line_and_nearest_key(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "  settle: 5", "  setle: 5")
    said = faults(copied)
    assert "oxygen-kept-within-target.yaml:" in said
    assert "`check.within_band.setle` is not a key that is known here. Did you mean 'settle'?" in said
    assert "`check.within_band.settle` is missing; add it." in said


def test_an_unknown_concept_is_named_with_the_nearest_one(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "reading: oxygen_saturation", "reading: oxygen_saturatoin")
    said = faults(copied)
    line = next(
        number for number, text in enumerate((copied / OXYGEN_RULE).read_text().splitlines(), 1) if "saturatoin" in text
    )
    assert f"oxygen-kept-within-target.yaml:{line}:" in said
    assert "names the concept 'oxygen_saturatoin'" in said
    assert "Did you mean 'oxygen_saturation'?" in said


def test_an_unknown_kind_is_named_with_the_allowed_ones(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "kind: within_band", "kind: within_bend")
    said = faults(copied)
    assert "within_bend" in said
    assert "Did you mean 'within_band'?" in said


def test_an_unknown_strength_is_named_with_the_allowed_ones(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "strength: must", "strength: shoud")
    assert "`strength` is 'shoud'; allowed are 'must', 'should' or 'may'. Did you mean 'should'?" in faults(copied)


def test_faults_of_several_files_come_all_at_once(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "severity: safety", "severity: saftey")
    spoil(copied / "rules/airway/one-intubation-attempt.yaml", "at_most: 1", "at_most: -1")
    said = faults(copied)
    assert "oxygen-kept-within-target.yaml" in said
    assert "one-intubation-attempt.yaml" in said


def test_a_rule_whose_file_name_and_id_differ_is_refused(copied: Path) -> None:
    (copied / OXYGEN_RULE).rename(copied / "rules/oxygen/oxygen-titrated.yaml")
    assert "the id 'oxygen-kept-within-target' and the file name 'oxygen-titrated' differ" in faults(copied)


def test_two_rules_with_one_id_are_refused(copied: Path) -> None:
    shutil.copy(copied / OXYGEN_RULE, copied / "rules/airway/oxygen-kept-within-target.yaml")
    assert "a rule has one file" in faults(copied)


def test_a_concept_that_no_rule_uses_is_refused(copied: Path) -> None:
    with (copied / "concepts/oxygen.yaml").open("a", encoding="utf-8") as file:
        file.write("unused_thing:\n  sentence: Nobody asks for it.\n  items:\n    eVitals.10: []\n")
    assert "no rule of this edition uses the concept 'unused_thing'" in faults(copied)


def test_a_source_that_the_edition_does_not_list_is_refused(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "basis: [bts-2017,", "basis: [bts-2018,")
    assert "rests on 'bts-2018'" in faults(copied)


def test_a_rule_without_a_not_met_example_is_refused(copied: Path) -> None:
    text = (copied / OXYGEN_RULE).read_text(encoding="utf-8")
    head, _, _ = text.partition("examples:")
    example = "examples:\n  - case: One\n    because: It is so.\n    expect: met\n"
    (copied / OXYGEN_RULE).write_text(head + example, encoding="utf-8")
    said = faults(copied)
    assert "has no example that is not_met; add one." in said
    assert "has no example that is excluded or cannot be told; add one." in said


def test_editions_that_overlap_are_refused_with_both_files_and_dates(copied: Path) -> None:
    spoil(copied / "edition.yaml", "made_known:", "in_force_until: 2026-03-01\nmade_known:")
    said = faults(copied)
    assert "2020-01-01/edition.yaml and" in said
    assert "2026-02-17/edition.yaml: overlap" in said
    assert "2026-03-01" in said


def test_editions_that_leave_a_gap_are_refused(copied: Path) -> None:
    spoil(copied / "edition.yaml", "made_known:", "in_force_until: 2026-02-01\nmade_known:")
    assert "leave a gap" in faults(copied)


def test_a_key_written_twice_is_refused(copied: Path) -> None:
    spoil(copied / OXYGEN_RULE, "strength: must", "strength: must\nstrength: may")
    assert "the key 'strength' stands here twice" in faults(copied)


def test_an_edition_of_another_day_than_its_folder_is_refused(copied: Path) -> None:
    spoil(copied / "edition.yaml", "in_force_from: 2020-01-01", "in_force_from: 2020-01-02")
    assert "begins on 2020-01-02, but the folder says 2020-01-01" in faults(copied)


def test_a_digest_covers_what_judges_and_not_prose(copied: Path) -> None:
    def digest() -> str:
        return rules.load(copied.parents[1], None).editions[0].digest

    before = digest()
    spoil(copied / OXYGEN_RULE, "title: Oxygen is kept", "title: Oxygen stays")
    assert digest() == before
    spoil(copied / OXYGEN_RULE, "  carry: 15", "  carry: 14")
    assert digest() != before
