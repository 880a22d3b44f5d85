"""From a handful of shots to where a player's shots finish, with honest ranges."""
