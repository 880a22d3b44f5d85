"""A fair head-to-head of candidates for one slot: brief, plan, verdict."""
