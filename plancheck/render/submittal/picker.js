"use strict";
/* What a reader chooses is set in the drawing: situation, signals, one failure. */

(function () {
  const page = JSON.parse(document.getElementById("circuit-data").textContent);
  const circuit = new Circuit(page.model);
  const form = document.getElementById("picker");
  const boxes = [...form.querySelectorAll("[data-signal]")];
  const situation = document.getElementById("situation"), failure = document.getElementById("failure");
  const standing = document.getElementById("standing"), shown = document.querySelector("#shown span");
  const by = (name) => {
    const found = new Map();
    document.querySelectorAll(`.sheet [data-${name}]`).forEach(element => {
      const key = element.getAttribute(`data-${name}`);
      if (!found.has(key)) found.set(key, []);
      found.get(key).push(element);
    });
    return found;
  };
  const wires = by("wire"), terminals = by("terminal"), parts = by("part"), feet = by("foot"), devices = by("device");
  const number = new Map(page.model.terminals.map((name, i) => [name, i]));
  const conductors = page.model.parts.map((part, i) => i).filter(i => page.model.parts[i].wire !== undefined);
  let own = {};   // what a "show" asks for besides signals and failure

  const volts = v => {
    if (v === undefined) return "";
    const told = Math.abs(v) >= 10 ? v.toFixed(1) : v.toFixed(2);
    return `${Number(told) === 0 ? told.replace("-", "") : told} V`;
  };

  function wireState(part, i, found) {
    if (Math.abs(found.amps.get(i) || 0) >= page.least.amps) return "carries";
    const ends = [found.volts(part.a), found.volts(part.b)];
    return ends.some(v => v !== undefined && Math.abs(v) >= page.least.volts) ? "volts" : "dead";
  }

  function draw(signals, found) {
    for (const i of conductors) {
      const part = page.model.parts[i];
      (wires.get(part.wire) || []).forEach(g => g.setAttribute("class", `wire ${wireState(part, i, found)}`));
    }
    for (const [name, groups] of terminals) {
      const i = number.get(name);
      const told = i === undefined ? "" : volts(found.volts(i));
      groups.forEach(g => { g.querySelector(".volts").textContent = told; });
    }
    page.model.parts.forEach((part, i) => {
      if (part.w !== "contact") return;
      const made = found.made[i], state = made === null ? "unsure" : made ? "made" : "";
      (parts.get(part.k) || []).forEach(g => g.setAttribute("class", `sign contact ${state}`));
    });
    const locks = page.locks.map(lock => lockState(lock, signals, found));
    locks.forEach(({device, text}) => (feet.get(device) || []).forEach(t => { t.textContent = text; }));
    for (const [device, inputs] of Object.entries(page.inputs)) {
      const closed = inputs.filter(input => found.on[input.part]).map(input => input.name);
      const told = closed.length ? `closed: ${closed.join(", ")}` : "no input closed";
      (feet.get(device) || []).forEach(t => { t.textContent = told; });
    }
    return locks;
  }

  function lockState(lock, signals, found) {
    const holds = circuit.state(page.model.states[lock.state], signals, found);
    const across = Math.max(0, ...lock.loads.map(i => Math.abs(found.across(i))));
    const word = holds === null ? "uncertain" : holds ? lock.on : lock.off;
    return {device: lock.device, word, text: `${word}, ${volts(across)}`};
  }

  function chosen() {
    const signals = page.model.signals.map(signal => signal.rests);
    boxes.forEach(box => { signals[Number(box.dataset.signal)] = box.checked; });
    return signals;
  }

  function update() {
    const signals = chosen(), failed = failure.value === "" ? null : page.failures[Number(failure.value)];
    const found = circuit.scene(signals, failed, own.held || [], own.forced || {}, own.dead || []);
    const locks = draw(signals, found);
    const away = page.model.signals.filter((signal, i) => signals[i] !== signal.rests)
      .map(signal => signal.rests ? `${signal.says} off` : signal.says);
    const words = [...away, ...(own.held || []).map(i => `${page.model.parts[i].k} held in from before`),
      ...(own.dead || []).map(name => `${name} without power`), ...(failed ? [failed.says] : [])];
    const condition = words.length ? words.join("; ") : page.normal;
    const blown = found.blown.map(i => page.model.parts[i].d);
    const notes = [...blown.map(name => `${name} has opened`),
      ...new Set(found.limited.map(part => `${part.d} is asked for more than it gives`)),
      ...found.chatters.map(i => `${page.model.parts[i].d} comes and goes`)];
    shown.textContent = condition;
    standing.textContent = [condition, ...locks.map(lock => `${lock.device} ${lock.text}`), ...notes].join(". ") + ".";
    document.querySelectorAll(".sheet .marked").forEach(g => g.classList.remove("marked"));
    (own.mark || []).forEach(name => (devices.get(name) || []).forEach(g => g.classList.add("marked")));
    return found;
  }

  function set(setting) {
    own = setting;
    page.model.signals.forEach((signal, i) => {
      const box = boxes.find(each => Number(each.dataset.signal) === i);
      if (box) box.checked = setting.signals && i in setting.signals ? setting.signals[i] : signal.rests;
    });
    failure.value = setting.failure === undefined ? "" : String(setting.failure);
    update();
  }

  situation.addEventListener("change", () => {
    if (situation.value !== "own") set({signals: page.situations[situation.value] || {}, failure: failure.value || undefined});
  });
  failure.addEventListener("change", () => { own = {}; update(); });
  boxes.forEach(box => box.addEventListener("change", () => { own = {}; situation.value = "own"; update(); }));
  form.addEventListener("reset", event => { event.preventDefault(); situation.value = "normal"; set({}); });
  form.addEventListener("submit", event => event.preventDefault());
  document.querySelectorAll("button.show").forEach(button => {
    button.hidden = false;
    button.addEventListener("click", () => {
      const setting = JSON.parse(button.dataset.show);
      situation.value = "own";
      set(setting);
      const first = (setting.mark || []).map(name => (devices.get(name) || [])[0]).find(Boolean);
      (first ? first.closest("figure") : form).scrollIntoView({block: "start"});
      form.querySelector("select").focus({preventScroll: true});
    });
  });
  form.hidden = false;
  document.getElementById("shown").className = "printed";
  update();
  window.wiring = {circuit, page, set, update};
})();
