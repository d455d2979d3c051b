"""The shop's catalogue of bikes: what is known of a model, offered to the client to correct."""
