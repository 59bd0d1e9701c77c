"""Counts in, figures with their uncertainty out. Knows no case, store, clock, word or norm: limits are arguments."""
