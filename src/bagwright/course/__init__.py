"""Courses: a map or a scorecard becomes holes, and a hole becomes a raster of lies."""
