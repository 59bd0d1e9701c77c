"""What suggestions cost while somebody types, beside ranking the same names by one library call and nothing else.

Run: ``python tests/benchmarks/suggestions_cost.py`` with the project's root on PYTHONPATH. Processor time, median of
many calls, measured in one run; prints what was measured.
"""

import statistics
import time

from rapidfuzz import fuzz, process

from core.intake.sentences import load_sentence_lexicon
from core.intake.suggestion_lists import build_suggestions, load_called
from core.intake.suggestions import suggest
from core.knowledge import load_knowledge
from core.words import languages, load_words

TYPED = ("shiny", "supports snapped on the plate", "glozzy raftt witout suports", "q" * 2000, "shiny, " * 50)
CALLS = 50


def spent(work) -> float:
    """Return the median processor time of a call, ms."""
    times = []
    for _ in range(CALLS):
        begun = time.process_time()
        work()
        times.append(1000 * (time.process_time() - begun))
    return statistics.median(times)


def main() -> None:
    knowledge = load_knowledge()
    print(f"{'language':9} {'typed':32} {'ours ms':>8} {'library ms':>11} {'ratio':>7}")
    tags = languages()
    called = {tag: load_called(tag) for tag in tags}
    lexicons = {tag: load_sentence_lexicon(tag) for tag in tags}
    for language in tags:
        words = load_words(language)
        offered = build_suggestions(words, knowledge, called, lexicons)["findings"]
        names = [words.say(f"findings.{name}.name") for name in knowledge.findings]
        for typed in TYPED:
            ours = spent(lambda typed=typed, offered=offered: suggest(typed, offered))
            library = spent(lambda typed=typed, names=names: process.extract(typed, names, scorer=fuzz.WRatio))
            print(f"{language:9} {typed[:30]:32} {ours:8.2f} {library:11.2f} {ours / library:7.1f}")


if __name__ == "__main__":
    main()
