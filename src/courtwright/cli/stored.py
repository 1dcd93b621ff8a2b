"""What the commands on a store have in common: where it is."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from courtwright.api.settings import PREFIX, read_settings, setting_says
from courtwright.trade.words import render

if TYPE_CHECKING:
    from courtwright.desk.places import Places

#: Where a service that was told nothing else is reached from its own machine.
_HERE = "http://127.0.0.1:8787"
_NAMES = ("data", "database", "blobs")


def stored(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options ``--data``, ``--database`` and ``--blobs``, as ``serve`` has them: its `Places`."""

    @functools.wraps(command)
    def wrapped(*given: Any, data: str | None, database: str | None, blobs: str | None, **named: Any) -> None:
        # What these commands write concerns the people named in it, not every user of the machine.
        before = os.umask(0o077)
        try:
            command(*given, places=_places({"data": data, "database": database, "blobs": blobs}), **named)
        finally:
            os.umask(before)

    made: Callable[..., None] = wrapped
    for name in reversed(_NAMES):
        made = click.option(f"--{name}", metavar="TEXT", help=render(setting_says(name)))(made)
    return made


def with_address(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the option ``--address`` as ``serve`` has it, for the links that it prints: its ``address``."""

    @functools.wraps(command)
    def wrapped(*given: Any, address: str | None, **named: Any) -> None:
        told = {name: value for name, value in os.environ.items() if name == f"{PREFIX}ADDRESS"}
        # The folder is no matter here.
        settings = read_settings({"address": address}, told, Path(), 1)
        command(*given, address=settings.address or _HERE, **named)

    made: Callable[..., None] = wrapped
    told = render(setting_says("address"))
    return click.option("--address", metavar="TEXT", show_default=_HERE, help=told)(made)


def _places(options: dict[str, object]) -> Places:
    from courtwright.desk.places import usual_folder

    ours = {PREFIX + name.upper() for name in _NAMES}
    environment = {name: value for name, value in os.environ.items() if name in ours}
    return read_settings(options, environment, usual_folder(), 1).places


#: A file that has to be there.
FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
