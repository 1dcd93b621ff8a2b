"""One job with everything that a job can have: the specimen of bundles, backups and guards."""

from __future__ import annotations

import datetime as dt
import uuid

from sqlalchemy import insert

from courtwright.desk.office import Office
from courtwright.store import tables
from courtwright.store.blobs import digest
from courtwright.store.hand import Hand
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.seals import seal
from courtwright.store.unit import Unit
from tests.store.walk.phones import Phone

NOW = dt.datetime(2026, 4, 16, 9, 30, tzinfo=dt.UTC)
PHOTO = b"\xff\xd8 a photo, byte for byte"
PAPER = b"%PDF-1.7 an offer"


def id_of(name: str) -> str:
    """Return the id that a thing has in every test."""
    return str(uuid.uuid5(uuid.NAMESPACE_URL, name))


def walked() -> list[bytes]:
    """Return the updates of a walk: two pads, the second typed over."""
    phone = Phone(7)
    phone.set("walk", "", "name", "Greens Road")
    phone.set("walk", "", "units", "us")
    phone.new_item(
        "pads", id_of("pad"), {"id": "north", "outline": [[0, 0], [60, 0], [60, 120], [0, 120]], "order": 1.0}
    )
    phone.set("pads", id_of("pad"), "built", "1972")
    return phone.made


def add_person(office: Office, name: str = "ana") -> str:
    """Keep a person with a password, and return the id."""
    with office.store.writing(Hand("machine", NOW)) as unit:
        person = unit.people.add(
            id_of(name),
            name=name.title(),
            email=f"{name}@example.org",
            role="estimator",
            language="es",
            units="us",
            password_hash="$argon2id$a-secret",
        )
    return person.id


def add_job(office: Office, name: str = "greens", *, is_accepted: bool = True) -> str:
    """Keep a job with a walk, a photo, an offer, a link, a question and a sealed acceptance; return its id."""
    hand = Hand(id_of("ana"), NOW + dt.timedelta(hours=1))
    with office.store.writing(hand) as unit:
        job = unit.jobs.add(
            id_of(name),
            name="Greens Road",
            address="1 Greens Rd",
            note="=cmd|' /C calc'!A0",
            customer="club",
            stage="call",
            units="us",
            call={"deadline": "Sept"},
        )
        unit.jobs.change(job.id, 1, stage="walk", note="gate code\ton file")
        unit.assignments.add(id_of(f"{name} assignment"), job_id=job.id, person_id=id_of("ana"))
        _add_walk(unit, name, job.id)
        _add_offer(unit, name, job.id)
        unit.changes.note(hand, "offer-read", id_of(f"{name} offer"))
    if is_accepted:
        accept(office, name)
    return id_of(name)


def _add_walk(unit: Unit, name: str, job_id: str) -> None:
    walk = unit.walks.add(id_of(f"{name} walk"), job_id=job_id, name="First", walked_on=dt.date(2026, 4, 16))
    hand = unit.walks.hand
    for body in walked():
        values = {"walk_id": walk.id, "sha256": digest(body), "who": hand.who, "device": id_of("phone"), "at": hand.at}
        made = insert(tables.walk_update).values(**values, device_time=NOW.isoformat(), body=body)
        unit.connection.execute(made)
    photo = {"sha256": unit.keep(PHOTO + name.encode()), "name": "IMG 1.JPG", "media": "image/jpeg", "size_bytes": 9}
    unit.photos.add(id_of(f"{name} photo"), walk_id=walk.id, **photo, facts={})


def _add_offer(unit: Unit, name: str, job_id: str) -> None:
    paper = unit.keep(PAPER + name.encode())
    offer = unit.offers.add(
        id_of(f"{name} offer"),
        job_id=job_id,
        walk_id=id_of(f"{name} walk"),
        number=1,
        revision=1,
        state="draft",
        language="en",
        issued_on=dt.date(2026, 4, 20),
        expires_on=dt.date(2026, 5, 20),
        request={"seed": 1},
        inputs={"walk_seq": 1, "files": {"site.toml": unit.keep(b"[[pad]]")}},
        answers={"offer.pdf": paper},
        says={"firm": 100},
        declined_because=None,
    )
    unit.offers.change(offer.id, 1, state="sent")
    link = {"token_hash": digest(name.encode()), "scope": "accept", "expires_at": NOW + dt.timedelta(days=30)}
    unit.links.add(id_of(f"{name} link"), offer_id=offer.id, made_by=id_of("ana"), **link)
    of = {"offer_id": offer.id, "link_id": id_of(f"{name} link")}
    unit.questions.add(id_of(f"{name} question"), **of, text="How long?", answer=None)


def accept(office: Office, name: str = "greens") -> None:
    """Accept the job's offer, seal it, and keep its paper."""
    offer_id, at = id_of(f"{name} offer"), NOW + dt.timedelta(days=2)
    assert office.keys is not None
    with office.store.writing(Hand(f"link:{id_of(f'{name} link')}", at)) as unit:
        unit.offers.change(offer_id, None, state="accepted")
        unit.acceptances.add(
            Acceptance(
                id=id_of(f"{name} acceptance"),
                offer_id=offer_id,
                options={"north": "resurface"},
                name="B. Owner",
                consent="I accept.",
                signed_on=None,
                at=at,
                who="link",
            )
        )
        seal(unit, office.keys, offer_id, at)
        unit.papers.add(id_of(f"{name} paper"), offer_id, unit.keep(b"%PDF sealed"), at)
