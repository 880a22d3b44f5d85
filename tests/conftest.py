"""What every test shares: repeatable hypothesis runs without a time limit or a folder of past examples."""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None, database=None, print_blob=True)
settings.load_profile("repeatable")
