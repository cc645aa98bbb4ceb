"""A little Swedish for the reader of procedures: an example, not for use at work."""
