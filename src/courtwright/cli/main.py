"""The command ``courtwright``: knows its commands by name and loads one only when it is asked for.

Nothing is imported here but what the overview needs, so that it is there at once.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module

from courtwright.cli.commands import COMMANDS

_OVERVIEW = """Usage: courtwright COMMAND [OPTIONS] [ARGUMENTS]

For the estimator of a sport-court contractor: from a site walk to an offer.

Commands:
{commands}

Options:
  --version   print the version
  -h, --help  print this; courtwright COMMAND --help prints a command's own

Examples:
  courtwright demo demo-site
  courtwright check demo-site
  courtwright verdict demo-site --json
  courtwright offer demo-site --out demo-offer

Results are an aid: local codes and licensed professionals decide.
"""

#: Set by a shell that asks for completions.
_COMPLETE = "_COURTWRIGHT_COMPLETE"


def overview() -> str:
    """Return the help of the whole program."""
    return _OVERVIEW.format(commands="\n".join(f"  {name:<11} {does}" for name, does in COMMANDS.items()))


def main() -> None:
    """Run the command line; the exit codes are those of the contract."""
    # A pad's matrices are small: a second thread of the linear algebra waits more than it works.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        sys.exit(_run(sys.argv[1:]))
    except Exception as error:
        from courtwright.cli.fault import report

        sys.exit(report(error))


def _run(arguments: list[str]) -> int:
    if _COMPLETE in os.environ:
        from courtwright.cli.tree import courtwright

        courtwright.main(prog_name="courtwright", complete_var=_COMPLETE)
    name, *rest = arguments or ["--help"]
    if name in ("-h", "--help"):
        sys.stdout.write(overview())
        return 0
    if name == "--version":
        from importlib.metadata import version

        sys.stdout.write(f"courtwright {version('courtwright')}\n")
        return 0
    if name not in COMMANDS:
        sys.stderr.write(_unknown(name))
        return 2
    import_module(f"courtwright.cli.{name}").command.main(rest, prog_name=f"courtwright {name}")
    return 0


def _unknown(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, n=1)
    hint = f"did you mean {near[0]}? " if near else ""
    return f"courtwright: no command is called {name}; {hint}the commands are {', '.join(COMMANDS)}\n"
