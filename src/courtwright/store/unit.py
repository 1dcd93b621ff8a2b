"""One unit of work: one transaction, the rows as it sees them, and whose hand it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import Connection, insert, select

from courtwright.errors import ConflictError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.blobs import Blobs
from courtwright.store.hand import Hand
from courtwright.store.insert import insert_unless
from courtwright.store.rows.acceptances import Acceptances
from courtwright.store.rows.answers import Answers
from courtwright.store.rows.changes import Changes
from courtwright.store.rows.company import Companies
from courtwright.store.rows.entries import Entries
from courtwright.store.rows.house_rates import HouseRateRows
from courtwright.store.rows.invitations import Invitations
from courtwright.store.rows.jobs import Assignments, Jobs
from courtwright.store.rows.links import Links
from courtwright.store.rows.offers import Offers
from courtwright.store.rows.papers import Papers
from courtwright.store.rows.people import People
from courtwright.store.rows.photos import Photos, Previews, Surveys
from courtwright.store.rows.questions import Questions
from courtwright.store.rows.seals import Seals
from courtwright.store.rows.sessions import Sessions
from courtwright.store.rows.tasks import Tasks
from courtwright.store.rows.updates import Updates
from courtwright.store.rows.uploads import Uploads
from courtwright.store.rows.walk_states import WalkStates
from courtwright.store.rows.walks import Walks


@dataclass(frozen=True, slots=True)
class Once:
    """A request that may arrive twice and is to be done once.

    Parameters
    ----------
    key : str
        Chosen by the caller, new for each request that it means.
    sha256 : str
        Of what was asked, to notice a key that is used for something else.
    """

    key: str
    sha256: str


class Unit:
    """What a request reads and writes, all of it or none.

    Parameters
    ----------
    connection : Connection
        Inside a transaction.
    blobs : Blobs
        Where files are kept.
    hand : Hand or None
        Who changes, and when; None where nothing may be changed.
    """

    def __init__(self, connection: Connection, blobs: Blobs, hand: Hand | None = None) -> None:
        self.connection = connection
        self.blobs = blobs
        self.hand = hand
        #: Done once the unit has ended well.
        self.afterwards: list[Callable[[], None]] = []

    @cached_property
    def jobs(self) -> Jobs:
        """The jobs."""
        return Jobs(self.connection, self.hand)

    @cached_property
    def assignments(self) -> Assignments:
        """Who is on which job."""
        return Assignments(self.connection, self.hand)

    @cached_property
    def people(self) -> People:
        """The people of the company."""
        return People(self.connection, self.hand)

    @cached_property
    def tasks(self) -> Tasks:
        """Long work."""
        return Tasks(self.connection, self.hand)

    @cached_property
    def answers(self) -> Answers:
        """The answers that are kept."""
        return Answers(self.connection)

    @cached_property
    def company(self) -> Companies:
        """The company."""
        return Companies(self.connection, self.hand)

    @cached_property
    def house_rates(self) -> HouseRateRows:
        """The company's own rates."""
        return HouseRateRows(self.connection, self.hand)

    @cached_property
    def invitations(self) -> Invitations:
        """Who may join."""
        return Invitations(self.connection, self.hand)

    @cached_property
    def entries(self) -> Entries:
        """One-time entries."""
        return Entries(self.connection, self.hand)

    @cached_property
    def sessions(self) -> Sessions:
        """Who is signed in."""
        return Sessions(self.connection, self.hand)

    @cached_property
    def walks(self) -> Walks:
        """The walks."""
        return Walks(self.connection, self.hand)

    @cached_property
    def updates(self) -> Updates:
        """What was typed into the walks."""
        return Updates(self.connection, self.hand)

    @cached_property
    def walk_states(self) -> WalkStates:
        """What the updates of each walk make."""
        return WalkStates(self.connection)

    @cached_property
    def photos(self) -> Photos:
        """The photos."""
        return Photos(self.connection, self.hand)

    @cached_property
    def surveys(self) -> Surveys:
        """The survey files."""
        return Surveys(self.connection, self.hand)

    @cached_property
    def previews(self) -> Previews:
        """Small copies of photos."""
        return Previews(self.connection)

    @cached_property
    def uploads(self) -> Uploads:
        """Files that come in parts."""
        return Uploads(self.connection, self.hand)

    @cached_property
    def offers(self) -> Offers:
        """The offers."""
        return Offers(self.connection, self.hand)

    @cached_property
    def links(self) -> Links:
        """By which customers reach their offers."""
        return Links(self.connection, self.hand)

    @cached_property
    def questions(self) -> Questions:
        """What customers ask."""
        return Questions(self.connection, self.hand)

    @cached_property
    def acceptances(self) -> Acceptances:
        """That offers were accepted."""
        return Acceptances(self.connection)

    @cached_property
    def seals(self) -> Seals:
        """The seals of accepted offers."""
        return Seals(self.connection)

    @cached_property
    def papers(self) -> Papers:
        """The papers of accepted offers."""
        return Papers(self.connection)

    @cached_property
    def changes(self) -> Changes:
        """The history."""
        return Changes(self.connection)

    def keep(self, data: bytes) -> str:
        """Keep a file, on the disk before the unit ends, and return its SHA-256.

        Raises
        ------
        StoreError
            If it cannot be kept.
        """
        sha256 = self.blobs.put(data)
        self.keep_put(sha256, len(data))
        return sha256

    def keep_put(self, sha256: str, size: int) -> None:
        """Keep a file that was put among the blobs before the unit began, as a slow disk is best waited for.

        Parameters
        ----------
        sha256 : str
            Of its bytes.
        size : int
            Their number. [bytes]
        """
        if self.hand is not None:
            values = {"sha256": sha256, "size_bytes": size, "at": self.hand.at}
            # Somebody else may keep the same file at this moment.
            self.connection.execute(insert_unless(self.connection, tables.blob).values(values).on_conflict_do_nothing())

    def made_before(self, once: Once | None) -> str | None:
        """Return the id of the record that this very request made when it came before, or None.

        Raises
        ------
        ConflictError
            If the caller used the key for another request.
        """
        if once is None or self.hand is None:
            return None
        table = tables.once.c
        query = select(table.request_sha256, table.record_id).where(table.who == self.hand.who, table.key == once.key)
        found = self.connection.execute(query).one_or_none()
        if found is None:
            return None
        if found.request_sha256 != once.sha256:
            raise ConflictError(say("store.key-used"), fix=say("store.key-used-do"))
        return str(found.record_id)

    def remember(self, once: Once | None, id: str) -> None:
        """Remember which record a request made."""
        if once is not None and self.hand is not None:
            values = {"who": self.hand.who, "key": once.key, "request_sha256": once.sha256}
            self.connection.execute(insert(tables.once).values(**values, record_id=id, at=self.hand.at))
