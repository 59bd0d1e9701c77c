"""How numbers look in sentences: one convention out, whatever convention came in.

Decimal point, a space before the unit, two decimals for millimetres (a caliper reads 0.01 mm), no sign where a word says the
direction.
"""


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
    whole = round(100 * probability)
    if whole < 1:
        return "under 1 %"
    if whole > 99:
        return "over 99 %"
    return f"{whole} %"


def seconds(value: float) -> str:
    """Return a time such as ``2.6 s`` or ``35 s``."""
    return f"{value:.0f} s" if value >= 10 else f"{value:.1f} s".replace(".0 s", " s")
