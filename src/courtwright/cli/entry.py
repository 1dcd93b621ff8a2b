"""The command ``entry``."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from courtwright.api.settings import PREFIX, read_settings, setting_says
from courtwright.cli.stored import stored
from courtwright.cli.talk import Talk, talking
from courtwright.trade.words import render

if TYPE_CHECKING:
    from courtwright.desk.places import Places

_HERE = "http://127.0.0.1:8787"

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright entry ana@example.org
  courtwright entry ana@example.org --address https://courts.example.org"""
)


@click.command("entry", epilog=_EXAMPLES)
@click.argument("email")
@click.option("--address", metavar="TEXT", help=render(setting_says("address")), show_default=_HERE)
@talking
@stored
def command(talk: Talk, email: str, address: str, places: Places) -> None:
    """Print a link by which somebody of the company chooses a new password, once, within a day."""
    from courtwright.desk.entries import entry_for
    from courtwright.desk.office import Office
    from courtwright.desk.places import open_existing

    # The service's own setting, so that both make the same links.
    told = {name: value for name, value in os.environ.items() if name == f"{PREFIX}ADDRESS"}
    begin = read_settings({"address": address}, told, Path(), 1).address or _HERE
    with contextlib.closing(open_existing(places)) as store:
        link = begin + entry_for(Office(store), email)
    talk.give({"link": link}, [talk.words("entry-link", link=link)])
