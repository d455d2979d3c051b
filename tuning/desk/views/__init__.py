"""The tuner's pages."""
