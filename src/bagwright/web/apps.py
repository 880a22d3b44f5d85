"""The screens as a Django application."""

from django.apps import AppConfig

from bagwright.bay.language import reader
from bagwright.words import read_in


class WebConfig(AppConfig):
    """Pages, their templates and static files."""

    name = "bagwright.web"
    label = "web"

    def ready(self) -> None:
        """Let templates write the core's sentences in the language of the page."""
        read_in(reader)
