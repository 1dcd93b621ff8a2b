"""Accepting is a sentence with a name in it."""

from __future__ import annotations

from courtwright.offer.paper import Paper, Section


def acceptance(paper: Paper) -> Section | None:
    """Return the sentence to sign; none in a budget letter, which nobody can accept."""
    if paper.request.budget:
        return None
    heading = paper.say("acceptance-heading")
    if not any(pad.offered for pad in paper.pads):
        return Section("acceptance", {"heading": heading, "says": [paper.say("acceptance-none")], "signature": ""})
    says = [
        paper.say(
            "acceptance-sentence",
            contractor=paper.request.contractor.name,
            date=paper.date(paper.request.issued_on),
        )
    ]
    for pad in paper.pads:
        if len(pad.offered) == 1:
            only = pad.offered[0]
            says.append(
                paper.say(
                    "acceptance-pad-one",
                    pad=pad.pad.id,
                    letter=only.letter,
                    title=paper.title(only),
                    price=paper.price(only),
                )
            )
        elif pad.offered:
            letters = tuple(f"{o.letter} ({paper.price(o)})" for o in pad.offered)
            says.append(paper.say("acceptance-pad", pad=pad.pad.id, letters=", ".join(letters)))
    if paper.expires_on is not None:
        says.append(paper.say("acceptance-until", date=paper.date(paper.expires_on)))
    return Section("acceptance", {"heading": heading, "says": says, "signature": paper.say("acceptance-signature")})
