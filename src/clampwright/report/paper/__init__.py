"""What stands on the paper record of a job: from the record's bytes to plain texts and drawings.

``material`` the record opened; ``summary`` the first page; ``joints`` and ``pulls`` the work;
``curves`` recorded pulls as charts; ``tools``, ``closing`` what the readings rest on, and the
proof. Nothing here judges anything: every verdict is the one that stands in the record.
"""
