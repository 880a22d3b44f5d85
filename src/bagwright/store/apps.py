"""The store as a Django application."""

from django.apps import AppConfig


class StoreConfig(AppConfig):
    """Players, bags, visits, shots, decisions, accounts."""

    name = "bagwright.store"
    label = "store"
    default_auto_field = "django.db.models.BigAutoField"
