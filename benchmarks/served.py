"""The service as it is run, with its guards and a head who is signed in; ``python -m benchmarks.served FOLDER``.

Prints a line of JSON: its port, the cookie and the word that a page of the head sends, and the ids of some jobs.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from courtwright.api.app import create_app
from courtwright.api.cookies import SESSION
from courtwright.api.csrf import csrf_token
from courtwright.api.logs import open_log
from courtwright.api.server import open_door, serve
from courtwright.api.settings import read_settings
from courtwright.desk.caller import THE_MACHINE
from courtwright.desk.office import Office
from courtwright.desk.people.sessions import start
from courtwright.desk.places import open_places
from courtwright.store.hand import Hand
from courtwright.store.unit import Unit


def main() -> None:
    """Serve until killed."""
    folder, jobs = Path(sys.argv[1]), int(sys.argv[2])
    settings = read_settings({"port": "0"}, {}, folder, 2)
    store = open_places(settings.places)
    office = Office(store)
    values = {"email": "head@example.org", "role": "head", "language": "en", "units": "us"}
    with office.writing(THE_MACHINE) as unit:
        head = unit.people.add(office.new_id(), name="Head", password_hash=None, **values)
        ids = [_job(unit, office, number) for number in range(jobs)]
    with store.writing(Hand(head.id, office.now())) as unit:
        token, _ = start(unit, office, head.id)
    door = open_door(settings)
    told = {
        "port": door.socket.getsockname()[1],
        "headers": {"Cookie": f"{SESSION}={token}", "X-CSRF-Token": csrf_token(token)},
        "ids": ids[:: max(1, len(ids) // 200)],
    }

    def ready() -> None:
        sys.stdout.write(json.dumps(told) + "\n")
        sys.stdout.flush()

    serve(create_app(office), door, settings, open_log(settings.log_file), ready=ready)


def _job(unit: Unit, office: Office, number: int) -> str:
    blank = {"note": "", "customer": None, "stage": "call", "units": "us", "call": {}}
    made = unit.jobs.add(office.new_id(), name=f"job {number}", address="1 Court Road", **blank)
    return made.id


if __name__ == "__main__":
    main()
