"""Options that several commands share, and where each thing is found when nobody says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from qa_audit.errors import CommandError

if TYPE_CHECKING:
    from qa_audit.ingest import Key
    from qa_audit.rules import Ruleset
    from qa_audit.settings import Settings

out_option = click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("output"),
    show_default=True,
    help="Folder of pages and records.",
)
rulesets_option = click.option(
    "--rulesets",
    type=click.Path(path_type=Path),
    help="Folder of rulesets; default: rulesets/ here, else the shipped set.",
)
settings_option = click.option(
    "--settings",
    "settings_file",
    type=click.Path(path_type=Path),
    help="Settings file; default: settings.yaml beside the reports, else here.",
)
key_option = click.option("--key-file", type=click.Path(path_type=Path), help="File with the key of the pseudonyms.")
inputs_argument = click.argument("inputs", nargs=-1, required=True, type=click.Path(path_type=Path))


def shipped(name: str) -> Path:
    """Return a folder that the installed package carries (rulesets, sample_reports)."""
    return Path(__file__).parents[1] / "shipped" / name


def choose_inputs(inputs: Sequence[Path]) -> list[Path]:
    """Return the inputs; raises `CommandError` for one that is missing. The shipped months answer to sample_reports."""
    chosen = []
    for path in inputs:
        found = path if path.exists() or path.name != "sample_reports" else shipped(path.name)
        if not found.exists():
            raise CommandError(
                f"{path}: there is no such file or folder; give the files or folders that hold the reports."
            )
        chosen.append(found)
    return chosen


def choose_settings(settings_file: Path | None, inputs: list[Path]) -> Settings:
    """Return the settings, or their defaults when no file is given or found."""
    from qa_audit import settings

    path = settings.find(settings_file, inputs, Path.cwd())
    return settings.Settings() if path is None else settings.load(path)


def choose_ruleset(rulesets: Path | None, name: str | None) -> Ruleset:
    """Return the ruleset of the settings, from the given folder, else rulesets/ here, else the shipped set."""
    from qa_audit import rules

    here = Path("rulesets")
    return rules.load(rulesets or (here if here.is_dir() else shipped("rulesets")), name)


def choose_key(key_file: Path | None, settings: Settings) -> Key:
    """Return the key: of the option, else of the settings, else the user's own, which is made once and said."""
    from qa_audit import ingest

    given = key_file or settings.key_file
    if given is not None:
        return ingest.Key.load(given)
    own = Path(click.get_app_dir("qa-audit")) / "key"
    if own.exists():
        return ingest.Key.load(own)
    key = ingest.create_key(own)
    click.echo(
        f"A key for the pseudonyms was made at {own}; keep a copy, months under another key cannot be joined.", err=True
    )
    return key


def show_progress(quiet: bool) -> Any:
    """Return a context manager that gives a progress callback: a line on the terminal, else nothing."""
    from qa_audit.cli.progress import progress_line

    return progress_line(quiet)
