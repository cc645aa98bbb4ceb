"""Exercises for feel and judgement, and what a person's tries say. Rules only, no I/O.

Nothing here is part of a job: results of practice are kept apart from the log, and no record
knows of them.
"""
