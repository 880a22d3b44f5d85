"""What stands between every request and its view."""
