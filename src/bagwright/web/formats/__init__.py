"""How dates are written, by language, where the framework's own way could be misread."""
