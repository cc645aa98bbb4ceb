// Sounds, vibration and words for eyes that are elsewhere. A browser lets nothing sound before the
// person has touched the page; until then it stays silent.

import { isOn } from "./cue-choices.js";
import { passed, RHYTHMS, tickGap, tickPitch, vibration } from "./rhythms.js";
import { say } from "./words.js";

/** @typedef {import("./rhythms.js").Signal} Signal */
/** @typedef {import("./types.d.ts").Live} Live */

const LOUD = 0.25;
/** A tone that begins and ends softly does not click. */
const SOFT = 0.008;
const TICK = 45;

class Cues {
  /** @type {AudioContext | null} */
  #audio = null;
  #pull = "";
  /** @type {number | null} */
  #rest = null;
  /** What was signalled in this pull already. @type {Set<string>} */
  #given = new Set();
  #share = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #ticking;

  /** Sound may begin with the first touch of the page. */
  listen() {
    for (const name of ["pointerup", "keydown"]) document.addEventListener(name, () => this.#wake());
  }

  #wake() {
    if (!("AudioContext" in window)) return;
    this.#audio ??= new AudioContext();
    if (this.#audio.state === "suspended") void this.#audio.resume();
  }

  /**
   * A value of a pull that goes on.
   * @param {Live} live
   */
  live(live) {
    if (live.entry !== this.#pull) this.#begin(live.entry);
    for (const event of live.events) {
      if (event === "slipped") this.#once("slip");
      if (event === "yielded") this.#once("over");
    }
    if (live.say === "stop" && !this.#given.has("slip")) this.#stop();
    const mark = passed(this.#rest, live.remaining);
    this.#rest = live.remaining ?? this.#rest;
    if (mark !== null && live.say !== "stop") this.speak(say("left_mark", { number: mark }));
    this.#share = live.say === "stop" || live.say === "back_off" ? 0 : live.part;
    if (this.#ticking === undefined) this.#tick();
  }

  #stop() {
    if (this.#given.has("reached")) return;
    this.#once("reached");
    this.speak(say("stop_word"));
  }

  /** No more values come: the ticks end. */
  end() {
    this.#share = 0;
  }

  /** @param {string} entry */
  #begin(entry) {
    this.#pull = entry;
    this.#rest = null;
    this.#given.clear();
  }

  #tick() {
    const gap = tickGap(this.#share);
    if (gap === null) {
      this.#ticking = undefined;
      return;
    }
    if (isOn("ticks")) this.#tone(0, TICK, tickPitch(this.#share), LOUD / 2);
    if (isOn("felt_ticks")) vibrate([TICK]);
    this.#ticking = setTimeout(() => this.#tick(), gap);
  }

  /**
   * What became of a pull, where it was not signalled while it went on.
   * @param {import("./types.d.ts").Verdict} verdict
   */
  verdict(verdict) {
    if (verdict.entry !== this.#pull) this.#begin(verdict.entry);
    if (verdict.verdict === "within") this.#once("reached");
    else if (verdict.verdict === "over") this.#once("over");
    else if (verdict.verdict === "void" && !this.#given.has("slip")) this.#once("over");
    this.speak(verdict.word);
    this.end();
  }

  /** @param {Signal} signal */
  #once(signal) {
    if (this.#given.has(signal)) return;
    this.#given.add(signal);
    if (isOn("felt")) vibrate(vibration(signal));
    if (!isOn(signal)) return;
    let at = 0;
    for (const [sounds, still, pitch] of RHYTHMS[signal]) {
      this.#tone(at, sounds, pitch, LOUD);
      at += sounds + still;
    }
  }

  /**
   * Let a signal be tried out, whatever is chosen.
   * @param {Signal} signal
   */
  sample(signal) {
    this.#wake();
    let at = 0;
    for (const [sounds, still, pitch] of RHYTHMS[signal]) {
      this.#tone(at, sounds, pitch, LOUD);
      at += sounds + still;
    }
  }

  /**
   * @param {number} after ms from now
   * @param {number} sounds ms
   * @param {number} pitch Hz
   * @param {number} loud
   */
  #tone(after, sounds, pitch, loud) {
    const audio = this.#audio;
    if (!audio || audio.state !== "running") return;
    const [from, to] = [audio.currentTime + after / 1000, audio.currentTime + (after + sounds) / 1000];
    const tone = new OscillatorNode(audio, { frequency: pitch, type: "triangle" });
    const volume = new GainNode(audio, { gain: 0 });
    volume.gain.setValueAtTime(0, from);
    volume.gain.linearRampToValueAtTime(loud, from + SOFT);
    volume.gain.setValueAtTime(loud, to - SOFT);
    volume.gain.linearRampToValueAtTime(0, to);
    tone.connect(volume).connect(audio.destination);
    tone.start(from);
    tone.stop(to);
  }

  /**
   * Say something by the device's own voice; what was being said gives way.
   * @param {string} text
   */
  speak(text) {
    if (!isOn("voice") || !text) return;
    const voice = ownVoice();
    if (!voice) return;
    const words = new SpeechSynthesisUtterance(text);
    words.voice = voice;
    words.lang = voice.lang;
    speechSynthesis.cancel();
    speechSynthesis.speak(words);
  }
}

/**
 * A voice that speaks on the device: what is done here is told to no other computer.
 * @returns {SpeechSynthesisVoice | null}
 */
export function ownVoice() {
  if (!("speechSynthesis" in window)) return null;
  const own = speechSynthesis.getVoices().filter((one) => one.localService);
  const language = document.documentElement.lang.slice(0, 2);
  return own.find((one) => one.lang.startsWith(language)) ?? own[0] ?? null;
}

/** @param {number[]} pattern */
function vibrate(pattern) {
  if ("vibrate" in navigator) navigator.vibrate(pattern);
}

export const cues = new Cues();
