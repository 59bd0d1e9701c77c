"""Which knowledge each community is diagnosed with: the starting one, or what its confirmed cases taught.

In: lessons of all communities. Out: for each community that has some, the knowledge to use and the trial that decided.
Computed afresh every time. This file must never know a store or a clock.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from core.cases.rows import Community
from core.knowledge import Knowledge
from core.learning import Lesson, Taught, teach
from core.service.answer import Tools


@dataclass(frozen=True, slots=True)
class School:
    """What was learned last. An empty one diagnoses everybody with the starting knowledge."""

    taught: Mapping[str, Taught]

    def tools(self, starting: Tools, community: str, rules: Community) -> Tools:
        """Return the tools for a community: with learned knowledge where it has earned its use and is wanted."""
        known = self.taught.get(community)
        return starting if known is None or not rules.learning else replace(starting, knowledge=known.knowledge)


def teach_all(lessons: Sequence[Lesson], knowledge: Knowledge) -> School:
    """Learn for each community that has lessons, from its own and on top of what the others teach."""
    return School({one: teach(lessons, knowledge, one) for one in sorted({lesson.community for lesson in lessons})})
