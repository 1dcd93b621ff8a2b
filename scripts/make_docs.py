"""Writes docs/reference from the code and the trade's data; ``make docs`` runs it, and a test compares."""

from __future__ import annotations

import ast
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from courtwright import errors
from courtwright.api.app import create_app
from courtwright.api.problem import COMMON
from courtwright.cli.main import overview
from courtwright.cli.tree import courtwright as command_tree
from courtwright.desk.office import Office
from courtwright.store.bundle.contents import CACHES
from courtwright.store.tables import METADATA
from courtwright.trade import tables
from courtwright.trade.words import texts

if TYPE_CHECKING:
    from courtwright.store.opened import Store

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "courtwright"
TRADE = SOURCE / "trade"
WIDTH = 96
Table = Mapping[str, Any]

MADE = "<!-- Made by `make docs` from the code and the trade's data: change those, not this page. -->\n\n"

MARKS_INTRO = (
    "Features of `marks.geojson`. Each has `mark` and `pad`; the rest is optional, and what is missing is unknown.\n"
    "Those that lie `on` the pad have to; those `along` it lie on its outline; the others may lie outside.\n"
)
COMPLAINTS_INTRO = (
    "A complaint names a wrong place in what was given: `file, place: what is wrong; what to do`. An `error` loses\n"
    "something, a `note` tells of a choice made. The good part of the record is used.\n"
)

# --- writing ------------------------------------------------------------------------------------


def table(head: str, rows: Iterable[Iterable[object]]) -> str:
    """Return a Markdown table; ``head`` holds the column names between bars."""
    names = [name.strip() for name in head.split("|")]
    lines = [_row(names), _row("---" for _ in names), *(_row(map(_cell, row)) for row in rows)]
    return "\n".join(lines) + "\n"


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _cell(value: object) -> str:
    return str(value).replace("|", "\\|").replace("\n", " ").strip()


def code(names: Iterable[object]) -> str:
    """Return names in code letters, with commas."""
    return ", ".join(f"`{name}`" for name in names)


def plain(text: str) -> str:
    """Return an English text with its placeholders as names: ``{gap:small}`` as ‹gap›."""
    return re.sub(r"\{(\w+)(?::\w+)?\}", lambda hole: f"‹{hole[1].replace('_', ' ')}›", text)


def english(entry: object) -> str:
    """Return the English of a worded entry, or nothing."""
    return plain(str(entry["en"])) if isinstance(entry, Mapping) and "en" in entry else ""


def files(folder: str) -> Iterator[tuple[str, Table]]:
    """Yield the TOML files of a folder of the trade, by id."""
    if (TRADE / folder).is_dir():
        for file in tables.folder(folder):
            yield file.name.removesuffix(".toml"), tables.load_toml(file)


def amount(entry: Table, name: str) -> str:
    """Return a number whose key ends in its unit, with that unit: ``length_ft = 78`` as "78 ft"."""
    for key, value in entry.items():
        unit = key.removeprefix(f"{name}_")
        if key.startswith(f"{name}_") and "_" not in unit and isinstance(value, int | float | list | Decimal):
            shown = " to ".join(map(str, value)) if isinstance(value, list) else str(value)
            return f"{shown} {'%' if unit == 'pct' else unit}"
    return ""


# --- pages --------------------------------------------------------------------------------------


def courts() -> str:
    """Return the page of courts."""
    parts = ["# Courts\n\nThe `sport` of a court is the name in code letters. Sizes as their source gives them.\n"]
    for id, court in files("courts"):
        border = f"{amount(court, 'length')} by {amount(court, 'width')}, to the {court['dimensions_to']} of the lines"
        rows = [("court", border, court["source"]), ("line", amount(court, "line_width"), court["source"])]
        if "net" in court:
            height = f"{amount(court['net'], 'height')}, at the posts {amount(court['net'], 'height_post')}"
            rows.append(("net", height, court["net"]["source"]))
        sides = (("run_offs", "beyond sides and ends", ("side", "end")), ("pads", "pad", ("length", "width")))
        for key, title, names in sides:
            rows += [
                (f"{title}: {one['of']}", ", ".join(amount(one, name) for name in names), one["source"])
                for one in court.get(key, [])
            ]
        rows += [
            (f"fall: {one['of']}", f"{amount(one, 'min')} to {amount(one, 'max')}", one["source"])
            for one in court.get("slopes", [])
        ]
        drawn = [line["id"] for key in ("lines", "arcs") for line in court.get(key, [])]
        corners = [corner["id"] for corner in court.get("corners", [])]
        parts.append(f"## `{id}`: {english(court['name'])}\n")
        parts.append(table("what | size | source", rows))
        parts.append(f"Lines: {code(dict.fromkeys(drawn))}.\n\nCorners: {code(dict.fromkeys(corners))}.\n")
    return "\n".join(parts)


def marks() -> str:
    """Return the page of marks."""
    parts = ["# Marks\n\n" + MARKS_INTRO]
    for id, mark in files("marks"):
        rows = [
            (f"`{name}`", spec["kind"].replace("_", " "), code(spec.get("words", [])))
            for name, spec in mark.get("properties", {}).items()
        ]
        parts.append(f"## `{id}`\n\nDrawn as {' or '.join(mark['geometry'])}; lies {mark['lies']}.\n")
        if rows:
            parts.append(table("property | given as | words", rows))
    return "\n".join(parts)


def facts() -> str:
    """Return the page of facts."""
    parts = ["# Facts\n\nWhat verdicts rest on. Each may be given under `[answers]`; `unknown` is an answer too.\n"]
    for subject, entries in files("facts"):
        rows = [
            (
                f"`{name}`",
                english(fact["title"]),
                code(fact["words"]) if "words" in fact else fact["kind"],
                english(fact["how"]),
                english(fact.get("tool")) or "–",
                f"{fact['minutes']}{', leaves a hole' if fact.get('leaves_hole') else ''}",
                fact["source"],
            )
            for name, fact in entries.items()
        ]
        parts.append(f"## {subject.capitalize()}\n")
        parts.append(table("fact | what it is | given as | how to find out | with | minutes | source", rows))
    return "\n".join(parts)


def condition(one: Table) -> str:
    """Return a condition of a rule in short words."""
    name = f"`{one['fact']}`"
    if isinstance(one.get("equals"), bool):
        return name if one["equals"] else f"not {name}"
    if "equals" in one:
        return f"{name} is {one['equals']}"
    if "one_of" in one:
        return f"{name} is one of {', '.join(one['one_of'])}"
    limits = [f"{key.replace('_', ' ')} {one[key]}" for key in ("above", "at_least", "below", "at_most") if key in one]
    return f"{name} {' and '.join(limits)}"


def conditions(when: Iterable[Table], joined: str = " and ") -> str:
    """Return several conditions, joined."""
    return joined.join(condition(one) for one in when)


def rule_row(rule: Table) -> tuple[str, ...]:
    """Return a rule as a row of its table."""
    lifted = [conditions(rule["unless"])] if rule.get("unless") else []
    lifted += [f"with {code(rule['unless_remedy'])}"] if rule.get("unless_remedy") else []
    effect = rule["effect"].replace("-", " ") + ("; unknown blocks" if rule.get("unknown") == "blocks" else "")
    when = conditions(rule["when"]) or "always"
    return f"`{rule['id']}`", effect, when, " or ".join(lifted) or "–", english(rule["because"]), rule["source"]


RULES = "rule | effect | when | unless | because | source"


def remedies() -> str:
    """Return the page of remedies, and the rules they share."""
    parts = ["# Remedies\n\nEach with the rules that open or close it. Figures in rules are those of the source.\n"]
    for id, remedy in files("remedies"):
        parts.append(f"## `{id}`: {english(remedy['title'])}\n")
        mends = f"Mends {code(remedy['mends'])}." if remedy["mends"] else "Mends nothing by itself."
        shared = f" Shares the rules {code(remedy['share_rules'])}." if remedy.get("share_rules") else ""
        parts.append(mends + shared + "\n")
        if remedy.get("rule"):
            parts.append(table(RULES, map(rule_row, remedy["rule"])))
    parts.append("# Shared rules\n")
    for id, group in files("rules"):
        parts.append(f"## `{id}`\n")
        parts.append(table(RULES, map(rule_row, group["rule"])))
    return "\n".join(parts)


def _needed(companion: Table) -> str:
    ways = [*companion.get("any", []), *([companion] if companion.get("when") else [])]
    return " or ".join(conditions(way["when"]) for way in ways) or "always"


def options() -> str:
    """Return the page of options."""
    parts = ["# Options\n\nComplete plans of remedies, from the smallest to the largest.\n"]
    for id, option in sorted(files("options"), key=lambda item: (item[1]["tier"], item[0])):
        rows = [
            (f"`{one['remedy']}`", _needed(one), conditions(one.get("unless", []), " or ") or "–")
            for one in option.get("plan", [])
        ]
        parts.append(f"## `{id}`: {english(option['title'])}\n")
        parts.append(table("remedy, in order | where | but not where", rows))
    return "\n".join(parts)


def _included(line: Table) -> str:
    known = texts()
    return "; ".join(english(known.get(f"cost.includes-{id}")) or id for id in line.get("includes", []))


def rates() -> str:
    """Return the page of rates."""
    parts = ["# Rates\n\nHouse rates that come with the program. Put your own beside them.\n"]
    for id, book in files("rates"):
        marked = "illustrative" if book.get("illustrative") else "the house's own"
        parts.append(f"## `{id}`: {english(book['title'])}\n")
        parts.append(f"{marked.capitalize()}; dated {book['dated']}; {english(book['region'])}; {book['currency']}.\n")
        for group in ("lines", "mobilisation", "minimum"):
            rows = [
                (f"`{item}`", line["per"], line["low"], line["likely"], line["high"], _included(line), line["source"])
                for item, line in book.get(group, {}).items()
            ]
            parts.append(table(f"{group} | per | low | likely | high | includes | source", rows))
        costs = [
            (f"`{item}`", line["per"], line["cost"], line["kind"], line["source"])
            for item, line in book.get("costs", {}).items()
        ]
        parts.append(table("costs | per | cost | kind | source", costs))
    return "\n".join(parts)


def _work_row(item: Table, steps: Iterable[Table]) -> tuple[str, ...]:
    done = [
        f"{step['id']}: {step['crew']} people, {step['low']} to {step['high']} {step['per']} a day"
        + (f", then {step['wait_days']} days" if step.get("wait_days") else "")
        for step in steps
        if step.get("item") == item["id"]
    ]
    return (
        f"`{item['id']}`",
        item["unit"],
        f"`{item['formula']}`",
        f"{item.get('waste_pct', 0)} %",
        "; ".join(done) or "–",
    )


def work() -> str:
    """Return the page of the work of each remedy: items, crews, cures, life and warranty."""
    parts = ["# Work\n\nWhat each remedy takes, how long it is usually warranted and how long it serves.\n"]
    for id, scope in files("scopes"):
        parts.append(f"## `{id}`\n")
        if scope["items"]:
            rows = (_work_row(item, scope["steps"]) for item in scope["items"])
            parts.append(table("item | unit | formula | waste | crew and production", rows))
        life = scope.get("life")
        serves = (
            f"{life['p10']} to {life['p90']} years, half of them {life['p50']} ({life['source']})"
            if life
            else "as what it goes with"
        )
        parts.append(f"Serves {serves}. Warranty {scope['warranty_months']} months ({scope['warranty_source']}).\n")
    return "\n".join(parts)


def _named_sources(value: object) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, inner in value.items():
            if str(key).endswith("source") and isinstance(inner, str):
                yield inner.split(", ")[0].split("; ")[0]
            else:
                yield from _named_sources(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _named_sources(inner)


def sources() -> str:
    """Return the page of sources, with how many values of the trade name each."""
    data = [f for f in TRADE.rglob("*.toml") if f.name != "sources.toml"]
    used = Counter(key for file in data for key in _named_sources(tables.load_toml(file)))
    listed = tables.load_toml(TRADE / "sources.toml")
    rows = [
        (f"`{key}`", s["title"], s.get("publisher", ""), s.get("year", ""), s.get("note", ""), used[key])
        for key, s in listed.items()
    ]
    return (
        "# Sources\n\nEvery value of the trade names one of these; the last column counts those in TOML.\n\n"
        + table("key | title | publisher | year | note | values", rows)
    )


# --- complaints and commands --------------------------------------------------------------------


def complaint_codes() -> dict[str, set[str]]:
    """Return every complaint code that the code can raise, with its weights."""
    found: dict[str, set[str]] = {}
    for file in sorted(SOURCE.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and len(node.args) >= 3):
                continue
            words = [a.value if isinstance(a, ast.Constant) else None for a in node.args]
            weight, name = (
                (words[0], words[3]) if node.func.attr == "add" and len(words) > 3 else (node.func.attr, words[2])
            )
            if weight in ("error", "note") and isinstance(name, str):
                found.setdefault(name, set()).add(weight)
    return found


def _exceptions(kind: type[errors.CourtwrightError]) -> Iterator[type[errors.CourtwrightError]]:
    yield kind
    for below in kind.__subclasses__():
        if below.__module__ == errors.__name__:
            yield from _exceptions(below)


def complaints() -> str:
    """Return the page of exit codes, error codes and complaint codes."""
    exits = [
        (0, "done"),
        (2, "the call is wrong: an unknown option, a missing argument, no such path"),
        (3, "the input is wrong and nothing is left to compute; with `--strict`, any error complaint"),
        (4, "an internal fault: one line, and where the details were written"),
    ]
    kinds = [(f"`{k.code}`", (k.__doc__ or "").splitlines()[0]) for k in _exceptions(errors.CourtwrightError)]
    known = texts()
    rows = [
        (
            f"`{name}`",
            ", ".join(sorted(weights)),
            english(known.get(f"site.{name}")),
            english(known.get(f"site.{name}-do")),
        )
        for name, weights in sorted(complaint_codes().items())
    ]
    return "\n".join(
        [
            "# Complaints, errors and exit codes\n",
            COMPLAINTS_INTRO,
            "## Exit codes\n",
            table("code | meaning", exits),
            "## Errors\n",
            table("code | meaning", kinds),
            "## Complaints\n",
            table("code | weight | says | do", rows),
        ]
    )


def commands() -> str:
    """Return the page of commands and their options."""
    context = click.Context(command_tree, info_name="courtwright", terminal_width=WIDTH)
    parts = ["# Commands\n", f"```text\n{overview()}```\n"]
    for name in command_tree.list_commands(context):
        command = command_tree.get_command(context, name)
        if command is not None and not command.hidden:
            inner = click.Context(command, parent=context, info_name=name, terminal_width=WIDTH)
            parts.append(f"## `{name}`\n\n```text\n{command.get_help(inner)}\n```\n")
    return "\n".join(parts)


# --- service and store --------------------------------------------------------------------------

SERVICE_INTRO = """\
What the service answers. Bodies and answers are JSON unless said otherwise; the whole schema is at `/api/openapi.json`.
A problem is `application/problem+json` (RFC 9457); every route can answer {common}, and those listed with it.
A record that can change comes with an `ETag`, and a change of it needs `If-Match`. What is made may carry an
`Idempotency-Key`, and is then made once. Of a list, `next` of one page is `after` of the following. What changes
something needs `X-CSRF-Token`, with the word that `GET /api/session` or `GET /api/customer/session` gives.
"""
STORE_INTRO = """\
Records have a version, every change of them is in `change`, and they are withdrawn, never deleted. Ledgers only grow:
the database refuses a change. Caches may be dropped at any time and are made again. Times are UTC.
"""


def service() -> str:
    """Return the page of routes of the service, with the problems that each can answer."""
    schema = create_app(Office(cast("Store", None))).openapi()
    groups: dict[str, list[tuple[str, str, str]]] = {}
    for path, methods in schema["paths"].items():
        for method, route in methods.items():
            statuses = ", ".join(sorted(set(route["responses"]) - set(map(str, COMMON)), key=int))
            row = (f"`{method.upper()} {path}`", route["description"].split("\n\n")[0], statuses)
            groups.setdefault(route["tags"][0], []).append(row)
    parts = ["# The service\n", SERVICE_INTRO.format(common=", ".join(map(str, COMMON)))]
    for name, rows in sorted(groups.items()):
        parts += [f"## {name.capitalize()}\n", table("route | does | answers", rows)]
    return "\n".join(parts)


def store() -> str:
    """Return the page of tables of the store."""
    parts = ["# The store\n", STORE_INTRO]
    for kind in ("records", "ledgers", "caches"):
        parts.append(f"## {kind.capitalize()}\n")
        for one in METADATA.sorted_tables:
            if _kind(one) == kind:
                rows = [(f"`{c.name}`", _type(c), "yes" if c.nullable else "") for c in one.columns]
                parts += [f"### `{one.name}`\n", table("column | holds | may be empty", rows)]
    return "\n".join(parts)


def _kind(of: Any) -> str:
    return "caches" if of.name in CACHES else "records" if "version" in of.c else "ledgers"


def _type(column: Any) -> str:
    kind = "a hash, never the value" if column.info.get("hidden") else type(column.type).__name__.lower()
    size = getattr(column.type, "length", None)
    to = ", ".join(f"of a {key.column.table.name}" for key in column.foreign_keys)
    return to or (f"{kind}, at most {size}" if size and kind == "string" else kind)


def index() -> str:
    """Return the page that leads to the others."""
    about = {
        name: (page.__doc__ or "").split(".")[0].removeprefix("Return the page of ") for name, page in PAGES.items()
    }
    rows = [(f"[{name}]({name})", text) for name, text in about.items() if name != "README.md"]
    return "# Reference\n\nMade from the code and the trade's data by `make docs`.\n\n" + table("page | about", rows)


PAGES: dict[str, Callable[[], str]] = {
    "README.md": index,
    "commands.md": commands,
    "complaints.md": complaints,
    "courts.md": courts,
    "facts.md": facts,
    "marks.md": marks,
    "options.md": options,
    "rates.md": rates,
    "remedies.md": remedies,
    "service.md": service,
    "sources.md": sources,
    "store.md": store,
    "work.md": work,
}


def pages() -> dict[str, str]:
    """Return every page by name."""
    return {name: MADE + page().rstrip() + "\n" for name, page in PAGES.items()}


def main(folder: Path) -> None:
    """Write the pages, and take away those that are no longer made."""
    folder.mkdir(parents=True, exist_ok=True)
    made = pages()
    for left_over in set(folder.glob("*.md")) - {folder / name for name in made}:
        left_over.unlink()
    for name, text in made.items():
        (folder / name).write_text(text, encoding="utf-8")
    print(f"{len(made)} pages in {folder}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs" / "reference")
