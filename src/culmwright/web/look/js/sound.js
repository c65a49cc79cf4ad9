// What the bench says to the ear: each verdict has its own figure of notes, and so have held, refused and waiting.

import { keeping } from "./keeping.js";

const NOTES = { // Hz and seconds
  click: [[1600, 0.03]],
  "one note rising": [[660, 0.07], [700, 0.05]],
  "two notes rising": [[587, 0.09], [784, 0.12]],
  "three notes rising": [[523, 0.08], [659, 0.08], [784, 0.16]],
  "one note falling": [[560, 0.07], [523, 0.05]],
  "two notes falling": [[587, 0.09], [440, 0.14]],
  "three notes falling": [[523, 0.1], [392, 0.1], [262, 0.24]],
  waiting: [[330, 0.05]],
  held: [[880, 0.08], [0, 0.05], [880, 0.08]],
  refused: [[150, 0.35]],
  moved: [[420, 0.03]],
};

export class Sound {
  constructor() {
    this.on = keeping.get("bench sound") !== "off";
    this.last = "";
  }

  toggle() {
    this.on = !this.on;
    keeping.set("bench sound", this.on ? "on" : "off");
    if (this.on) this.play("click");
    return this.on;
  }

  play(name) {
    this.last = name;
    const Context = window.AudioContext || window.webkitAudioContext;
    if (!this.on || !Context) return;
    this.context ??= new Context();
    if (this.context.state === "suspended") this.context.resume(); // a browser waits for the first touch
    let at = this.context.currentTime + 0.005;
    for (const [pitch, length] of NOTES[name] ?? NOTES.click) {
      if (pitch) this.note(pitch, at, length, name === "refused" ? "sawtooth" : "triangle");
      at += length;
    }
  }

  note(pitch, at, length, wave) {
    const tone = this.context.createOscillator(), volume = this.context.createGain();
    tone.type = wave;
    tone.frequency.value = pitch;
    volume.gain.setValueAtTime(0.0001, at);
    volume.gain.exponentialRampToValueAtTime(0.5, at + 0.008);
    volume.gain.exponentialRampToValueAtTime(0.0001, at + length);
    tone.connect(volume).connect(this.context.destination);
    tone.start(at);
    tone.stop(at + length + 0.02);
  }
}
