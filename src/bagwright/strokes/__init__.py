"""Expected strokes: a player's shot patterns on a hole's raster, and the best decision from every spot."""
