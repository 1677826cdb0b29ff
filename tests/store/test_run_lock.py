from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from qa_audit.errors import StoreError
from qa_audit.store import Store

ROOT = Path(__file__).parents[2]
HOLD = (
    "import sys, time; from pathlib import Path; from qa_audit.store import Store\n"
    "with Store.open(Path(sys.argv[1])): print('open', flush=True); time.sleep(60)\n"
)


def test_a_second_run_at_once_is_refused_in_one_sentence(filled: Path) -> None:
    with (
        Store.open(filled),
        pytest.raises(StoreError, match="another run is working on this folder; wait until it is done"),
        Store.open(filled),
    ):
        pass


def test_a_reader_may_look_while_a_run_works(filled: Path) -> None:
    with Store.open(filled), Store.open(filled, read_only=True) as reader:
        assert reader.months() == ["2026-01", "2026-02"]


def test_the_lock_of_another_process_holds_and_ends_when_it_is_killed(filled: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(filled)], env={"PYTHONPATH": str(ROOT)}, stdout=subprocess.PIPE, text=True
    )
    with holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "open\n"
        with pytest.raises(StoreError, match="another run is working"), Store.open(filled):
            pass
        holder.send_signal(signal.SIGKILL)
    with Store.open(filled) as store:
        assert store.months() == ["2026-01", "2026-02"]
