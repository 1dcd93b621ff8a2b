"""Whether the office can work just now."""

from __future__ import annotations

from courtwright.desk.office import Office
from courtwright.desk.work.runner import Runner
from courtwright.errors import CourtwrightError, StoreError
from courtwright.says import Says, say
from courtwright.store.hand import MACHINE, Hand
from courtwright.store.ready import check_database, check_files


def what_is_missing(office: Office, runner: Runner | None) -> dict[str, Says]:
    """Return what keeps the office from working, by the part that does not work; nothing when all do.

    Parameters
    ----------
    office : Office
        With its store.
    runner : Runner or None
        Who does long work; None where nobody is meant to.
    """
    found: dict[str, Says] = {}
    try:
        check_database(office.store, Hand(MACHINE, office.now()))
    except CourtwrightError as error:
        found["database"] = error.problem
    try:
        check_files(office.store)
    except StoreError as error:
        found["files"] = error.problem
    if runner is not None and not runner.is_alive:
        found["workers"] = say("desk.no-workers")
    return found
