"""A player's strokes on a course: worked out hole by hole, kept as plain data, drawn and printed."""
