"""How numbers look in sentences: one convention out, whatever convention came in.

Decimal point, a space before the unit, two decimals for millimetres (a caliper reads 0.01 mm), no sign where a word
says the direction.
"""

import math

LEAST = 0.01
"""Probabilities are said no closer to 0 or 1 than this."""
MOST_TIMES = 100.0
WHOLE_FROM = 10
"""From here on a decimal says nothing more."""


def mm(value: float) -> str:
    """Return a length such as ``0.46 mm``; never ``-0.00 mm``."""
    return f"{round(value, 2) + 0.0:.2f} mm"


def mm_range(low: float, high: float) -> str:
    """Return an interval such as ``0.43 to 0.50 mm``; a negative low end is spelled ``-0.02 to 0.05 mm``."""
    return f"{round(low, 2) + 0.0:.2f} to {mm(high)}"


def percent(probability: float) -> str:
    """Return a probability as a person says it: ``85 %``, ``under 1 %``, ``over 99 %``.

    Never more certain than that: the priors it rests on are elicited from practice.
    """
    if probability < LEAST:
        return f"under {LEAST:.0%}".replace("%", " %")
    if probability > 1 - LEAST:
        return f"over {1 - LEAST:.0%}".replace("%", " %")
    return f"{100 * probability:.0f} %"


def roughly(probability: float) -> str:
    """Return ``about 85 %``, or ``over 99 %`` where "about" would say nothing."""
    said = percent(probability)
    return said if said.startswith(("under", "over")) else f"about {said}"


def times(log_odds: float) -> str:
    """Return by what factor a log-odds moves the odds, such as ``3.2`` or ``40``; at most ``MOST_TIMES``."""
    factor = min(math.exp(abs(log_odds)), MOST_TIMES)
    return f"{factor:.0f}" if factor >= WHOLE_FROM else f"{factor:.1f}"


def seconds(value: float) -> str:
    """Return a time such as ``2.6 s`` or ``35 s``."""
    return f"{value:.0f} s" if value >= WHOLE_FROM else f"{value:.1f} s".replace(".0 s", " s")
