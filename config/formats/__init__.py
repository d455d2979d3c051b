"""How dates and numbers are written, by language; what is not said here is as Django has it."""
