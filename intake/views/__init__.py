"""The client's pages. Views parse, authorise and call; what happens is said in ``intake.steps`` and services."""
