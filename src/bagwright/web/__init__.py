"""The screens: one Django site for the bay, the desk and the second screen."""
