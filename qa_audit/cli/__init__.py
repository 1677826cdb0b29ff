"""The commands, in the order of the work; each parses, calls one function and prints one summary.

Nothing heavy is imported before a command runs, so that `--help` answers at once.
"""

from __future__ import annotations

import signal
import sys
from typing import Any

import click

from qa_audit import __version__
from qa_audit.errors import ExitCode, QaAuditError

STANDING = (
    "Supports, and never replaces, clinical judgement, local protocol, the medical director and the law. "
    "No diagnosis, no discipline, no ranking of crews."
)


class InOrder(click.Group):
    """A group that lists its commands as they were added, and turns a user's mistake into one sentence and a code."""

    def list_commands(self, _ctx: click.Context) -> list[str]:
        """Return the commands in the order of the work."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; a `QaAuditError` is printed without a traceback and sets its exit code."""
        try:
            return super().invoke(ctx)
        except QaAuditError as mistake:
            click.echo(str(mistake), err=True)
            ctx.exit(mistake.exit_code)


@click.group(cls=InOrder, context_settings={"help_option_names": ["-h", "--help"]}, epilog=STANDING)
@click.version_option(__version__, prog_name="qa-audit")
def command() -> None:
    """Screen a month of patient-care reports against the guidance in force when the care was given."""


def whole_command() -> click.Group:
    """Return the command with its subcommands, in the order of the work; each of their files imports click alone."""
    from qa_audit.cli import finding, rulebook, running

    for subcommand in (running.run, running.held_back, rulebook.rules, finding.find):
        command.add_command(subcommand)
    return command


def main() -> None:
    """Run the command line."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(ExitCode.TERMINATED))
    try:
        # Without its standalone mode click returns the exit code that a command set.
        sys.exit(whole_command()(standalone_mode=False, prog_name="qa-audit") or ExitCode.DONE)
    except click.ClickException as mistake:
        mistake.show()
        sys.exit(ExitCode.COMMAND_SETTINGS_OR_RULES)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Interrupted; nothing of this run was kept.", err=True)
        sys.exit(ExitCode.INTERRUPTED)
