"""One workshop folder, opened: takes a reading, judges it, keeps it, and says what comes next.

The command line and the page both go through here, so that they can take turns on one job.
"""
