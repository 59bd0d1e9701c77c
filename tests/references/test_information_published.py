"""Published information gains through the function that ranks the next checks."""

from collections import Counter

import numpy as np
import pytest

from core.diagnosis.gain import entropy_bits, information_gain

# Quinlan, Machine Learning 1 (1986) 81; Mitchell, Machine Learning (1997), table 3.2.
# Outlook, temperature, humidity, wind, play.
PLAY_TENNIS = """
sunny hot high weak no
sunny hot high strong no
overcast hot high weak yes
rain mild high weak yes
rain cool normal weak yes
rain cool normal strong no
overcast cool normal strong yes
sunny mild high weak no
sunny cool normal weak yes
rain mild normal weak yes
sunny mild normal strong yes
overcast mild high strong yes
overcast hot normal weak yes
rain mild high strong no
"""


def tabulate(pairs):
    counts = Counter(pairs)
    states = sorted({state for state, _ in counts})
    outcomes = sorted({outcome for _, outcome in counts})
    table = np.array([[counts[state, outcome] for outcome in outcomes] for state in states], dtype=np.float64)
    return table / table.sum()


@pytest.mark.parametrize(
    ("column", "bits"),
    [(0, 0.246), (1, 0.029), (2, 0.151), (3, 0.048)],
    ids=["outlook", "temperature", "humidity", "wind"],
)
def test_the_gains_of_the_tennis_table(column, bits):
    """Mitchell 1997, 3.4.1 (quoted); the book truncates, hence the tolerance of 1e-3."""
    rows = [line.split() for line in PLAY_TENNIS.split("\n") if line]
    assert float(information_gain(tabulate((row[4], row[column]) for row in rows))) == pytest.approx(bits, abs=1e-3)


def test_the_entropy_of_the_tennis_table():
    """Mitchell 1997, 3.4.1 (quoted): nine days of play out of fourteen have .940 bits."""
    assert float(entropy_bits(np.array([9, 5]) / 14)) == pytest.approx(0.940, abs=1e-3)


@pytest.mark.parametrize(("each_side", "bits"), [(4, np.log2(3)), (6, 1.0), (5, 1.483)])
def test_the_first_weighing_of_twelve_balls(each_side, bits):
    """MacKay 2003, section 4.1 (value from memory, recomputed): one ball of twelve is odd, heavier or lighter."""

    def weigh(ball, excess):
        if ball < each_side:
            return excess
        return -excess if ball < 2 * each_side else 0

    joint = tabulate(((ball, excess), weigh(ball, excess)) for ball in range(12) for excess in (-1, 1))
    assert float(information_gain(joint)) == pytest.approx(bits, abs=5e-4)
