"""The command ``serve``."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Generator
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import click

from courtwright.api.settings import Settings, read_settings, setting_says
from courtwright.cli.talk import Talk, talking
from courtwright.errors import OutputError, StoreError
from courtwright.says import say
from courtwright.trade.words import render

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from courtwright.api.logs import Log

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright serve
  courtwright serve --port 0 --data ~/courts
  courtwright serve --host 0.0.0.0 --certificate cert.pem --key key.pem
  courtwright serve --proxies 127.0.0.1 --address https://courts.example.org

Each option may also be set in the environment: COURTWRIGHT_PORT for --port.
SIGTERM or Ctrl-C stops it: running requests are finished first, a second one ends them."""
)


def _settings_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command one option for each setting."""
    for one in reversed(fields(Settings)):
        name = f"--{one.name.replace('_', '-')}"
        told = render(setting_says(one.name))
        if one.default is False:
            command = click.option(name, one.name, is_flag=True, default=None, help=told)(command)
        else:
            command = click.option(name, one.name, metavar="TEXT", help=told)(command)
    return command


@click.command("serve", epilog=_EXAMPLES)
@_settings_options
@talking
def command(talk: Talk, **options: Any) -> None:
    """Serve an office's jobs to its people and their programs, on this machine alone unless told otherwise."""
    from courtwright.desk.places import usual_folder

    settings = read_settings(options, os.environ, usual_folder(), os.cpu_count() or 1)
    # What is kept here concerns the people named in it, not every user of the machine.
    os.umask(0o077)
    try:
        settings.data.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        problem = say("cli.data-folder", detail=str(error.strerror))
        raise OutputError(problem, where=str(settings.data), fix=say("cli.data-folder-do")) from error
    try:
        _serve(settings, talk)
    except StoreError as error:
        talk.refuse(error)


def _serve(settings: Settings, talk: Talk) -> None:
    from courtwright.api.built import is_built
    from courtwright.api.logs import open_log
    from courtwright.api.server import open_door, serve

    door = open_door(settings)
    log = open_log(settings.log_file)
    with _opened(settings, log) as (app, way_in):
        link = door.address + way_in
        lines = [talk.words("serve-ready", address=door.address), talk.words("serve-link", link=link)]
        lines += [] if is_built() else [talk.words("serve-unbuilt")]
        serve(app, door, settings, log, ready=lambda: talk.give({"address": door.address, "link": link}, lines))


@contextlib.contextmanager
def _opened(settings: Settings, log: Log) -> Generator[tuple[ASGIApp, str]]:
    """Give the app on the open store, and the path that lets in whoever sits at the machine, once."""
    from courtwright.api.app import create_app
    from courtwright.desk.office import Office
    from courtwright.desk.people.entries import first_entry
    from courtwright.desk.places import open_places
    from courtwright.store.keys import Keys

    places = settings.places
    with contextlib.closing(open_places(places)) as store:
        office = Office(store, keys=Keys(places.keys))
        yield create_app(office, workers=settings.workers, log=log), first_entry(office)
