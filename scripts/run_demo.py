"""Do the demo job: write the demo site and its offer, and print on one screen what came of it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

SITE, OFFER = Path("demo-site"), Path("demo-offer")
#: What the demo writes besides the site; a folder with anything else in it is left alone.
PROGRAM = Path(sys.executable).with_name("courtwright")


def run(*arguments: str) -> dict[str, object]:
    """Return the answer of one command; its complaints go to standard error as they would for anyone."""
    done = subprocess.run([PROGRAM, *arguments, "--json"], stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        sys.exit(done.returncode)
    return json.loads(done.stdout)


def main() -> None:
    """Write the site anew, judge it, price it, write the offer, and say where everything is."""
    if SITE.exists():
        if not (SITE / "site.toml").is_file():
            sys.exit(f"{SITE} is there and is not the demo site: move it away, then run make demo again")
        shutil.rmtree(SITE)
    run("demo", str(SITE))
    verdict = run("verdict", str(SITE))
    price = run("price", str(SITE))
    offer = run("offer", str(SITE), "--out", str(OFFER), "--start", "2026-06-22")
    for pad, priced in zip(verdict["pads"], price["pads"], strict=True):
        tell(pad, {option["id"]: option for option in priced["options"]})
    print("Written:")
    print(f"  {SITE}/  the site as walked: site.toml, marks.geojson, shots, photos")
    for name in offer["files"]:
        print(f"  {OFFER}/{name}")


def tell(pad: dict[str, object], priced: dict[str, dict[str, object]]) -> None:
    """Print one pad: what was found, every option's state and firm price, the advice."""
    print(f"Pad {pad['id']}")
    for finding in pad["findings"][:5]:
        print(f"  {finding['says']}")
    for option in pad["options"]:
        price = priced.get(option["id"])
        firm = f"${price['firm_price']:>9,.0f}" if price else " " * 10
        mark = "  <- our advice" if option["id"] == pad["recommended"] else ""
        print(f"  {option['title'][:48]:48} {option['state']:10} {firm}{mark}")
    print()


if __name__ == "__main__":
    main()
