"""Every address of the server, in one list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from clampwright.web import (
    after_pages,
    apart_pages,
    api,
    before_pull,
    countersigning,
    drawer_pages,
    drawer_work_api,
    drawer_work_pages,
    figure_pages,
    formula_pages,
    handed,
    happened_api,
    history_pages,
    line_pages,
    pages,
    plan_charts,
    preparation_pages,
    safe_pages,
    shelf_api,
    shelf_pages,
    studies,
    tool_history_api,
    tool_history_pages,
    trust_pages,
    verify_pages,
    ways_api,
)
from clampwright.web.live import live
from clampwright.web.simulation import simulate


@dataclass(frozen=True, slots=True)
class Way:
    """One address and what answers there.

    Parameters
    ----------
    path : str
    handler : callable
    method : str
    kind : str
        ``page``, ``api`` (described by OpenAPI) or ``socket``.
    """

    path: str
    handler: Callable[..., Any]
    method: Literal["GET", "PUT", "POST"] = "GET"
    kind: Literal["page", "api", "socket"] = "page"


WAYS: tuple[Way, ...] = (
    Way("/", pages.jobs),
    Way("/jobs/{job}", pages.job),
    Way("/jobs/{job}/pull", pages.pull),
    Way("/jobs/{job}/charts/{joint}/{show}.svg", plan_charts.chart),
    Way("/jobs/{job}/apart", apart_pages.apart_page),
    Way("/jobs/{job}/preparation", preparation_pages.preparation_page),
    Way("/jobs/{job}/record", pages.record),
    Way("/figures", figure_pages.figures_page),
    Way("/jobs/{job}/record.json", pages.record_json),
    Way("/jobs/{job}/record.txt", pages.record_txt),
    Way("/jobs/{job}/record.pdf", pages.record_pdf),
    Way("/procedures", shelf_pages.procedures),
    Way("/procedures/new", shelf_pages.new),
    Way("/procedures/{procedure}", shelf_pages.procedure),
    Way("/procedures/{procedure}/files/{sha256}", shelf_api.file),
    Way("/drawer", drawer_pages.drawer),
    Way("/drawer/choose", drawer_work_pages.choose),
    Way("/drawer/coverage", drawer_work_pages.covering),
    Way("/drawer/by-feel", drawer_work_pages.by_feel),
    Way("/drawer/look-over", drawer_work_pages.look_over),
    Way("/drawer/keep-or-replace", drawer_work_pages.keep_or_replace),
    Way("/drawer/new", drawer_work_pages.new_tool),
    Way("/drawer/due", tool_history_pages.due),
    Way("/drawer/due.ics", tool_history_pages.due_calendar),
    Way("/drawer/study", tool_history_pages.study),
    Way("/drawer/{tool}", drawer_pages.tool),
    Way("/drawer/{tool}/calibrate", tool_history_pages.calibrate),
    Way("/drawer/{tool}/look-back", tool_history_pages.look_back_page),
    Way("/drawer/{tool}/look-back/letter", tool_history_pages.letter),
    Way("/drawer/{tool}/reports/{entry}.pdf", tool_history_pages.report),
    Way("/jobs/{job}/care", tool_history_pages.care),
    Way("/handed", handed.handed_page),
    Way("/after", after_pages.after),
    Way("/after.ics", after_pages.calendar),
    Way("/after/{follow_up}/slip.pdf", after_pages.slip_pdf),
    Way("/labels", safe_pages.labels),
    Way("/labels.pdf", safe_pages.labels_sheet),
    Way("/safe", safe_pages.safe),
    Way("/safe/head.pdf", safe_pages.head_pdf),
    Way("/history", history_pages.history),
    Way("/history/machine", history_pages.machine),
    Way("/find", history_pages.find_page),
    Way("/formulas", formula_pages.formulas),
    Way("/formulas/{name}", formula_pages.formula),
    Way("/lines", line_pages.lines),
    Way("/passes", studies.passes),
    Way("/passes.pdf", studies.passes_paper),
    Way("/friction", studies.friction),
    Way("/friction", studies.friction_test, "POST"),
    Way("/verify", verify_pages.verify),
    Way("/trust", trust_pages.trust),
    Way("/trust/authority.crt", trust_pages.authority),
    Way("/extras", trust_pages.extras),
    Way("/api", pages.api_page),
    Way("/favicon.ico", pages.icon),
    Way("/static/{version}/{name:path}", pages.static),
    Way("/api/jobs", api.jobs, kind="api"),
    Way("/api/jobs/{job}", api.job, kind="api"),
    Way("/api/jobs/{job}/opening", api.open_job, "POST", "api"),
    Way("/api/jobs/{job}/bench", api.bench, kind="api"),
    Way("/api/jobs/{job}/card", pages.card, kind="api"),
    Way("/api/jobs/{job}/pulls/{entry}", api.put_pull, "PUT", "api"),
    Way("/api/jobs/{job}/pulls/{entry}/chart", api.chart, kind="api"),
    Way("/api/jobs/{job}/pulls/{entry}/chart.svg", api.chart_svg, kind="api"),
    Way("/api/follow-ups", after_pages.follow_ups, kind="api"),
    Way("/api/follow-ups/{entry}", after_pages.put_planned, "PUT", "api"),
    Way("/api/follow-ups/{follow_up}/settlings/{entry}", after_pages.put_settled, "PUT", "api"),
    Way("/api/heads", safe_pages.post_head, "POST", "api"),
    Way("/api/kept-heads/{entry}", safe_pages.put_kept, "PUT", "api"),
    Way("/api/backups", safe_pages.post_backup, "POST", "api"),
    Way("/api/machines", history_pages.machines_json, kind="api"),
    Way("/api/machines/history", history_pages.machine_history, kind="api"),
    Way("/api/pulls", history_pages.pulls_json, kind="api"),
    Way("/api/figures", figure_pages.figures, kind="api"),
    Way("/api/figures/{entry}", figure_pages.put_figure, "PUT", "api"),
    Way("/api/figure-answers/{entry}", figure_pages.put_found, "PUT", "api"),
    Way("/api/jobs/{job}/preparation", before_pull.preparation, kind="api"),
    Way("/api/jobs/{job}/holds/{entry}", before_pull.put_hold, "PUT", "api"),
    Way("/api/jobs/{job}/loosenings/{entry}", before_pull.put_loosened, "PUT", "api"),
    Way("/api/jobs/{job}/preparations/{entry}", before_pull.put_point, "PUT", "api"),
    Way("/api/jobs/{job}/passings/{entry}", before_pull.put_passing, "PUT", "api"),
    Way("/api/jobs/{job}/acceptances/{entry}", api.put_acceptance, "PUT", "api"),
    Way("/api/jobs/{job}/restarts/{entry}", api.put_restart, "PUT", "api"),
    Way("/api/happenings", happened_api.tables, kind="api"),
    Way("/api/jobs/{job}/happenings", happened_api.happenings, kind="api"),
    Way("/api/jobs/{job}/happenings/{entry}", happened_api.put_happening, "PUT", "api"),
    Way("/api/jobs/{job}/settlings/{entry}", happened_api.put_settling, "PUT", "api"),
    Way("/api/jobs/{job}/takings-back/{entry}", happened_api.put_taking_back, "PUT", "api"),
    Way("/api/jobs/{job}/closings/{entry}", api.put_closing, "PUT", "api"),
    Way("/api/jobs/{job}/overrules/{entry}", drawer_work_api.put_overrule, "PUT", "api"),
    Way("/api/jobs/{job}/read-backs/{entry}", drawer_work_api.put_read_back, "PUT", "api"),
    Way("/api/drawer/tools", drawer_work_api.post_tool, "POST", "api"),
    Way("/api/drawer/tools/{tool}/papers/{kind}", drawer_work_api.put_paper, "PUT", "api"),
    Way("/api/drawer/tools/{tool}/look-overs/{entry}", drawer_work_api.put_look_over, "PUT", "api"),
    Way("/api/drawer/tools/{tool}/events/{entry}", tool_history_api.put_event, "PUT", "api"),
    Way(
        "/api/drawer/tools/{tool}/calibrations/{entry}",
        tool_history_api.put_certificate,
        "PUT",
        "api",
    ),
    Way("/api/drawer/tools/{tool}/performed/{entry}", tool_history_api.put_performed, "PUT", "api"),
    Way("/api/drawer/tools/{tool}/checks/{entry}", tool_history_api.put_check, "PUT", "api"),
    Way("/api/drawer/tools/{tool}/decisions/{entry}", tool_history_api.put_decision, "PUT", "api"),
    Way("/api/jobs/{job}/second-readings/{entry}", ways_api.put_read_again, "PUT", "api"),
    Way("/api/phone-angle", ways_api.phone_angle, "POST", "api"),
    Way("/api/handed/looks", handed.look, "POST", "api"),
    Way("/api/handed/taken", handed.take, "POST", "api"),
    Way("/api/hand-overs/{what}/{name}", handed.give, "POST", "api"),
    Way("/api/jobs/{job}/simulated", simulate, "POST", "api"),
    Way("/api/procedures", shelf_api.procedures, kind="api"),
    Way("/api/procedures/reading", shelf_api.reading, "POST", "api"),
    Way("/api/procedures/files", shelf_api.keep_file, "POST", "api"),
    Way("/api/procedures/versions/{entry}", shelf_api.put_version, "PUT", "api"),
    Way("/api/procedures/{procedure}", shelf_api.procedure, kind="api"),
    Way(
        "/api/procedures/{procedure}/{version}/confirmations/{entry}",
        shelf_api.put_confirmation,
        "PUT",
        "api",
    ),
    Way("/api/procedures/{procedure}/{version}/jobs", shelf_api.new_job, "POST", "api"),
    Way("/countersigning/add-checkpoint", countersigning.add_checkpoint, "POST"),
    Way("/live/{job}", live, kind="socket"),
)
