// A layout drawn by hand: panels are dragged on the card, their fields follow, and the other way
// round. Lengths are counted in 1/64 in or in half millimetres, so that nothing drifts.
(() => {
  "use strict";
  const form = document.querySelector("form.draw");
  if (!form) return;
  const board = form.querySelector("svg.paper"), list = form.querySelector(".panels"), blank = document.getElementById("panel");
  const inches = form.dataset.mm === "in";
  // Steps: what is counted, what dragging snaps to (1/16 in or 1 mm), and pixels for one of them.
  const PER = inches ? 64 : 2, SNAP = inches ? 4 : 2, NS = "http://www.w3.org/2000/svg";
  const FRACTIONS = { "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };

  // Reads "4 1/4", "4-1/4", "4.25", "1/2", with in, " or mm and cm; gives steps, or null.
  function read(text) {
    let words = text.trim().toLowerCase().replace(/[¼½¾⅛⅜⅝⅞]/g, (sign) => " " + FRACTIONS[sign]).replace(/,/g, ".");
    const unit = /(mm|cm|in|"|″)$/.exec(words)?.[1];
    if (unit) words = words.slice(0, -unit.length).trim();
    const found = /^(?:(\d+(?:\.\d+)?)(?:[\s-]+(\d+)\/(\d+))?|(\d+)\/(\d+))$/.exec(words.trim());
    if (!found) return null;
    const number = found[4] ? found[4] / found[5] : +found[1] + (found[2] ? found[2] / found[3] : 0);
    if (!Number.isFinite(number)) return null;
    const mm = unit === "mm" ? 1 : unit === "cm" ? 10 : unit ? 25.4 : inches ? 25.4 : 1;
    return Math.round(number * mm / (inches ? 25.4 : 1) * PER);
  }
  function write(steps) {
    if (!inches) return (steps / PER) + " mm";
    const whole = Math.floor(steps / PER);
    let up = steps % PER, down = PER;
    while (up && up % 2 === 0) { up /= 2; down /= 2; }
    return [whole || !up ? whole : "", up ? `${up}/${down}` : ""].filter((part) => part !== "").join(" ") + " in";
  }
  const snap = (steps) => Math.round(steps / SNAP) * SNAP;
  const size = () => { const sides = form.card.value.split(/\s*[x×]\s*/i).map(read); return sides.length === 2 && sides[0] > 0 && sides[1] > 0 ? sides : null; };
  const rows = () => [...list.querySelectorAll("li.panel")];
  const at = (row, name) => row.querySelector(`[name=${name}]`);
  const rect = (row) => ["left", "top", "width", "height"].map((name) => read(at(row, name).value));
  const put = (row, values) => ["left", "top", "width", "height"].forEach((name, place) => { if (values[place] != null) at(row, name).value = write(values[place]); });
  const make = (name, attributes) => { const one = document.createElementNS(NS, name); for (const key in attributes) one.setAttribute(key, attributes[key]); return one; };
  let chosen = null;

  function draw() {
    const card = size();
    board.replaceChildren();
    if (!card) return;
    const scale = 480 / Math.max(...card);
    board.setAttribute("viewBox", `0 0 ${card[0] * scale} ${card[1] * scale}`);
    rows().forEach((row, number) => {
      row.querySelector(".number").textContent = number + 1;
      const [left, top, width, height] = rect(row);
      if ([left, top, width, height].some((value) => value == null)) return;
      const shape = make("rect", { x: left * scale, y: top * scale, width: width * scale, height: height * scale, class: "panel-shape" + (row === chosen ? " at" : "") });
      const name = make("text", { x: left * scale + 6, y: top * scale + 18 });
      name.textContent = at(row, "id").value;
      const grip = make("circle", { cx: (left + width) * scale, cy: (top + height) * scale, r: 11, class: "grip" });
      shape.addEventListener("pointerdown", (event) => drag(event, row, scale, false));
      grip.addEventListener("pointerdown", (event) => drag(event, row, scale, true));
      board.append(shape, name, grip);
    });
    names();
  }
  function drag(event, row, scale, grows) {
    event.preventDefault();
    chosen = row;
    const from = rect(row), card = size(), box = board.getBoundingClientRect();
    const steps = (pixels) => pixels * (card[0] / box.width);
    const begun = [event.clientX, event.clientY];
    const move = (now) => {
      const dx = steps(now.clientX - begun[0]), dy = steps(now.clientY - begun[1]);
      if (grows) put(row, [null, null, Math.max(SNAP, snap(from[2] + dx)), Math.max(SNAP, snap(from[3] + dy))]);
      else put(row, [snap(Math.max(0, Math.min(card[0] - from[2], from[0] + dx))), snap(Math.max(0, Math.min(card[1] - from[3], from[1] + dy))), null, null]);
      draw();
    };
    const end = () => { removeEventListener("pointermove", move); removeEventListener("pointerup", end); removeEventListener("pointercancel", end); };
    addEventListener("pointermove", move); addEventListener("pointerup", end); addEventListener("pointercancel", end);
    draw();
  }
  // What a panel may lie on: those before it.
  function names() {
    const all = rows();
    all.forEach((row, number) => {
      const select = at(row, "on"), value = select.value;
      select.replaceChildren(new Option("the card", ""), ...all.slice(0, number).map((other) => new Option(at(other, "id").value)));
      select.value = [...select.options].some((option) => option.value === value) ? value : "";
    });
  }
  function add(values, name) {
    const row = blank.content.firstElementChild.cloneNode(true);
    const taken = new Set(rows().map((other) => at(other, "id").value));
    let number = rows().length + 1;
    while (taken.has(name ?? `panel-${number}`)) { name = undefined; number += 1; }
    at(row, "id").value = name ?? `panel-${number}`;
    list.append(row);
    const card = size() ?? [PER * 4, PER * 5];
    put(row, values ?? [snap(card[0] / 4), snap(card[1] / 4), snap(card[0] / 2), snap(card[1] / 3)]);
    show();
    chosen = row;
    draw();
    return row;
  }
  function mirror() {
    const card = size();
    if (!card) return;
    for (const row of rows()) { const [left, , width] = rect(row); if (left != null && width != null) put(row, [card[0] - left - width, null, null, null]); }
    draw();
  }
  // Rectangles of a drawing, brought to the card's width.
  async function bring(file) {
    const drawing = new DOMParser().parseFromString(await file.text(), "image/svg+xml");
    const box = drawing.documentElement.getAttribute("viewBox")?.trim().split(/[\s,]+/).map(Number);
    const wide = box?.[2] || parseFloat(drawing.documentElement.getAttribute("width")), card = size();
    if (!wide || !card) return;
    const scale = card[0] / wide;
    for (const one of [...drawing.querySelectorAll("rect")].slice(0, 30)) {
      const values = ["x", "y", "width", "height"].map((name, place) => snap((parseFloat(one.getAttribute(name) ?? "0") - (place < 2 ? box?.[place] ?? 0 : 0)) * scale));
      if (values.every(Number.isFinite) && values[2] >= SNAP && values[3] >= SNAP) add(values, /^[a-z][a-z0-9-]{0,30}$/.test(one.id) ? one.id : undefined);
    }
  }
  const show = () => form.querySelectorAll("[data-do]").forEach((button) => { button.hidden = false; });
  form.addEventListener("click", (event) => {
    const what = event.target.closest("[data-do]")?.dataset.do;
    if (what === "add") add();
    if (what === "mirror") mirror();
    if (what === "remove") { event.target.closest("li.panel").remove(); draw(); }
  });
  form.addEventListener("change", (event) => { if (event.target.type === "file" && event.target.files[0]) { bring(event.target.files[0]); event.target.value = ""; } });
  form.addEventListener("input", draw);
  form.addEventListener("focusin", (event) => { const row = event.target.closest("li.panel"); if (row && row !== chosen) { chosen = row; draw(); } });
  // The arrows move what is chosen, with the shift key they change its size.
  form.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [-SNAP, 0], ArrowRight: [SNAP, 0], ArrowUp: [0, -SNAP], ArrowDown: [0, SNAP] }[event.key];
    if (!by || !event.altKey || !chosen) return;
    event.preventDefault();
    const [left, top, width, height] = rect(chosen);
    put(chosen, event.shiftKey ? [null, null, Math.max(SNAP, width + by[0]), Math.max(SNAP, height + by[1])] : [Math.max(0, left + by[0]), Math.max(0, top + by[1]), null, null]);
    draw();
  });
  show();
  draw();
})();
