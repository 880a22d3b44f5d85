"""How much of a map, a card or an overlay is read before it is refused. Judgement, unless said."""

from __future__ import annotations

FILE_BYTES = 50 * 2**20
"""Size of a map or a raster of heights on the disk."""
CARD_BYTES = 1_000_000
OVERLAY_BYTES = 4_000_000
BRACKETS = 700_000
"""Lists and objects in a JSON map: each costs memory before anything of it is understood."""
COMMAS = 3_000_000
NODES = 200_000
"""Points of a map, each counted as often as it is drawn."""
ELEMENTS = 60_000
"""Nodes with tags, ways and relations."""
TAGS = 200
"""Tags of one element."""
TEXT = 255
"""Characters of a tag's key or value, as OpenStreetMap itself limits them."""
PART_NODES = 20_000
"""Points of one way or ring."""
RINGS = 2_000
"""Rings or member ways of one relation."""
WORK = 4_000_000
"""Points of one shape times points of the other, in operations that may cut everything by everything."""
MENDED_NODES = 600
"""Points up to which a shape that crosses itself is mended; longer ones are left out, and said so."""
CROSSINGS = 100
"""Places where a shape may cross itself and still be mended: the work grows with their square."""
MENDED_SHAPES = 100
"""Shapes of one map that are mended."""
TREES = 20_000
"""Single trees of a map; further ones are left out and counted."""
EDGES_M = 3_000_000.0
"""Length of the edges of all areas of a map, metres: pictures walk along them."""
HOLES = 200
"""Ways of holes in one file."""
HOLE_POINTS = 100
HOLE_M = (30.0, 1_500.0)
"""Shortest and longest hole, metres."""
REACH_M = 150.0
"""A green farther from the end of every hole's way belongs to none, metres."""
FAR_M = 300.0
"""Ground and trees farther from every hole's way are left out, metres."""
COURSE_M = 10_000.0
"""A course lies within this of its middle, metres."""
QUESTIONS = 500
HEIGHT_CELLS = 4_000_000
"""Cells of a raster of heights that are kept."""
