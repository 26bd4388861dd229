// Small comforts of the pages: choices that redraw in place, cards that get better while you look,
// ticks that wait for the network. Without it every page still works.
(() => {
  "use strict";
  const meta = (name) => document.querySelector(`meta[name="${name}"]`)?.content ?? "";
  const live = document.getElementById("live");
  // What stands on the page already is said, for those who listen, and not shown again.
  const say = (words, isSeen = false) => { live.replaceChildren(); if (words) { const p = document.createElement("p"); p.textContent = words; p.className = isSeen ? "out" : ""; live.append(p); } };
  let turn = 0;

  // Redraws the page in place: the address is the choice.
  async function go(address, remember) {
    const mine = ++turn;
    stopLooking();
    try {
      const answer = await fetch(address, { headers: { accept: "text/html" } });
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (mine !== turn) return;
      const focused = document.activeElement?.getAttribute?.("name");
      const next = page.getElementById("main");
      if (!next) { location.href = address; return; }
      document.getElementById("main").replaceWith(document.adoptNode(next));
      for (const name of ["token", "revision"]) {
        const own = document.querySelector(`meta[name="${name}"]`);
        const other = page.querySelector(`meta[name="${name}"]`);
        if (own && other) own.content = other.content;
      }
      document.title = page.title;
      if (remember) history.pushState(null, "", address);
      const again = focused && document.querySelector(`#main [name="${CSS.escape(focused)}"]:checked, #main [name="${CSS.escape(focused)}"]`);
      again?.focus({ preventScroll: true });
      begin();
      say(document.querySelector(".proof")?.textContent ?? "", true);
    } catch { if (mine === turn) say("The computer with the stash does not answer. What you see is what was last here."); }
  }
  const addressOf = (form) => {
    const query = new URLSearchParams([...new FormData(form)].filter(([, value]) => typeof value === "string" && value !== ""));
    if (query.get("each") === "1") query.delete("each");
    const text = query.toString();
    return form.getAttribute("action") + (text ? "?" + text : "");
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[data-swap]");
    if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey && event.button === 0) { event.preventDefault(); go(link.getAttribute("href"), true); }
  });
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("form[data-swap]")) { event.preventDefault(); go(addressOf(form), true); }
    if (form.matches(".ticks form")) event.preventDefault();
  });
  document.addEventListener("change", (event) => {
    const box = event.target;
    if (box.matches("[data-tick]")) { tick(box); return; }
    const form = box.closest("form[data-swap]");
    if (form && form.dataset.swap !== "asked" && form.checkValidity()) go(addressOf(form), true);
    if (box.matches("input[type=file][name=picture]")) preview(box);
  });
  addEventListener("popstate", () => go(location.pathname + location.search, false));

  // Cards that get better.
  let events = null;
  function stopLooking() { events?.close(); events = null; }
  function lookLonger() {
    const box = document.getElementById("looking");
    if (!box || !window.EventSource) return;
    const far = box.querySelector(".far"), stop = box.querySelector("button");
    events = new EventSource(box.dataset.events);
    stop.hidden = false;
    const end = (words) => { stopLooking(); stop.hidden = true; far.textContent = ""; box.querySelector("p").textContent = words; };
    stop.onclick = () => end("Stopped: these are the best found so far.");
    events.addEventListener("far", (event) => { far.textContent = event.data; });
    events.addEventListener("cards", (event) => {
      const list = document.getElementById("list");
      const open = new Set([...list.querySelectorAll("details[open]")].map((one) => one.closest("li")?.querySelector("a.front")?.getAttribute("href")));
      const page = new DOMParser().parseFromString(event.data, "text/html");
      list.replaceChildren(...document.adoptNode(page.body).childNodes);
      for (const card of list.querySelectorAll("li.card")) if (open.has(card.querySelector("a.front").getAttribute("href"))) card.querySelector("details").open = true;
    });
    events.addEventListener("done", (event) => { end(""); say(event.data, Boolean(document.querySelector(".proof"))); });
    events.onerror = () => end("These are the best found so far.");
  }

  // A batch that is being planned.
  function watchBatch() {
    const box = document.querySelector("[data-watch]");
    if (!box || !window.EventSource) return;
    events = new EventSource(box.dataset.watch);
    events.addEventListener("far", (event) => { box.querySelector(".far").textContent = event.data; });
    events.addEventListener("planned", () => go(location.pathname + location.search, false));
    events.onerror = () => { stopLooking(); setTimeout(() => go(location.pathname + location.search, false), 3000); };
  }

  // Ticks: kept here at once, sent when the network is there.
  const QUEUE = "swatchfold-ticks";
  const queue = () => { try { return JSON.parse(localStorage.getItem(QUEUE)) ?? {}; } catch { return {}; } };
  const keep = (waiting) => { try { localStorage.setItem(QUEUE, JSON.stringify(waiting)); } catch { /* a private window keeps nothing */ } };
  function tick(box) {
    const waiting = queue();
    waiting[box.closest("ol").dataset.list + " " + box.dataset.tick] = box.checked;
    keep(waiting);
    box.closest("label").querySelector("span").classList.add("waits");
    send();
  }
  let sending = false;
  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (const [name, done] of Object.entries(queue())) {
        const [list, one] = name.split(" ");
        const answer = await fetch("/api/ticks", { method: "POST", headers: { "content-type": "application/json", "x-swatchfold-token": meta("token") }, body: JSON.stringify({ list, tick: one, done }) });
        if (answer.status === 403) { await renew(); break; }
        const waiting = queue();
        if (waiting[name] === done) { delete waiting[name]; keep(waiting); }
        const box = document.querySelector(`ol[data-list="${CSS.escape(list)}"] [data-tick="${CSS.escape(one)}"]`);
        if (box && !(name in queue())) box.closest("label").querySelector("span").classList.remove("waits");
      }
      say("");
    } catch { say("No network: your ticks are kept here and follow when it is back."); }
    sending = false;
  }
  // The program was begun anew: this page gets a new token.
  async function renew() {
    const answer = await fetch("/api/session");
    if (!answer.ok) { say("This device is not known any more. Load the page again to let it in; your ticks are kept."); return; }
    const session = await answer.json();
    const own = document.querySelector('meta[name="token"]');
    if (own.content !== session.token) { own.content = session.token; setTimeout(send, 0); }
  }
  function showWaiting() {
    for (const [name, done] of Object.entries(queue())) {
      const [list, one] = name.split(" ");
      const box = document.querySelector(`ol[data-list="${CSS.escape(list)}"] [data-tick="${CSS.escape(one)}"]`);
      if (box) { box.checked = done; box.closest("label").querySelector("span").classList.add("waits"); }
    }
  }
  addEventListener("online", send);
  setInterval(() => { if (Object.keys(queue()).length) send(); }, 5000);

  function preview(box) {
    const picture = document.querySelector(".preview");
    if (!picture || !box.files[0]) return;
    if (picture.src) URL.revokeObjectURL(picture.src);
    picture.src = URL.createObjectURL(box.files[0]);
    picture.hidden = false;
  }
  function begin() { lookLonger(); watchBatch(); showWaiting(); }
  begin();
  if (Object.keys(queue()).length) send();
})();
