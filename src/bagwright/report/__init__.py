"""What the player and the workshop take away: charts, report, yardage card, build sheet."""
