"""The engine and the oracle judge the same random months and agree to the row."""

from __future__ import annotations

import re
import shutil
from datetime import date
from functools import cache
from pathlib import Path
from random import Random

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings

from oracle.frames import batch_of, facts_frame, members_frame, reports_frame
from oracle.judge import judge
from oracle.model import Report
from oracle.months import month, months
from oracle.ruleset import editions_of, settings_of
from qa_audit import audit, rules
from qa_audit.settings import CustomElement, EquipmentLists, Settings

SHIPPED = Path(__file__).parents[2] / "rulesets"
NAME = "respiratory-precautions"

PLAIN = Settings(
    time_zone="America/Chicago",
    custom_elements={
        "svc.filter": CustomElement(concept="viral_filter", values={"1": "present", "0": "negated"}),
        "svc.filterAt": CustomElement(concept="viral_filter", value="time"),
        "svc.oxygenOff": CustomElement(concept="oxygen_stopped", value="time"),
        "svc.tubeOut": CustomElement(concept="extubation", values={"1": "present"}),
        "svc.face": CustomElement(concept="respirator", values={"1": "present", "0": "negated"}),
    },
)
GENEROUS = PLAIN.model_copy(
    update={
        "respirator_also": ("level_c",),
        "intubation_also": ("16883004",),
        "ppe_list_speaks_for": EquipmentLists(crew_from=date(2026, 2, 1)),
        "ppe_lists_complete_from": date(2026, 2, 17),
        "filter_on_cpap_from": date(2026, 2, 10),
    }
)
BARE = Settings(time_zone="America/Chicago")
NO_ZONE = PLAIN.model_copy(update={"time_zone": None})

UNTIMED = re.compile(r"@untimed#\d+")
Row = tuple[object, ...]
COLUMNS = ["report", "rule", "member", "opportunity", "edition", "time", "outcome", "reason", "amount", "kinder_of"]


@cache
def loaded(ruleset_dir: Path) -> rules.Ruleset:
    return rules.load(ruleset_dir, NAME)


def engine_determinations(
    reports: pl.DataFrame, facts: pl.DataFrame, members: pl.DataFrame, ruleset_dir: Path, settings: Settings
) -> pl.DataFrame:
    """Return what the engine determines on a month's tables; the only place that calls it."""
    batch = batch_of([])
    batch = type(batch)(**{**vars(batch), "reports": reports.lazy(), "facts": facts.lazy(), "members": members.lazy()})
    return audit.judge(batch, loaded(ruleset_dir), settings)


def by_engine(month: list[Report], ruleset_dir: Path, settings: Settings) -> list[Row]:
    frame = engine_determinations(
        reports_frame(month), facts_frame(month), members_frame(month), ruleset_dir, settings
    ).with_columns(pl.col("time").dt.epoch("ms"), pl.col("amount").round(6))
    return comparable(frame.select(COLUMNS).rows())


def by_oracle(month: list[Report], ruleset_dir: Path, settings: Settings) -> list[Row]:
    editions = editions_of(loaded(ruleset_dir))
    rows = judge(month, editions, settings_of(settings))
    return comparable([tuple(getattr(row, name) for name in COLUMNS) for row in rows])


def comparable(rows: list[Row]) -> list[Row]:
    """Sort rows; untimed opportunities of one rule have no order of their own, so their number is left out."""
    return sorted(
        (tuple(UNTIMED.sub("@untimed", cell) if isinstance(cell, str) else cell for cell in row) for row in rows),
        key=repr,
    )


def compare(month: list[Report], ruleset_dir: Path, settings: Settings) -> None:
    engine, oracle = by_engine(month, ruleset_dir, settings), by_oracle(month, ruleset_dir, settings)
    only_engine = [row for row in engine if row not in set(oracle)]
    only_oracle = [row for row in oracle if row not in set(engine)]
    assert (only_engine, only_oracle) == ([], [])
    assert engine == oracle


def changed(tmp_path: Path, edition: str, lines: str = "", *, renamed: str = "") -> Path:
    """Copy the shipped ruleset with other lines in one edition's file, or with one rule under another name there."""
    folder = tmp_path / "rulesets"
    shutil.copytree(SHIPPED, folder)
    file = folder / NAME / edition / "edition.yaml"
    given = {line.partition(":")[0] for line in lines.splitlines()}
    kept = [line for line in file.read_text(encoding="utf-8").splitlines() if line.partition(":")[0] not in given]
    file.write_text("\n".join([*lines.splitlines(), *kept]) + "\n", encoding="utf-8")
    if renamed:
        rule = next((folder / NAME / edition).glob(f"rules/*/{renamed}.yaml"))
        text = rule.read_text(encoding="utf-8").replace(f"id: {renamed}\n", f"id: {renamed}-anew\n")
        rule.with_stem(f"{renamed}-anew").write_text(text, encoding="utf-8")
        rule.unlink()
    return folder


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("chosen", [PLAIN, GENEROUS, BARE, NO_ZONE], ids=["plain", "generous", "bare", "no zone"])
def test_both_agree_on_random_months(seed: int, chosen: Settings) -> None:
    compare(month(Random(seed), 150, chosen.time_zone), SHIPPED, chosen)  # noqa: S311 -- repeatable, no secret


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(month=months(4))
def test_both_agree_on_months_that_hypothesis_thinks_of(month: list[Report]) -> None:
    compare(month, SHIPPED, GENEROUS)


@pytest.mark.parametrize(
    ("edition", "lines"),
    [
        ("2026-02-17", "transition_until: 2026-02-18"),
        ("2026-02-17", "made_known: 2026-02-17T12:30"),
        ("2026-02-17", "must_document_from: 2026-02-17T12:20"),
        ("2026-02-17", "suspected_infection: everyone"),
        ("2026-02-17", "in_force_until: 2026-02-17T12:30"),
    ],
)
def test_both_agree_under_every_field_of_an_edition(tmp_path: Path, edition: str, lines: str) -> None:
    compare(month(Random(7), 150), changed(tmp_path, edition, lines), PLAIN)  # noqa: S311 -- repeatable, no secret


@pytest.mark.parametrize("edition", ["2020-01-01", "2026-02-17"])
@pytest.mark.parametrize("rule", ["oxygen-kept-within-target", "respirator-for-aerosol-procedures"])
def test_both_agree_where_one_edition_lacks_a_rule(tmp_path: Path, edition: str, rule: str) -> None:
    compare(month(Random(8), 150), changed(tmp_path, edition, renamed=rule), PLAIN)  # noqa: S311 -- as above
