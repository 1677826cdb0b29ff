from __future__ import annotations

import os
from pathlib import Path

import pytest
from store.invented import SECOND_RUN, a_month

from qa_audit.errors import DiskError
from qa_audit.store import Store, write_atomically
from qa_audit.store.catalogue import Catalogue


def test_a_file_is_written_with_its_folder_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "2026-01" / "summary.json"
    write_atomically(path, b"{}")
    assert path.read_bytes() == b"{}"
    assert list(path.parent.iterdir()) == [path]


def test_a_file_keeps_its_old_content_when_the_disk_fills_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "summary.json"
    write_atomically(path, b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(
        DiskError, match=r"summary.json: cannot be read or written \(No space left on device\); free space"
    ):
        write_atomically(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_files_reach_the_disk_before_their_folder_is_named_and_its_name_before_the_catalogue_knows_it(
    filled: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    events: list[int | str] = []
    fsync, rename, finish = os.fsync, os.rename, Catalogue.finish
    monkeypatch.setattr(os, "fsync", lambda handle: (events.append(os.fstat(handle).st_ino), fsync(handle)))
    monkeypatch.setattr(os, "rename", lambda *paths: (events.append("named"), rename(*paths)))
    monkeypatch.setattr(Catalogue, "finish", lambda *given: (events.append("current"), finish(*given)))
    with Store.open(filled) as store:
        (march,) = store.save([a_month("2026-03")], SECOND_RUN)
    named, current = events.index("named"), events.index("current")
    inside = {path.stat().st_ino for path in [march.folder, *march.folder.iterdir()]}
    month = march.folder.parent
    assert inside <= set(events[:named])
    assert month.stat().st_ino in events[named:current]
    assert month.parent.stat().st_ino in events[:current]
