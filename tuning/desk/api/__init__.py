"""The tuner's API: queue, derivation, draft, approval."""
