"""Parts of the page for the bench: what to change, the steps, a batch, the layout, what the readings say."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from detentsim import show
from detentsim.analysis.in_hand.advise.chances.plan_words import outcome_words
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS, label
from detentsim.show.in_hand.advise.knife import verdict_words as knife_words
from detentsim.show.in_hand.advise.report import TOLD
from detentsim.show.in_hand.advise.verdict import chance_words, in_short, joined, joined_with_needs, made_so, verdict
from detentsim.show.in_hand.fit.report import input_rows, next_words, reading_rows
from detentsim.show.in_hand.fit.report import verdict_words as fit_words
from detentsim.show.in_hand.report.markup import Html, join, listed, number, rows_table, said, section, tag
from detentsim.show.in_hand.report.pictures import Drawing, drawings
from detentsim.show.many_builds.batch.report import (
    aim_words,
    depends_rows,
    depends_title,
    hold_title,
    hold_words,
    inside_words,
    outside_rows,
    spread_words,
)
from detentsim.show.many_builds.batch.words import capability_meaning, verdict_words
from detentsim.show.one_build.layout.report import distance_rows
from detentsim.show.one_build.layout.words import (
    best_words,
    hole_words,
    overclose_words,
    pin_words,
    place_words,
    way_words,
)

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.analysis.in_hand.report.report import Report
    from detentsim.analysis.many_builds.batch.findings import Findings


# Proposals whose steps are given.
STEPS = 2


def advice_part(r: Report) -> Html:
    """What to change, the best first, and what does not get there.

    Parameters
    ----------
    r : Report
    """
    advice = r.advice
    if advice is None:
        none = "Nothing is advised, for the build sets no target: write one under [target], such as a band of breakout."
        return section("advice", "What to do", said([none]))
    first = knife_words(advice) if r.fit is not None else _in_short(advice)
    whom = "For the knife that was read." if r.fit is not None else "For the build as drawn."
    wanted = f"{whom} Wanted: {'; '.join(aim.said(advice.build.units) for aim in advice.aims)}."
    proposals = [_proposal(advice, i) for i in range(len(advice.proposals[:TOLD]))]
    near = [f"{joined(p)}: {p.reason}" for p in advice.others if p.reason != NO_HELP]
    rest = join([tag("h3", "What does not get there, the nearest first"), listed(near)]) if near else ""
    return section("advice", "What to do", said(first), said([wanted]), listed(proposals, True), _map(advice), rest)


def _in_short(advice: Advice) -> tuple[str, ...]:
    """The verdict of advice on a build, its best change in a few words, since the list tells it whole."""
    if advice.best is None:
        return verdict(advice)
    return (f"Best change: {in_short(advice.best)}.", *verdict(advice)[1:])


def _proposal(advice: Advice, i: int) -> Html:
    p = advice.proposals[i]
    parts = [tag("strong", f"{joined_with_needs(p)}."), tag("span", f" {_what_it_gives(advice, i)}")]
    whose = "knives made to the drawing" if advice.knives is None else "the knives that fit the readings"
    able = i < STEPS and (advice.knives is not None or not p.undo)
    steps = _steps(p, whose) if able else ""
    return join([*parts, *(tag("span", f" Then: {FLAGS[flag]}") for flag in p.flags), steps])


def _what_it_gives(advice: Advice, i: int) -> str:
    """What a proposal comes to: for the knife on the bench its chances, else the middle and its share inside."""
    p = advice.proposals[i]
    if advice.knives is not None:
        return chance_words(p)
    return f"{p.reason} {made_so(advice, i)}".rstrip()


def _steps(p: Proposal, whose: str) -> Html:
    if not p.steps or p.plan is None:
        return Html("")
    return listed([*p.steps, outcome_words(p.plan, whose)], ordered=True)


def _map(advice: Advice) -> Html:
    """The map of the two chief moves; nothing where there is none to draw."""
    if advice.field is None:
        return Html("")
    words = "What is wanted (framed) over the two chief moves, where this build stands, and the way that is advised."
    return drawings(Drawing("map", partial(show.decision, advice), 100, words, left=14, right=14, bottom=10))


def steps_part(r: Report) -> Html:
    """Steps at the bench, each with what to read and where to stop and try.

    Parameters
    ----------
    r : Report
    """
    size, pull, bench = r.build.units.size, r.build.units.pull, r.curve.bench
    head = ("fed from first touch", "loose ball stands proud", "breakout would be")
    tries = "curve", "bench", "rim_tries"
    rows = [
        (
            number(size(t.feed), t.feed, *tries, i, "feed_mm"),
            number(size(t.height), t.height, *tries, i, "loose_ball_height_mm"),
            number(pull(t.breakout), t.breakout, *tries, i, "breakout_N"),
        )
        for i, t in enumerate(bench.tries)
    ]
    steps = []
    for step in bench.steps:
        table = rows_table(head, rows) if step.do.startswith("Second drill") else ""
        stop = f"Stop and try. {step.stop}" if step.stop else ""
        steps.append(join([tag("strong", step.do), said([step.read]), table, said([stop])]))
    return section("steps", "At the bench", listed(steps, ordered=True))


def batch_part(r: Report) -> Html:
    """Knives made to one drawing: how many are inside, why others are not, where to aim, what to hold.

    Parameters
    ----------
    r : Report
    """
    found = r.batch
    if found is None:
        return Html("")
    return section(
        "batch",
        "Made more than once",
        said([verdict_words(found), inside_words(found)]),
        _batch_drawings(found),
        _titled("What the others miss (a knife may miss several)", _outside(found)),
        _titled("Nine knives in ten lie between", _spread(found)),
        *(_titled(depends_title(name), _depends(found, name)) for name in found.matters),
        _titled("Where to aim", said(aim_words(found))),
        _titled(hold_title(found), said(hold_words(found))),
    )


def _titled(title: str, part: Html) -> Html:
    return join([tag("h3", title), part]) if part else Html("")


def _outside(found: Findings) -> Html:
    why = found.batch.outside
    rows = outside_rows(found).items()
    cells = [(number(share, float(why[key].mean()), "batch", "outside", key), words) for key, (share, words) in rows]
    return rows_table((), cells)


def _spread(found: Findings) -> Html:
    rows = [(label(name), words) for name in found.batch.results if (words := spread_words(found, name))]
    meaning = capability_meaning(" ".join(words for _, words in rows))
    return join([rows_table((), rows), said([meaning] if meaning else [])]) if rows else Html("")


def _depends(found: Findings, name: str) -> Html:
    inputs, at = found.matters[name].inputs, ("batch", "matters", name, "inputs")
    rows = depends_rows(found, name).items()
    return rows_table((), [(key, number(words, inputs[key].in_all, *at, key, "in_all")) for key, words in rows])


def _batch_drawings(found: Findings) -> Html:
    dots = f"A dot for each knife over its {label(found.chief)}."
    felt, bars = "The range of the feel curve.", "What the spread depends on, the most first."
    return drawings(
        Drawing("dots", partial(show.knife_dots, found), 55, dots, left=4),
        Drawing("felt", partial(show.force_range, found), 62, felt),
        Drawing("bars", partial(show.index_bars, found), 62, bars, left=36, bottom=14),
    )


def layout_part(r: Report) -> Html:
    """The ball's path on the tang; nothing where the build has no layout.

    Parameters
    ----------
    r : Report
    """
    found = r.layout
    if found is None:
        return Html("")
    words = [place_words(found), way_words(found), hole_words(found), pin_words(found)]
    plan, places = "The tang in plan with the ball's path.", "Other places for the ball on the bar."
    return section(
        "layout",
        "Where the ball runs",
        drawings(
            Drawing("plan", partial(show.tang_plan, found), 80, plan),
            Drawing("places", partial(show.places_map, found), 90, places, top=14),
        ),
        said([fault.words for fault in found.faults], "fault"),
        said([*words, overclose_words(found), best_words(found)]),
        rows_table(*distance_rows(found)),
    )


def fit_part(r: Report, customer: bool) -> Html:
    """What the readings say of the knife on the bench; nothing without readings.

    Parameters
    ----------
    r : Report
    customer : bool
        Whether to leave out what the knife's sizes likely are, and what to read next.
    """
    fit = r.fit
    if fit is None:
        return Html("")
    first = said([fit_words(fit, "breakout_force")])
    more = [] if customer else _more_of_fit(fit)
    return section("fit", "This knife, as read", first, rows_table(*reading_rows(fit)), *more)


def _more_of_fit(fit: Fit) -> list[Html]:
    conflicts = said([f"Check: {one.words}." for one in fit.conflicts], "fault")
    following = listed(map(next_words, fit.next_readings("breakout_force")))
    tied = said([f"The readings cannot separate these: {pair.words}." for pair in fit.tied])
    sizes = rows_table(*input_rows(fit, full=True))
    return [conflicts, _titled("What its sizes likely are", sizes), tied, _titled("Read next", following)]
