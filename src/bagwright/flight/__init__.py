"""From launch to landing: drag and lift laws, one flight, many flights, and how sure they are."""
