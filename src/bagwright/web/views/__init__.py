"""One file of views for each part of the visit."""
