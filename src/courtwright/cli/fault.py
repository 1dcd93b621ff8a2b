"""The last fence: an internal fault becomes one line, with its details kept in a file."""

from __future__ import annotations

import hashlib
import tempfile
import traceback
from pathlib import Path

import click


def report(error: Exception) -> int:
    """Keep the details of a fault, say where they are, and return the exit code.

    Parameters
    ----------
    error : Exception
        What nobody expected.

    Returns
    -------
    int
        4, the exit code of an internal fault. [-]
    """
    details = "".join(traceback.format_exception(error))
    name = hashlib.sha256(details.encode()).hexdigest()[:10]
    file = Path(tempfile.gettempdir()) / f"courtwright-fault-{name}.txt"
    try:
        file.write_text(details, encoding="utf-8")
        kept = f"details are in {file}"
    except OSError:
        kept = "its details could not be written"
    click.echo(f"courtwright: a fault inside the program ({type(error).__name__}); {kept}", err=True)
    return 4
