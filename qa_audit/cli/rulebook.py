"""rules: the rulebook, checked and explained."""

from __future__ import annotations

from pathlib import Path

import click

from qa_audit.cli.choosing import choose_ruleset, rulesets_option


@click.group()
def rules() -> None:
    """Check the rulebook."""


@rules.command()
@rulesets_option
@click.option("--ruleset", help="Name of the ruleset, where several stand in the folder.")
def check(rulesets: Path | None, ruleset: str | None) -> None:
    """Read every edition and judge every example; all faults at once."""
    from qa_audit.errors import RulesetError, all_at_once
    from qa_audit.rules.examples import wrong_examples

    loaded = choose_ruleset(rulesets, ruleset)
    faults = [
        fault
        for edition in loaded.editions
        for rule in edition.rules.values()
        for fault in wrong_examples(rule, edition)
    ]
    if faults:
        raise all_at_once(RulesetError, faults)
    for edition in loaded.editions:
        examples = sum(len(rule.examples) for rule in edition.rules.values())
        click.echo(f"{edition.label}: {len(edition.rules)} rules, {examples} examples, all as expected.")
