"""The screens as a Django application."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Pages, their templates and static files."""

    name = "bagwright.web"
    label = "web"
