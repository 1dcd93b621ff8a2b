"""What the documents say is what the code, the data and the Makefile do."""

from __future__ import annotations

import importlib.util
import re
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

from courtwright import errors
from courtwright.cli.commands import COMMANDS

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "courtwright"
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *SOURCE.rglob("*.md")])
DECISIONS = sorted((ROOT / "docs" / "decisions").glob("*.md"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
#: Two screens of a laptop, at the width of a terminal that shows this much of a line. [lines]
TWO_SCREENS = 100
#: A page of paper. [lines]
A_PAGE = 60


def _read(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def _name(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


# --- reference ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def make_docs() -> ModuleType:
    """Return the script that makes the reference pages."""
    spec = importlib.util.spec_from_file_location("make_docs", ROOT / "scripts" / "make_docs.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_reference_is_what_make_docs_writes(make_docs: ModuleType, tmp_path: Path):
    """Pages made from code and data follow them; when this fails, run ``make docs``."""
    make_docs.main(tmp_path)
    made = {page.name: page.read_text(encoding="utf-8") for page in tmp_path.iterdir()}
    there = {page.name: page.read_text(encoding="utf-8") for page in (ROOT / "docs" / "reference").glob("*.md")}
    assert {name for name in made | there if made.get(name) != there.get(name)} == set()


def test_a_page_left_over_is_taken_away(make_docs: ModuleType, tmp_path: Path):
    """A page that is made no longer does not stay behind."""
    (tmp_path / "old.md").write_text("old", encoding="utf-8")
    make_docs.main(tmp_path)
    assert not (tmp_path / "old.md").exists()


@pytest.mark.parametrize(
    ("page", "folder"), [("courts", "courts"), ("marks", "marks"), ("remedies", "remedies"), ("options", "options")]
)
def test_each_file_of_the_trade_has_its_heading(page: str, folder: str):
    """A sport, mark, remedy or option that is added stands in the reference."""
    ids = {file.stem for file in (SOURCE / "trade" / folder).glob("*.toml")}
    headings = set(re.findall(r"^## `([\w-]+)`", _read(f"docs/reference/{page}.md"), re.MULTILINE))
    assert ids
    assert ids <= headings


def test_each_command_and_error_has_its_place():
    """A command, an option of it or an error code that is added stands in the reference."""
    headings = set(re.findall(r"^## `([\w-]+)`", _read("docs/reference/commands.md"), re.MULTILINE))
    assert headings == set(COMMANDS)
    kinds = [
        kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, errors.CourtwrightError)
    ]
    assert {kind.code for kind in kinds} <= set(
        re.findall(r"^\| `([\w-]+)`", _read("docs/reference/complaints.md"), re.M)
    )


# --- hand-written pages -------------------------------------------------------------------------


def test_the_readme_is_two_screens_and_opens_with_the_job():
    """Its first paragraph is the job, and its first commands are the two that a newcomer types."""
    lines = _read("README.md").splitlines()
    assert len(lines) <= TWO_SCREENS
    assert lines[0] == "# Courtwright"
    assert re.search(r"An owner calls", lines[2])
    assert re.findall(r"^    (make \w+)$", _read("README.md"), re.MULTILINE) == ["make demo", "make test"]


def test_the_server_runs_the_test_command_of_the_readme():
    """What is green here is green there."""
    run = _read(".ci/run")
    assert "set -euo pipefail" in run
    assert re.search(r"^exec make test </dev/null$", run, re.MULTILINE)
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_links_lead_somewhere(page: Path):
    """A link to a file of the project leads to one."""
    targets = re.findall(r"\]\(([^)#\s]+)[^)]*\)", page.read_text(encoding="utf-8"))
    within = [t for t in targets if not re.match(r"[a-z]+:", t)]
    assert [t for t in within if not (page.parent / t).exists()] == []


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_named_targets_and_files_exist(page: Path):
    """A page names no make target, and no path of the project, that is not there."""
    text = page.read_text(encoding="utf-8")
    targets = set(re.findall(r"^(\w+):", _read("Makefile"), re.MULTILINE))
    assert set(re.findall(r"(?:`|^    )make (\w+)", text, re.MULTILINE)) <= targets
    paths = re.findall(r"`((?:tests|docs|scripts|benchmarks|trade|verdict|offer|site)/[\w./-]+)`", text)
    places = (ROOT, SOURCE)
    assert [p for p in paths if "/" in p and not any((place / p).exists() for place in places)] == []


def test_every_explanation_is_listed():
    """A page that nothing leads to is not read."""
    pages = {page.name for page in (ROOT / "docs" / "explanation").glob("*.md")} - {"README.md"}
    assert set(re.findall(r"\]\(([\w-]+\.md)\)", _read("docs/explanation/README.md"))) == pages


def test_the_architecture_tells_of_every_room():
    """Each room that is built has its paragraph, and no other has one."""
    built = {p.name.removesuffix(".py") for p in SOURCE.iterdir() if p.suffix == ".py" or (p / "__init__.py").is_file()}
    told = set(re.findall(r"\*\*`(\w+)`\*\*", _read("ARCHITECTURE.md")))
    assert told == built - {"__init__", "__main__"}


def test_the_layers_hold_every_room_and_each_says_why():
    """Above each layer of the contract stands its intent."""
    layers = re.search(r"layers = \[\n(.*?)\n\]", _read("pyproject.toml"), re.DOTALL)
    assert layers is not None
    lines = [line.strip() for line in layers[1].splitlines()]
    assert all(line.startswith("#") for line in lines[::2])
    assert all(line.startswith('"') for line in lines[1::2])


def test_the_changelog_has_a_place_for_what_is_new():
    """What a user notices is told, under this version or under what comes."""
    headings = re.findall(r"^## (.+)$", _read("CHANGELOG.md"), re.MULTILINE)
    assert headings[0] == "Unreleased" or headings[0].startswith(PROJECT["project"]["version"])


@pytest.mark.parametrize("page", DECISIONS, ids=lambda p: p.stem)
def test_a_decision_has_its_parts_in_order_on_one_page(page: Path):
    """Status with its date, context, decision, consequences, rejected."""
    text = page.read_text(encoding="utf-8")
    assert re.match(rf"# {int(page.stem[:4])}\. \S", text)
    assert re.search(r"^\*\*Status:\*\* (accepted|superseded by \d{4}), \d{4}-\d\d-\d\d$", text, re.MULTILINE)
    headings = re.findall(r"^## (\w+)$", text, re.MULTILINE)
    assert [h for h in headings if h != "References"] == ["Context", "Decision", "Consequences", "Rejected"]
    assert len(text.splitlines()) <= A_PAGE


def test_decisions_are_numbered_without_a_gap():
    """No decision is lost, and no two share a number."""
    assert [int(page.stem[:4]) for page in DECISIONS] == list(range(1, len(DECISIONS) + 1))


@pytest.mark.parametrize("folder", ["courts", "remedies", "scopes", "rates", "facts", "curves", "text"])
def test_a_folder_where_people_add_things_has_a_readme(folder: str):
    """It says what to write and when it is finished."""
    assert "**Finished when**" in _read(f"src/courtwright/trade/{folder}/README.md")


# --- locks --------------------------------------------------------------------------------------


def _pins(name: str) -> dict[str, set[str]]:
    """Return the pinned versions by name: more than one where Pythons need different ones."""
    found: dict[str, set[str]] = {}
    for package, version in re.findall(r"^([\w.-]+)==(\S+)", _read(f"requirements/{name}.lock"), re.MULTILINE):
        found.setdefault(package, set()).add(version)
    return found


def _needs(requirements: list[str]) -> set[str]:
    names = (re.match(r"[\w.-]+", need) for need in requirements if isinstance(need, str))
    return {name.group().lower().replace("_", "-") for name in names if name}


@pytest.mark.parametrize("name", ["run", "dev"])
def test_a_lock_pins_everything_by_hash_and_names_no_address_and_no_path(name: str):
    """What is installed is what was tried, wherever it is fetched from."""
    text = _read(f"requirements/{name}.lock")
    blocks = [block for block in re.split(r"\n(?=[a-z])", text) if "==" in block]
    assert len(blocks) >= len(_pins(name)) > 0
    assert [block.splitlines()[0] for block in blocks if "--hash=sha256:" not in block] == []
    assert not re.search(r"https?://|file:|index-url|find-links|(?m:^#)| /", text)


def test_the_locks_hold_what_the_project_asks_for():
    """Each dependency is pinned; the demo's set holds no test tool; both sets agree."""
    run, dev = _pins("run"), _pins("dev")
    assert _needs(PROJECT["project"]["dependencies"]) <= run.keys()
    assert _needs(PROJECT["dependency-groups"]["dev"]) <= dev.keys()
    assert {name for name in run if dev.get(name) != run[name]} == set()
    assert run.keys().isdisjoint({"pytest", "hypothesis", "ruff", "basedpyright"})


def test_the_wheel_is_built_by_what_is_locked():
    """``--no-build-isolation`` builds with the locked hatchling, so that it has to be the one asked for."""
    asked = PROJECT["build-system"]["requires"]
    assert asked == _read("requirements/build.in").split()
    assert {f"{name}=={version}" for name in _needs(asked) for version in _pins("run")[name]} == set(asked)
