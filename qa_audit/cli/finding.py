"""find: where the chart behind a pseudonym stands, to the terminal only."""

from __future__ import annotations

from pathlib import Path

import click

from qa_audit.cli.choosing import choose_inputs, choose_key, choose_settings, key_option, settings_option
from qa_audit.errors import CommandError


@click.command()
@click.argument("report_id")
@click.argument("inputs", nargs=-1, required=True, type=click.Path(path_type=Path))
@settings_option
@key_option
def find(report_id: str, inputs: tuple[Path, ...], settings_file: Path | None, key_file: Path | None) -> None:
    """Say where the chart behind a pseudonym stands."""
    from qa_audit import ingest

    chosen = choose_inputs(inputs)
    standings = ingest.find(report_id, chosen, choose_key(key_file, choose_settings(settings_file, chosen)))
    for standing in standings:
        click.echo(f"{standing.file}, byte {standing.position}: chart {standing.chart_number or 'without a number'}")
    if not standings:
        raise CommandError(f"{report_id}: no report in these inputs has this pseudonym under this key; check both.")
