"""The command ``completion``."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright completion bash >> ~/.bashrc
  courtwright completion fish > ~/.config/fish/completions/courtwright.fish"""
)


@click.command("completion", epilog=_EXAMPLES)
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def command(shell: str) -> None:
    """Print the completion script for a shell."""
    from courtwright.cli.tree import courtwright

    kind = get_completion_class(shell)
    if kind is None:
        raise click.UsageError(f"no completion for {shell}")
    click.echo(kind(courtwright, {}, "courtwright", "_COURTWRIGHT_COMPLETE").source())
