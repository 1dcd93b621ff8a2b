"""Looks at a survey file as the heights of a pad, before anybody takes it.

In: what `asked.payload` makes of a `SurveyAsked` and a site of one pad with that file. Out: the document of
`job.answers.survey` as JSON.
"""

from __future__ import annotations

import json

from courtwright.desk.kinds import Told
from courtwright.desk.kinds.asked import SurveyAsked, asked
from courtwright.desk.kinds.handed import site_files
from courtwright.errors import InputError
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.survey import survey_document
from courtwright.says import say
from courtwright.site.survey_look import look_at


def run(payload: bytes, told: Told) -> bytes:
    """Return what a survey file would be.

    Raises
    ------
    CallError
        If the question is none of ours.
    InputError
        If the pad has no outline, or the file has not come.
    """
    told(0, 1)
    ask, site = asked(SurveyAsked, payload)
    files = site_files(site, ask.name)
    if ask.file not in files.names():
        raise InputError(say("store.missing", record=say("store.record-survey")), where=ask.file)
    look = look_at(files, ask.file)
    if look is None:
        raise InputError(say("desk.survey-no-pad"), fix=say("desk.survey-no-pad-do"))
    told(1, 1)
    return json.dumps(survey_document(look, Reader(ask.language, ask.units or look.system))).encode()
