"""The service's log: lines of JSON that hold no personal data, because only keys listed here are written."""

from __future__ import annotations

import json
import logging
import re
import sys
import traceback
from datetime import UTC, datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import TextIO

import structlog
from structlog.typing import EventDict

#: What tells the log: ``log.info("event", key=value)``.
Log = structlog.stdlib.BoundLogger

#: What a line may hold. Names, addresses, paths, queries, bodies and browsers have no key, and so no place.
KEYS = frozenset(
    {"at", "level", "event", "request", "method", "route", "status", "took_ms", "fault", "frames", "task", "kind",
     "count", "version", "says"}
)  # fmt: skip

#: A file is this large at most, and so many older ones are kept. [bytes], [-]
_LARGEST, _KEPT = 10_000_000, 5

_NAME = "courtwright.service"

_FRAME = re.compile(r'File "(?:[^"]*[\\/])?([^"]+)", line (\d+), in (\S+)')


def open_log(file: Path | None, stream: TextIO | None = None) -> Log:
    """Return the log of the service, which takes over the lines of the web server too.

    Parameters
    ----------
    file : Path or None
        Where it goes, kept within bounds; standard error when None.
    stream : TextIO, optional
        Where it goes instead of standard error.
    """
    if file is not None:
        file.parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = RotatingFileHandler(
            file, maxBytes=_LARGEST, backupCount=_KEPT, encoding="utf-8", delay=True
        )
    else:
        handler = logging.StreamHandler(stream or sys.stderr)
    handler.setFormatter(_Lines())
    for name in (_NAME, "uvicorn"):
        logger = logging.getLogger(name)
        for old in logger.handlers[:]:
            logger.removeHandler(old)
            old.close()
        logger.addHandler(handler)
        logger.propagate = False
        logger.setLevel(logging.INFO if name == _NAME else logging.WARNING)
    return structlog.wrap_logger(
        logging.getLogger(_NAME),
        processors=[
            structlog.stdlib.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True, key="at"),
            only_known,
            structlog.processors.JSONRenderer(ensure_ascii=False),
        ],
        wrapper_class=structlog.stdlib.BoundLogger,
    )


def only_known(_logger: object, _method: str, line: EventDict) -> EventDict:
    """Leave out of a line what is not among the keys; the line says how many were left out."""
    known: EventDict = {key: value for key, value in line.items() if key in KEYS}
    return known if len(known) == len(line) else {**known, "left_out": len(line) - len(known)}


def frames(error: BaseException) -> list[str]:
    """Return where an exception came from, and those that led to it; never its words, which may quote anybody.

    Examples
    --------
    >>> try:
    ...     int("ana@example.org")
    ... except ValueError as error:
    ...     told = frames(error)
    >>> told[0], len(told)
    ('ValueError', 2)
    """
    told: list[str] = []
    seen: BaseException | None = error
    while seen is not None and len(told) < 200:
        told.append(type(seen).__name__)
        told += [
            f"{Path(frame.filename).name}:{frame.lineno} {frame.name}"
            for frame in traceback.extract_tb(seen.__traceback__)
        ]
        seen = seen.__cause__ or (None if seen.__suppress_context__ else seen.__context__)
    return told


class _Lines(logging.Formatter):
    """Our lines as they are; those of libraries as JSON, without their values: an address may be among them."""

    def format(self, record: logging.LogRecord) -> str:
        if record.name == _NAME:
            return record.getMessage()
        text = str(record.msg).strip()
        line: dict[str, object] = {
            "event": "server",
            "says": text.partition("\n")[0],
            "level": record.levelname.lower(),
            "at": datetime.fromtimestamp(record.created, UTC).isoformat().replace("+00:00", "Z"),
        }
        if text.startswith("Traceback"):  # of an app that did not start, as a text
            line["frames"] = [f"{file}:{number} {name}" for file, number, name in _FRAME.findall(text)]
        if record.exc_info and record.exc_info[1]:
            line |= {"fault": type(record.exc_info[1]).__name__, "frames": frames(record.exc_info[1])}
        return json.dumps(line, ensure_ascii=False)
