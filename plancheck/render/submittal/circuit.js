"use strict";
/* The circuit of the page, worked out again for any condition and any single failure. The review's own figures govern;
   the tests hold this against them. */

const UNBOUNDED = 1e6;   // amperes of a short on a source that states no limit
const OPENS_AT = 2 * (1 - 1e-6);   // times its rating that surely open a protector

/* A guard's truth: true, false, or null where it hangs on what is uncertain. */
function holds(guard, signals, on) {
  if (guard === undefined || guard === true) return true;
  if (guard === false) return false;
  const [how, ...rest] = guard;
  if (how === "signal") return Boolean(signals[rest[0]]);
  if (how === "part") return on[rest[0]];
  if (how === "not") { const inner = holds(rest[0], signals, on); return inner === null ? null : !inner; }
  const parts = rest.map(inner => holds(inner, signals, on));
  const decides = how === "or";
  if (parts.includes(decides)) return decides;
  return parts.includes(null) ? null : !decides;
}

/* Ways in which some of several contacts may be made besides none of them: all where they are few. */
function choices(unsure) {
  if (unsure.length > 4) return [unsure, ...unsure.map(i => [i])];
  return Array.from({length: (1 << unsure.length) - 1}, (_, k) => unsure.filter((_, j) => (k + 1) >> j & 1));
}

/* The plan of a page: `scene` gives everything as it stands after signals have changed one after another from rest. */
class Circuit {
  constructor(model) {
    this.model = model;
    this.rest = model.signals.map(signal => signal.rests);
    this.asked = model.parts.map((part, i) => i).filter(i => model.parts[i].asked);
  }

  /* `signals` by number; `failure` as in the model or null; `held` numbers of coils that are held in from before;
     `forced` by contact number how electronics have moved it; `dead` names of devices without power inside. */
  scene(signals, failure = null, held = [], forced = {}, dead = []) {
    const lacking = new Set(dead);
    if (failure && failure.dead) lacking.add(failure.dead);
    const usual = failure ? this.settled(signals, {failure: null, forced, lacking, blown: new Set(), usual: new Set()}, held).limited : [];
    const setting = {failure, forced, lacking, blown: new Set(), usual: new Set(usual)};
    for (;;) {
      const found = this.settled(signals, setting, held);
      const over = !failure || !failure.joined ? [] : this.model.parts.map((part, i) => i).filter(i => {
        const part = this.model.parts[i];
        return part.w === "protector" && part.n && !setting.blown.has(i)
          && Math.abs(found.amps.get(i) || 0) >= OPENS_AT * part.n[0][0];
      });
      if (!over.length) { found.blown = [...setting.blown]; return found; }
      over.forEach(i => setting.blown.add(i));
    }
  }

  /* From rest, signals changing one after another, each when the relays have come to rest. */
  settled(signals, setting, held) {
    let now = [...this.rest], on = this.model.parts.map((_, i) => held.includes(i));
    let found = null;
    const steps = held.length ? [] : now.map((_, i) => i).filter(i => now[i] !== signals[i]);
    if (held.length) now = [...signals];
    found = this.stand(now, on, setting);
    for (const i of steps) {
      now[i] = signals[i];
      found = this.stand(now, found.on.map(Boolean), setting);
    }
    return found;
  }

  /* Relays step until they rest. What swings for ever is uncertain, and so is what follows from it. */
  stand(signals, on, setting) {
    let found = null;
    const seen = new Set();
    for (let round = 0; round < 64; round++) {
      found = this.once(signals, on, setting);
      const now = found.on = found.on.map((value, i) => value === null && this.model.parts[i].lasting ? on[i] : value);
      if (this.asked.every(i => now[i] === on[i])) return found;
      const key = this.asked.map(i => now[i]).join();
      if (seen.has(key)) break;
      seen.add(key);
      on = now;
    }
    const swinging = this.asked.filter(i => found.on[i] !== on[i]);
    on = on.map((value, i) => swinging.includes(i) ? null : value);
    found = this.once(signals, on, setting);
    found.chatters = swinging;
    swinging.forEach(i => { found.on[i] = null; });
    return found;
  }

  /* The circuit with its coils as given, and what that makes of them. Contacts of which it is uncertain whether they
     are made are tried either way; what comes of it is certain only where it is always the same. */
  once(signals, on, setting) {
    const {forced, lacking, blown, failure} = setting, {model} = this;
    const removed = new Set([...(failure ? failure.removed : []), ...blown]), welded = new Set(failure ? failure.welded : []);
    const felt = on.map((value, i) => lacking.has(model.parts[i].d) ? false : value);
    const stands = model.parts.map((part, i) => {
      if (removed.has(i)) return false;
      if (welded.has(i)) return true;
      if (part.w === "contact" && i in forced) return forced[i];
      return holds(part.g, signals, felt);
    });
    const unsure = stands.map((_, i) => i).filter(i => stands[i] === null);
    const found = this.worked(stands.map(s => s === true), setting);
    found.made = stands;
    for (const choice of choices(unsure)) {
      const other = this.worked(stands.map((s, i) => s === true || choice.includes(i)), setting);
      found.on = found.on.map((value, i) => value === other.on[i] ? value : null);
      found.volts = this.agreed(found.volts, other.volts);
    }
    return found;
  }

  agreed(one, other) {
    return terminal => {
      const [a, b] = [one(terminal), other(terminal)];
      return a !== undefined && b !== undefined && Math.abs(a - b) < 0.005 ? a : undefined;
    };
  }

  /* The circuit with its contacts as given. */
  worked(made, {failure, lacking, usual}) {
    const {model} = this, extra = failure && failure.joined ? [failure.joined] : [];
    const {nodes, rest} = joined(model, made, extra), touching = metal(model, made, extra);
    const found = blocks(rest), rated = atLevel(found, 0);
    for (const item of rest) {
      if (item.part.w !== "source" || item.a !== item.b) continue;
      rated.limited.add(item.part);
      rated.amps.set(item.i, -(item.part.n[0][1] === null ? UNBOUNDED : item.part.n[0][1]));
    }
    const band = rest.some(item => item.part.w === "source" && item.part.n.length > 1);
    const levels = band ? [atLevel(found, 1), atLevel(found, 2)] : [rated, rated];
    // A supply that a failure pulls down has fewer volts than can be told.
    const pulled = rated.whole.filter(block => block.some(item => rated.limited.has(item.part) && !usual.has(item.part)));
    const sagging = new Set(failure ? pulled.flat().map(item => item.i) : []);
    const on = model.parts.map((part, i) => {
      if (part.w === "sense") return !lacking.has(part.d) && touching.of(part.a) === touching.of(part.b);
      if (part.in === undefined || lacking.has(part.d)) return false;
      return this.energised(part, i, levels, sagging);
    });
    return {on, chatters: [], limited: [...rated.limited],
      volts: potentials(model, rest, nodes, rated.across, rated.unsettled),
      amps: new Map([...rated.amps, ...shares(model, made, rest, rated.amps, extra)]),
      across: i => rated.across.get(i) || 0};
  }

  energised(part, i, levels, sagging) {
    if (levels.some(level => level.unsettled.has(i))) return null;
    if (!levels[0].across.has(i)) return false;
    const sizes = levels.map(level => level.across.get(i)).map(v => part.n[0][2] ? v : Math.abs(v));
    if (Math.max(...sizes) <= part.out) return false;
    if (sagging.has(i)) return null;
    return Math.min(...sizes) >= part.in ? true : null;
  }

  /* Whether a device's state holds: true, false, or null. */
  state(state, signals, found) { return holds(state.g, signals, found.on); }
}
