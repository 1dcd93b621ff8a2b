"""The command ``entry``."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

import click

from courtwright.cli.stored import stored, with_address
from courtwright.cli.talk import Talk, talking

if TYPE_CHECKING:
    from courtwright.desk.places import Places

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright entry ana@example.org
  courtwright entry ana@example.org --address https://courts.example.org"""
)


@click.command("entry", epilog=_EXAMPLES)
@click.argument("email")
@talking
@with_address
@stored
def command(talk: Talk, email: str, address: str, places: Places) -> None:
    """Print a link by which somebody of the company chooses a new password, once, within a day."""
    from courtwright.desk.office import Office
    from courtwright.desk.people.entries import entry_for
    from courtwright.desk.places import open_existing

    with contextlib.closing(open_existing(places)) as store:
        link = address + entry_for(Office(store), email)
    talk.give({"link": link}, [talk.words("entry-link", link=link)])
