"""The API of sheets: the client's PDF, and the jobs as the tuner sees them."""
