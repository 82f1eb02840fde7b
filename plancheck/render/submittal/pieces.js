"use strict";
/* A whole circuit in pieces that do not feel each other: ideal contacts joined, what is on no loop left out, cut at the
   poles of supplies; and what the pieces say of every terminal and joint. */

const JOINS = new Set(["link", "contact", "protector"]);

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
