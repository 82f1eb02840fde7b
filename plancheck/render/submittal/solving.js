"use strict";
/* One piece of circuit worked out: modified nodal analysis, states of sources and diodes by iteration, as the review
   does it. Volts, amperes, ohms. */

const ROW_OHMS = 1e-6, SENSE_OHMS = 1e6, LEAK = 1e-11, NOISE = 1e-7;
const OFF = 0, HOLDING = 1, LIMITED = 2;

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
