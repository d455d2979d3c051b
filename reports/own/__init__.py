"""The client's own data: everything in a file to take away, and everything erased. Both go by the register in
``intake.personal`` and by the records' own relations, so that a record added later is in both from the start."""
