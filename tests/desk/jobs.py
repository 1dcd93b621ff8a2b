"""People, and a job that one of the crew is on and the other is not."""

from __future__ import annotations

from courtwright.desk.caller import Caller
from courtwright.desk.jobs import assign, open_job
from courtwright.desk.office import Office

HEAD = Caller("00000000-0000-0000-0000-0000000000a1", "head")
ESTIMATOR = Caller("00000000-0000-0000-0000-0000000000a2", "estimator")
CREW = Caller("00000000-0000-0000-0000-0000000000a3", "crew")
CREW_OFF = Caller("00000000-0000-0000-0000-0000000000a4", "crew")


def a_job(office: Office) -> str:
    """Return the id of a new job that `CREW` is on."""
    job = open_job(office, ESTIMATOR, {"name": "Two courts"}).id
    with office.writing(HEAD) as unit:
        for person in (CREW, CREW_OFF):
            if unit.people.find(person.who) is None:
                values = {"email": person.who, "role": "crew", "language": "en", "units": "us", "password_hash": None}
                unit.people.add(person.who, name="Somebody", **values)
    assign(office, HEAD, job, CREW.who)
    return job
