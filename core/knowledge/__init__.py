"""What a good helper knows, as data: causes, findings, links, places, norms, remedies, checks, cautions."""

from core.knowledge.load import load_knowledge
from core.knowledge.schema import Knowledge

__all__ = ["Knowledge", "load_knowledge"]
