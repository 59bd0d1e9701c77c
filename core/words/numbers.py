"""How numbers look in sentences: one convention out, whatever language and whatever convention came in.

Decimal point in every language, since that is what a caliper shows and what can be typed back; a space before the
unit; two decimals for millimetres (a caliper reads 0.01 mm); no sign where a word says the direction. The few words
around a number ("under", "to") come from the language files.
"""

import math

from core.words.catalogue import Words

LEAST = 0.01
"""Probabilities are said no closer to 0 or 1 than this."""
MOST_TIMES = 100.0
WHOLE_FROM = 10
"""From here on a decimal says nothing more."""


def mm(value: float) -> str:
    """Return a length such as ``0.46 mm``; never ``-0.00 mm``."""
    return f"{round(value, 2) + 0.0:.2f} mm"


def mm_range(low: float, high: float, words: Words) -> str:
    """Return an interval such as ``0.43 to 0.50 mm``; a negative low end is spelled ``-0.02 to 0.05 mm``."""
    return between(f"{round(low, 2) + 0.0:.2f}", mm(high), words)


def between(low: str, high: str, words: Words) -> str:
    """Return ``low to high`` in the language's way; the unit stands once, in ``high``."""
    return words.say("numbers.range", low=low, high=high)


def percent(probability: float, words: Words) -> str:
    """Return a probability as a person says it: ``85 %``, ``under 1 %``, ``over 99 %``.

    Never more certain than that: the priors it rests on are elicited from practice.
    """
    if probability < LEAST:
        return words.say("numbers.under", value=_percent(LEAST))
    if probability > 1 - LEAST:
        return words.say("numbers.over", value=_percent(1 - LEAST))
    return _percent(probability)


def roughly(probability: float, words: Words) -> str:
    """Return ``about 85 %``, or ``over 99 %`` where "about" would say nothing."""
    said = percent(probability, words)
    return words.say("numbers.about", value=said) if LEAST <= probability <= 1 - LEAST else said


def times(log_odds: float) -> str:
    """Return by what factor a log-odds moves the odds, such as ``3.2`` or ``40``; at most ``MOST_TIMES``."""
    factor = min(math.exp(abs(log_odds)), MOST_TIMES)
    return f"{factor:.0f}" if factor >= WHOLE_FROM else f"{factor:.1f}"


def seconds(value: float) -> str:
    """Return a time such as ``2.6 s`` or ``35 s``."""
    return f"{value:.0f} s" if value >= WHOLE_FROM else f"{value:.1f} s".replace(".0 s", " s")


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
