"""Rules of this house that no bought tool checks. A mistake seen twice becomes a rule here."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "courtwright"
EDGES = ("api", "cli", "desk", "store")

#: Longest body of a function, its docstring not counted, and longest file. [lines]
LONGEST_FUNCTION = 60
LONGEST_FILE = 500
#: What is longer today, with its length: an entry may shrink or go, never grow, and none is added. [lines]
TOO_LONG_TODAY: dict[str, int] = {}


def _python(*folders: str) -> Iterator[Path]:
    for folder in folders:
        yield from sorted((ROOT / folder).rglob("*.py"))


def _place(file: Path, line: int) -> str:
    return f"{file.relative_to(ROOT)}:{line}"


def _none(offences: list[str]) -> None:
    assert not offences, "\n" + "\n".join(offences)


def _is_core(file: Path) -> bool:
    parts = file.relative_to(SOURCE).parts
    return parts[0] not in EDGES and parts[0].removesuffix(".py") not in (*EDGES, "__main__")


def _core() -> Iterator[Path]:
    return (file for file in _python("src") if _is_core(file))


def _tree(file: Path) -> ast.Module:
    return ast.parse(file.read_text(encoding="utf-8"), filename=str(file))


def _comments(text: str) -> Iterator[tuple[int, str]]:
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string


# --- ignores ------------------------------------------------------------------------------------

_IGNORE = re.compile(
    r"#\s*(?:noqa|type:\s*ignore|pyright:\s*ignore|pragma:\s*no cover)(?P<codes>\S*(?:\s*[A-Z]+\d+,?)*)"
)


def _bare_ignores(text: str) -> list[int]:
    """Return the lines whose ignore names no code, or gives no reason of two words or more."""
    bare = []
    for line, comment in _comments(text):
        found = _IGNORE.search(comment)
        if found is None:
            continue
        reason = re.findall(r"\w+", comment[found.end() :])
        needs_code = "pragma" not in found.group()
        if len(reason) < 2 or (needs_code and not re.search(r"[a-zA-Z]", found["codes"])):
            bare.append(line)
    return bare


def test_an_ignore_carries_its_code_and_its_reason_on_its_line():
    """``noqa``, ``type: ignore``, ``pyright: ignore`` and ``pragma: no cover`` say what for and why."""
    files = _python("src", "tests", "scripts", "benchmarks")
    _none([_place(f, n) for f in files for n in _bare_ignores(f.read_text(encoding="utf-8"))])


@pytest.mark.parametrize(
    ("line", "is_bare"),
    [
        ("x = 1  # no" + "qa", True),
        ("x = 1  # no" + "qa: E501", True),
        ("x = 1  # no" + "qa: E501, N802", True),
        ("x = 1  # no" + "qa: E501 the address is one word", False),
        ("x = 1  # ty" + "pe: ignore", True),
        ("x = 1  # ty" + "pe: ignore[arg-type]", True),
        ("x = 1  # ty" + "pe: ignore[arg-type]  # a dataclass, checked above", False),
        ("x = 1  # py" + "right: ignore[reportX] – the stub is wrong", False),
        ("x = 1  # pra" + "gma: no cover", True),
        ("x = 1  # pra" + "gma: no cover – only on a terminal", False),
        ("x = 1  # what a comment says", False),
    ],
)
def test_the_rule_on_ignores_tells_bare_ones(line: str, is_bare: bool):
    """The rule above sees what it is meant to see."""
    assert bool(_bare_ignores(line + "\n")) is is_bare


# --- purity -------------------------------------------------------------------------------------

_IMPURE_MODULES = {"random", "secrets", "time", "socket", "subprocess", "urllib", "http"}
_IMPURE_NAMES = {"uuid1", "uuid4"}
_IMPURE_CALLS = {
    "datetime.now",
    "datetime.today",
    "datetime.utcnow",
    "date.today",
    "os.environ",
    "os.getenv",
    "sys.argv",
    "sys.stdin",
    "sys.stdout",
    "sys.stderr",
}
#: numpy's own state is global; only what takes a seed or is one may be named.
_RANDOM_WITH_A_SEED = {"Generator", "SeedSequence", "PCG64", "PCG64DXSM", "Philox", "BitGenerator", "default_rng"}


def _impure(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Yield where a module reaches for the clock, the environment, the network or unseeded chance."""
    for node in ast.walk(tree):
        match node:
            case ast.Import(names=names):
                yield from ((node.lineno, a.name) for a in names if a.name.split(".")[0] in _IMPURE_MODULES)
            case ast.ImportFrom(module=str(module)) if module.split(".")[0] in _IMPURE_MODULES:
                yield node.lineno, module
            case ast.ImportFrom(names=names) if _IMPURE_NAMES & {a.name for a in names}:
                yield node.lineno, ast.unparse(node)
            case ast.Attribute(attr=attr) if attr in _IMPURE_NAMES:
                yield node.lineno, attr
            case ast.Attribute():
                name = ast.unparse(node)
                if ".".join(name.split(".")[-2:]) in _IMPURE_CALLS:
                    yield node.lineno, name
                if re.search(r"\brandom\.\w+$", name) and node.attr not in _RANDOM_WITH_A_SEED:
                    yield node.lineno, name
            case ast.Call(func=func, args=[], keywords=[]) if ast.unparse(func).endswith("default_rng"):
                yield node.lineno, "default_rng without a seed"
            case _:
                pass


def test_the_core_reads_no_clock_environment_network_or_unseeded_chance():
    """The same call of the core gives the same answer, on any day and any machine."""
    _none([f"{_place(f, n)} {what}" for f in _core() for n, what in _impure(_tree(f))])


@pytest.mark.parametrize(
    "code",
    [
        "import random",
        "from time import monotonic",
        "dt.datetime.now()",
        "date.today()",
        "os.environ['HOME']",
        "np.random.normal()",
        "np.random.default_rng()",
        "from uuid import uuid4",
        "uuid.uuid1()",
    ],
)
def test_the_rule_on_purity_sees(code: str):
    """The rule above sees what it is meant to see."""
    assert list(_impure(ast.parse(code)))


def test_the_rule_on_purity_lets_pass():
    """A seeded generator, a given date and a sum over time steps are pure."""
    assert not list(_impure(ast.parse("rng = np.random.default_rng(seed)\nday = dt.date(2026, 1, 2)\ntime = 3.0\n")))


_TOUCHES = {"open", "write_text", "write_bytes", "mkdir", "unlink", "rmdir", "touch", "rename"}


def _touches(tree: ast.Module) -> Iterator[int]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            what = ast.unparse(node.func)
            if name in _TOUCHES and "files(" not in what and not what.startswith(("Image.", "zipfile.")):
                yield node.lineno


def test_the_core_leaves_the_disk_alone():
    """Only ``site`` and ``trade`` read files and ``offer`` writes its own, besides what the package itself brings."""
    doors = (SOURCE / "trade", SOURCE / "site", SOURCE / "offer")
    closed = (f for f in _core() if not any(f.is_relative_to(door) for door in doors))
    _none([_place(f, n) for f in closed for n in _touches(_tree(f))])


def test_the_source_prints_nothing():
    """What a person reads goes through ``click.echo`` at the edge, in their language."""
    calls = ((f, node) for f in _python("src") for node in ast.walk(_tree(f)) if isinstance(node, ast.Call))
    _none([_place(f, c.lineno) for f, c in calls if isinstance(c.func, ast.Name) and c.func.id == "print"])


# --- size ---------------------------------------------------------------------------------------


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    return (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef))


def _body_length(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body and body[-1].end_lineno else 0


def _lengths() -> Iterator[tuple[str, int, int]]:
    """Yield every file and function with its length and the longest it may be."""
    for file in _python("src", "tests", "scripts", "benchmarks"):
        text = file.read_text(encoding="utf-8")
        name = str(file.relative_to(ROOT))
        yield name, text.count("\n"), LONGEST_FILE
        # specimens are long lists, and so are the tables of a first migration
        is_list = name.startswith(("tests/", "src/courtwright/store/migrations/versions/0001"))
        for function in () if is_list else _functions(ast.parse(text)):
            yield f"{name} {function.name}", _body_length(function), LONGEST_FUNCTION


def test_files_and_functions_stay_short():
    """A file holds one idea and a function does one thing; what is longer today may only shrink."""
    _none([f"{name}: {n} lines" for name, n, most in _lengths() if n > TOO_LONG_TODAY.get(name, most)])


def test_the_list_of_what_is_too_long_holds_nothing_that_has_shrunk():
    """An entry goes as soon as it is short enough, and falls with its file."""
    now = {name: n for name, n, most in _lengths() if n > most}
    assert {name: n for name, n in TOO_LONG_TODAY.items() if now.get(name, 0) != n} == {}


# --- docstrings ---------------------------------------------------------------------------------

#: Counts and ordinals are whole numbers and need no unit; what is measured does.
_MEASURED = re.compile(r"\b(float|ndarray|NDArray|Measured|Span)\b(?! of (?:bool|int))")
_ENDS_IN_A_UNIT = re.compile(r"\[[^\]]+\]\.?$")


def _entries(docstring: str, section: str) -> Iterator[tuple[str, str, str]]:
    """Yield the entries of a numpydoc section: names, type and description."""
    found = re.search(rf"^{section}\n-+\n(.*?)(?=^\w[^\n]*\n-+$|\Z)", docstring, re.DOTALL | re.MULTILINE)
    lines = found[1].rstrip().split("\n") if found else []
    entry: list[str] = []
    for line in [*lines, "end"]:
        if line and not line.startswith(" "):
            if entry:
                names, _, kind = entry[0].rpartition(" : ")
                yield names, kind, " ".join(part.strip() for part in entry[1:]).strip()
            entry = [line]
        elif entry:
            entry.append(line)


def _without_unit(docstring: str) -> Iterator[str]:
    for section in ("Parameters", "Returns", "Attributes"):
        for names, kind, description in _entries(docstring, section):
            if _MEASURED.search(kind) and "str" not in kind and not _ENDS_IN_A_UNIT.search(description):
                yield names or kind


def _documented(tree: ast.Module) -> Iterator[tuple[int, str, str]]:
    for node in ast.walk(tree):
        is_documented = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        docstring = ast.get_docstring(node) if is_documented else None
        if is_documented and docstring:
            yield node.lineno, node.name, docstring


def test_every_number_in_a_docstring_ends_in_its_unit():
    """Inside the core names carry no unit, so that their docstring has to: ``[m]``, ``[m²]``, ``[-]``."""
    documented = ((f, *rest) for f in _core() for rest in _documented(_tree(f)))
    _none(
        [
            f"{_place(f, line)} {name}: {entry}"
            for f, line, name, docstring in documented
            for entry in _without_unit(docstring)
        ]
    )


def test_the_rule_on_units_sees():
    """A number without its unit is told, one with it passes, and so does what is no number."""
    docstring = (
        "Line.\n\nParameters\n----------\nwidth, depth : float\n    Of the crack. [m]\nslope : float\n    Fall.\n"
        "name : str\n    Whose.\n\nReturns\n-------\nfloat\n    The area,\n    in plan. [m²]\n\nNotes\n-----\nNone.\n"
    )
    assert list(_without_unit(docstring)) == ["slope"]


def _exported(room: Path) -> set[str]:
    """Return the names that a room's ``__init__`` gives to others."""
    if not (room / "__init__.py").is_file():
        return set()
    listed = (n for n in _tree(room / "__init__.py").body if isinstance(n, ast.Assign) and "__all__" in ast.unparse(n))
    return {str(name) for n in listed for name in ast.literal_eval(n.value)}


def _public_functions(file: Path) -> Iterator[ast.FunctionDef]:
    """Yield the functions of a file that other rooms may call: those its room exports, all of a room of one file."""
    parts = file.relative_to(SOURCE).parts
    names = _exported(SOURCE / parts[0]) if len(parts) > 1 else None
    functions = (n for n in _tree(file).body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_"))
    return (fn for fn in functions if names is None or fn.name in names)


def _takes_numbers(function: ast.FunctionDef) -> set[str]:
    arguments = (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)
    return {a.arg for a in arguments if a.annotation and re.fullmatch(r".*\bfloat\b.*", ast.unparse(a.annotation))}


def _named(docstring: str) -> set[str]:
    entries = _entries(docstring, "Parameters")
    return {name.strip(" *") for names, _, _ in entries for name in names.split(",")}


def test_every_public_function_of_the_core_says_the_unit_of_the_numbers_it_takes():
    """A float that a public function of the core takes stands in its Parameters section."""
    functions = ((f, function) for f in _core() for function in _public_functions(f))
    _none(
        [
            f"{_place(f, fn.lineno)} {fn.name}: {name}"
            for f, fn in functions
            for name in sorted(_takes_numbers(fn) - _named(ast.get_docstring(fn) or ""))
        ]
    )


# --- words --------------------------------------------------------------------------------------

#: Each pattern is written so that it does not find itself.
FORBIDDEN = {
    "a note to oneself": r"\b(?:TOD[O]|FIXM[E]|XX[X]|HAC[K])\b",
    "a path of one machine": r"(?<![\w.])/(?:wor[k]|tm[p]|hom[e]|roo[t]|op[t]|User[s])/",
    "the address of a package registry": r"\b(?:pypi|pythonhosted|npmjs|crates|anaconda)\.(?:or[g]|co[m]|i[o])\b",
    "how the project is written": (
        # A browser says what it is, and people sign in for a session: neither wrote the project.
        r"(?i)(?<!user-)\b(?:age[n]t|pro[m]pt|language mo[d]el|chatbo[t])s?\b|\bissue #?\d"
        r"|\b(?:coding|working|writing|earlier|previous) se[s]sion\b"
    ),
}
_READ_NOT_WRITTEN_HERE = (
    "tests/data/",
    "src/courtwright/offer/fonts/",
    "src/courtwright/api/static/",
    "web/src/api/schema",
)
_CLIENT = ("web/src", "web/tests", "web/e2e", "web/build", "web/public", "spec")
_FOLDERS = (".ci", "src", "tests", "scripts", "benchmarks", "docs", "requirements", *_CLIENT)


#: Texts of others, and one that is made at each build.
_LONG = ("LICENSE", "openapi.json", "package-lock.json")


def _texts() -> Iterator[tuple[Path, str]]:
    top = [*ROOT.iterdir(), *(ROOT / "web").iterdir()]
    own = [f for f in top if f.is_file() and not f.name.startswith(".coverage") and f.name not in _LONG]
    below = [f for folder in _FOLDERS for f in (ROOT / folder).rglob("*") if f.is_file()]
    for file in sorted([*own, *below]):
        name = file.relative_to(ROOT).as_posix()
        if name.startswith(_READ_NOT_WRITTEN_HERE) or "__pycache__" in name:
            continue
        try:
            yield file, file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # not a text


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_file_holds(what: str):
    """The project's files speak of the project alone and of no machine."""
    pattern = re.compile(FORBIDDEN[what])
    found = ((file, text, hit) for file, text in _texts() for hit in pattern.finditer(text))
    _none([f"{_place(f, text.count(chr(10), 0, hit.start()) + 1)} {hit.group()}" for f, text, hit in found])


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("a note to oneself", "# TO" + "DO later"),
        ("a path of one machine", "see /ho" + "me/ana/notes"),
        ("the address of a package registry", "https://files.pythonhosted" + ".org/x"),
        ("how the project is written", "as is" + "sue 7 asks"),
    ],
)
def test_the_rule_on_words_sees(what: str, text: str):
    """The rules above see what they are meant to see."""
    assert re.search(FORBIDDEN[what], text)


# --- tests --------------------------------------------------------------------------------------


_CHECKS = re.compile(r"(^|\.)(pytest\.(raises|warns|fail)|raises|warns|benchmark)$")


def _called(function: ast.AST) -> set[str]:
    return {ast.unparse(node.func) for node in ast.walk(function) if isinstance(node, ast.Call)}


def _checkers(trees: list[ast.Module]) -> set[str]:
    """Return the helpers of the tests that check: those with an assert, and those that call one of them."""
    helpers = [fn for tree in trees for fn in _functions(tree) if not fn.name.startswith("test_")]
    found = {fn.name for fn in helpers if any(isinstance(node, ast.Assert) for node in ast.walk(fn))}
    return found | {fn.name for fn in helpers if found & _called(fn)}


def _asserts(function: ast.FunctionDef | ast.AsyncFunctionDef, checkers: set[str]) -> bool:
    """Tell whether a test can fail by itself: an assert, an expected error, or a helper that checks."""
    has_assert = any(isinstance(node, ast.Assert) for node in ast.walk(function))
    return has_assert or any(_CHECKS.search(name) or name in checkers for name in _called(function))


def test_every_test_asserts_something():
    """A test without an assert or an expected error proves nothing."""
    files = list(_python("tests"))
    trees = [_tree(file) for file in files]
    checkers = _checkers(trees)
    tests = ((f, fn) for f, tree in zip(files, trees, strict=True) for fn in _functions(tree))
    of_nothing = ((f, fn) for f, fn in tests if fn.name.startswith("test_") and not _asserts(fn, checkers))
    _none([f"{_place(f, fn.lineno)} {fn.name}" for f, fn in of_nothing])


@pytest.mark.parametrize(
    ("body", "asserts"),
    [("run()", False), ("assert run()", True), ("with pytest.raises(E): run()", True), ("refused(run)", True)],
)
def test_the_rule_on_asserts_sees(body: str, asserts: bool):
    """The rule above sees what it is meant to see."""
    tree = ast.parse(f"def refused(call):\n    assert call() is None\ndef test_it():\n    {body}\n")
    _, test = _functions(tree)
    assert _asserts(test, _checkers([tree])) is asserts


#: Where a file that is too large to carry is looked for; a test that needs one is skipped, and told, without it.
_MAY_SKIP = (ROOT / "tests" / "places.py", Path(__file__))


def test_no_test_is_skipped_for_good():
    """A skip or an expected failure hides a rule; only a file that a clone does not carry may be missing."""
    marks = re.compile(r"pytest\.(?:mark\.)?(?:skip\b(?!if)|xfail|importorskip)")
    files = (file for file in _python("tests") if file not in _MAY_SKIP)
    found = ((file, hit) for file in files for hit in marks.finditer(file.read_text(encoding="utf-8")))
    _none([f"{file.relative_to(ROOT)} {hit.group()}" for file, hit in found])
