"""The command ``courtwright``: knows its commands by name and loads one only when it is asked for."""

from __future__ import annotations

import importlib
import sys

import click

#: Every command, the module that holds it, and what it does in a line.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "write the demo site to a folder"),
    "check": ("check", "read a site; say what is wrong, what is known and what is lacking"),
    "ground": ("ground", "heights, water, flatness, slope, cracks, pieces, hollow repairs"),
    "verdict": ("verdict", "findings, condition index, causes, options ruled in and out"),
    "price": ("price", "quantities, prices with their range, allowances, yearly cost"),
    "offer": ("offer", "write the offer, plans, quantities, marks and calendar to a folder"),
    "index": ("index", "the condition index of one sample unit, with every step"),
    "completion": ("completion", "print the completion script for a shell"),
}

EPILOG = """\b
Examples
  courtwright demo demo-site
  courtwright check demo-site
  courtwright verdict demo-site --json
  courtwright offer demo-site --out demo-offer

Results are an aid: local codes and licensed professionals decide."""


class _Commands(click.Group):
    """Commands by name, each loaded when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"courtwright.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            import difflib

            near = difflib.get_close_matches(args[0], COMMANDS, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            ctx.fail(f"no command is called {args[0]}.{hint} The commands are: {', '.join(COMMANDS)}.")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, does) for name, (_, does) in COMMANDS.items()])


@click.group(cls=_Commands, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="courtwright", message="%(prog)s %(version)s")
def courtwright() -> None:
    """For the estimator of a sport-court contractor: from a site walk to an offer."""


def main() -> None:
    """Run the command line; the exit codes are those of the contract."""
    try:
        courtwright(prog_name="courtwright")
    except Exception as error:
        from courtwright.cli.fault import report

        sys.exit(report(error))
