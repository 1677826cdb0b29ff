"""A run that is killed (-9): the store opens, earlier months are whole, the next run ends as if nothing had been."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from store.invented import FIRST_RUN, SECOND_RUN, a_month, files_under, second_run

from qa_audit.store import Store

ROOT = Path(__file__).parents[2]
CHILD = """
import os, signal, sys
from pathlib import Path
from store.invented import SECOND_RUN, second_run
from qa_audit.store import Store
from qa_audit.store.catalogue import Catalogue

passed = 0

def moment():
    global passed
    passed += 1
    if passed == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)

def with_moments(call):
    def around(*given, **named):
        moment()
        result = call(*given, **named)
        moment()
        return result
    return around

os.fsync, os.rename, os.mkdir = map(with_moments, (os.fsync, os.rename, os.mkdir))
Catalogue._ask, Catalogue.write_schema = map(with_moments, (Catalogue._ask, Catalogue.write_schema))
with Store.open(Path(sys.argv[1])) as store:
    store.save(second_run(), SECOND_RUN)
print(passed)
"""


def run_in_a_child(out: Path, kill_at: int) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", CHILD, str(out), str(kill_at)],
        env={"PYTHONPATH": f"{ROOT}:{ROOT / 'tests'}"},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(("begun", "moments"), [("filled", 15), ("empty", 6)])
def test_a_run_killed_at_any_moment_loses_nothing_and_the_next_run_finishes(
    tmp_path: Path, begun: str, moments: int
) -> None:
    start, undisturbed = tmp_path / "start", tmp_path / "undisturbed"
    start.mkdir()
    if begun == "filled":
        with Store.open(start) as store:
            store.save([a_month("2026-01"), a_month("2026-02")], FIRST_RUN)
    shutil.copytree(start, undisturbed)
    through = run_in_a_child(undisturbed, kill_at=0)
    last = int(through.stdout)
    expected = files_under(undisturbed)
    states = set()
    for kill_at in {1 + round(step * (last - 1) / (moments - 1)) for step in range(moments)}:
        out = tmp_path / f"killed-{kill_at}"
        shutil.copytree(start, out)
        killed = run_in_a_child(out, kill_at)
        assert killed.returncode == -signal.SIGKILL, killed.stderr
        with Store.open(out) as store:
            current = {
                month: found.version
                for month in ("2026-01", "2026-02", "2026-03", "undated")
                if (found := store.current(month))
            }
            states.add(tuple(sorted(current.items())))
            left = files_under(out)
            assert left == (expected if "2026-03" in current else files_under(start))
            store.save(second_run(), SECOND_RUN)
        assert files_under(out) == expected
    old = {"2026-01": 1, "2026-02": 1} if begun == "filled" else {}
    new = {**old, "2026-02": 2 if begun == "filled" else 1, "2026-03": 1, "undated": 1}
    assert states == {tuple(sorted(old.items())), tuple(sorted(new.items()))}
