"""Counts of confirmed cases and the values before them in, the values after them out.

Chances are Beta-distributed: a value with its weight in cases stands for weight × value cases with and
weight × (1 - value) without, and counted cases are added (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.4). This
file must never know names, communities or time.
"""

from dataclasses import dataclass, replace

import numpy as np

from core.learning.lessons import Counts, Floats

ROUNDS = 40
"""Rounds of expectation and update. A fixed number, so that the same cases give the same digits."""


@dataclass(frozen=True, slots=True, eq=False)
class Chances:
    """The values of a network of C causes and F findings.

    Attributes:
        prior: Shape (C,).
        link: Shape (F, C), 0 where there is none.
        leak: Shape (F,); not learned.
    """

    prior: Floats
    link: Floats
    leak: Floats


def update(before: Chances, counts: Counts, prior_weight: float, link_weight: float | Floats) -> Chances:
    """Return the posterior means of priors and links.

    Priors learn which causes are frequent, not how many there are in a case: counts are scaled so that the priors keep
    their sum. Confirmed cases are those in which something was wrong and seen, and a helper may stop at the first cause
    found; how many causes they hold says how they came about.

    A link cannot be counted directly: with several causes, or a leak, it is not seen which one made a finding, and most
    of what is absent is never told. So links are updated by expected counts (Dempster, Laird & Rubin 1977):

    * of a finding with chance q under the confirmed causes, a cause with link w made it with probability w/q;
    * a finding that was not told was there with probability (1-r)q / ((1-r)q + (1-s)(1-q)), where r and s are the
      chances that a presence and an absence of this finding is told. Both are estimated along with the links, since
      people tell what they see and rarely what they do not: to count only what was told would drive every link
      towards 1.

    A link for which nothing was counted stays as it was.

    Args:
        before: Values before.
        counts: What was counted.
        prior_weight: How many cases the priors before are worth.
        link_weight: How many cases with a cause its links are worth: one number, or one for each cause, shape (C,).
    """
    cases = counts.cases.sum()
    held = counts.sets.T @ counts.cases
    # No lessons divide nothing by one; no cause is counted in more cases than there are.
    scale = before.prior.sum() * cases / max(held.sum(), 1.0)
    prior = (prior_weight * before.prior + np.minimum(scale * held, cases)) / (prior_weight + cases)
    untold = counts.cases[:, None] - counts.seen - counts.absent
    told, told_absent = counts.seen.sum(axis=0), counts.absent.sum(axis=0)
    link = before.link
    shows = stays_untold = absent_untold = np.full(len(before.leak), 0.5)
    for _ in range(ROUNDS):
        q = chance_of_findings(replace(before, link=link), counts.sets)
        shows = stays_untold * q
        present = counts.seen + untold * shows / (shows + absent_untold * (1.0 - q))
        # One told and one untold case more than counted: neither chance may become 0 or 1.
        stays_untold = 1.0 - (told + 1.0) / (present.sum(axis=0) + 2.0)
        absent_untold = 1.0 - (told_absent + 1.0) / ((counts.cases[:, None] - present).sum(axis=0) + 2.0)
        made = link * ((present / q).T @ counts.sets)
        link = (link_weight * before.link + made) / (link_weight + held)
    return replace(before, prior=prior, link=link * (before.link > 0))


def chance_of_findings(chances: Chances, sets: Floats) -> Floats:
    """Return the chance of each finding, shape (G, F), when the causes of each set, shape (G, C), hold: noisy-OR."""
    kept = np.log1p(-chances.leak) + sets @ np.log1p(-chances.link).T
    return np.asarray(-np.expm1(kept))


def bound(values: Chances, starting: Chances, odds_factor: float) -> Chances:
    """Return the values with all odds at most ``odds_factor`` times larger or smaller than the starting odds."""
    return replace(
        values,
        prior=_bounded(values.prior, starting.prior, odds_factor),
        link=_bounded(values.link, starting.link, odds_factor),
    )


def _bounded(values: Floats, starting: Floats, factor: float) -> Floats:
    odds = starting / (1.0 - starting)
    low, high = odds / factor, odds * factor
    return np.asarray(np.clip(values, low / (1.0 + low), high / (1.0 + high)))
