"""What the screens do, one function a use: each checks, changes the store in one transaction, and returns.

Nothing here knows of requests, pages or templates. Importing this room needs a configured Django.
"""
