"""Reads a file of curves: a table in CSV under a head in TOML, whose lines begin with ``#``."""

from __future__ import annotations

import csv
import itertools
import math
import tomllib
from importlib.resources.abc import Traversable

from courtwright.errors import TradeDataError
from courtwright.says import say
from courtwright.trade import tables
from courtwright.trade.condition_records import CorrectedCurve, CurveFile, DeductCurve

_FITTED = "fitted"


def head_and_rows(text: str, name: str) -> tuple[CurveFile, list[dict[str, str]]]:
    """Return what a curve file says of itself, and its rows by column name.

    Raises
    ------
    TradeDataError
        If the head is not TOML or lacks a key.
    """
    lines = text.splitlines()
    head = "\n".join(line.removeprefix("#").strip() for line in lines if line.startswith("#"))
    try:
        table = tomllib.loads(head)
    except tomllib.TOMLDecodeError as error:
        raise TradeDataError(say("trade.not-toml", detail=str(error)), where=name) from error
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return tables.record(CurveFile, table, name), rows


def deduct_curves_in(file: Traversable) -> tuple[CurveFile, dict[tuple[int, str], DeductCurve]]:
    """Return the deduct curves of a file with the columns distress, severity, density_pct and deduct.

    Raises
    ------
    TradeDataError
        If a number cannot be read, a density does not grow, or a deduct falls.
    """
    head, rows = head_and_rows(file.read_text(encoding="utf-8"), file.name)
    knots: dict[tuple[int, str], list[tuple[float, float]]] = {}
    for line, row in enumerate(rows, start=1):
        where = f"{file.name}, row {line}"
        key = (int(_number(row, "distress", where)), row.get("severity") or "-")
        knots.setdefault(key, []).append((_number(row, "density_pct", where), _number(row, "deduct", where)))
    from_memory = head.source == "from memory"
    curves: dict[tuple[int, str], DeductCurve] = {}
    for (distress, severity), points in knots.items():
        density, deduct = _growing(points, f"{file.name}, {distress} {severity}")
        curves[distress, severity] = DeductCurve(distress, severity, density, deduct, from_memory)
    return head, curves


def corrected_curves_in(file: Traversable) -> tuple[CurveFile, dict[int, CorrectedCurve]]:
    """Return the corrected-deduct curves of a file with the columns q, total, corrected and basis.

    Raises
    ------
    TradeDataError
        If a number cannot be read, a total does not grow, or a corrected value falls or is above its total.
    """
    head, rows = head_and_rows(file.read_text(encoding="utf-8"), file.name)
    knots: dict[int, list[tuple[float, float]]] = {}
    fitted: dict[int, list[float]] = {}
    for line, row in enumerate(rows, start=1):
        where = f"{file.name}, row {line}"
        q, total = int(_number(row, "q", where)), _number(row, "total", where)
        corrected = _number(row, "corrected", where)
        if corrected > total:
            raise TradeDataError(say("courts.corrected-above-total", corrected=corrected, total=total), where=where)
        knots.setdefault(q, []).append((total, corrected))
        if row.get("basis") == _FITTED:
            fitted.setdefault(q, []).append(total)
    curves: dict[int, CorrectedCurve] = {}
    for q, points in knots.items():
        total, corrected = _growing(points, f"{file.name}, q {q}")
        supported = (min(fitted[q]), max(fitted[q])) if q in fitted else ()
        curves[q] = CorrectedCurve(q, total, corrected, supported)
    return head, curves


def _number(row: dict[str, str], column: str, where: str) -> float:
    text = row.get(column) or ""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or value < 0:
        raise TradeDataError(say("courts.no-number", column=column, value=text), where=where)
    return value


def _growing(points: list[tuple[float, float]], where: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x1 <= x0 or y1 < y0:
            raise TradeDataError(say("courts.curve-falls", x=x1, y=y1), where=where)
    return tuple(x for x, _ in points), tuple(y for _, y in points)
