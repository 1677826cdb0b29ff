from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from store.invented import SECOND_RUN, a_month, files_under

from qa_audit.errors import DiskError, StoreError
from qa_audit.store import Store
from qa_audit.store.catalogue import LAYOUT

NOBODY = 65534


def test_a_first_run_makes_the_folder(out: Path) -> None:
    with Store.open(out) as store:
        assert store.months() == []
    assert (out / "records" / "catalogue.sqlite").is_file()


def test_a_command_that_only_reads_makes_nothing_and_says_what_to_do(out: Path) -> None:
    with (
        pytest.raises(StoreError, match="no month is stored here; use `qa-audit run` first"),
        Store.open(out, read_only=True),
    ):
        pass
    assert not out.exists()


@pytest.mark.parametrize("read_only", [False, True])
def test_month_folders_without_their_memory_are_refused_with_the_remedy(out: Path, *, read_only: bool) -> None:
    (out / "2026-01").mkdir(parents=True)
    with (
        pytest.raises(StoreError, match="restore all of records/ from your backup"),
        Store.open(out, read_only=read_only),
    ):
        pass
    assert not (out / "records").exists()


def test_stored_months_without_their_catalogue_are_refused_and_not_cleared(filled: Path) -> None:
    (filled / "records" / "catalogue.sqlite").unlink()
    before = files_under(filled)
    with pytest.raises(StoreError, match="which remembers what they rest on, is missing"), Store.open(filled):
        pass
    assert files_under(filled) == before


def test_stored_months_beside_an_emptied_catalogue_are_refused(filled: Path) -> None:
    (filled / "records" / "catalogue.sqlite").write_bytes(b"")
    with pytest.raises(StoreError, match="restore all of records/ from your backup"), Store.open(filled):
        pass


def test_a_catalogue_older_than_its_folders_is_refused_and_nothing_is_cleared(filled: Path) -> None:
    catalogue = filled / "records" / "catalogue.sqlite"
    older = catalogue.read_bytes()
    with Store.open(filled) as store:
        store.save([a_month("2026-03")], SECOND_RUN)
    catalogue.write_bytes(older)
    with pytest.raises(StoreError, match=r"2026-03/v0001: the catalogue does not know this folder"), Store.open(filled):
        pass
    assert (filled / "records" / "2026-03" / "v0001" / "facts.parquet").is_file()


def test_a_catalogue_that_is_no_database_is_refused(filled: Path) -> None:
    (filled / "records" / "catalogue.sqlite").write_text("nothing of the kind, and long enough to be looked at " * 20)
    with pytest.raises(StoreError, match="the catalogue is damaged; restore all of records/"), Store.open(filled):
        pass


def test_a_catalogue_of_a_later_layout_is_refused(filled: Path) -> None:
    with Store.open(filled) as store:
        store._catalogue._ask(f"PRAGMA user_version = {LAYOUT + 1}")
    with (
        pytest.raises(StoreError, match=f"layout {LAYOUT + 1}, and this qa-audit reads layout {LAYOUT}"),
        Store.open(filled),
    ):
        pass


def test_a_copied_store_gives_the_same_months(filled: Path, tmp_path: Path) -> None:
    shutil.copytree(filled, tmp_path / "copy")
    with Store.open(tmp_path / "copy", read_only=True) as store:
        assert store.months() == ["2026-01", "2026-02"]


def test_an_output_folder_that_is_a_file_is_said_in_one_sentence(out: Path) -> None:
    out.write_text("a file")
    with pytest.raises(DiskError, match=r"records: cannot be read or written \(Not a directory\)"), Store.open(out):
        pass


@pytest.fixture(params=["after a run", "after a reader"])
def not_to_be_written(filled: Path, request: pytest.FixtureRequest) -> Iterator[Path]:
    """The filled store where nobody may write; a test that runs as root gives its rights away meanwhile."""
    if not hasattr(os, "setresuid"):
        pytest.skip("this system has no permissions that a test can give away")
    if request.param == "after a reader":  # SQLite leaves a reader's side files, and they are copied too
        with Store.open(filled, read_only=True) as store:
            store.months()
        assert (filled / "records" / "catalogue.sqlite-wal").exists()
    with tempfile.TemporaryDirectory() as parent:
        Path(parent).chmod(0o755)
        out = Path(shutil.copytree(filled, Path(parent) / "output"))
        for path in [*out.rglob("*"), out]:
            path.chmod(0o555 if path.is_dir() else 0o444)
        root = os.geteuid() == 0
        if root:
            os.setresuid(NOBODY, NOBODY, 0)
        try:
            yield out
        finally:
            if root:
                os.setresuid(0, 0, 0)
            for path in [out, *out.rglob("*")]:
                path.chmod(0o755)


def test_a_run_in_a_folder_that_may_only_be_read_is_refused_in_one_sentence(not_to_be_written: Path) -> None:
    with pytest.raises(DiskError, match=r"run.lock: cannot be read or written .*; free space or mend its permissions"):
        open_for_a_run(not_to_be_written)


def test_a_first_run_in_a_folder_that_may_only_be_read_is_refused_in_one_sentence(not_to_be_written: Path) -> None:
    with pytest.raises(
        DiskError, match=r"cannot be read or written \(Permission denied\); free space or mend its permissions"
    ):
        open_for_a_run(not_to_be_written / "new")


def test_a_store_that_may_only_be_read_can_be_read(not_to_be_written: Path) -> None:
    with Store.open(not_to_be_written, read_only=True) as store:
        assert store.months() == ["2026-01", "2026-02"]


def open_for_a_run(out: Path) -> None:
    with Store.open(out):
        pass
