"""All commands as one tree, each loaded when it is asked for: what shells complete from."""

from __future__ import annotations

from importlib import import_module

import click

from courtwright.cli.commands import COMMANDS


class _Commands(click.Group):
    """Commands by name, each loaded when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(f"courtwright.cli.{cmd_name}").command
        return command


@click.group(cls=_Commands)
def courtwright() -> None:
    """For the estimator of a sport-court contractor: from a site walk to an offer."""
