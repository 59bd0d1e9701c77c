"""One inquiry in, one card out: where the pure core meets the store, the clock and threads."""

from core.service.desk import Service

__all__ = ["Service"]
