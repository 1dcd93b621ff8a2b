"""Who asks, and what each may."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from courtwright.errors import MissingError, RefusedError
from courtwright.says import say
from courtwright.store.hand import MACHINE
from courtwright.store.rows.people import Role
from courtwright.store.unit import Unit

ROLES: tuple[Role, ...] = get_args(Role)

#: The head of the company, an estimator, the crew; a customer by link; the machine itself.
Kind = Literal["head", "estimator", "crew", "customer", "machine"]

#: What each kind of caller may ask for. Everything else is refused. The crew sees the jobs that it is on, and no money.
RIGHTS: dict[str, frozenset[Kind]] = {
    "jobs.read": frozenset({"head", "estimator", "crew", "machine"}),
    "jobs.write": frozenset({"head", "estimator", "machine"}),
    "jobs.assign": frozenset({"head", "estimator", "machine"}),
    "walks.read": frozenset({"head", "estimator", "crew", "machine"}),
    "walks.write": frozenset({"head", "estimator", "crew", "machine"}),
    "answers.read": frozenset({"head", "estimator", "crew", "machine"}),
    "prices.read": frozenset({"head", "estimator", "machine"}),
    "offers.read": frozenset({"head", "estimator", "machine"}),
    "offers.write": frozenset({"head", "estimator", "machine"}),
    "offers.seal": frozenset({"head", "estimator", "machine"}),
    "links.write": frozenset({"head", "estimator", "machine"}),
    "offer.read": frozenset({"customer"}),
    "offer.answer": frozenset({"customer"}),
    "company.read": frozenset({"head", "estimator", "crew", "machine"}),
    "company.write": frozenset({"head", "machine"}),
    "rates.read": frozenset({"head", "estimator", "machine"}),
    "rates.write": frozenset({"head", "machine"}),
    "people.read": frozenset({"head", "estimator", "crew", "machine"}),
    "people.write": frozenset({"head", "machine"}),
    "self.write": frozenset({"head", "estimator", "crew"}),
    "events.read": frozenset({"head", "machine"}),
    "tasks.read": frozenset({"head", "estimator", "crew", "machine"}),
    "bundles.write": frozenset({"head", "estimator", "machine"}),
    "store.backup": frozenset({"machine"}),
}


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks.

    Parameters
    ----------
    who : str
        Id of the person, ``link:<id>`` of a customer, or ``machine``.
    kind : str
        One of `Kind`.
    offer_id : str or None
        The one offer that a customer sees.
    session_id : str or None
        The session the request came in.
    """

    who: str
    kind: Kind
    offer_id: str | None = None
    session_id: str | None = None

    def may(self, right: str) -> bool:
        """Tell whether the caller has a right, one of `RIGHTS`."""
        return self.kind in RIGHTS[right]

    def require(self, right: str) -> None:
        """Refuse a caller who has not that right.

        Raises
        ------
        RefusedError
            If so.
        """
        if not self.may(right):
            raise RefusedError(say("desk.may-not"), fix=say("desk.may-not-do"))

    def require_job(self, unit: Unit, job_id: str) -> None:
        """Refuse the crew a job that it is not on, as if there were none.

        Raises
        ------
        MissingError
            If so.
        """
        if self.kind == "crew" and not unit.assignments.on(job_id, self.who):
            raise MissingError(say("store.missing", record=say("store.record-job")))


THE_MACHINE = Caller(MACHINE, "machine")
