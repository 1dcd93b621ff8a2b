"""What the result of long work means: kept in the same unit of work as the result itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from courtwright.desk.offers import accepted_papers
from courtwright.desk.offers.papers import papers_made
from courtwright.desk.office import Office
from courtwright.desk.walks.photos import keep_previews
from courtwright.desk.work.answers import keep_answer
from courtwright.store.rows.tasks import Task
from courtwright.store.unit import Unit

#: Makes something of a task's result; an error of ours fails the task with its sentence.
OnDone = Callable[[Office, Unit, Task, bytes], None]

#: By kind of work.
ON_DONE: Mapping[str, OnDone] = MappingProxyType(
    {
        "accepted": accepted_papers.made,
        "answer": keep_answer,
        "offer": papers_made,
        "photo": keep_previews,
    }
)
