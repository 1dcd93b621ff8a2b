"""A site told otherwise is the same site: same options, states, advice and price."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import pytest

from courtwright.ground import read_ground
from courtwright.job.estimate import Estimate, estimate
from courtwright.job.judging import judged
from courtwright.site import read_site
from courtwright.verdict.records import PadVerdict
from tests import demo_variants

DEMO = Path(demo_variants.__file__).parents[1] / "src/courtwright/site/demo_site"


@pytest.fixture(scope="module")
def demo() -> Estimate:
    return estimate(read_site(DEMO))


def states(verdict: PadVerdict) -> dict[str, tuple[str, tuple[str, ...]]]:
    return {option.id: (option.state, option.remedies) for option in verdict.options}


@pytest.mark.parametrize("name", sorted(demo_variants.SAME))
def test_told_otherwise_it_is_the_same_site(name: str, demo: Estimate, tmp_path: Path) -> None:
    """Firm price within 0.5 %, percentiles within 1 %."""
    vary: Callable[[Path, Path], Path] = demo_variants.SAME[name]
    made = estimate(read_site(vary(DEMO, tmp_path / "site")))
    pads = dict(zip((pad.id for pad in demo.record.pads), made.record.pads, strict=True))
    if name == "swapped":
        pads = {pad.id: pad for pad in made.record.pads}
    told = {
        pad.id: (verdict, made.priced[pad.id]) for pad, verdict in zip(made.record.pads, made.verdict.pads, strict=True)
    }
    for before in demo.verdict.pads:
        after, priced = told[pads[before.id].id]
        assert states(after) == states(before)
        assert after.recommended == before.recommended
        assert [finding.id for finding in after.findings] == [finding.id for finding in before.findings]
        for (_, old), (_, new) in zip(demo.priced[before.id], priced, strict=True):
            assert float(new.firm_price) == pytest.approx(float(old.firm_price), rel=0.005)
            for percentile in ("p10", "p50", "p80", "p90"):
                assert getattr(new.price, percentile) == pytest.approx(getattr(old.price, percentile), rel=0.01)


def verdicts(site: Path) -> dict[str, PadVerdict]:
    record = read_site(site)
    return {pad.id: pad for pad in judged(record, read_ground(record)).pads}


def test_the_two_pads_get_different_advice_for_the_right_reasons(demo: Estimate) -> None:
    """Upper is rebuilt because pieces are free, rock and roots moved the base; lower is repaired."""
    upper, lower = demo.verdict.pads
    assert (upper.recommended, lower.recommended) == ("pulverise-and-pave", "repair")
    shut = {because.rule for because in upper.option("overlay").because if because.effect == "rules out"}
    assert {"overlay/free-pieces", "overlay/rocking-pieces", "overlay/root-heave"} <= shut
    assert "root-barrier" in upper.option("pulverise-and-pave").remedies
    assert {"membrane-repair", "replace-membrane", "lower-side", "level-low-spots"} <= set(
        lower.option("repair").remedies
    )


def test_without_free_pieces_the_roots_alone_decide(tmp_path: Path) -> None:
    """On upper without free pieces, taking away the roots alone changes what is open."""
    whole = demo_variants.without_free_pieces(DEMO, tmp_path / "whole")
    bare = demo_variants.without_trees(whole, tmp_path / "bare")
    rooted, rootless = verdicts(whole)["upper"], verdicts(bare)["upper"]
    assert not rooted.facts["free_piece_share"].value.is_above(0.0)
    assert rooted.option("overlay").state == "ruled out"
    assert rootless.option("overlay").state == "open"
    shut = {because.rule for because in rooted.option("overlay").because if because.effect == "rules out"}
    assert shut == {"overlay/root-heave"}


def needs(verdict: PadVerdict) -> list[tuple[str, tuple[tuple[str, str], ...]]]:
    return [
        (option.id, tuple((flip.fact, flip.needs) for flip in flips))
        for option in verdict.options
        for flips in option.opens_if
    ]


@pytest.mark.parametrize("pad", ["upper", "lower"])
def test_each_set_given_as_answers_opens_its_option(pad: str, demo: Estimate, tmp_path: Path) -> None:
    """Through the site folder, as a person would answer: the set flips its option, the set less one fact does not.

    Answers change no reading of the ground, so the ground is read once.
    """
    (before,) = (verdict for verdict in demo.verdict.pads if verdict.id == pad)
    assert needs(before)

    def state(option: str, answers: dict[str, str], number: int) -> str:
        record = read_site(demo_variants.answering(DEMO, tmp_path / str(number), pad, answers))
        (after,) = (verdict for verdict in judged(record, demo.reading).pads if verdict.id == pad)
        return after.option(option).state

    trials = itertools.count()
    for option, changes in needs(before):
        assert state(option, dict(changes), next(trials)) == "open", (option, changes)
        for left_out, _ in changes:
            fewer = {fact: need for fact, need in changes if fact != left_out}
            assert state(option, fewer, next(trials)) != "open", (option, left_out)
