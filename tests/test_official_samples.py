"""The standard's own nine sample files: as they are, de-identified, and judged by a set that was in force.

Source: NEMSIS v3 public repository, release 3.5.1.250403CP1, sample EMSDataSet files. The outcomes were worked out
by hand from the text of the kinds:

- EMSDataset-NoRepeat-1, -PNs-1, -ElementsRepeat-1: ventilation by pocket mask (and mouth to mouth) in the arrest
  section is a resuscitation, so everyone on the crew list needs a respirator; the equipment lists name people who are
  not on the crew list, so each member (one, one, three) has none: not documented. Drugs and procedures are charted as
  before this unit's care, or as not done, and open nothing. The confirmed device is a tracheostomy tube: no attempt is
  missing.
- EMSDataset-Nils-1: everything is nil; nothing opens.
- the other five: compressions in the arrest section, no crew list, an equipment group without any item: one opportunity
  without a member, not documented. The only drug is no oxygen, the only procedure is none of an airway.
"""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from charting import RULESETS, SHARED

from qa_audit import ingest, rules
from qa_audit.pipeline import Order, Result, run
from qa_audit.rules import Ruleset
from qa_audit.settings import Settings

SAMPLES = SHARED / "reference/nemsis/samples"
pytestmark = pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="the standard's samples lie in ../shared, which is not here"
)

IDENTIFYING = ("EMSDataset-ElementsRepeat-1", "EMSDataset-Nils-1", "EMSDataset-NoRepeat-1", "EMSDataset-PNs-1")
RESPIRATOR = "respirator-for-aerosol-procedures"
SILENT = (RESPIRATOR, "cannot_tell", "not_documented")
EXPECTED = {
    "EMSDataset-ElementsRepeat-1": [SILENT, SILENT, SILENT],
    "EMSDataset-Nils-1": [],
    "EMSDataset-NoRepeat-1": [SILENT],
    "EMSDataset-PNs-1": [SILENT],
    "Extend_eMedications.08_DoesNotMapToNemsisCode": [SILENT],
    "Extend_eMedications.08_MapsToNemsisCode": [SILENT],
    "Extend_eVitals.26_DoesNotMapToNemsisCode": [SILENT],
    "Extend_eVitals.26_MapsToNemsisCode": [SILENT],
    "New_Grouping_PatientRestraint": [SILENT],
}
WITH_MEMBERS = {"EMSDataset-ElementsRepeat-1": 3, "EMSDataset-NoRepeat-1": 1, "EMSDataset-PNs-1": 1}


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> ingest.Key:
    path = tmp_path_factory.mktemp("key") / "key"
    path.write_text("an invented key for the tests of the samples\n")
    return ingest.Key.load(path)


@pytest.fixture
def early(tmp_path: Path) -> Ruleset:
    """The shipped base edition, begun in 2010, so that it was in force when the samples were."""
    name = "respiratory-precautions"
    folder = tmp_path / "rulesets" / name / "2010-01-01"
    shutil.copytree(RULESETS / name / "2020-01-01", folder)
    text = (folder / "edition.yaml").read_text().replace("2020-01-01", "2010-01-01")
    (folder / "edition.yaml").write_text(text)
    return rules.load(tmp_path / "rulesets", None)


def audited(sample: str, out: Path, key: ingest.Key, ruleset: Ruleset, *, de_identify: bool) -> Result:
    order = Order(
        inputs=[SAMPLES / f"{sample}.xml"],
        out=out,
        ruleset=ruleset,
        settings=Settings(gate={"stop_above_share": 1.0}),  # type: ignore[arg-type] # a month of one report
        key=key,
        audited_on=date(2026, 4, 1),
        de_identify=de_identify,
    )
    return run(order, lambda *_: None)


def determinations(out: Path) -> pl.DataFrame:
    found = pl.concat([pl.read_parquet(path) for path in out.glob("2*/determinations.parquet")])
    return found.with_columns(pl.col("reason").cast(pl.String), pl.col("outcome").cast(pl.String))


def test_every_sample_is_expected() -> None:
    assert sorted(path.stem for path in SAMPLES.glob("*.xml")) == sorted(EXPECTED)


@pytest.mark.parametrize("sample", sorted(EXPECTED))
def test_a_sample_de_identified_is_judged_as_worked_out_by_hand(
    sample: str, tmp_path: Path, key: ingest.Key, early: Ruleset
) -> None:
    result = audited(sample, tmp_path / "out", key, early, de_identify=True)
    assert (result.reports_read, result.admitted) == (1, 1)
    found = determinations(tmp_path / "out")
    assert found.select("rule", "outcome", "reason").rows() == EXPECTED[sample]
    assert found["member"].drop_nulls().n_unique() == WITH_MEMBERS.get(sample, 0)


@pytest.mark.parametrize("sample", sorted(set(EXPECTED) - set(IDENTIFYING)))
def test_a_sample_without_identifiers_is_admitted_and_has_no_edition(
    sample: str, tmp_path: Path, key: ingest.Key
) -> None:
    result = audited(sample, tmp_path / "out", key, rules.load(RULESETS, None), de_identify=False)
    assert (result.reports_read, result.admitted, int(result.exit_code)) == (1, 1, 0)
    assert determinations(tmp_path / "out").select("rule", "outcome", "reason").rows() == [
        (RESPIRATOR, "cannot_tell", "no_edition")
    ]
