"""Numbered system checks: what must hold before the service may run."""
