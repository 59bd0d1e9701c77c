"""How well sentences are read: precision and recall on the cases, by set, and the time per sentence.

Run: ``python tests/benchmarks/sentences_quality.py``; a language as an argument, such as ``de``, measures that one;
``-v`` names every sentence read otherwise than expected, of the tuned part only, so that the held-out part and the
second author's set stay unseen.
"""

import sys
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from core.intake.sentences import Heard, load_sentence_lexicon, read_sentence, to_report
from core.knowledge import load_knowledge

CASES = Path(__file__).parents[1] / "cases" / "sentences.toml"
SECOND_AUTHOR = CASES.with_name("sentences_second_author.toml")
SETS = {
    "en": {"second author": SECOND_AUTHOR},
    "de": {
        "written later": CASES.with_name("sentences_de_later.toml"),
        "written last": CASES.with_name("sentences_de_last.toml"),
    },
}
"""Language to the sets it has beside its first, all of them held out."""
KINDS = ("finding with place", "finding", "absence", "setting")
WARMED_S = 0.5


@dataclass(frozen=True)
class Case:
    """One sentence and what a careful reader takes from it, as comparable items."""

    text: str
    items: frozenset[tuple[str, str]]
    unsure: frozenset[str]
    held_out: bool


@dataclass
class Score:
    """Counts of right, wrong and missed items by kind."""

    right: Counter[str] = field(default_factory=Counter)
    wrong: Counter[str] = field(default_factory=Counter)
    missed: Counter[str] = field(default_factory=Counter)
    sentences: int = 0
    empty: int = 0
    empty_with_findings: int = 0
    asked: int = 0
    asked_expected: int = 0
    asked_wanted: int = 0
    exact: int = 0

    def precision(self, kind: str = "") -> float:
        """Return right over all taken, of one kind or of all."""
        right, wrong = self._sum(self.right, kind), self._sum(self.wrong, kind)
        return right / (right + wrong) if right + wrong else 1.0

    def recall(self, kind: str = "") -> float:
        """Return right over all there was to take, of one kind or of all."""
        right, missed = self._sum(self.right, kind), self._sum(self.missed, kind)
        return right / (right + missed) if right + missed else 1.0

    def _sum(self, counts: Counter[str], kind: str) -> int:
        # The two countings of a finding, with and without its place, are views of one thing: the strict one is summed.
        return counts[kind] if kind else sum(counts[one] for one in KINDS if one != "finding")


def first_set(language: str) -> Path:
    """Return the file of which one half was tuned on."""
    return CASES if language == "en" else CASES.with_name(f"sentences_{language}.toml")


def load_cases(path: Path = CASES) -> tuple[Case, ...]:
    """Return the cases of one file."""
    return tuple(
        Case(
            case["text"],
            frozenset(
                {
                    *(("finding with place", found) for found in case.get("findings", ())),
                    *(("finding", found.partition("@")[0]) for found in case.get("findings", ())),
                    *(("absence", absent) for absent in case.get("absent", ())),
                    *_settings(case.get("told", {})),
                }
            ),
            frozenset(case.get("unsure", ())),
            case.get("held_out", False),
        )
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]
    )


def items_heard(heard: Heard) -> frozenset[tuple[str, str]]:
    """Return what was taken, in the same form, by way of the Report."""
    report = to_report(heard).model_dump(mode="json")
    findings = report.pop("findings", ())
    return frozenset(
        {
            *(("finding with place", f"{one['id']}@{one['where']}") for one in findings),
            *(("finding", one["id"]) for one in findings),
            *(("absence", absent) for absent in report.pop("absent", ())),
            *_settings(report),
        }
    )


def score_cases(cases: tuple[Case, ...], heard: tuple[Heard, ...]) -> Score:
    """Compare what was taken with what was expected."""
    score = Score()
    for case, one in zip(cases, heard, strict=True):
        wanted, taken = {_plain(item) for item in case.items}, {_plain(item) for item in items_heard(one)}
        for counts, items in (
            (score.right, wanted & taken),
            (score.wrong, taken - wanted),
            (score.missed, wanted - taken),
        ):
            counts.update(kind for kind, _ in items)
        asked = {unsure.about for unsure in one.unsure}
        score.sentences += 1
        score.exact += wanted == taken
        score.asked += len(asked)
        score.asked_expected += len(asked & case.unsure)
        score.asked_wanted += len(case.unsure)
        if not wanted:
            score.empty += 1
            score.empty_with_findings += bool(taken)
    return score


def _plain(item: tuple[str, str]) -> tuple[str, str]:
    """Return an item with an unplaced finding written one way, whether or not a place was expected to be named."""
    return item[0], item[1].removesuffix("@unknown")


def _settings(parts: dict[str, dict[str, object]]) -> Iterator[tuple[str, str]]:
    for part, fields in parts.items():
        for name, value in fields.items():
            number = isinstance(value, int | float) and not isinstance(value, bool)
            yield "setting", f"{part}.{name}={float(value) if number else value}"  # type: ignore[arg-type] - a number here


def main() -> None:
    """Print the figures."""
    language = next((argument for argument in sys.argv[1:] if argument in SETS), "en")
    lexicon, knowledge = load_sentence_lexicon(language), load_knowledge()
    cases = load_cases(first_set(language))
    for title, chosen in (
        ("tuned", tuple(case for case in cases if not case.held_out)),
        ("held out", tuple(case for case in cases if case.held_out)),
        *((title, load_cases(path)) for title, path in SETS[language].items()),
    ):
        heard = tuple(read_sentence(case.text, lexicon, knowledge) for case in chosen)
        score = score_cases(chosen, heard)
        print(f"{title}: {score.sentences} sentences, {score.exact} read exactly as expected")
        for kind in KINDS:
            print(
                f"  {kind:<19} precision {score.precision(kind):.3f}  recall {score.recall(kind):.3f}"
                f"  (right {score.right[kind]}, wrong {score.wrong[kind]}, missed {score.missed[kind]})"
            )
        print(f"  all                 precision {score.precision():.3f}  recall {score.recall():.3f}")
        print(f"  something taken from {score.empty_with_findings} of {score.empty} sentences with nothing to take")
        print(f"  asked {score.asked}, of which expected {score.asked_expected} of {score.asked_wanted}")
        if "-v" in sys.argv and title == "tuned":
            for case, one in zip(chosen, heard, strict=True):
                wanted, taken = {_plain(i) for i in case.items}, {_plain(i) for i in items_heard(one)}
                asked = frozenset(unsure.about for unsure in one.unsure)
                if wanted != taken or asked != case.unsure:
                    print(
                        f"  {case.text!r}\n    wrong {taken - wanted}\n    missed {wanted - taken}"
                        f"\n    asked {one.unsure}"
                    )
    begun, rounds = time.process_time(), 0
    while time.process_time() - begun < WARMED_S:
        for case in cases:
            read_sentence(case.text, lexicon, knowledge)
        rounds += 1
    spent = (time.process_time() - begun) / (rounds * len(cases))
    longest = " ".join(case.text for case in cases)[:2000]
    begun = time.process_time()
    read_sentence(longest, lexicon, knowledge)
    print(f"time per sentence {spent * 1e3:.2f} ms; 2,000 characters {(time.process_time() - begun) * 1e3:.1f} ms")


if __name__ == "__main__":
    main()
