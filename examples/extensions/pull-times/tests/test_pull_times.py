"""The section alone, and as Clampwright takes it."""

from example_pull_times import section

from clampwright.report.sections import added_sections, computed

ENTRIES = [
    {"kind": "job_opened", "recorded": "2026-01-05T08:00:00Z", "body": {}},
    {"kind": "pull", "recorded": "2026-01-05T08:01:00Z", "body": {"joint": "wheel"}},
    {"kind": "pull", "recorded": "2026-01-05T08:03:30Z", "body": {"joint": "wheel"}},
]


def test_the_time_between_pulls() -> None:
    said = section({"job": "j", "entries": ENTRIES})
    assert said["table"]["rows"] == [["wheel", "2", "150 s"]]


def test_no_pull_no_section() -> None:
    assert section({"job": "j", "entries": ENTRIES[:1]}) is None


def test_clampwright_takes_it() -> None:
    one = added_sections().named("pull-times")
    told = computed(one, "j", ENTRIES)
    assert (told.package, told.version) == ("example-pull-times", "0.1.0")
