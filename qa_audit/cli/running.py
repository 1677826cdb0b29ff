"""run and held-back: the whole pipeline, and what it did not admit."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from qa_audit.cli.choosing import (
    choose_inputs,
    choose_key,
    choose_ruleset,
    choose_settings,
    inputs_argument,
    key_option,
    out_option,
    rulesets_option,
    settings_option,
    show_progress,
)
from qa_audit.errors import CommandError

if TYPE_CHECKING:
    from qa_audit.pipeline import Result


REFUSALS_SHOWN = 20


@click.command()
@inputs_argument
@out_option
@rulesets_option
@settings_option
@key_option
@click.option("--month", metavar="YYYY-MM", help="Only this month; reports of others are held back.")
@click.option("--de-identify", is_flag=True, help="Drop what identifies a person instead of refusing its file.")
@click.option(
    "--audited-on",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="Date of the audit on the pages; default: today.",
)
@click.option("--quiet", is_flag=True, help="No progress, no summary.")
@click.pass_context
def run(
    ctx: click.Context,
    inputs: tuple[Path, ...],
    out: Path,
    rulesets: Path | None,
    settings_file: Path | None,
    key_file: Path | None,
    month: str | None,
    de_identify: bool,
    audited_on: datetime | None,
    quiet: bool,
) -> None:
    """Read reports, judge them, and write pages for every month."""
    from qa_audit.pipeline import Order
    from qa_audit.pipeline import run as run_pipeline

    chosen = choose_inputs(inputs)
    settings = choose_settings(settings_file, chosen)
    order = Order(
        inputs=chosen,
        out=out,
        ruleset=choose_ruleset(rulesets, settings.ruleset),
        settings=settings,
        key=choose_key(key_file, settings),
        audited_on=audited_on.date() if audited_on else date.today(),  # noqa: DTZ011 - a day on paper, local by nature
        month=_checked(month),
        de_identify=de_identify,
    )
    with show_progress(quiet) as progress:
        result = run_pipeline(order, progress)
    for line in result.refused[:REFUSALS_SHOWN]:
        click.echo(line, err=True)
    if len(result.refused) > REFUSALS_SHOWN:
        click.echo(f"... and {len(result.refused) - REFUSALS_SHOWN} more: qa-audit held-back undated", err=True)
    if not quiet:
        click.echo(_summary(result, out, letters=settings.peer_review is not None))
    ctx.exit(result.exit_code)


@click.command("held-back")
@click.argument("month")
@out_option
def held_back(month: str, out: Path) -> None:
    """List what a month did not admit: where it stands, and why."""
    from qa_audit.store import Store
    from qa_audit.tables import HELD_BACK

    with Store.open(out, read_only=True) as store:
        stored = store.current(month)
        if stored is None:
            known = ", ".join(store.months()) or "none"
            raise CommandError(f"{month}: no such month is stored; stored are {known}.")
        rows = stored.scan(HELD_BACK).collect()
    for row in rows.iter_rows(named=True):
        place = "whole file" if row["position"] is None else f"byte {row['position']}"
        click.echo(f"input {row['source_sha256'][:12]}, {place}: {row['check']}: {row['sentence']}")
    click.echo(f"{rows.height} held back.")


def _checked(month: str | None) -> str | None:
    if month is not None:
        try:
            datetime.strptime(month, "%Y-%m")  # noqa: DTZ007 - only its form is asked
        except ValueError:
            raise CommandError(f"--month {month}: is no month; write it as 2026-01.") from None
    return month


def _summary(result: Result, out: Path, *, letters: bool) -> str:
    lines = [f"{result.reports_read} reports read = {result.admitted} admitted + {result.held_back.total()} held back."]
    lines += [f"  {check}: {count}" for check, count in sorted(result.held_back.items())]
    if result.months:
        lines.append(f"Months: {', '.join(result.months)}. Open {out / 'index.html'}")
    if not letters:
        lines.append("No letters: the settings hold no peer_review statement.")
    return "\n".join(lines)
