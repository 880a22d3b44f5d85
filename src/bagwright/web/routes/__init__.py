"""Which address leads to which view, one file for each part of the visit."""
