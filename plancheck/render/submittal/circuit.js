"use strict";
/* The circuit of the page, worked out again for any condition and any single failure: modified nodal analysis with
   ideal contacts joined, as the review does it. Volts, amperes, ohms. The review's own figures govern; the tests hold
   this against them. */

const ROW_OHMS = 1e-6, SENSE_OHMS = 1e6, LEAK = 1e-11, NOISE = 1e-7;
const UNBOUNDED = 1e6;   // amperes of a short on a source that states no limit
const OFF = 0, HOLDING = 1, LIMITED = 2;
const OPENS_AT = 2 * (1 - 1e-6);   // times its rating that surely open a protector
const JOINS = new Set(["link", "contact", "protector"]);

function groups(count) {
  const leader = Array.from({length: count}, (_, i) => i);
  const of = i => { while (leader[i] !== i) { leader[i] = leader[leader[i]]; i = leader[i]; } return i; };
  return {of, join: (a, b) => { leader[of(a)] = of(b); }};
}

/* Gaussian elimination with partial pivoting; null where there is no one answer. */
function solveLinear(matrix, right) {
  const n = right.length;
  for (let c = 0; c < n; c++) {
    let best = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(matrix[r][c]) > Math.abs(matrix[best][c])) best = r;
    if (!(Math.abs(matrix[best][c]) > 0)) return null;
    [matrix[c], matrix[best]] = [matrix[best], matrix[c]];
    [right[c], right[best]] = [right[best], right[c]];
    const row = matrix[c];
    for (let r = c + 1; r < n; r++) {
      const factor = matrix[r][c] / row[c];
      if (factor === 0) continue;
      const other = matrix[r];
      for (let k = c; k < n; k++) other[k] -= factor * row[k];
      right[r] -= factor * right[c];
    }
  }
  for (let c = n - 1; c >= 0; c--) {
    let sum = right[c];
    for (let k = c + 1; k < n; k++) sum -= matrix[c][k] * right[k];
    right[c] = sum / matrix[c][c];
  }
  return right;
}

/* The amperes per volt that a load takes at some volts across it. */
function conductance(part, across) {
  const [rated, draw, polarised] = part.n[0];
  if (part.w !== "electronics") return draw / rated;
  if (across !== null && polarised && across < -NOISE) return 0;
  const most = Math.max(across === null ? rated : Math.abs(across), rated / 2);
  return draw / (most * most);
}

/* One piece of circuit at one end of its sources' band. `items` are {part, a, b} between local nodes. */
function solvePiece(items, nodes, grounds, level) {
  const rowed = items.filter(item => item.part.w === "source" || item.part.w === "one-way");
  const state = rowed.map(item => item.part.w === "source" ? HOLDING : OFF);
  const bending = items.map(item => item.part.in !== undefined);
  const g = items.map((item, i) => bending[i] ? conductance(item.part, null)
    : item.part.w === "conductor" ? 1 / Math.max(item.part.n[0][0], ROW_OHMS)
    : item.part.w === "sense" ? 1 / SENSE_OHMS : 0);
  const held = rowed.map(item => (item.part.n[level] || item.part.n[0])[0]);
  const limit = rowed.map(item => item.part.n[0][1] === null ? Infinity : item.part.n[0][1]);
  const size = nodes + rowed.length;
  let volts = null, through = null, settled = false;
  for (let round = 0; round < 400 && !settled; round++) {
    const matrix = Array.from({length: size}, () => new Float64Array(size)), right = new Float64Array(size);
    for (let n = 0; n < nodes; n++) matrix[n][n] = LEAK;
    items.forEach((item, i) => {
      if (g[i] === 0) return;
      matrix[item.a][item.a] += g[i]; matrix[item.b][item.b] += g[i];
      matrix[item.a][item.b] -= g[i]; matrix[item.b][item.a] -= g[i];
    });
    rowed.forEach((item, k) => {
      const row = nodes + k;
      matrix[item.a][row] += 1; matrix[item.b][row] -= 1;
      if (state[k] === HOLDING) {
        matrix[row][item.a] += 1; matrix[row][item.b] -= 1; matrix[row][row] = -ROW_OHMS; right[row] = held[k];
      } else {
        matrix[row][row] = 1; right[row] = state[k] === LIMITED ? -limit[k] : 0;
      }
    });
    for (const ground of grounds) { matrix[ground].fill(0); matrix[ground][ground] = 1; right[ground] = 0; }
    const answer = solveLinear(matrix, right);
    if (answer === null) return null;
    volts = answer;
    through = rowed.map((_, k) => answer[nodes + k]);
    const changes = [];
    rowed.forEach((item, k) => {
      const across = answer[item.a] - answer[item.b];
      const over = across > held[k] + NOISE, under = across < held[k] - NOISE;
      let next = state[k];
      if (item.part.w === "one-way") {
        if (next === OFF && over) next = HOLDING; else if (next === HOLDING && through[k] < -NOISE) next = OFF;
      } else if (next === HOLDING) {
        if (through[k] > NOISE) next = OFF; else if (-through[k] > limit[k] + NOISE) next = LIMITED;
      } else if (next === LIMITED && over || next === OFF && under) next = HOLDING;
      if (next !== state[k]) changes.push([k, next]);
    });
    for (const [k, next] of round < 12 ? changes : changes.slice(0, 1)) state[k] = next;
    let bent = false;
    items.forEach((item, i) => {
      if (!bending[i]) return;
      const wanted = conductance(item.part, answer[item.a] - answer[item.b]);
      if (Math.abs(wanted - g[i]) > 1e-7 * (Math.abs(g[i]) + 1e-15)) bent = true;
      g[i] = wanted;
    });
    settled = changes.length === 0 && !bent;
  }
  const amps = items.map((item, i) => g[i] * (volts[item.a] - volts[item.b]));
  rowed.forEach((item, k) => { amps[items.indexOf(item)] = through[k]; });
  return {volts, amps, settled, limited: rowed.filter((_, k) => state[k] === LIMITED).map(item => item.part)};
}

/* Everything between ideal joints: supernodes, and the parts that can carry current at all. */
function joined(model, on, extra) {
  const nodes = groups(model.terminals.length);
  model.parts.forEach((part, i) => { if (on[i] && JOINS.has(part.w)) nodes.join(part.a, part.b); });
  for (const [a, b] of extra) nodes.join(a, b);
  const rest = [];
  model.parts.forEach((part, i) => {
    if (!on[i] || JOINS.has(part.w) || part.w === "clamp") return;
    const a = nodes.of(part.a), b = nodes.of(part.b);
    if (a !== b || part.w === "source") rest.push({part, i, a, b});
  });
  return {nodes, rest};
}

/* Metal alone: what an input feels. Cables and resistors count, whatever they resist. */
function metal(model, on, extra) {
  const nodes = groups(model.terminals.length);
  model.parts.forEach((part, i) => {
    if (on[i] && (JOINS.has(part.w) || part.w === "conductor" || part.w === "ohmic")) nodes.join(part.a, part.b);
  });
  for (const [a, b] of extra) nodes.join(a, b);
  return nodes;
}

/* The items in blocks: what carries current together. An item on no loop is in no block. */
function blocks(items) {
  const at = new Map(), depth = new Map(), low = new Map(), found = [], stack = [];
  items.forEach((item, i) => {
    for (const n of [item.a, item.b]) { if (!at.has(n)) at.set(n, []); }
    if (item.a !== item.b) { at.get(item.a).push(i); at.get(item.b).push(i); }
  });
  const visit = (start) => {
    const path = [{node: start, by: -1, next: 0}];
    depth.set(start, 0); low.set(start, 0);
    while (path.length) {
      const top = path[path.length - 1], edges = at.get(top.node);
      if (top.next < edges.length) {
        const i = edges[top.next++];
        if (i === top.by) continue;
        const other = items[i].a === top.node ? items[i].b : items[i].a;
        if (!depth.has(other)) {
          depth.set(other, path.length); low.set(other, path.length);
          stack.push(i);
          path.push({node: other, by: i, next: 0});
        } else if (depth.get(other) < depth.get(top.node)) {
          stack.push(i);
          low.set(top.node, Math.min(low.get(top.node), depth.get(other)));
        }
        continue;
      }
      path.pop();
      if (!path.length) break;
      const parent = path[path.length - 1].node;
      low.set(parent, Math.min(low.get(parent), low.get(top.node)));
      if (low.get(top.node) >= depth.get(parent)) {
        const block = [];
        let i;
        do { i = stack.pop(); block.push(items[i]); } while (i !== top.by);
        if (block.length > 1) found.push(block);
      }
    }
  };
  for (const n of at.keys()) if (!depth.has(n)) visit(n);
  return found;
}

/* A block with one pair of poles falls apart there: each piece with the sources between them. */
function cut(block) {
  const sources = block.filter(item => item.part.w === "source");
  const others = block.filter(item => item.part.w !== "source");
  if (!sources.length) return {pieces: [], sources, others};
  const [p, m] = [sources[0].a, sources[0].b];
  const single = sources.every(s => s.a === p && s.b === m || s.a === m && s.b === p);
  if (!single || !others.length) return {pieces: [block], sources, others};
  const mesh = groups(others.length), first = new Map(), sets = new Map();
  others.forEach((item, i) => {
    for (const n of [item.a, item.b]) {
      if (n === p || n === m) continue;
      if (first.has(n)) mesh.join(i, first.get(n)); else first.set(n, i);
    }
  });
  others.forEach((item, i) => { const k = mesh.of(i); if (!sets.has(k)) sets.set(k, []); sets.get(k).push(item); });
  return {pieces: [...sets.values()].map(set => [...set, ...sources]), sources, others};
}

/* Volts across and amperes through each item of a piece, at one level. */
function worked(piece, level, into) {
  const number = new Map();
  const local = piece.map(item => {
    for (const n of [item.a, item.b]) if (!number.has(n)) number.set(n, number.size);
    return {part: item.part, a: number.get(item.a), b: number.get(item.b)};
  });
  const source = piece.find(item => item.part.w === "source");
  const ground = source ? [number.get(source.b)] : [0];
  const found = solvePiece(local, number.size, ground, level);
  if (found === null) { piece.forEach(item => into.unsettled.add(item.i)); return; }
  piece.forEach((item, k) => {
    into.across.set(item.i, found.volts[local[k].a] - found.volts[local[k].b]);
    into.amps.set(item.i, (item.part.w === "source" ? into.amps.get(item.i) || 0 : 0) + found.amps[k]);
    if (!found.settled) into.unsettled.add(item.i);
  });
  found.limited.forEach(part => into.limited.add(part));
}

/* All blocks at one level of the sources' band. A supply that is asked for more than it gives is worked in one piece. */
function atLevel(found, level) {
  const into = {across: new Map(), amps: new Map(), unsettled: new Set(), limited: new Set(), whole: []};
  for (const block of found) {
    if (block.some(item => item.part.lacks)) { block.forEach(item => into.unsettled.add(item.i)); continue; }
    const {pieces, sources} = cut(block);
    pieces.forEach(piece => worked(piece, level, into));
    const beyond = sources.some(s => s.part.n[0][1] !== null && -(into.amps.get(s.i) || 0) > s.part.n[0][1] + NOISE);
    if (pieces.length > 1 && (beyond || sources.some(s => into.limited.has(s.part)))) {
      block.forEach(item => into.amps.delete(item.i));
      worked(block, level, into);
    }
    if (sources.some(s => into.limited.has(s.part))) into.whole.push(block);
  }
  return into;
}

/* Volts of every terminal against the return of the supply that feeds its circuit, as the model tells it; what hangs
   on a circuit by a stub stands as it does; nothing for what hangs on none. */
function potentials(model, rest, nodes, across, unsettled) {
  const at = new Map(), volts = new Map();
  for (const item of rest) {
    for (const n of [item.a, item.b]) { if (!at.has(n)) at.set(n, []); at.get(n).push(item); }
  }
  let island = 0;
  for (const source of rest.filter(item => item.part.w === "source")) {
    if (volts.has(source.b)) continue;
    volts.set(source.b, {island: ++island, volts: 0});
    const queue = [source.b];
    while (queue.length) {
      const n = queue.pop();
      for (const item of at.get(n)) {
        const other = item.a === n ? item.b : item.a;
        if (volts.has(other) || unsettled.has(item.i)) continue;
        const known = across.get(item.i);
        const drop = known !== undefined ? known : item.part.w === "source" ? item.part.n[0][0] : 0;
        volts.set(other, {island, volts: volts.get(n).volts + (item.a === n ? -drop : drop)});
        queue.push(other);
      }
    }
  }
  const returnOf = new Map();
  model.returns.forEach((returns, i) => {
    if (returns !== null && !returnOf.has(nodes.of(i))) returnOf.set(nodes.of(i), returns);
  });
  return terminal => {
    const here = volts.get(nodes.of(terminal)), own = model.returns[terminal];
    if (here === undefined) return undefined;
    const returns = own === null ? returnOf.get(nodes.of(terminal)) : own;
    const against = returns === undefined ? undefined : volts.get(nodes.of(returns));
    return against !== undefined && against.island === here.island ? here.volts - against.volts : here.volts;
  };
}

/* Amperes through the joints of each node: as equal small resistances would share what the other parts bring. */
function shares(model, on, rest, amps, extra) {
  const into = new Float64Array(model.terminals.length), found = new Map(), mesh = groups(model.terminals.length);
  for (const item of rest) {
    const through = amps.get(item.i) || 0;
    into[item.part.a] -= through; into[item.part.b] += through;
  }
  const joints = extra.map(([a, b]) => ({i: -1, a, b}));
  model.parts.forEach((part, i) => { if (on[i] && JOINS.has(part.w)) joints.push({i, a: part.a, b: part.b}); });
  joints.forEach(joint => mesh.join(joint.a, joint.b));
  const sets = new Map();
  for (const joint of joints) {
    const k = mesh.of(joint.a);
    if (joint.a === joint.b) continue;
    if (!sets.has(k)) sets.set(k, []);
    sets.get(k).push(joint);
  }
  for (const set of sets.values()) {
    const number = new Map();
    for (const joint of set) for (const n of [joint.a, joint.b]) if (!number.has(n)) number.set(n, number.size);
    const right = Float64Array.from(number.keys(), n => into[n]);
    if (right.every(amperes => Math.abs(amperes) < 1e-12)) continue;
    const matrix = Array.from(right, () => new Float64Array(right.length));
    for (const joint of set) {
      const a = number.get(joint.a), b = number.get(joint.b);
      matrix[a][a] += 1; matrix[b][b] += 1; matrix[a][b] -= 1; matrix[b][a] -= 1;
    }
    matrix[0].fill(0); matrix[0][0] = 1; right[0] = 0;
    const volts = solveLinear(matrix, right);
    if (volts === null) continue;
    for (const joint of set) found.set(joint.i, volts[number.get(joint.a)] - volts[number.get(joint.b)]);
  }
  return found;
}

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
      const over = !failure ? [] : this.model.parts.map((part, i) => i).filter(i => {
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
