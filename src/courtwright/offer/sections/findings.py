"""What was found, in full, what caused it, and the photos."""

from __future__ import annotations

from courtwright.offer.offered import PadOffer
from courtwright.offer.paper import Paper, Section
from courtwright.offer.photos import shown_photos, title_of, upright_size
from courtwright.offer.sections.summary import nothing_said
from courtwright.site.record import Photo
from courtwright.trade.load import rating_bands
from courtwright.trade.words import as_sentence
from courtwright.verdict.records import Cause, ConditionIndex


def findings(paper: Paper) -> Section | None:
    """Return every finding of every pad with its causes, and the photos that were given."""
    if paper.is_small:
        return None
    shown, files, notes = _photos(paper)
    return Section(
        "findings",
        {
            "heading": paper.say("findings-heading"),
            "pads": [_pad(paper, pad) for pad in paper.pads],
            "causes_heading": paper.say("causes-heading"),
            "photos_heading": paper.say("photos-heading"),
            "photos": shown,
            "notes": notes,
        },
        files,
    )


def _pad(paper: Paper, pad: PadOffer) -> dict[str, object]:
    index = pad.verdict.condition_index
    return {
        "heading": paper.say("pad-heading", pad=pad.pad.id),
        "says": paper.sentences(f.says for f in pad.verdict.findings) or [nothing_said(paper, pad)],
        "index": _index(paper, index) if index is not None else "",
        "causes": [_cause(paper, cause) for cause in sorted(pad.verdict.causes, key=lambda c: (-c.strength, c.cause))],
    }


def _index(paper: Paper, index: ConditionIndex) -> str:
    names = {band.word.en: band.word for band in rating_bands()}
    rating = getattr(names[index.rating], paper.request.language) if index.rating in names else index.rating
    return paper.say("index-line", value=index.value, rating=rating, standard=index.standard)


def _cause(paper: Paper, cause: Cause) -> dict[str, object]:
    return {
        "cause": as_sentence(paper.name(f"causes.{cause.cause}.title", cause.cause)),
        "evidence": paper.sentences(cause.evidence_for),
    }


def _photos(paper: Paper) -> tuple[list[dict[str, object]], dict[str, bytes], list[str]]:
    shown: list[dict[str, object]] = []
    files: dict[str, bytes] = {}
    notes: list[str] = []
    contents = paper.request.photos
    pictures = shown_photos(paper.request.site.photos, contents)
    for photo, file, picture in pictures:
        name = title_of(photo)
        if picture is None:
            notes.append(paper.say("photo-unreadable", name=name))
            continue
        files[file] = picture
        wide, high = upright_size(picture)
        shown.append(
            {
                "tall": high > wide,
                "file": file,
                "alt": paper.say("photo-alt", name=name),
                "caption": photo_caption(paper, photo),
            }
        )
    left_out = sum(photo.name in contents for photo in paper.request.site.photos) - len(pictures)
    if left_out > 0:
        notes.append(paper.say("photos-left-out", count=left_out))
    return shown, files, notes


def photo_caption(paper: Paper, photo: Photo) -> str:
    """Return what stands under a photo: its name, and when it was taken where it tells."""
    name, taken = title_of(photo), photo.taken_at
    if taken is None:
        return paper.say("photo-caption-bare", name=name)
    return paper.say("photo-caption", name=name, date=paper.date(taken.date()), time=f"{taken:%H:%M}")
