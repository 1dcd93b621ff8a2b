"""The command ``backup``."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from courtwright.cli.stored import stored
from courtwright.cli.talk import WRONG_INPUT, Talk, talking
from courtwright.errors import CallError
from courtwright.says import say

if TYPE_CHECKING:
    from courtwright.desk.office import Office
    from courtwright.desk.places import Places

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright backup /mnt/stick
  courtwright backup friday.zip --with-key
  courtwright backup --check"""
)


@click.command("backup", epilog=_EXAMPLES)
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--with-key", "with_key", is_flag=True, help="Write the keys of the seals to a second file beside it.")
@click.option("--check", is_flag=True, help="Look through the whole store; write nothing.")
@talking
@stored
def command(talk: Talk, file: Path | None, with_key: bool, check: bool, places: Places) -> None:
    """Write the whole store to one file, while it is used; FILE may be a folder, which then gets a dated file.

    The file holds what is written of customers and the hashes of passwords: keep it where nobody else reads it. The
    keys of the seals are not in it.
    """
    from courtwright.desk.office import Office
    from courtwright.desk.places import open_existing

    if (file is None) is not check:
        raise CallError(say("cli.backup-or-check"), fix=say("cli.backup-or-check-do"))
    with contextlib.closing(open_existing(places)) as store:
        if file is None:
            _check(talk, Office(store), places)
        else:
            _back_up(talk, Office(store), file, places if with_key else None)


def _check(talk: Talk, office: Office, places: Places) -> None:
    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.keeping.bundles import check_store
    from courtwright.desk.keeping.keys import seal_check

    wrong = check_store(office, THE_MACHINE, seal_check(places), talk.progress)
    is_whole = not any(one.weight == "error" for one in wrong)
    talk.give({}, [talk.words("store-whole")] if is_whole else [], wrong)
    if not is_whole:
        raise SystemExit(WRONG_INPUT)


def _back_up(talk: Talk, office: Office, file: Path, places: Places | None) -> None:
    """Write the backup, and beside it the keys of the places given."""
    from courtwright.desk.caller import THE_MACHINE
    from courtwright.desk.keeping.bundles import back_up
    from courtwright.desk.keeping.keys import keys_beside, write_keys

    target = file / f"courtwright-{office.now():%Y%m%d-%H%M%S}.zip" if file.is_dir() else file
    if places is not None and keys_beside(target).exists():
        raise CallError(say("desk.file-there"), where=str(keys_beside(target)), fix=say("desk.file-there-do"))
    made = back_up(office, THE_MACHINE, target)
    keys = write_keys(places, target) if places is not None else None
    size, jobs = target.stat().st_size, made.rows["job"]
    answer = {
        "file": str(target),
        "keys": None if keys is None else str(keys),
        "size_bytes": size,
        "rows": made.rows,
        "files": made.files,
    }
    lines = [talk.words("backed-up", file=str(target), jobs=jobs, files=made.files, size=size / 1e6)]
    lines.append(talk.words("without-key") if keys is None else talk.words("with-key", file=str(keys)))
    talk.give(answer, lines, made.complaints)
