"""The public API: create a request, add readings, send, follow it with the private token."""
