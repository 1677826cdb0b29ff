"""The whole program on one screen: ingest, gate, audit, measure, report, with the store as its memory."""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from qa_audit import __version__, audit, gate, ingest, measure, report, shelf
from qa_audit.errors import ExitCode, NothingAdmittedError
from qa_audit.rules import Ruleset
from qa_audit.rules.agency import check_settings, concept_items
from qa_audit.settings import Settings
from qa_audit.store import RunIdentity, Store
from qa_audit.tables.held_back import REFUSED_INPUT

Progress = Callable[[str, int, int], None]
"""Called with the stage, what is done and what there is to do."""


@dataclass(frozen=True)
class Order:
    """What one run is asked to do."""

    inputs: Sequence[Path]
    out: Path
    ruleset: Ruleset
    settings: Settings
    key: ingest.Key
    audited_on: date
    month: str | None = None
    de_identify: bool = False


@dataclass(frozen=True)
class Result:
    """What one run did: admitted, held back by check, and the months it wrote."""

    admitted: int
    held_back: Counter[str]
    refused: tuple[str, ...]
    """Where each refused input stands and why, for the terminal alone: a file is often named after its chart."""
    months: tuple[str, ...]

    @property
    def reports_read(self) -> int:
        """Reports read: admitted and held back, always."""
        return self.admitted + self.held_back.total()

    @property
    def exit_code(self) -> ExitCode:
        """Say whether some input was refused."""
        refused = any(self.held_back[check] for check in REFUSED_INPUT)
        return ExitCode.SOME_INPUT_REFUSED if refused else ExitCode.DONE


def run(order: Order, progress: Progress) -> Result:
    """Do everything; raises a `QaAuditError` for whatever the user can mend, and then no month has changed."""
    check_settings(order.settings, order.ruleset)
    with Store.open(order.out) as store:
        store.check_key(order.key.fingerprint)
        identity = _identity(order)
        known = store.unchanged(identity)
        months = shelf.from_store(known) if known else _from_files(order, progress)
        judged = []
        for done, month in enumerate(months):
            progress("judging", done, len(months))
            judged.append(month.judged(audit.judge(month.batch, order.ruleset, order.settings)))
        saved = shelf.to_store(store, judged, identity, order.audited_on)
        figures = measure.count(store.determinations())
        progress("writing pages", 0, len(saved))
        report.write(shelf.whose_trend_changed(store, saved), figures, order.ruleset, order.settings, order.out)
        for each in saved:
            summary = measure.summary(each, figures, order.ruleset, identity.settings_digest, order.key.fingerprint)
            shelf.leave_beside_the_pages(each, summary, order.out)
    held_back = pl.concat(each.batch.held_back for each in saved)
    return Result(
        admitted=sum(each.admitted for each in saved),
        held_back=Counter(held_back["check"]),
        refused=_refused(order, held_back),
        months=tuple(each.month for each in saved if each.is_dated),
    )


def _from_files(order: Order, progress: Progress) -> list[shelf.Unjudged]:
    """Read and gate the files; great-expectations is loaded beside the parsing."""
    warming = gate.warm_up()
    with tempfile.TemporaryDirectory(prefix="reading-", dir=order.out / "records") as scratch:
        batch = ingest.read(
            order.inputs,
            key=order.key,
            settings=order.settings,
            scratch=Path(scratch),
            de_identify=order.de_identify,
            progress=lambda done, total: progress("reading", done, total),
        )
        progress("checking", 0, 1)
        warming.join()
        number = order.settings.agency.number
        gated = gate.admit(
            batch,
            order.settings,
            month=order.month,
            agency=order.key.pseudonym("A", number) if number else None,
            concepts=concept_items(order.ruleset.newest, order.settings, batch),
        )
        try:
            gate.refuse_if_unfit(gated, order.settings)
        except NothingAdmittedError as unfit:
            raise NothingAdmittedError("\n".join([*_refused(order, gated.batch.held_back), str(unfit)])) from None
        return shelf.from_gate(gated.batch, gated.check_results)


def _refused(order: Order, held_back: pl.DataFrame) -> tuple[str, ...]:
    refused = held_back.filter(pl.col("check").cast(pl.String).is_in(REFUSED_INPUT)).sort("source", "position")
    files = ingest.files_of(order.inputs, refused["source_sha256"])
    lines = []
    for digest, position, check, said in refused.select("source_sha256", "position", "check", "sentence").iter_rows():
        place = "as a whole" if position is None else f"at byte {position}"
        lines.append(f"{files.get(digest, 'an input')}, {place}: {check}: {said}")
    return tuple(lines)


def _identity(order: Order) -> RunIdentity:
    asked = f"{ingest.inputs_digest(order.inputs)}:{order.month or ''}"
    return RunIdentity(
        inputs_digest=asked,
        settings_digest=order.settings.digest,
        key_fingerprint=order.key.fingerprint,
        code_version=__version__,
        de_identify=order.de_identify,
    )
