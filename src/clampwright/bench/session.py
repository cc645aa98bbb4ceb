"""A job at the bench, on top of the log.

Everything a session knows is folded from the entries of its job; the job's and the drawer's files
are pinned in the entry that opened it, so that a pull is judged by what was planned, not by files
edited since.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypedDict, Unpack

from clampwright.bench import bodies
from clampwright.bench.friction import FRICTION_FILE
from clampwright.bench.histories import histories_of
from clampwright.bench.papers import Papers
from clampwright.bench.shelf import shelf_of
from clampwright.drawer.files import load_drawer
from clampwright.drawer.fit import Fitness
from clampwright.drawer.pinned import drawer_with, states_of
from clampwright.drawer.tools import Adapter
from clampwright.errors import Missing, Refused
from clampwright.proof.ids import uuid7
from clampwright.store.log import Store
from clampwright.store.writing import THIS_DEVICE, NewEntry, Receipt
from clampwright.trace.reading import read_csv
from clampwright.trace.verdict import judge as judge_trace
from clampwright.words import words
from clampwright.work.adjusting import adjusted, for_fastener, refuse_slackening
from clampwright.work.aftermath import HAPPENED, SETTLED, TAKEN_BACK
from clampwright.work.check import check_plan
from clampwright.work.choices import NONE, Choices, with_choices
from clampwright.work.corrected import corrected
from clampwright.work.fold import JobState, Pull, PullKey, fold
from clampwright.work.four_eyes import looks_wanted
from clampwright.work.friction_file import load_conditions
from clampwright.work.given import given_for
from clampwright.work.guide import Guidance, next_pull
from clampwright.work.happening import due_words, open_due
from clampwright.work.hold import open_hold
from clampwright.work.job import Joint
from clampwright.work.jobfile import load_job
from clampwright.work.judge import judge_pull
from clampwright.work.judgement import InHand, Judgement
from clampwright.work.likeness import with_the_unusual
from clampwright.work.pinned import pinned
from clampwright.work.plan import StagePlan, direction_of, plan_job
from clampwright.work.readings import Reading, TraceReading
from clampwright.work.shelf import EMPTY
from clampwright.work.unsigned import waiting
from clampwright.work.ways_in import StretchReading

_CHANGES_PLAN = frozenset({"tool_overruled", HAPPENED, SETTLED, TAKEN_BACK})
"""Kinds after which another tool may be the one to take."""


class Origin(TypedDict, total=False):
    """Where an entry was made, when a device made it.

    Parameters
    ----------
    entry_id : str or None
        The entry's own id; sending it again is harmless.
    device_time : str or None
        The device's own clock, RFC 3339.
    device_id : str or None
        The device's name; the computer with the store if not given.
    """

    entry_id: str | None
    device_time: str | None
    device_id: str | None


class Made(Origin, total=False):
    """The same for an entry of a job.

    Parameters
    ----------
    sent : mapping
        What the device said of the entry beside its content; kept in the body under this name.
    """

    sent: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one pull.

    Parameters
    ----------
    judgement : Judgement
    receipt : Receipt
        From the store, after the entry was durable.
    next : Guidance or None
        The next pull; None when all are settled.
    """

    judgement: Judgement
    receipt: Receipt
    next: Guidance | None


class Session:
    """One job of an open workshop.

    Parameters
    ----------
    store : Store
        Open for writing (or for reading, to look only).
    job_id : str
    papers : Papers
        Where traces are kept.
    state : JobState, optional
        The job as the store has it now, where the caller keeps it folded.
    others : sequence of JobState
        Other jobs of the workshop, where the caller keeps them folded: what is ordinary for a joint
        is learnt from all jobs on it.
    seen : int, optional
        How many entries of the log are folded in `state`.

    Raises
    ------
    Missing
        When the job was never opened in this workshop.
    """

    def __init__(
        self,
        store: Store,
        job_id: str,
        papers: Papers,
        *,
        state: JobState | None = None,
        others: Sequence[JobState] = (),
        seen: int | None = None,
    ) -> None:
        self.store, self.job_id, self.papers = store, job_id, papers
        self._others = tuple(others)
        self._seen = store.head()[0] if state is None or seen is None else seen
        self.state = fold(store.entries(job=job_id)) if state is None else state
        if self.state.opened is None:
            raise Missing(
                words("job {job} was not opened in this workshop yet", job=job_id), needed="job"
            )
        self.job, self.drawer, self.plan = pinned(
            self.state.opened, self.state.overrules, self.state.suspects
        )

    @classmethod
    def start(
        cls,
        store: Store,
        job_file: bytes,
        drawer_file: bytes,
        papers: Papers,
        *,
        today: date,
        friction_file: bytes = b"",
        choices: Choices = NONE,
        by: str = "",
    ) -> Session:
        """Open a job, or go on with it where it was.

        Parameters
        ----------
        store : Store
        job_file, drawer_file : bytes
            TOML; pinned in the log when the job is new.
        papers : Papers
        today : datetime.date
            For the dates of calibrations, when the job is new.
        friction_file : bytes
            The workshop's own friction conditions; pinned too where the job names one of them.
        choices : mapping of str to int
            Readings that a person chooses for open questions, by joint, when the job is new.
        by : str
            Id of that person.

        Returns
        -------
        Session

        Raises
        ------
        Refused
            When the job was opened from another version of its file.
        """
        own = load_conditions(friction_file, FRICTION_FILE)
        shelf = shelf_of(store) if b"shelf" in job_file else EMPTY
        job = load_job(job_file, "job file", friction=own, shelf=shelf)
        seen = store.head()[0]
        known = fold(store.entries(job=job.id))
        text = job_file.decode("utf-8-sig")
        if known.opened is None or (not known.pulls and known.opened["job_file"] != text):
            in_file = load_drawer(drawer_file, "drawer.toml")
            states = states_of(in_file, histories_of(store))
            job = with_choices(job, choices)
            plan = plan_job(job, drawer_with(in_file, states), today=today)
            findings = check_plan(plan)
            relied_on = any(joint.friction in own for joint in job.joints)
            body = bodies.opened(
                job_file,
                drawer_file,
                today,
                plan,
                findings,
                friction_file=friction_file if relied_on else b"",
                tools=states,
                shelf=shelf,
                choices=choices,
                by=by,
            )
            store.append("job_opened", body, entry_id=str(uuid7()), job=job.id, seen=seen)
        elif known.opened["job_file"] != text:
            raise Refused(
                words(
                    "job {job} is already under way from another version of its file; go on with "
                    "that one, or give the new version another id",
                    job=job.id,
                )
            )
        return cls(store, job.id, papers)

    @property
    def findings(self) -> Sequence[Mapping[str, Any]]:
        """What the check found when the job was opened, as the log holds it."""
        found: Sequence[Mapping[str, Any]] = (self.state.opened or {}).get("findings", ())
        return found

    def next(self, in_hand: str | None = None) -> Guidance | None:
        """Return the next pull, or None when all are settled.

        Parameters
        ----------
        in_hand : str or None
            Id of the tool the person chose.
        """
        return next_pull(self.plan, self.state, in_hand)

    def trace_reading(self, key: PullKey, data: bytes, name: str, tool_id: str) -> TraceReading:
        """Analyse a recorded pull and keep it beside the log.

        Parameters
        ----------
        key : PullKey
        data : bytes
            The trace file.
        name : str
            Its name, for messages.
        tool_id : str
            The wrench that recorded it.

        Returns
        -------
        TraceReading

        Raises
        ------
        BadFile
            When it is not a trace; nothing is kept then.
        """
        self._planned(key)
        tool = self.drawer.tool(tool_id)
        mode = tool.angle.mode if tool.angle and tool.angle.mode else "handle"
        if not tool.trace:
            raise Refused(words("{tool} records nothing; whose trace is this?", tool=tool.title))
        adapter = self._adapter(self._tool(self._planned(key), tool_id), None)
        joint = self.plan.joint(key.joint).joint
        trace = corrected(
            read_csv(data, name, angle_mode=mode),
            tool,
            adapter=adapter,
            direction=direction_of(self._planned(key).stage, joint),
        )
        planned = self.plan.joint(key.joint)
        given = given_for(
            planned.joint,
            planned.stages,
            key.stage,
            tool,
            already=self.state.turned_already(key),
        )
        found = with_the_unusual(judge_trace(trace, given), self.state, key, *self._others)
        return TraceReading(self.papers.keep(data), found)

    def take(
        self,
        key: PullKey,
        reading: Reading,
        *,
        tool_id: str | None = None,
        adapter_id: str | None = None,
        **made: Unpack[Made],
    ) -> Outcome:
        """Judge a pull and keep it; returns only when it is durable.

        Parameters
        ----------
        key : PullKey
        reading : Reading
        tool_id : str or None
            The tool in hand; the planned one if not given.
        adapter_id : str or None
        **made
            See `Made`.

        Returns
        -------
        Outcome

        Raises
        ------
        Refused
            When there is no such pull, it is settled already, or the job is closed.
        """
        self._planned(key)
        if not self._known(made.get("entry_id")):
            self._open_for(key)
        planned = for_fastener(self.plan, self.state, key)
        joint = self.job.joint(key.joint)
        choice = self._tool(planned, tool_id)
        tool = choice.tool if choice else None
        if tool is not None and tool.id in self.state.suspects:
            raise Refused(words("{tool} is laid aside until it is checked", tool=tool.title))
        adapter = self._adapter(choice, adapter_id)
        judgement = judge_pull(
            reading,
            planned.limits,
            tool=tool,
            adapter=adapter,
            direction=direction_of(planned.stage, joint),
            already=self.state.turned_already(key),
            already_u=self.state.turned_already_u(key),
            in_hand=self._in_hand(reading, joint, choice),
        )
        judgement = adjusted(judgement, joint, planned)
        body = bodies.pull(
            key, planned, choice=choice, adapter=adapter, reading=reading, judgement=judgement
        )
        receipt = self.put("pull", body, **made)
        return Outcome(judgement, receipt, self.next())

    def _in_hand(self, reading: Reading, joint: Joint, choice: Fitness | None) -> InHand:
        """Return what the pull was measured with."""
        gauge = None
        if isinstance(reading, StretchReading) and reading.gauge:
            gauge = self.drawer.stretch_gauge(reading.gauge)
        return InHand(choice.u_angle if choice else None, gauge, joint.fastening)

    def accept(self, entry: str, reason: str, **made: Unpack[Made]) -> Receipt:
        """Go on in spite of a verdict, with a reason that stands in the record.

        Parameters
        ----------
        entry : str
            Id of the pull's entry.
        reason : str
        **made
            See `Made`.

        Returns
        -------
        Receipt
        """
        pull = self._pull(entry)
        if not reason.strip():
            raise Refused(words("give the reason for going on: it stands in the record"))
        if pull.settled or pull.voided:
            raise Refused(words("this pull needs no acceptance"))
        body = {"entry": entry, "reason": reason.strip()}
        return self.put("pull_accepted", body, **made)

    def restart(
        self,
        joint: str,
        fastener: int,
        reason: str,
        *,
        renewed: bool,
        **made: Unpack[Made],
    ) -> Receipt:
        """Note that a fastener was loosened fully and starts its stages again.

        Parameters
        ----------
        joint : str
        fastener : int
        reason : str
        renewed : bool
            Whether a new fastener was fitted.
        **made
            See `Made`.

        Returns
        -------
        Receipt
        """
        if fastener not in self.plan.joint(joint).joint.layout.numbers:
            raise Refused(
                words("joint {joint} has no fastener {number}", joint=joint, number=fastener)
            )
        refuse_slackening(self.job.joint(joint), renewed=renewed)
        body = {
            "joint": joint,
            "fastener": fastener,
            "reason": reason.strip() or "not stated",
            "renewed": renewed,
        }
        return self.put("fastener_restarted", body, **made)

    def close(self, reason: str = "", **made: Unpack[Made]) -> Receipt:
        """Close the job when nothing is open any more.

        Parameters
        ----------
        reason : str
            Why it is closed although a device may still have entries of it; stands in the record.
        **made
            See `Made`.

        Raises
        ------
        Refused
            When pulls are still open, or what a device sent is kept aside and not settled.
        """
        if (guidance := self.next()) is not None:
            raise Refused(
                words("{count} pulls are still open; the job stays open", count=guidance.left)
            )
        if (stands := open_hold(self.plan, self.state)) is not None:
            raise Refused(words("a hold point is not answered yet: {ask}", ask=stands.hold.ask))
        if (due := open_due(self.state, None)) is not None:
            raise Refused(
                words("something is not settled yet: {due}", due=due_words(self.plan, due))
            )
        if any(not one.settled for one in self.state.aside):
            raise Refused(
                words(
                    "{count} entries of a device are kept aside and not settled: say on the page "
                    "of the job which of them stand",
                    count=sum(not one.settled for one in self.state.aside),
                )
            )
        entry = made.get("entry_id")
        if waits := [one for one in waiting(self.state.unsigned) if one.sent_as != entry]:
            raise Refused(
                words(
                    "{count} entries wait to be signed: have them signed on the page of the job, "
                    "or say there why they are not to count",
                    count=len(waits),
                )
            )
        if self.store.people.any() and (wanted := looks_wanted(self.plan, self.state)):
            raise Refused(
                words(
                    "{joint}: life or limb depends on it, and its second look is still to be taken",
                    joint=self.job.joint(wanted[0]).title,
                )
            )
        body: dict[str, Any] = {"counts": self.state.count()}
        if reason.strip():
            body["reason"] = reason.strip()
        return self.put("job_closed", body, **made)

    def _planned(self, key: PullKey) -> StagePlan:
        joint = self.plan.joint(key.joint)
        if key not in set(joint.sequence()):
            raise Refused(
                words(
                    "joint {joint} has no pull at stage {stage}, fastener {fastener}",
                    joint=key.joint,
                    stage=key.stage,
                    fastener=key.fastener,
                )
            )
        return joint.stages[key.stage - 1]

    def _known(self, entry_id: str | None) -> bool:
        """Whether an entry was taken before: sending it again is answered by its first receipt."""
        return entry_id is not None and any(pull.entry == entry_id for pull in self.state.pulls)

    def _open_for(self, key: PullKey) -> None:
        if self.state.closed:
            raise Refused(words("the job is closed"))
        if (due := open_due(self.state, key.joint)) is not None:
            raise Refused(
                words("first settle what happened here: {due}", due=due_words(self.plan, due))
            )
        last = self.state.latest.get(key)
        if last is not None and last.blocks:
            raise Refused(
                words(
                    "fastener {fastener} was judged {verdict} at stage {stage}: loosen it fully "
                    "and start it again, or go on in spite of it with a reason",
                    fastener=key.fastener,
                    verdict=last.verdict,
                    stage=key.stage,
                )
            )
        if self.state.settled(key):
            raise Refused(
                words(
                    "stage {stage} of fastener {fastener} is done already; to do it again, loosen "
                    "the fastener and start it again",
                    stage=key.stage,
                    fastener=key.fastener,
                )
            )

    def _tool(self, planned: StagePlan, tool_id: str | None) -> Fitness | None:
        if tool_id is None:
            return planned.choice
        for choice in planned.choices:
            if choice.tool.id == tool_id and choice.usable:
                return choice
        for choice in planned.choices:
            if choice.tool.id == tool_id:
                raise Refused(
                    words(
                        "{tool} is not for stage {number}: {why}",
                        tool=choice.tool.title,
                        number=planned.number,
                        why=choice.blockers[0],
                    )
                )
        self.drawer.tool(tool_id)
        return planned.choice

    def _adapter(self, choice: Fitness | None, adapter_id: str | None) -> Adapter | None:
        """Return the adapter in hand: the one named, else the planned one."""
        if adapter_id is not None:
            return self.drawer.adapter(adapter_id)
        return choice.adapter if choice else None

    def _pull(self, entry: str) -> Pull:
        for pull in self.state.pulls:
            if pull.entry == entry:
                return pull
        raise Refused(words("there is no pull {entry} in this job", entry=entry))

    def put(
        self,
        kind: str,
        body: Mapping[str, Any],
        *,
        also: Sequence[NewEntry] = (),
        **made: Unpack[Made],
    ) -> Receipt:
        """Put an entry of this job on the log, and go on from there.

        Parameters
        ----------
        kind : str
        body : mapping
        also : sequence of NewEntry
            What else goes on the log with it, all or nothing; of no job.
        **made
            See `Made`.

        Returns
        -------
        Receipt
        """
        sent = made.get("sent")
        given: dict[str, Any] = {
            "job": self.job_id,
            "entry_id": made.get("entry_id") or str(uuid7()),
            "device_time": made.get("device_time"),
            "device_id": made.get("device_id") or THIS_DEVICE,
            "seen": self._seen,
        }
        whole = {**body, "sent": dict(sent)} if sent else dict(body)
        if also:
            receipt, *more = self.store.append_many([NewEntry(kind, whole, **given), *also])
        else:
            receipt, more = self.store.append(kind, whole, **given), []
        if not receipt.duplicate:
            self._seen = max(one.index for one in (receipt, *more)) + 1
            self.state = fold([self.store.get(receipt.id)], self.state)
            if kind in _CHANGES_PLAN and self.state.opened is not None:
                self.plan = pinned(self.state.opened, self.state.overrules, self.state.suspects)[2]
        return receipt
