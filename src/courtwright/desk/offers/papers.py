"""The papers of offers: asked for, attached to their drafts with all that they were made of, and read again."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import FOLDER, LOGO, OfferAsked, asked, payload
from courtwright.desk.offers.offers import open_draft
from courtwright.desk.office import Office
from courtwright.desk.people.own_terms import own_terms
from courtwright.desk.walks.walk_records import walked_files
from courtwright.desk.work import handing
from courtwright.desk.work.tasks import Work, ask_for
from courtwright.errors import InputError, MissingError, StaleError
from courtwright.says import say
from courtwright.site.photos import FOLDER as PHOTOS
from courtwright.store.blobs import digest
from courtwright.store.rows.company import COMPANY
from courtwright.store.rows.offers import Offer
from courtwright.store.rows.tasks import Task
from courtwright.store.unit import Unit

KIND = "offer"
ESTIMATE, INPUTS, SAYS = "estimate.json", "inputs.json", "offer/offer.json"
ACCEPTED = "accepted.pdf"
#: Of so many photos the worker is handed the pixels, more than a paper shows; of further ones what they tell. [-]
_SHOWN = 24
#: What a customer may have; everything else stays in the office.
_CUSTOMERS = re.compile(r"offer/(offer\.pdf|offer\.json|plan-[^/\\]+\.svg)|photos/photo-\d+\.jpg")


# --- making them ----------------------------------------------------------------------------------


def make_papers(office: Office, caller: Caller, id: str, seen: int) -> Task:
    """Ask for the papers of a draft, from its walk as it is now.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which offer.
    seen : int
        The version that the caller saw; the papers are attached to no other. [-]

    Raises
    ------
    ConflictError
        If it is no draft, or withdrawn.
    InputError
        If the site is too large to be handed over.
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("offers.write")
    # Nobody else who writes waits while the walk is put together.
    with office.reading() as unit:
        offer = unit.offers.get(id)
        _require_version(offer, seen)
        work = _work(unit, offer)
    with office.writing(caller) as unit:
        _require_version(open_draft(unit, id), seen)
        return ask_for(office, unit, work)


def _work(unit: Unit, offer: Offer) -> Work:
    _, files = walked_files(unit, offer.walk_id)
    come = unit.photos.hashes(offer.walk_id) | unit.surveys.hashes(offer.walk_id)
    # Anybody may write any hash into a document: only the walk's own files are handed over.
    kept = {name: sha256 for name, sha256 in sorted(files.blobs.items()) if sha256 in come}
    heads = dict([one for one in kept.items() if one[0].startswith(PHOTOS)][_SHOWN:])
    return Work(
        KIND,
        about=offer.id,
        job_id=offer.job_id,
        needs="prices.read",
        payload=payload(replace(_asked(unit, offer), hashes=heads), files.written),
        request={
            "version": offer.version,
            "walk_seq": unit.updates.seq(offer.walk_id),
            handing.PARTS: {FOLDER + name: sha256 for name, sha256 in heads.items()},
            handing.WHOLE: {
                **{FOLDER + name: sha256 for name, sha256 in kept.items() if name not in heads},
                **_logo(unit),
            },
        },
    )


def _logo(unit: Unit) -> dict[str, str]:
    company = unit.company.find(COMPANY)
    return {LOGO: company.logo_sha256} if company and company.logo_sha256 else {}


def _require_version(offer: Offer, seen: int) -> None:
    if offer.version != seen:
        raise StaleError(say("store.stale"), fix=say("store.stale-do"))


def _asked(unit: Unit, offer: Offer) -> OfferAsked:
    company = unit.company.find(COMPANY)
    who = ("name", "licence", "address", "phone")
    return OfferAsked(
        issued_on=offer.issued_on.isoformat(),
        start=offer.request["start"],
        budget=offer.request["budget"],
        language=offer.language,
        seed=offer.request["seed"],
        options=offer.request["options"],
        # An older request has none of these.
        reasons=offer.request.get("reasons"),
        prices=offer.request.get("prices"),
        texts=offer.request.get("texts"),
        house=unit.house_rates.now() or None,
        contractor={name: getattr(company, name) for name in who} if company and company.name else None,
        terms=(own_terms(company.terms) or None) if company and company.name else None,
    )


def papers_made(office: Office, unit: Unit, task: Task, result: bytes) -> None:
    """Attach papers to their draft: what the result of the task means.

    Raises
    ------
    ConflictError
        If it is no draft any more, or withdrawn.
    InputError
        If the papers were not made of this site.
    StaleError
        If the draft was changed while they were made.
    """
    del office
    _, written = asked(OfferAsked, unit.blobs.get(task.input_sha256))
    if isinstance(written, bytes):
        raise InputError(say("desk.papers-broken"), fix=say("desk.papers-broken-do"))
    named = {**task.request[handing.PARTS], **task.request[handing.WHOLE]}
    kept = {name.removeprefix(FOLDER): sha256 for name, sha256 in named.items() if name.startswith(FOLDER)}
    offer = open_draft(unit, task.about)
    _require_version(offer, task.request["version"])
    _attach(unit, offer, written, kept, parcel.unpack(result), task.request["walk_seq"])


def attach_papers(
    office: Office, caller: Caller, id: str, seen: int, inputs: bytes, answers: bytes, walk_seq: int
) -> Offer:
    """Attach papers that were made elsewhere to their draft.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and to which offer.
    seen : int
        The version that the caller saw. [-]
    inputs, answers : bytes
        The site's files, and what the kind of work ``offer`` made of them; each a parcel.
    walk_seq : int
        The last update of the walk that is in the site. [-]

    Raises
    ------
    ConflictError
        If it is no draft, or withdrawn.
    InputError
        If a parcel is not whole, or the papers were not made of this site.
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        offer = open_draft(unit, id)
        _require_version(offer, seen)
        return _attach(unit, offer, parcel.unpack(inputs), {}, parcel.unpack(answers), walk_seq)


def _attach(
    unit: Unit,
    offer: Offer,
    site: Mapping[str, bytes],
    kept: Mapping[str, str],
    made: Mapping[str, bytes],
    walk_seq: int,
) -> Offer:
    """Attach what was made of a site, some of whose files are kept already, known by their SHA-256."""
    says, told = _read(made, SAYS), _read(made, INPUTS)
    given = {**kept, **{name: digest(content) for name, content in site.items()}}
    files = told.get("files")
    # A kept file that was lost before the work began is not among those that were read.
    is_of_it = isinstance(files, dict) and site.keys() <= files.keys() and files.items() <= given.items()
    if not is_of_it or says.get("issued_on") != offer.issued_on.isoformat():
        raise InputError(say("desk.papers-other"), fix=say("desk.papers-broken-do"))
    for content in site.values():
        unit.keep(content)
    return unit.offers.change(
        offer.id,
        None,
        inputs={"walk_seq": walk_seq, "files": files},
        answers={name: unit.keep(content) for name, content in made.items()},
        says=says,
        expires_on=_date(says.get("expires_on")),
    )


def _read(made: Mapping[str, bytes], name: str) -> dict[str, Any]:
    try:
        return dict(json.loads(made[name]))
    except (KeyError, ValueError, TypeError) as error:
        raise InputError(say("desk.papers-broken"), where=name, fix=say("desk.papers-broken-do")) from error


def _date(text: str | None) -> dt.date | None:
    return None if text is None else dt.date.fromisoformat(text)


# --- reading them ---------------------------------------------------------------------------------


def files_of(unit: Unit, offer: Offer) -> dict[str, str]:
    """Return every file that was made for an offer by name and SHA-256, that of its acceptance among them."""
    accepted = unit.papers.of(offer.id)
    return {**(offer.answers or {}), **({} if accepted is None else {ACCEPTED: accepted})}


def customers_files(unit: Unit, offer: Offer) -> dict[str, str]:
    """Return the files of an offer that a customer may have, by their last name and SHA-256."""
    return {
        name.rpartition("/")[2]: sha256
        for name, sha256 in files_of(unit, offer).items()
        if name == ACCEPTED or _CUSTOMERS.fullmatch(name)
    }


def paper_names(office: Office, caller: Caller, id: str) -> tuple[str, ...]:
    """Return the names of the files that were made for an offer and that the caller may read.

    Raises
    ------
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        return tuple(name for name in files_of(unit, unit.offers.get(id)) if _may(caller, name))


def _may(caller: Caller, name: str) -> bool:
    return caller.may("prices.read") or name == ACCEPTED or _CUSTOMERS.fullmatch(name) is not None


def paper(office: Office, caller: Caller, id: str, name: str) -> bytes:
    """Return one of the files that were made for an offer.

    Raises
    ------
    DamagedError
        If it is no longer what it was.
    MissingError, RefusedError
        If there is none of that name, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        sha256 = files_of(unit, unit.offers.get(id)).get(name)
        if sha256 is None:
            raise MissingError(say("desk.no-paper"))
        if not _may(caller, name):
            caller.require("prices.read")
        return unit.blobs.get(sha256)


def input_names(office: Office, caller: Caller, id: str) -> tuple[str, ...]:
    """Return the names of the site's files that an offer was computed from.

    Raises
    ------
    MissingError, RefusedError
        If there is no such offer, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        return tuple(_inputs(unit.offers.get(id)))


def input_file(office: Office, caller: Caller, id: str, name: str) -> bytes:
    """Return one of the site's files that an offer was computed from, byte for byte.

    Raises
    ------
    DamagedError
        If it is no longer what it was.
    MissingError, RefusedError
        If there is none of that name, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        sha256 = _inputs(unit.offers.get(id)).get(name)
        if sha256 is None:
            raise MissingError(say("desk.no-paper"))
        return unit.blobs.get(sha256)


def _inputs(offer: Offer) -> Mapping[str, str]:
    return {} if offer.inputs is None else offer.inputs["files"]
