"""A company at work, to try every route on: two jobs with walks, files, answers, tasks, offers and customers.

Everything is made through the desk. A world can be put back to how it was, so that no request disturbs the next.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import io
import itertools
import json
import secrets
import shutil
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

import pytest
from argon2 import PasswordHasher
from PIL import Image
from sqlalchemy import event, select

from courtwright.api.app import create_app
from courtwright.desk.caller import Caller
from courtwright.desk.jobs import assign, open_job
from courtwright.desk.offers import customers, links, offers
from courtwright.desk.offers.papers import paper_names
from courtwright.desk.offers.sealing import seal_of
from courtwright.desk.office import Office
from courtwright.desk.people import entries, invitations, passwords, people, sessions
from courtwright.desk.people.company import change_logo, company
from courtwright.desk.people.entries import first_entry
from courtwright.desk.people.guesses import Guesses
from courtwright.desk.people.rates import RateTyped, change_rates
from courtwright.desk.walks import uploads
from courtwright.desk.walks.sync import send
from courtwright.desk.walks.walk_files import import_file
from courtwright.desk.work.answers import Question
from courtwright.desk.work.tasks import Work, ask_for, stop_task
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.survey import survey_document
from courtwright.site.formats.seen import Seen
from courtwright.site.survey_look import SurveyLook
from courtwright.store import tables
from courtwright.store.columns import METADATA
from courtwright.store.engine import engine_for
from courtwright.store.keys import Keys
from courtwright.store.migrate import upgrade
from courtwright.store.opened import open_store
from courtwright.store.rows.answers import Answer
from courtwright.store.rows.offers import Offer
from tests.api.built import build
from tests.company import Clock, Company, token_in
from tests.desk.kinds.demo import BARE, zipped
from tests.desk.offered import ISSUED, WHO, chosen, with_papers
from tests.postgres_fixtures import SharedPostgres
from tests.store.walk.phones import Phone

#: What only some may ever read, each written where the story says; letters and digits, so that every file format that
#: is read here shows them as they are.
CANARIES = {
    "price": "CANARYPRICE7781",
    "decline": "CANARYDECLINE4402",
    "note of a": "CANARYNOTEA9150",
    "note of b": "CANARYNOTEB3367",
    "question": "CANARYQUESTION5518",
    "rate": "CANARYRATE6629",
}
#: The start of a survey file, and of one that is on its way.
SURVEY = b"point,x,y,z\n1,0,0,0\n2,10,0,0.05\n3,10,20,0.11\n4,0,20,0.02\n"
#: How a role is called here, and the person's own name.
PEOPLE = {"head": "ana", "estimator": "bo", "crew on": "cleo", "crew off": "dan", "withdrawn": "eve"}
STAFF = ("head", "estimator", "crew on", "crew off")


@dataclass
class Someone:
    """Who asks: the token in each of their two cookies, empty where they have none."""

    person: str = ""
    offer: str = ""
    id: str = ""


@dataclass
class World:
    """The company, what it keeps, and who asks.

    Parameters
    ----------
    company
        With its office, clock and app.
    kept
        Its database.
    folder
        Where it keeps everything.
    callers
        By what they are to the job called a.
    ids
        Ids of records and tokens of links, by what they are.
    """

    company: Company
    kept: Kept
    folder: Path
    callers: dict[str, Someone] = field(default_factory=dict[str, Someone])
    ids: dict[str, str] = field(default_factory=dict[str, str])

    @property
    def office(self) -> Office:
        """The office."""
        return self.company.office

    def keep(self) -> None:
        """Remember all as it is."""
        self.office.store.engine.dispose()
        self.kept.keep()
        _copied(self.folder / "parts", self.folder / "kept-parts")
        self._at = self.company.clock.at

    def restore(self) -> None:
        """Put all back as it was. Files by content stay; nothing leads to new ones any more."""
        self.office.store.engine.dispose()
        self.kept.restore()
        _copied(self.folder / "kept-parts", self.folder / "parts")
        self.company.clock.at = self._at
        self.company.app.state.guesses = Guesses()

    def close(self) -> None:
        """Close it for good."""
        self.office.store.close()
        self.kept.close()

    def rows(self) -> dict[str, list[tuple[Any, ...]]]:
        """Return everything in the database, but for the caches that may be dropped at any time."""
        with self.office.reading() as unit:
            return {
                table.name: [tuple(row) for row in unit.connection.execute(select(table))]
                for table in METADATA.sorted_tables
                if table not in _CACHES
            }

    def version(self, table: str, id: str) -> int:
        """Return the version of a record. [-]"""
        of = METADATA.tables[table]
        with self.office.reading() as unit:
            return unit.connection.execute(select(of.c.version).where(of.c.id == id)).scalar_one()

    def caller(self, name: str) -> Caller:
        """Return a person as the desk knows them."""
        return sessions.caller_of(self.office, self.callers[name].person)


_CACHES = (tables.walk_state, tables.preview, tables.answer)


def _copied(source: Path, target: Path) -> None:
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(source, target)


class Kept(Protocol):
    """A database that can be put back to how it was; nobody is connected to it meanwhile."""

    def keep(self) -> None:
        """Remember it as it is."""

    def restore(self) -> None:
        """Put it back."""

    def close(self) -> None:
        """Forget it."""


@dataclass
class KeptFile:
    """The file of SQLite."""

    file: Path

    def keep(self) -> None:
        """Remember it as it is."""
        shutil.copyfile(self.file, self.file.with_suffix(".kept"))

    def restore(self) -> None:
        """Put it back."""
        for left in self.file.parent.glob(f"{self.file.name}-*"):
            left.unlink()
        shutil.copyfile(self.file.with_suffix(".kept"), self.file)

    def close(self) -> None:
        """Do nothing: the file goes with its folder."""


@dataclass
class KeptDatabase:
    """A database of PostgreSQL: each time it is put back, it is a new copy, to which all connect from then on."""

    shared: SharedPostgres
    template: str
    copies: contextlib.ExitStack = field(default_factory=contextlib.ExitStack)
    name: str = ""

    def keep(self) -> None:
        """Do nothing: the template is never written to."""

    def restore(self) -> None:
        """Make a new copy."""
        self.copies.close()
        self.name = self.copies.enter_context(self.shared.database(self.template)).rpartition("/")[2]

    def close(self) -> None:
        """Drop the copy."""
        self.copies.close()

    def connect(self, _dialect: Any, _record: Any, _args: Any, values: dict[str, Any]) -> None:
        """Connect to the copy of the hour."""
        values["dbname"] = self.name or values["dbname"]


def a_photo(seed: int = 0) -> bytes:
    """Return a small photo."""
    out = io.BytesIO()
    Image.new("RGB", (8, 6), (seed * 40 % 256, 120, 90)).save(out, "JPEG")
    return out.getvalue()


def a_logo() -> bytes:
    """Return a small picture."""
    out = io.BytesIO()
    Image.new("RGB", (8, 6), (10, 120, 90)).save(out, "PNG")
    return out.getvalue()


def typed_on_a_phone() -> bytes:
    """Return what a phone sends of a walk."""
    phone = Phone(7)
    phone.new_item("marks", "m1", {"kind": "crack", "note": "beside the post"})
    return b"".join(phone.envelope(update) for update in phone.made)


def a_world(folder: Path, address: str, kept: Kept) -> World:
    """Return a new world.

    Parameters
    ----------
    folder
        Empty; for its files.
    address
        Of a database with our tables and nothing in them.
    kept
        How that is put back.
    """
    (folder / "parts").mkdir()
    store = open_store(address, str(folder / "files"), folder / "parts")
    clock, count = Clock(), itertools.count(1)
    office = Office(store, now=clock, new_id=lambda: str(uuid.UUID(int=next(count))), keys=Keys(folder / "keys"))
    made = World(Company(office, clock, create_app(office, built=build(folder / "client"))), kept, folder)
    _hire(made)
    for job in ("a", "b"):
        _begin(made, job)
    _offer(made)
    _let_in(made)
    made.keep()
    return made


def on_sqlite(folder: Path, template: Path) -> World:
    """Return a new world in a file of SQLite, from a database that has our tables and nothing in them."""
    file = folder / "courtwright.db"
    shutil.copy(template, file)
    made = a_world(folder, f"sqlite:///{file}", KeptFile(file))
    # Nobody pulls the plug here.
    event.listen(made.office.store.engine, "connect", lambda new, _: new.execute("PRAGMA synchronous = OFF"))
    return made


def on_postgresql(folder: Path, shared: SharedPostgres) -> World:
    """Return a new world in a database of PostgreSQL."""
    made = list[World]()

    def prepare(address: str) -> None:
        upgraded(address)
        made.append(a_world(folder, address, KeptDatabase(shared, "")))

    template = shared.template(f"world {secrets.token_hex(4)}", prepare)
    kept = KeptDatabase(shared, template)
    made[0].kept = kept
    event.listen(made[0].office.store.engine, "do_connect", kept.connect)
    made[0].restore()
    return made[0]


def upgraded(address: str) -> None:
    """Give a database our tables."""
    engine = engine_for(address)
    upgrade(engine)
    engine.dispose()


# --- the story ----------------------------------------------------------------------------------


def _hire(world: World) -> None:
    head = world.company.set_up()
    browsers = {"head": head}
    for name in ("estimator", "crew on", "crew off", "withdrawn"):
        role = "estimator" if name == "withdrawn" else name.partition(" ")[0]
        browsers[name] = world.company.join(head, role, PEOPLE[name])
    for name, browser in browsers.items():
        token = browser.cookies["__Host-courtwright_session"]
        world.callers[name] = Someone(person=token, id=browser.person["id"])
        world.ids[f"person {name}"] = browser.person["id"]
        world.ids[f"session {name}"] = world.caller(name).session_id or ""
    ana = world.caller("head")
    people.withdraw_person(world.office, ana, world.ids["person withdrawn"], 1)
    change_logo(world.office, ana, company(world.office, ana).version, a_logo())
    own = RateTyped("27.5", "", ISSUED, CANARIES["rate"])
    change_rates(world.office, ana, 0, {"lines.swale": own})
    invited = invitations.invite(world.office, ana, "crew", "fay@courts.example")
    world.ids |= {"invitation": invited.invitation.id, "token invitation": token_in(invited.path)}
    sent = entries.entry_for_person(world.office, ana, world.ids["person crew on"])
    world.ids["token password"] = token_in(sent.path)
    world.ids["token sign-in"] = token_in(first_entry(world.office))


def _begin(world: World, name: str) -> None:
    """Open a job with a walk and its files; one of the crew is on it, the other on the other."""
    office, bo = world.office, world.caller("estimator")
    note = CANARIES[f"note of {name}"]
    job = open_job(office, bo, {"name": f"Two courts {note}", "note": note, "call": {"worst": note}}).id
    mate = "crew on" if name == "a" else "crew off"
    assign(office, bo, job, world.ids[f"person {mate}"])
    walk = import_file(office, bo, job, io.BytesIO(zipped(BARE)), "site.zip").walk.id
    send(office, bo, walk, typed_on_a_phone())
    world.ids |= {f"job {name}": job, f"walk {name}": walk}
    picture = a_photo(ord(name))
    for kind, data in (("photo", picture), ("survey", SURVEY + f"{name}\n".encode())):
        _upload(world, bo, walk, kind, data)
        with office.reading() as unit:
            (one,) = (unit.photos if kind == "photo" else unit.surveys).all(METADATA.tables[kind].c.walk_id == walk)
        world.ids[f"{kind} {name}"] = one.id
    with office.writing(bo) as unit:
        for longest_px in (320, 1600):
            unit.previews.put(hashlib.sha256(picture).hexdigest(), longest_px, unit.keep(a_photo(1)), office.now())
        for what in ("check", "price"):
            document = f'{{"says": "{CANARIES["price"] if what == "price" else "nothing"}"}}'.encode()
            unit.answers.keep(Answer(walk, what, "en", 1, 1, "this", office.now(), unit.keep(document)))
        for what in ("check", "price"):
            needs = Question(what).needs
            work = Work("answer", walk, job, needs, what.encode(), {"what": what, "note": CANARIES["price"]})
            world.ids[f"task {what} {name}"] = ask_for(office, unit, work).id
    with office.writing(bo) as unit:
        staked = ask_for(office, unit, Work("stakes", walk, job, "answers.read", b"stakes", {})).id
        unit.tasks.end(staked, "done", result_sha256=unit.keep(zipped({"stakes.dxf": b"0"})), done=1, of=1)
    world.ids[f"task stakes {name}"] = staked
    # The pad is the first item that the site makes of the walk.
    world.ids[f"pad {name}"] = str(uuid.uuid5(uuid.UUID(walk), "1"))
    with office.writing(bo) as unit:
        seen = ask_for(office, unit, Work("survey", walk, job, "walks.read", b"survey", {})).id
        nothing = survey_document(SurveyLook("text", "us", Seen(), None), Reader("en", "us"))
        unit.tasks.end(seen, "done", result_sha256=unit.keep(json.dumps(nothing).encode()), done=1, of=1)
    world.ids[f"task survey {name}"] = seen
    for person in STAFF if name == "a" else ("crew off",):
        own = world.caller(person)
        with office.writing(own) as unit:
            work = Work("answer", own.who, None, "answers.read", own.who.encode(), {})
            world.ids[f"task own {person}"] = ask_for(office, unit, work).id
        if (person == "crew off") == (name == "b"):
            world.ids[f"upload own {person}"] = _upload(world, own, walk, "survey", SURVEY + person.encode(), part=20)
    stopped = world.ids[f"task own {mate}"]
    with office.writing(bo) as unit:
        again = ask_for(office, unit, Work("answer", stopped, job, "answers.read", b"again", {}))
    world.ids[f"task over {name}"] = stop_task(office, bo, again.id).id


def _upload(world: World, caller: Caller, walk: str, kind: Any, data: bytes, part: int | None = None) -> str:
    given = {"sha256": hashlib.sha256(data).hexdigest(), "size_bytes": len(data), "name": f"a.{kind}", "kind": kind}
    upload = uploads.announce(world.office, caller, walk, **given).upload
    assert upload is not None
    uploads.append(world.office, caller, upload.id, 0, data[:part], is_last=part is None)
    return upload.id


def _offer(world: World) -> None:
    """Draft, send, decline and accept offers: all on job a but for the accepted one, which is on job b."""
    office, bo, ids = world.office, world.caller("estimator"), world.ids

    def drafted(job: str) -> Offer:
        given = {"language": "en", "issued_on": ISSUED}
        return offers.draft_offer(office, bo, ids[f"job {job}"], ids[f"walk {job}"], given)

    def sent(job: str) -> Offer:
        draft = with_papers(office, drafted(job))
        return offers.send_offer(office, bo, draft.id, draft.version)

    blank, draft, open_, declined, accepted = (
        drafted("a"),
        with_papers(office, drafted("a")),
        sent("a"),
        sent("a"),
        sent("b"),
    )
    offers.decline_offer(office, bo, declined.id, declined.version, CANARIES["decline"])
    offers.record_acceptance(office, bo, accepted.id, offers.Given(chosen(accepted), WHO, signed_on=ISSUED))
    taken_back = drafted("a")
    offers.withdraw_offer(office, bo, taken_back.id, taken_back.version)
    made = {
        "blank": blank,
        "draft": draft,
        "sent": open_,
        "declined": declined,
        "accepted": accepted,
        "back": taken_back,
    }
    ids |= {f"offer {name}": one.id for name, one in made.items()}
    ids["seal"] = seal_of(office, bo, accepted.id).short
    ids["file"] = paper_names(office, bo, open_.id)[0]


def _let_in(world: World) -> None:
    """Let customers in by links to the sent offer and the accepted one; take the link of one back."""
    office, bo, ids = world.office, world.caller("estimator"), world.ids
    wanted = {
        "reader": ("sent", "read"),
        "acceptor": ("sent", "accept"),
        "customer of b": ("accepted", "accept"),
        "link taken back": ("sent", "accept"),
        "link expired": ("sent", "accept"),
    }
    for name, (offer, scope) in wanted.items():
        until = office.now() + dt.timedelta(minutes=2) if name == "link expired" else None
        token, link = links.make_link(office, bo, ids[f"offer {offer}"], scope, until)
        ids |= {f"link {name}": link.id, f"token {name}": token}
        world.callers[name] = Someone(offer=customers.enter(office, token)[0])
    links.withdraw_link(office, bo, ids["offer sent"], ids["link link taken back"])
    for name in ("acceptor", "customer of b"):
        caller = sessions.customer_of(office, world.callers[name].offer)
        ids[f"question {name}"] = customers.ask(office, caller, CANARIES["question"] if name == "acceptor" else "?").id
    ids["consent"] = (
        customers.shown(office, sessions.customer_of(office, world.callers["acceptor"].offer)).consent or ""
    )
    world.callers["nobody"] = Someone()
    world.company.clock.ahead(minutes=3)


@pytest.fixture(scope="module")
def quick_hashes() -> Iterator[None]:
    """Passwords that cost little to hash."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield


@pytest.fixture(scope="module")
def world(quick_hashes: None, tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path) -> Iterator[World]:
    """Give a world to the tests of one file."""
    made = on_sqlite(tmp_path_factory.mktemp("world"), sqlite_template)
    yield made
    made.close()
