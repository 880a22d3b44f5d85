"""The best bag for the courses that are played, how near others come, and what each club is worth."""
