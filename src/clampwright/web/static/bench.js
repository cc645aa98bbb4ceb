// The bench: shows what is now, takes the answer, shows what came of it. The state lives on the
// server and in the outbox; this page only shows both, so that it can be loaded again at any time.

import { keepAwake } from "./awake.js";
import { cues } from "./cues.js";
import { BeforePull, preparationOf } from "./before-pull.js";
import { dataOf, fill, make } from "./dom.js";
import {
  acceptanceEntry,
  closingEntry,
  happeningEntry,
  holdEntry,
  pullEntry,
  restartEntry,
  secondEntry,
  settlingEntry,
  takingBackEntry,
} from "./entries.js";
import { uuid7 } from "./ids.js";
import { keepView, viewOfDevice } from "./joint-map.js";
import { keepBench, keptAt, latestBench } from "./kept-bench.js";
import { theRest, whenIdle } from "./later.js";
import { LiveGauge } from "./live-gauge.js";
import { listen } from "./live.js";
import { keepSending, outbox } from "./outbox.js";
import {
  dueHere,
  holdHere,
  openHere,
  outsideHere,
  standsHere,
  stepHere,
  withReceipt,
} from "./progress.js";
import { PullAnswer } from "./pull-answer.js";
import { PullVerdict } from "./pull-verdict.js";
import { PullView } from "./pull-view.js";
import { PullsAhead } from "./pulls-ahead.js";
import { ask } from "./server.js";
import { SettingCard } from "./setting-card.js";
import { told } from "./told.js";
import { WhatIsDue } from "./what-is-due.js";
import { fillTyped } from "./typed-fill.js";
import { WakeTouch } from "./wake-touch.js";
import { waysWords } from "./ways-words.js";
import { hand } from "./who.js";
import { say } from "./words.js";
import "./unsent-count.js";
import "./look-choice.js";
import "./language-choice.js";

/** @typedef {import("./types.d.ts").Bench} Bench */
/** @typedef {import("./types.d.ts").Hold} Hold */
/** @typedef {import("./types.d.ts").Item} Item */
/** @typedef {import("./types.d.ts").Key} Key */
/** @typedef {import("./types.d.ts").Reading} Reading */
/** @typedef {import("./types.d.ts").Step} Step */
/** @typedef {import("./types.d.ts").Told} Told */
/** @typedef {import("./types.d.ts").Verdict} Verdict */
/** @typedef {typeof import("./reckoned.js")} Rules */

/** A kept entry is said to be kept when the server has not answered after so long, ms. */
const SOON = 1500;
/** What is touched twice in a row is meant once: for so long a new view takes no answer, ms. */
const DOUBLE = 350;

class BenchPage extends HTMLElement {
  /** @type {Bench} */
  #bench = dataOf("bench");
  #view = viewOfDevice();
  #inHand = "";
  #work = new PullView();
  #answer = new PullAnswer();
  #gauge = new LiveGauge();
  #verdict = new PullVerdict();
  #before = new BeforePull();
  #due = new WhatIsDue();
  #happened = /** @type {import("./happened.js").SomethingHappened} */ (
    document.createElement("something-happened")
  );
  #card = new SettingCard();
  #other = /** @type {import("./other-ways.js").OtherWays} */ (document.createElement("other-ways"));
  #ways = make("div", { class: "ways" });
  #ahead = new PullsAhead();
  #notice = make("p", { class: "notice", role: "alert", hidden: true });
  /** What is on the page now. @type {"pull" | "result" | "live" | "end" | "before" | "due"} */
  #mode = "pull";
  /** The verdict that is shown, if one is. @type {Verdict | null} */
  #shown = null;
  /** What the pull was that the person answered last. @type {Step | null} */
  #pulled = null;
  /** The entry that is shown as kept or refused. @type {Item | null} */
  #item = null;
  /** The entry outside the limits that was shown last. */
  #outside = "";
  /** The pull the page asks for. @type {Key | null} */
  #asked = null;
  /** The hold point the page asks. @type {Hold | null} */
  #holding = null;
  /** The entry whose fate is awaited. */
  #awaited = "";
  #refreshing = 0;
  #glass = new WakeTouch();
  /** What is said of an entry that waits, as it stands there. */
  #keptShown = "";
  /** @type {() => void} */
  #listenAnew = () => {};
  /** The pull whose target was said. */
  #spoken = "";
  /** What works out consequences on the device, when it is fetched. @type {Rules | null} */
  #rules = null;
  /** The latest look at the server. */
  #looking = Promise.resolve(true);
  #resting = 0;

  connectedCallback() {
    const hands = make("section", { class: "hands" });
    fill(hands, this.#notice, this.#answer, this.#gauge, this.#verdict, this.#before, this.#due);
    hands.append(this.#ways, this.#ahead);
    fill(this, this.#work, hands, this.#happened, this.#card, this.#other, this.#glass);
    this.addEventListener("answer", (event) => void this.#answered(detail(event)));
    this.addEventListener("act", (event) => void this.#acted(detail(event)));
    this.addEventListener("noted", (event) => void this.#noted(detail(event)));
    this.addEventListener("settled", (event) => void this.#settled(detail(event)));
    this.addEventListener("held", (event) => void this.#heldAt(detail(event)));
    this.addEventListener("start", () => this.#marked());
    this.addEventListener("larger", (event) => this.#card.open(detail(event)));
    this.addEventListener("view", (event) => void this.#turned(detail(event)));
    document.addEventListener("keydown", (event) => this.#keyed(event));
    outbox.addEventListener("sent", (event) => this.#sent(detail(event)));
    fillTyped(this, () => this.#unitsAsked(), (text) => this.#say(text));
    this.addEventListener("stale", () => void this.#silent());
    this.#listenAnew = listen(
      this.#bench.job.id,
      (told) => this.#told(told),
      () => void this.#heardAgain(),
    );
    cues.listen();
    keepSending();
    keepAwake();
    void this.#begin();
  }

  async #begin() {
    const { turn, mirror } = this.#bench.view;
    await outbox.look();
    this.#bench = await latestBench(this.#bench);
    if (outbox.waiting.some((item) => this.#mine(item) && item.way in FOLLOWED)) await this.#followed();
    if (!outbox.keeps) this.#say(say(outbox.full ? "off_full" : "not_kept"));
    if (!keptAt && (turn !== this.#view.turn || mirror !== this.#view.mirror)) await this.#refresh();
    this.#now();
    whenIdle(async () => {
      this.#rules = await theRest();
    });
    if (keptAt) void this.#refresh();
  }

  // ---- what is now

  /** Show the next pull, or the verdict that stands open at it, or the end. */
  #now() {
    const refused = outbox.items.find((item) => this.#mine(item) && item.state === "refused");
    if (refused) {
      this.#showItem(refused);
      return;
    }
    const open = this.#open();
    const now = open[0] ?? null;
    this.#asked = now;
    const { bench, items } = this.#here();
    const last = bench.last;
    const hold = holdHere(bench, items, open);
    const due = dueHere(bench, now);
    const stands = standsHere(bench, items, this.#rules !== null && bench.after !== undefined);
    if (stands) this.#showStanding(stands);
    else if (due) this.#dueFirst(due, now, open);
    else if (hold) this.#holdFirst(hold, now, open);
    else if (!now) this.#end();
    else if (this.#mustPrepare(now)) this.#listFirst(now, open);
    else if (last && same(now, last) && this.#shown?.entry !== last.entry) this.#showVerdict(last);
    else if (!this.#standsOutside(now, open)) this.#pull(now, open);
  }

  /**
   * Show what is kept here and outside the limits, so that nobody pulls on as if it were not.
   * @param {Key} now
   * @param {Key[]} open
   */
  #standsOutside(now, open) {
    const outside = outsideHere(this.#bench, this.#here().items, now);
    if (!outside || outside.side === "short" || outside.id === this.#outside) return false;
    const step = this.#step(now);
    if (step) this.#describe(now, step, open);
    this.#outside = outside.id;
    this.#item = outside;
    this.#awaited = outside.id;
    this.#showKept(outside, outbox.why);
    return true;
  }

  /** The job as it is on this device: with what follows from what was noted here. */
  #here() {
    const kept = { bench: this.#bench, items: outbox.items };
    return this.#rules?.reckoned(kept.bench, kept.items) ?? { ...kept, effects: new Map(), keys: new Map() };
  }

  /** The pulls that are still to be done, as far as this device knows. */
  #open() {
    const { bench, items } = this.#here();
    return openHere(bench, items);
  }

  /** @param {Item} item */
  #mine(item) {
    return item.job === this.#bench.job.id;
  }

  /** @param {Key} key @returns {Step | undefined} */
  #step(key) {
    const steps = this.#bench.steps; // what is left of a short angle stands under the pull's own key
    const step = steps[key.join("/")] ?? steps[`${key[0]}/${key[1]}`];
    return step && stepHere(this.#bench, this.#here().items, key, step);
  }

  /**
   * @param {"pull" | "result" | "live" | "end" | "before" | "due"} mode
   * @param {boolean} fresh false where the same stands there still: a touch on its way is meant for it
   */
  #set(mode, fresh = true) {
    if (mode !== this.#mode || (fresh && mode !== "live")) this.#rest();
    this.#mode = mode;
    this.dataset["mode"] = mode;
    this.#answer.hidden = mode !== "pull";
    this.#gauge.hidden = mode !== "live";
    this.#before.hidden = mode !== "before";
    this.#due.hidden = mode !== "due";
    this.#verdict.hidden = mode !== "result" && mode !== "end";
  }

  /** Take no answer for a moment: the second half of a double touch is not meant for a new view. */
  #rest() {
    delete this.dataset["ready"];
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => {
      this.dataset["ready"] = "";
    }, DOUBLE);
  }

  /** @returns {boolean} */
  get #ready() {
    return this.dataset["ready"] !== undefined;
  }

  /**
   * @param {Key} now
   * @param {Key[]} open
   */
  #pull(now, open) {
    const step = this.#step(now);
    if (!step) return;
    const laid = this.#here().bench.suspects ?? [];
    if (step.tool && laid.includes(step.tool.id)) {
      this.#laidAside(step, now, open);
      return;
    }
    this.#pulled = step;
    const changed = this.#mode !== "pull" || this.dataset["key"] !== now.join("/");
    this.dataset["key"] = now.join("/");
    this.#describe(now, step, open);
    if (changed) this.#showWays(step); // what came before this pull may have had others
    if (step.adds_running) {
      this.#set("before");
      fill(this.#before, make("p", { class: "harm" }, say("running_needed")));
      return;
    }
    const asked = `${step.tool?.id ?? ""} ${step.figure}`;
    const fresh = changed || this.dataset["asked"] !== asked;
    if (fresh) {
      this.dataset["asked"] = asked;
      this.#answer.show(step);
    }
    this.#set("pull", fresh || !this.#ready);
    if (!changed) return;
    this.#answer.begin();
    this.#speak(now, step);
  }

  /**
   * The wrench was laid aside here: which one is set to what instead, the workshop plans.
   * @param {Step} step
   * @param {Key} now
   * @param {Key[]} open
   */
  #laidAside(step, now, open) {
    this.#describe(now, step, open);
    this.#set("before");
    fill(this.#before, make("p", { class: "harm" }, say("laid_aside_here", { tool: step.tool?.name ?? "" })));
  }

  /**
   * Say aloud what is to be pulled, once for each pull.
   * @param {Key} now
   * @param {Step} step
   */
  #speak(now, step) {
    if (this.#spoken === now.join("/")) return;
    this.#spoken = now.join("/");
    const who = now[2] > 0 ? say("fastener", { number: now[2] }) : say("whole_joint");
    cues.speak(`${who}. ${step.caption} ${told(step.figure) || step.asked} ${step.unit}`);
  }

  /**
   * @param {Key} now
   * @param {Step} step
   * @param {Key[]} open
   */
  #describe(now, step, open) {
    if (this.#work.show(this.#bench, now, step, open)) this.#showWays(step);
    this.#ahead.show(this.#bench, now, open);
  }

  /** @param {Step} step */
  #showWays(step) {
    fill(
      this.#ways,
      way(say("happened"), () => void this.#ask(null)),
      step.ways.length > 0 && way(waysWords(step), () => void this.#openWays(step)),
      step.tool?.setting && way(say("card"), () => void this.#showCard(step)),
      this.#bench.device && step.records && way(say("from_device"), () => void this.#fromDevice()),
      step.simulated && way(say("simulate"), () => void this.#simulate()),
      this.#toList(),
      this.#toSign(),
    );
  }

  /** The way to what waits to be signed: it stands on the page of the job. */
  #toSign() {
    const count = this.#bench.waits?.length ?? 0;
    if (!count) return null;
    const href = `/jobs/${encodeURIComponent(this.#bench.job.id)}#unsigned`;
    return make("a", { class: "button", href }, say("to_sign", { count }));
  }

  /** The units in which the value that is asked may be read. */
  #unitsAsked() {
    const step = this.#asked && this.#step(this.#asked);
    if (!step) return [];
    return step.ask === "angle" ? ["deg"] : step.units;
  }

  /** Fetch what works out consequences; where it cannot be had, the work waits for the server. */
  async #followed() {
    this.#rules ??= await import("./reckoned.js").catch(() => null);
  }

  /** Whether all of the page is here; it says so where it cannot be fetched. */
  async #whole() {
    try {
      this.#rules = await theRest();
      return true;
    } catch {
      this.#say(say("offline"));
      return false;
    }
  }

  /** Let the result come in another way. @param {Step} step */
  async #openWays(step) {
    const key = this.#asked;
    if (key && (await this.#whole())) this.#other.open(step, key, (reading) => void this.#answered(reading));
  }

  /** The start of a mark was chosen: what is drawn of it on the page follows. */
  #marked() {
    const key = this.#asked;
    const step = key && this.#step(key);
    if (key && step) this.#work.show(this.#bench, key, step, this.#open());
  }

  /** A second person reads, and is not shown what the first one read. */
  async #second() {
    const verdict = this.#shown;
    const step = this.#pulled;
    if (!verdict?.again || !step || !(await this.#whole())) return;
    const key = keyOf(verdict);
    const taken = (/** @type {Reading} */ reading) => void this.#send(secondEntry(verdict.entry, key, reading));
    this.#other.open(step, key, taken, { ways: [verdict.again], title: say("second_title"), blind: true });
  }

  /** The way to the preparation list while something of it is open. */
  #toList() {
    const list = this.#bench.preparation;
    if (!list) return null;
    const text = say("prepare_open", { count: list.open });
    return make("a", { class: "button", href: preparationOf(this.#bench.job.id) }, text);
  }

  /** Whether nothing is pulled here before the preparation list is settled. @param {Key} now */
  #mustPrepare(now) {
    const list = this.#bench.preparation;
    return Boolean(list?.must) && list?.joint === now[0] && now[1] >= list.stage;
  }

  /**
   * @param {Key} now
   * @param {Key[]} open
   */
  #listFirst(now, open) {
    const [step, list] = [this.#step(now), this.#bench.preparation];
    if (!step || !list) return;
    this.#describe(now, step, open);
    fill(this.#ways);
    this.#before.showList(this.#bench.job.id, list);
    this.#set("before");
  }

  /**
   * The work stands at a hold point until it is answered.
   * @param {Hold} hold
   * @param {Key | null} now
   * @param {Key[]} open
   */
  #holdFirst(hold, now, open) {
    const step = now && this.#step(now);
    if (now && step) this.#describe(now, step, open);
    fill(this.#ways, now && way(say("happened"), () => void this.#ask(null)));
    this.#holding = hold;
    this.#before.showHold(hold);
    this.#set("before");
  }

  /**
   * Something that happened has left something open: nothing is pulled here before it is settled.
   * @param {import("./types.d.ts").Due} due
   * @param {Key | null} now
   * @param {Key[]} open
   */
  #dueFirst(due, now, open) {
    const step = now && this.#step(now);
    if (now && step) this.#describe(now, step, open);
    const happened = () => void this.#ask(null);
    fill(this.#ways, now && way(say("happened"), happened));
    const changed = this.#due.show(due);
    this.#set("due", changed || !this.#ready);
  }

  /** @param {{ due: import("./types.d.ts").Due, answer: string, told: string }} settled */
  async #settled(settled) {
    if (this.#mode !== "due" || !this.#ready) return;
    const next = String(this.#open()[0]?.[2] ?? 0);
    if (settled.due.told === "next" && settled.told !== next) {
      this.#due.wrong(say("due_next_wrong"));
      return;
    }
    this.#due.done();
    await this.#send(settlingEntry(settled.due, settled.answer, settled.told));
  }

  /**
   * What was noted waits here for the server, which says what follows.
   * @param {Item} item
   */
  #showStanding(item) {
    this.#set("result");
    this.#verdict.showStanding(item);
  }

  /** @param {{ answer: string, reason: string }} held */
  async #heldAt(held) {
    if (this.#mode !== "before" || !this.#holding || !this.#ready) return;
    await this.#send(holdEntry(this.#holding, held.answer, held.reason));
  }

  #end() {
    this.#set("end");
    const here = outbox.onlyHere.filter((item) => this.#mine(item) && item.way !== "closings");
    this.#verdict.showEnd(this.#bench.job, here.length, this.#toSign());
  }

  // ---- answers

  /** @param {Reading} reading */
  async #answered(reading) {
    const key = this.#asked;
    const step = key && this.#step(key);
    if (!key || !step || this.#mode !== "pull" || !this.#ready) return;
    await this.#send(pullEntry(key, step, reading));
  }

  /** @param {import("./entries.js").Entry} one */
  async #send(one) {
    const [made, job, plan] = [new Date().toISOString(), this.#bench.job.id, this.#bench.plan];
    // Whose hand it is goes with it from the start: a sending that ends meanwhile tells of it too.
    /** @type {Item} */
    const fresh = { ...one, id: uuid7(), job, made, plan, state: "waiting", why: "", ...hand() };
    if (one.way in FOLLOWED && this.#rules) {
      const expects = this.#rules.expected(this.#rules.reckoned(this.#bench, [...outbox.items, fresh]), fresh.id);
      if (expects) fresh.expects = expects;
    }
    this.#set("result");
    this.#awaited = fresh.id;
    this.#item = fresh;
    this.#keptShown = "";
    fill(this.#verdict);
    const item = await outbox.put(fresh);
    // The regular sending may have been at it between keeping and here: then its fate is shown.
    if (this.#awaited !== fresh.id) return;
    this.#item = item;
    if (this.#verdict.childElementCount > 0) return;
    const sending = make("p", { class: "verdict-first sending" }, say("sending"));
    fill(this.#verdict, sending);
    const timer = setTimeout(() => this.#showKept(item, ""), SOON);
    await outbox.flush();
    clearTimeout(timer);
    if (sending.isConnected) this.#showKept(item, outbox.why);
  }

  /** @param {Map<string, import("./outbox.js").Fate>} fates */
  #sent(fates) {
    const fate = fates.get(this.#awaited);
    const taken = [...fates.values()].some((one) => one.state === "taken");
    let found = "";
    for (const { state, item, answer } of fates.values()) {
      // Should the server be away again before it can be asked, this is known all the same.
      if (state === "taken" && !answer?.awaits) {
        const before = this.#bench;
        this.#bench = withReceipt(before, item, answer?.verdict ?? null);
        if (this.#rules) this.#bench = this.#rules.taken(this.#bench, item, answer?.verdict ?? null);
        if (item.expects && answer?.effects) found += this.#rules?.otherwise(before, item.expects, answer.effects) ?? "";
      }
    }
    if (taken) {
      void keepBench(this.#bench);
      void this.#refresh();
    }
    if (found) this.#say(found);
    if (!fate) {
      if (this.#item && this.#awaited && [...fates.values()].some((one) => one.state === "away")) {
        this.#showKept(this.#item, outbox.why);
      }
      if (taken && !outbox.waiting.length && !found) this.#say(say("sent_all"));
      return;
    }
    const item = this.#item;
    if (fate.state === "away" && item) this.#showKept(item, fate.why);
    if (fate.state === "refused" && item) this.#showItem({ ...fate.item, why: fate.why });
    if (fate.state === "taken") this.#taken(fate.answer?.verdict ?? null, found || (fate.answer?.told ?? ""));
  }

  /**
   * @param {Verdict | null} verdict
   * @param {string} told
   */
  #taken(verdict, told = "") {
    this.#awaited = "";
    this.#item = null;
    if (verdict) this.#showVerdict(verdict);
    else void this.#looked().then(() => this.#now());
    if (told) this.#say(told);
  }

  /** Wait until the latest look at the server is over. */
  async #looked() {
    let looking;
    do {
      looking = this.#looking;
      await looking;
    } while (looking !== this.#looking);
  }

  /** @param {Verdict} verdict */
  #showVerdict(verdict) {
    if (this.#shown?.entry !== verdict.entry) cues.verdict(verdict);
    this.#shown = verdict;
    this.#say("");
    const key = /** @type {Key} */ ([verdict.joint, verdict.stage, verdict.fastener]);
    const step = this.#step(key);
    if (step) this.#describe(key, step, this.#open());
    const job = encodeURIComponent(this.#bench.job.id);
    const dark = matchMedia("(prefers-color-scheme: dark)").matches;
    const look = document.documentElement.dataset["look"] ?? (dark ? "dark" : "light");
    const size = matchMedia("(max-width: 46rem)").matches ? "narrow" : "wide";
    const chart = `/api/jobs/${job}/pulls/${verdict.entry}/chart.svg?look=${look}&size=${size}`;
    this.#set("result");
    const waits = this.#bench.waits?.some((one) => one.key && same(one.key, verdict)) ? this.#toSign() : null;
    this.#verdict.show(verdict, verdict.recorded ? chart : "", waits);
  }

  /**
   * @param {Item} item
   * @param {string} why
   */
  #showKept(item, why) {
    if (this.#awaited !== item.id) return;
    const shown = `${item.id} ${why}`;
    if (this.#mode === "result" && this.#keptShown === shown) return; // a touch may be on its way
    this.#keptShown = shown;
    this.#set("result");
    this.#verdict.showKept(item, why);
  }

  /** @param {Item} item */
  #showItem(item) {
    this.#item = item;
    this.#awaited = "";
    this.#set("result");
    this.#verdict.showRefused(item);
  }

  // ---- what the person does after a verdict

  /** @param {string} act */
  async #acted(act) {
    if (!this.#ready) return;
    if (act === "second") {
      void this.#second();
      return;
    }
    if (act === "close") {
      const reason = this.querySelector("[name=close-reason]");
      if (this.#item?.way === "closings") await outbox.drop([this.#item]);
      await this.#send(closingEntry(reason instanceof HTMLInputElement ? reason.value.trim() : ""));
      return;
    }
    if (act === "send") {
      await outbox.flush();
      await this.#refresh();
      this.#now();
      return;
    }
    if (act === "restart" || act === "accept") {
      void this.#ask(act);
      return;
    }
    if (act === "sign-later" && this.#item) {
      this.#awaited = this.#item.id;
      await outbox.signLater(this.#item);
      return;
    }
    if (act === "by-changed-plan" && this.#item) {
      this.#awaited = this.#item.id;
      await outbox.sendAgain(this.#item);
      return;
    }
    if (act === "aside" && this.#item) {
      const kept = outbox.items.find((item) => item.id === this.#item?.id) ?? this.#item;
      await outbox.putAside({ ...kept, why: this.#item.why });
    }
    this.#item = null;
    this.#awaited = "";
    this.#say("");
    delete this.dataset["ready"];
    if (!outbox.away) await this.#looked();
    this.#now();
  }

  /** The pull that what is on the page is about. @returns {Key | null} */
  #subject() {
    if (this.#mode !== "result") return this.#asked;
    return this.#item?.key ?? (this.#shown ? keyOf(this.#shown) : this.#asked);
  }

  /** @param {"restart" | "accept" | null} first */
  async #ask(first) {
    const key = this.#subject();
    const step = key && this.#step(key);
    if (!key || !step || !(await this.#whole())) return;
    const numbers = Object.keys(this.#bench.places[key[0]] ?? {}).map(Number).filter(Boolean);
    const verdict = this.#openEntry(key) !== "";
    const back = outbox.waiting.some((item) => this.#mine(item)) ? null : this.#bench.back;
    this.#happened.open(step, { fastener: key[2], numbers, verdict, back }, first);
  }

  /** The entry that stands open at a pull, judged by the server or compared here. @param {Key} key */
  #openEntry(key) {
    return this.#openVerdict(key)?.entry ?? outsideHere(this.#bench, this.#here().items, key)?.id ?? "";
  }

  /** @param {Key} key @returns {Verdict | null} */
  #openVerdict(key) {
    const shown = this.#shown;
    if (shown && same(key, shown) && !shown.settled) return shown;
    const last = this.#bench.last;
    return last && same(key, last) ? last : null;
  }

  /** @param {import("./happened.js").Noted} noted */
  async #noted(noted) {
    const key = this.#subject();
    if (!key) return;
    if (noted.what === "tool") {
      this.#inHand = noted.tool;
      await this.#refresh();
      this.#now();
      return;
    }
    if (noted.what === "restart") {
      await this.#send(restartEntry([key[0], key[1], noted.fastener], noted.reason, noted.renewed));
      return;
    }
    if (noted.what === "happening") {
      await this.#send(happeningEntry(key, noted));
      return;
    }
    if (noted.what === "back") {
      this.#shown = null;
      await this.#send(takingBackEntry(noted.entry, noted.reason));
      return;
    }
    const entry = this.#openEntry(key);
    if (!entry) {
      this.#say(say("nothing_open"));
      return;
    }
    await this.#send(acceptanceEntry(key, entry, noted.reason));
  }

  // ---- the server's side

  #refresh() {
    this.#looking = this.#look();
    return this.#looking;
  }

  async #look() {
    this.#refreshing += 1;
    const turn = this.#refreshing;
    const { turn: quarter, mirror } = this.#view;
    const query = new URLSearchParams({ turn: String(quarter), mirror: String(mirror) });
    if (this.#inHand) query.set("tool", this.#inHand);
    const job = encodeURIComponent(this.#bench.job.id);
    const answer = await ask(`/api/jobs/${job}/bench?${query}`);
    if (answer.error || !answer.data || turn !== this.#refreshing) return false;
    const wasClosed = this.#bench.job.closed;
    this.#bench = answer.data;
    void keepBench(this.#bench);
    document.querySelector(".kept-page")?.remove();
    const reopened = this.#bench.ahead.length > 0 || this.#bench.job.closed !== wasClosed;
    if (this.#mode === "pull" || this.#mode === "before" || this.#mode === "due") this.#moved();
    else if (this.#mode === "end" && reopened) this.#now();
    else if (this.#mode === "result" && this.#shown) {
      this.#ahead.show(this.#bench, keyOf(this.#shown), this.#open());
    }
    return true;
  }

  /** The log has grown while the page asked for a pull: stay, or move on and say so. */
  #moved() {
    const before = this.#asked;
    const open = this.#open();
    const now = open[0] ?? null;
    if (before && now && now.join() !== before.join()) this.#say(say("moved_on"));
    this.#now();
  }

  /** @param {{ turn: number, mirror: boolean }} view */
  async #turned(view) {
    const before = this.#view;
    this.#view = view;
    if (!(await this.#refresh())) {
      this.#view = before;
      this.#say(say("away_view"));
      return;
    }
    keepView(view);
    const key = this.#subject();
    const step = key && this.#step(key);
    if (key && step) this.#describe(key, step, this.#open());
  }

  /** Let the device on the server's serial line record this pull. */
  async #fromDevice() {
    const key = this.#asked;
    const tool = key && this.#step(key)?.tool?.id;
    if (!key || !tool) return;
    const [joint, stage, fastener] = key;
    const body = { pull: { joint, stage, fastener }, tool, entry: uuid7() };
    const job = encodeURIComponent(this.#bench.job.id);
    const answer = await ask(`/api/jobs/${job}/device-pulls`, { method: "POST", body });
    if (answer.error || !answer.status) this.#say(answer.error || say("offline"));
    else this.#gauge.offer(() => void ask("/api/device/break-off", { method: "POST", body: {} }));
  }

  async #simulate() {
    const key = this.#asked;
    if (!key) return;
    const job = encodeURIComponent(this.#bench.job.id);
    const body = { joint: key[0], stage: key[1], fastener: key[2], entry: uuid7() };
    const answer = await ask(`/api/jobs/${job}/simulated`, { method: "POST", body });
    if (answer.error || !answer.status) this.#say(answer.error || say("offline"));
  }

  /** @param {Step} step */
  async #showCard(step) {
    const query = new URLSearchParams({ joint: step.joint, stage: String(step.stage) });
    if (step.tool) query.set("tool", step.tool.id);
    const answer = await ask(`/api/jobs/${encodeURIComponent(this.#bench.job.id)}/card?${query}`);
    if (answer.error || !answer.data) this.#say(answer.error || say("offline"));
    else this.#card.open(answer.data.svg, answer.data.spoken);
  }

  /** The live channel is there (again): what was said meanwhile was not heard. */
  async #heardAgain() {
    const wasLive = this.#mode === "live";
    await this.#refresh();
    if (!wasLive || this.#mode !== "live") return;
    this.#mode = "result";
    this.#now();
  }

  /**
   * The wrench is silent, or the line to the server is only half open: ask another way, and let a
   * touch open the line anew.
   */
  async #silent() {
    if (this.#mode !== "live") return;
    this.#glass.lay(say("touch_anew"), () => this.#listenAnew());
    const seen = this.#bench.size;
    const there = await this.#refresh();
    if (this.#mode !== "live" || !there || this.#bench.size === seen) return;
    this.#listenAnew(); // the pull is on the log, and nobody has said so here
  }

  /** @param {Told} told */
  #told(told) {
    if (this.#glass.lies && this.#mode === "live") this.#glass.lift();
    if ("live" in told) {
      cues.live(told.live);
      if (this.#mode !== "live") this.#say("");
      this.#set("live");
      this.#gauge.show(told.live);
    } else if ("taken" in told) {
      cues.end();
      this.#gauge.end(say("live_end"));
      void this.#refresh().then(() => this.#showVerdict(told.taken));
    } else if ("waiting" in told) {
      this.#gauge.end(say("live_waiting", { why: told.waiting }));
    } else if ("stopped" in told) {
      cues.end();
      this.#mode = "result";
      void this.#refresh().then(() => {
        this.#now();
        this.#say(told.stopped);
      });
    } else if ("changed" in told && told.changed !== this.#bench.size) {
      void this.#refresh();
    } else if ("error" in told) {
      this.#say(told.error);
    }
  }

  // ---- small things

  /** @param {string} text */
  #say(text) {
    this.#notice.textContent = text;
    this.#notice.hidden = !text;
  }

  /**
   * A foot pedal or a keyboard: Space and Enter are the main button wherever the focus is lost; the
   * arrows go from one button to the next.
   */
  #keyed(/** @type {KeyboardEvent} */ event) {
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return;
    const step = STEPS[event.key];
    if (step) this.#stepped(event, step);
    if ((event.key !== " " && event.key !== "Enter") || event.repeat) return;
    if (document.activeElement !== document.body && document.activeElement?.id !== "content") return;
    const main = this.querySelector("[class~=hands] > :not([hidden]) .main");
    if (main instanceof HTMLElement) {
      event.preventDefault();
      main.click();
    }
  }

  /**
   * @param {KeyboardEvent} event
   * @param {number} step
   */
  #stepped(event, step) {
    const active = document.activeElement;
    if (active instanceof HTMLInputElement || active instanceof HTMLSelectElement) return;
    const room = this.querySelector("dialog[open]") ?? this.querySelector(".hands");
    const all = [...(room?.querySelectorAll("button, a.button, summary") ?? [])].filter(
      (one) => one instanceof HTMLElement && one.checkVisibility(),
    );
    const at = active ? all.indexOf(active) : -1;
    const next = all[at < 0 ? 0 : (at + step + all.length) % all.length];
    if (!(next instanceof HTMLElement)) return;
    event.preventDefault();
    next.focus();
  }
}

/** Ways whose entries have consequences. */
const FOLLOWED = { happenings: true, settlings: true };

/** Keys that go on, or back. @type {Record<string, number>} */
const STEPS = { ArrowDown: 1, ArrowRight: 1, PageDown: 1, ArrowUp: -1, ArrowLeft: -1, PageUp: -1 };

/** @param {Event} event */
function detail(event) {
  return event instanceof CustomEvent ? event.detail : null;
}

/** @param {Verdict} verdict @returns {Key} */
function keyOf(verdict) {
  return [verdict.joint, verdict.stage, verdict.fastener];
}

/** @param {Key} key @param {Verdict} verdict */
function same(key, verdict) {
  return key[0] === verdict.joint && key[1] === verdict.stage && key[2] === verdict.fastener;
}

/** @param {string} text @param {() => void} act */
function way(text, act) {
  return make("button", { type: "button", class: "button", onclick: act }, text);
}

customElements.define("bench-page", BenchPage);
