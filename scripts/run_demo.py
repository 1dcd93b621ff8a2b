"""Do the demo job: write the demo site and its offer, and print on one screen what came of it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

SITE, OFFER = Path("demo-site"), Path("demo-offer")
PROGRAM = Path(sys.executable).with_name("courtwright")
#: Of each pad; the offer holds them all.
FINDINGS = 3
WIDE = 80


def run(*arguments: str) -> dict[str, object]:
    """Return the answer of one command; its complaints go to standard error as they would for anyone."""
    done = subprocess.run([PROGRAM, *arguments, "--json"], stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        sys.exit(done.returncode)
    return json.loads(done.stdout)


def main() -> None:
    """Write the site anew, judge it, write the offer, and say where everything is."""
    if SITE.exists():
        if not (SITE / "site.toml").is_file():
            sys.exit(f"{SITE} is there and is not the demo site: move it away, then run make demo again")
        shutil.rmtree(SITE)
    run("demo", str(SITE))
    price = run("price", str(SITE))
    written = run("offer", str(SITE), "--out", str(OFFER), "--start", "2026-06-22")
    offer = json.loads((OFFER / "offer.json").read_text(encoding="utf-8"))
    for pad, priced in zip(offer["pads"], price["pads"], strict=True):
        tell(pad, {option["id"]: option["price"] for option in priced["options"]})
    print(filled("Firm prices; in brackets P10 to P90, for the estimator alone.", ""))
    print(f"Written: {SITE}/ (the site as walked) and")
    print(filled("  ".join(f"{OFFER}/{name}" for name in written["files"])))


def tell(pad: dict[str, object], ranges: dict[str, dict[str, float]]) -> None:
    """Print one pad: what was found, what is advised and why, what is offered at which price, what is not."""
    print(filled(f"Pad {pad['id']}: {' '.join(pad['findings'][:FINDINGS])}", ""))
    print(filled(f"Our advice: {pad['advice'][0]}"))
    for option in pad["options"]:
        name, likely = f"{option['letter']}. {option['title']}", ranges[option["id"]]
        print(f"  {name[:43]:43} ${option['firm_price']:>8,.0f}  ({likely['p10']:,.0f} to {likely['p90']:,.0f})")
    for state, words in (("ruled out", "Ruled out"), ("open if", "Not decided"), ("open", "Possible too")):
        titles = [option["title"] for option in pad["not_offered"] if option["state"] == state]
        if titles:
            print(filled(f"{words}: {'; '.join(titles)}."))
    print()


def filled(text: str, indent: str = "  ") -> str:
    """Return a text in lines no wider than a terminal, those after the first set in."""
    return textwrap.fill(text, WIDE, initial_indent=indent, subsequent_indent="  ", break_on_hyphens=False)


if __name__ == "__main__":
    main()
