"""The demo's own files: an invented player, their bag and two visits."""
