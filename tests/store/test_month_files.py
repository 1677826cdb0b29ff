from __future__ import annotations

import stat
import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest
from store.invented import tables

from qa_audit.store.month_files import encode, seals
from qa_audit.tables import FACTS

ROOT = Path(__file__).parents[2]
OTHER_PROCESS = (
    "import polars as pl\n"
    "pl.Series(['zz', 'eVitals.12', 'a'], dtype=pl.Categorical)\n"
    "from store.invented import tables; from qa_audit.store.month_files import encode, seals\n"
    "print({name: seal.sha256 for name, seal in seals(encode('2026-01', tables('2026-01'))).items()})\n"
)


def test_the_same_rows_give_the_same_bytes_in_a_process_that_knew_other_words_before() -> None:
    child = subprocess.run(
        [sys.executable, "-c", OTHER_PROCESS],
        env={"PYTHONPATH": f"{ROOT}:{ROOT / 'tests'}"},
        capture_output=True,
        text=True,
        check=True,
    )
    here = {name: seal.sha256 for name, seal in seals(encode("2026-01", tables("2026-01"))).items()}
    assert child.stdout.strip() == str(here)


def test_lazy_rows_over_many_row_groups_give_the_bytes_of_the_same_rows_in_memory(tmp_path: Path) -> None:
    rows = pl.select(fact=pl.int_range(200_000, dtype=pl.UInt32))
    facts = FACTS.conform(
        rows.lazy().with_columns(
            report=pl.col("fact") % 7_000,
            item=pl.format("item-{}", pl.col("fact") // 1_000),
            value=pl.col("fact") / 3,
            status=pl.lit("present"),
            **{name: pl.lit(None) for name in FACTS.columns.keys() - {"fact", "report", "item", "value", "status"}},
        )
    ).collect()
    facts.write_parquet(tmp_path / "facts.parquet", row_group_size=999)
    others = tables("2026-01")
    from_memory = encode("2026-01", {**others, "facts": facts})
    from_disk = encode("2026-01", {**others, "facts": pl.scan_parquet(tmp_path / "facts.parquet")})
    assert from_memory["facts"] == from_disk["facts"]


def test_narratives_are_readable_by_their_owner_alone(filled: Path) -> None:
    path = filled / "records" / "2026-01" / "v0001" / "narratives.parquet"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_dated_month_without_one_of_its_tables_is_our_own_mistake() -> None:
    without = {name: frame for name, frame in tables("2026-01").items() if name != "determinations"}
    with pytest.raises(ValueError, match="determinations"):
        encode("2026-01", without)
