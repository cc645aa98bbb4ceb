// What travels between the server and this device.

export interface Limits {
  low: number | null;
  high: number | null;
  text: string;
}

export interface Tool {
  id: string;
  name: string;
  kind: string;
  adapter: string | null;
  setting: { value: string; unit: string; text: string } | null;
}

export interface Step {
  joint: string;
  joint_title: string;
  stage: number;
  stages: number;
  kind: string;
  /** What the stage is to the rules of what can happen. */
  sort: string;
  text: string;
  condition: string;
  care: string[];
  caption: string;
  figure: string;
  unit: string;
  asked: string;
  ask: "click" | "value" | "angle" | "done";
  direction: "cw" | "ccw";
  arrow: "cw" | "ccw";
  arrow_words: string;
  left_hand: boolean;
  tool: Tool | null;
  tools: { id: string; name: string }[];
  units: string[];
  compare: { click?: boolean; text?: string; units?: Record<string, Limits> } | null;
  /** What this nut's running torque adds is not in it yet. */
  adds_running: boolean;
  records: boolean;
  simulated: boolean;
  /** Other ways than the plain one in which a result of this stage comes in. */
  ways: ("marks" | "gauge" | "phone" | "stretch" | "turning")[];
  /** What is to be turned in this pull, where the stage is an angle. */
  turn: { angle: number; flats: string } | null;
  /** Stretch gauges of the drawer, for a stretch. */
  gauges: { id: string; title: string; step: string }[];
}

export interface Verdict {
  entry: string;
  joint: string;
  stage: number;
  fastener: number;
  verdict: string;
  word: string;
  reasons: string[];
  next: string;
  settled: boolean;
  accepted: boolean;
  voided: boolean;
  doubted: boolean;
  recorded: boolean;
  /** How a second person may read it again; empty where there is nothing to read. */
  again: "figure" | "marks" | "gauge" | "stretch" | "";
  /** Whether a second person read the same; null where nobody did. */
  confirmed: boolean | null;
}

export type Key = [joint: string, stage: number, fastener: number];

export interface Bench {
  log: string;
  /** Mark of the plan; another one is another plan. */
  plan: string;
  size: number;
  job: {
    id: string;
    title: string;
    machine: string;
    invented: boolean;
    closed: boolean;
    harm: number;
    counts: Record<string, number>;
  };
  pulls: { all: number; done: number; left: number };
  view: { turn: number; mirror: boolean };
  ahead: Key[];
  /** Every pull of the job in working order. */
  sequence: Key[];
  steps: Record<string, Step>;
  places: Record<string, Record<string, string>>;
  map: string;
  last: Verdict | null;
  /** What is open of the preparation list before the present pull. */
  preparation: Preparation | null;
  /** Hold points that are not settled, in working order. */
  holds: Hold[];
  device: Device | null;
  /** What is open of what happened. */
  dues: Due[];
  /** Tools that are laid aside. */
  aside: string[];
  /** What can be taken back now. */
  back: { entry: string; what: string } | null;
  /** What happenings rest on; missing in what an older program kept. */
  after?: {
    /** Pulls that count, in their order. */
    pulls: [joint: string, stage: number, fastener: number, tool: string, settled: boolean, doubted: boolean][];
    dues: DueHere[];
    suspects: string[];
    joints: Record<string, JointAfter>;
    /** Hold points that are answered, to be asked again where what they rest on counts no more. */
    holds: Hold[];
  };
  /** Ids of tools laid aside, as the device reckons. */
  suspects?: string[];
  /** What waits to be signed, and the pull it is of; missing in what an older program kept. */
  waits?: { told: string; key: Key | null }[];
}

export interface Due {
  happening: string;
  joint: string;
  joint_title: string;
  due: string;
  holds_up: boolean;
  ask: string;
  say: string;
  source: string;
  answers: { name: string; say: string }[];
  told: "" | "place" | "found" | "next";
  offered: string;
  lines: string[];
}

/** What stands open, as the device folds it. */
export interface DueHere {
  happening: string;
  joint: string;
  due: string;
  fasteners: number[];
  renew: boolean;
  from_stage: number;
  tool: string;
  /** Ids of the pulls of a tool in doubt. */
  pulls: string[];
}

/** A pull that counts: one of the log by its number here, one made here by its entry. */
export interface PullHere {
  id: string;
  key: Key;
  tool: string;
  settled: boolean;
  doubted: boolean;
}

/** What something that happened does to a job. */
export interface Effects {
  void: string[];
  loosen: { joint: string; fasteners: number[]; renew: boolean; from_stage: number }[];
  doubt: string[];
  clear: string[];
  suspect: string;
  dues: string[];
}

/** The same by the places of the pulls: what a device reckons, and what the server finds. */
export interface Expected {
  void: string[];
  loosen: Effects["loosen"];
  suspect: string;
  dues: string[];
}

/** What the rules have to know of a joint. */
export interface JointAfter {
  title: string;
  /** Its fasteners against the order in which they are tightened. */
  backwards: number[];
  /** What holds here is never slackened: always fitted new. */
  renews: boolean;
}

export interface HappeningQuestion {
  happening: string;
  name: string;
  kind: "choice" | "fastener" | "fasteners" | "last_sure" | "stage" | "person";
  stages: string[];
  when: Record<string, string[]>;
  question: string;
  answers: { name: string; say: string }[];
}

export interface HappeningRule {
  happening: string;
  stages: string[];
  when: Record<string, string[]>;
  say: string;
  does: string[];
  source: string;
}

export interface Happenings {
  happenings: { name: string; title: string; say: string }[];
  questions: HappeningQuestion[];
  rules: HappeningRule[];
  dues: {
    name: string;
    question: string;
    say: string;
    source: string;
    told: Due["told"];
    answers: { name: string; say: string; does: string[] }[];
  }[];
}

/** The device on the server's serial line. */
export interface Device {
  /** Which wrench it is; empty for the planned one. */
  tool: string;
  /** Why it is not there; empty where it is. */
  problem: string;
}

export interface Hold {
  joint: string;
  joint_title: string;
  hold: number;
  after: number;
  ask: string;
  answer: "yes" | "figure" | "note";
  unit: string;
  limits: string;
  /** The last answer, where it did not fit. */
  last: string;
}

export interface Preparation {
  joint: string;
  stage: number;
  open: number;
  points: string[];
  /** Nothing is pulled while it is open and nobody gave a reason. */
  must: boolean;
}

export type Reading =
  | { kind: "value"; value: string; unit: string }
  | { kind: "click"; clicked: boolean; moved: boolean; setting: { value: string; unit: string } }
  | { kind: "angle"; value: string; unit: "deg" }
  | { kind: "done"; done: boolean }
  | { kind: "marks"; start: string; end: string; turns: number; turning: "cw" | "ccw"; step: string }
  | { kind: "gauge"; value: string; unit: "deg"; held: "loaded" | "let_go"; zero: string; play: string | null }
  | { kind: "phone"; value: string; unit: "deg"; u: string; swings: number }
  | {
      kind: "stretch";
      free: string[];
      tight: string[];
      unit: string;
      step: string;
      gauge: string | null;
      temperatures: string[] | null;
    }
  | { kind: "while_turning"; values: string[]; unit: string; peak: string | null };

/** One entry on its way to the server. */
export interface Item {
  counter?: number;
  id: string;
  job: string;
  /** Address part of its kind: pulls, acceptances, restarts, closings, preparations, passings, holds, loosenings, happenings, settlings, takings-back. */
  way: string;
  body: Record<string, unknown>;
  /** What the device's clock said, RFC 3339. */
  made: string;
  /** The pull it is of, if it is one. */
  key: Key | null;
  /** In words, for the person. */
  what: string;
  /** Compared on the device: true inside, false outside, null when it cannot be. */
  inside: boolean | null;
  limits: string;
  /** Refused: to be read by the person. Aside: read, to be kept beside the log's own entries. */
  state: "waiting" | "refused" | "aside";
  why: string;
  /** The work on its joint waits until the server has said what follows. */
  stands?: boolean;
  /** What follows from it, as this device reckoned. */
  expects?: Expected;
  /** Mark of the plan it was made by. */
  plan?: string;
  /** Compared on the device: on which side of the limits it is. */
  side?: "short" | "over" | null;
  /** The log keeps it beside its own entries. */
  safe?: boolean;
  /** It was refused because the plan had been changed. */
  changed?: boolean;
  /** It was refused because nobody signed it: the act that is to be signed. */
  sign?: string;
  /** The server was asked to keep it aside and would not. */
  told?: boolean;
  /** Who tapped, and in which session, where people sign in. */
  person?: string;
  session?: string;
  /** Whether the network was away when it was made. */
  late?: boolean;
}

export interface Live {
  joint: string;
  stage: number;
  fastener: number;
  entry: string;
  torque: string;
  unit: string;
  angle: string;
  quantity: "torque" | "angle";
  part: number;
  /** What the hand should do: a name, and in words. */
  say: "turn" | "slow_down" | "stop" | "back_off";
  told: string;
  /** How far it still is, in words; empty when that cannot be foreseen. */
  rest: string;
  /** The same as a number, degrees; null when it cannot be foreseen. */
  remaining: number | null;
  /** What happened since the last value, in words. */
  happened: string[];
  /** The same by name. */
  events: string[];
  strokes: number;
  samples: number;
}

export type Told =
  | { live: Live }
  | { taken: Verdict }
  | { stopped: string }
  | { waiting: string }
  | { changed: number }
  | { beat: number }
  | { error: string };

/** One way to answer a question on a text. */
export interface AskAnswer {
  text: string;
  informs: string[];
  numbers: number[];
  then: Ask | null;
}

/** How one step of a text is to be read. */
export interface Ask {
  number: number;
  answers: AskAnswer[];
}

/** What was understood of a text. */
export interface TextReading {
  status: "ok" | "ambiguous" | "refused";
  error: string;
  pieces: { text: string; mark: number | null; role: string }[];
  marks: { mark: number; text: string; role: string; role_words: string; meaning: string }[];
  stages: string[];
  why: string[];
  readings: string[][];
  ask: Ask | null;
  notes: string[];
  fastener_problem: string;
}

/** A kept photograph or page. */
export interface KeptFile {
  sha256: string;
  type: string;
  name: string;
  size: number;
}

/** A content read strictly: whole numbers only. */
export type Value = null | boolean | number | string | Value[] | Members;

/** Objects are maps: no name, such as `__proto__`, means anything of its own. */
export interface Members extends Map<string, Value> {}

/** Entries of a device, carried by hand. */
export interface Carried {
  format: string;
  version: number;
  device: string;
  made: string;
  entries: {
    job: string;
    way: string;
    id: string;
    counter: number;
    made: string;
    plan?: string;
    person?: string;
    content: Record<string, unknown>;
    sha256: string;
  }[];
}
