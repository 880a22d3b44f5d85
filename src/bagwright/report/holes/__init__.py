"""Pictures of holes: our own SVG, the same in words, and one page for all of them."""
