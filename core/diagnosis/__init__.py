"""Evidence in, posterior causes, their reasons and the next check out. Knows nothing of remedies, pictures or front ends."""
