from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal
from store.invented import (
    AUDITED_ON,
    FIRST_RUN,
    SECOND_RUN,
    a_month,
    files_under,
    tables,
    undated,
)

from qa_audit.errors import CommandError, StoreError
from qa_audit.store import MONTH_DETERMINATIONS, UNDATED, Store, Stored
from qa_audit.store.month_files import KEPT
from qa_audit.tables import DETERMINATIONS, FACTS, HELD_BACK, REPORTS, Table
from qa_audit.tables.batch import Source


def saturations(stored: Stored | None) -> set[float]:
    assert stored is not None
    return set(stored.scan(FACTS).collect()["value"].to_list())


@pytest.mark.parametrize("table", KEPT, ids=lambda table: table.name)
def test_every_table_of_a_month_comes_back_as_it_was_saved(filled: Path, table: Table) -> None:
    with Store.open(filled, read_only=True) as store:
        january = store.current("2026-01")
        assert january is not None
        assert_frame_equal(january.scan(table).collect(), tables("2026-01")[table.name])


@settings(max_examples=20, deadline=None)
@given(
    values=st.lists(st.none() | st.floats(allow_nan=False), max_size=20),
    units=st.lists(st.none() | st.text(max_size=5), min_size=20, max_size=20),
)
def test_any_facts_come_back_in_the_order_they_were_saved(values: list[float | None], units: list[str | None]) -> None:
    facts = FACTS.frame(
        [
            {
                "fact": fact,
                "report": 0,
                "item": f"item-{fact}",
                "value": value,
                "unit": units[fact],
                "status": "present",
            }
            for fact, value in enumerate(values)
        ]
    )
    month = a_month("2026-01")
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder)) as store:
        (stored,) = store.save([replace(month, tables={**month.tables, "facts": facts})], FIRST_RUN)
        assert_frame_equal(stored.scan(FACTS).collect(), facts)


def test_a_saved_month_knows_its_version_its_sources_and_the_day_of_its_audit(filled: Path) -> None:
    with Store.open(filled, read_only=True) as store:
        january = store.current("2026-01")
    assert january is not None
    assert (january.version, january.audited_on, january.sources) == (1, AUDITED_ON, (Source(0, "ab" * 32, 4),))


def test_months_are_listed_in_time_order_and_undated_rows_are_asked_for_by_name(filled: Path) -> None:
    with Store.open(filled) as store:
        store.save([undated(), a_month("2025-12")], SECOND_RUN)
        assert store.months() == ["2025-12", "2026-01", "2026-02"]
        held_back = store.current(UNDATED)
    assert held_back is not None
    assert held_back.scan(HELD_BACK).collect().height == 2
    assert held_back.scan(REPORTS).collect().height == 0


def test_a_month_that_is_not_stored_is_null(filled: Path) -> None:
    with Store.open(filled, read_only=True) as store:
        assert store.current("2020-01") is None


def test_a_run_replaces_the_months_it_brings_and_leaves_the_others(filled: Path) -> None:
    with Store.open(filled) as store:
        before = store.current("2026-01")
        (february,) = store.save([a_month("2026-02", saturation=91.0)], SECOND_RUN)
        assert (february.version, saturations(february)) == (2, {91.0})
        assert store.current("2026-01") == before


def test_the_old_version_is_current_until_the_new_one_is(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def look() -> None:
        with Store.open(filled, read_only=True) as reader:
            seen.append(saturations(reader.current("2026-02")))

    with Store.open(filled) as store:
        finish = store._catalogue.finish
        monkeypatch.setattr(store._catalogue, "finish", lambda *given: (look(), finish(*given)))
        store.save([a_month("2026-02", saturation=91.0)], SECOND_RUN)
        look()
    assert seen == [{97.0}, {91.0}]


def test_a_reader_keeps_the_state_it_opened_while_a_run_replaces_a_month(filled: Path) -> None:
    with Store.open(filled, read_only=True) as reader:
        with Store.open(filled) as store:
            store.save([a_month("2026-02", saturation=91.0)], SECOND_RUN)
        assert saturations(reader.current("2026-02")) == {97.0}
    with Store.open(filled, read_only=True) as reader:
        assert saturations(reader.current("2026-02")) == {91.0}


def test_a_run_that_changes_nothing_makes_no_new_version_and_keeps_the_day_of_the_audit(filled: Path) -> None:
    before = files_under(filled)
    with Store.open(filled) as store:
        (january,) = store.save([a_month("2026-01", audited_on=date(2026, 9, 9))], SECOND_RUN)
        assert (january.version, january.audited_on) == (1, AUDITED_ON)
        assert store.next_version("2026-01") == 2
    assert files_under(filled) == before


def test_rows_written_as_other_bytes_are_still_the_same_month(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("qa_audit.store.month_files._ROWS_IN_A_GROUP", 1)
    with Store.open(filled) as store:
        (january,) = store.save([a_month("2026-01")], SECOND_RUN)
    assert january.version == 1


def test_a_month_judged_otherwise_is_a_new_version_with_its_own_day(filled: Path) -> None:
    month = a_month("2026-01", audited_on=date(2026, 9, 9))
    judged = (
        month.tables["determinations"].lazy().with_columns(outcome=pl.lit("not_met", DETERMINATIONS.schema["outcome"]))
    )
    with Store.open(filled) as store:
        (january,) = store.save([replace(month, tables={**month.tables, "determinations": judged})], SECOND_RUN)
    assert (january.version, january.audited_on) == (2, date(2026, 9, 9))


def test_a_month_read_from_another_file_is_a_new_version(filled: Path) -> None:
    with Store.open(filled) as store:
        (january,) = store.save([replace(a_month("2026-01"), sources=(Source(0, "cd" * 32, 4),))], SECOND_RUN)
    assert january.version == 2


def test_the_determinations_of_all_months_come_as_one_frame_with_their_month(filled: Path) -> None:
    with Store.open(filled) as store:
        store.save([undated()], SECOND_RUN)
        frame = store.determinations().collect()
    assert frame.schema == MONTH_DETERMINATIONS.empty().schema
    assert frame["month"].to_list() == ["2026-01"] * 3 + ["2026-02"] * 3


def test_an_empty_store_has_no_determinations(out: Path) -> None:
    with Store.open(out) as store:
        assert store.determinations().collect().is_empty()


def test_a_run_of_the_same_identity_is_given_back_what_it_left(filled: Path) -> None:
    with Store.open(filled, read_only=True) as store:
        found = store.unchanged(FIRST_RUN)
        assert found == (store.current("2026-01"), store.current("2026-02"))


@pytest.mark.parametrize(
    "other", ["inputs_digest", "settings_digest", "key_fingerprint", "code_version", "de_identify"]
)
def test_a_run_that_differs_in_one_thing_has_to_read_its_files(filled: Path, other: str) -> None:
    with Store.open(filled, read_only=True) as store:
        assert store.unchanged(replace(FIRST_RUN, **{other: True if other == "de_identify" else "other"})) is None


def test_a_run_has_to_read_its_files_when_another_has_replaced_one_of_its_months(filled: Path) -> None:
    with Store.open(filled) as store:
        store.save([a_month("2026-02", saturation=91.0)], SECOND_RUN)
        assert store.unchanged(FIRST_RUN) is None
        assert store.unchanged(SECOND_RUN) == (store.current("2026-02"),)


def test_a_run_whose_months_were_judged_anew_is_given_back_the_newest(filled: Path) -> None:
    with Store.open(filled) as store:
        store.save([a_month("2026-01", saturation=91.0), a_month("2026-02")], FIRST_RUN)
        found = store.unchanged(FIRST_RUN)
    assert found is not None
    assert [stored.version for stored in found] == [2, 1]


def test_the_first_key_is_kept_and_another_is_refused_with_the_remedy(out: Path) -> None:
    with Store.open(out) as store:
        store.check_key("a" * 64)
    with Store.open(out) as store:
        store.check_key("a" * 64)
        with pytest.raises(
            StoreError, match=r"fingerprint aaaaaaaaaaaa, this key's is bbbbbbbbbbbb; give the first key"
        ):
            store.check_key("b" * 64)


@pytest.mark.parametrize("text", ["2026-13", "2026-1", "../2026-01", "2026-01\n", "", "\u0662\u0660\u0662\u0666-01"])
def test_text_that_names_no_month_never_becomes_a_path(filled: Path, text: str) -> None:
    with Store.open(filled, read_only=True) as store, pytest.raises(CommandError, match="write YYYY-MM"):
        store.current(text)


def test_a_month_whose_file_was_cut_short_is_refused_with_the_remedy(filled: Path) -> None:
    facts = filled / "records" / "2026-01" / "v0001" / "facts.parquet"
    facts.write_bytes(facts.read_bytes()[:-1])
    with Store.open(filled, read_only=True) as store:
        with pytest.raises(
            StoreError, match=r"v0001: a file of this month is missing or cut short; restore all of records/"
        ):
            store.current("2026-01")
        assert store.current("2026-02") is not None


def test_a_fault_while_saving_leaves_everything_as_it_was(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = files_under(filled)
    with Store.open(filled) as store:
        monkeypatch.setattr(store._catalogue, "finish", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            store.save([a_month("2026-02", saturation=91.0), a_month("2026-03")], SECOND_RUN)
        assert (store.months(), store.next_version("2026-02")) == (["2026-01", "2026-02"], 2)
    assert files_under(filled) == before


def test_a_month_given_twice_is_our_own_mistake(out: Path) -> None:
    with Store.open(out) as store, pytest.raises(ValueError, match="once"):
        store.save([a_month("2026-01"), a_month("2026-01")], FIRST_RUN)
