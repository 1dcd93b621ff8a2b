"""The command ``demo``."""

from __future__ import annotations

from pathlib import Path

import click

from courtwright.cli.talk import Talk, talking
from courtwright.errors import CallError, OutputError
from courtwright.says import say
from courtwright.site.demo import demo_files

_EXAMPLES = (
    "\b\n"
    """Example
  courtwright demo demo-site"""
)


@click.command("demo", epilog=_EXAMPLES)
@click.argument("folder", type=click.Path(file_okay=True, path_type=Path))
@talking
def command(talk: Talk, folder: Path) -> None:
    """Write the demo site to a folder that is empty or not there yet."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise CallError(say("cli.not-empty"), where=str(folder), fix=say("cli.not-empty-do"))
    try:
        for name, content in demo_files().items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
    except OSError as error:
        raise OutputError(say("cli.cannot-write", detail=str(error.strerror)), where=str(folder)) from error
    written = sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())
    lines = [
        talk.words("demo-written", folder=str(folder), count=len(written)),
        talk.words("demo-next", folder=str(folder)),
    ]
    talk.give({"folder": str(folder), "files": written}, lines)
