"""Clubs, builds, the bag and the limits on it."""
