"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const DAY = 86400, ROUND_OFF = 1e-6;
  const MONTHS = "January February March April May June July August September October November December".split(" ");
  const one = (where, root) => (root || document).querySelector(where);
  const all = (where, root) => Array.from((root || document).querySelectorAll(where));
  const sliders = { room: one("#room"), pour: one("#pour"), time: one("#time") };
  const names = { room: data.rooms, pour: data.pours, time: data.times };
  const key = "coolsim-" + data.id;
  let state = { room: data.own[0], pour: data.own[1], poured: null };

  /* Times as the plan of the day writes them. */

  const hoursMinutes = (seconds) => {
    const minutes = Math.round(seconds / 60 - 1e-9);
    return Math.floor(minutes / 60) + ":" + String(minutes % 60).padStart(2, "0");
  };

  function safe(name, time, clock) {
    if (name === "weigh" || name === "pour") return time;
    const step = time >= 0 && time < 1800 ? 60 : 300;
    const down = time < 0 || data.late.includes(name);
    const share = (clock + time) / step;
    return step * (down ? Math.floor(share + ROUND_OFF) : Math.ceil(share - ROUND_OFF)) - clock;
  }

  function moment(time, clock, day) {
    if (clock === null) {
      const whole = Math.floor(Math.abs(time) / DAY), rest = Math.abs(time) - whole * DAY;
      const told = whole > 1 && rest < 1 ? whole + " d" : hoursMinutes(Math.abs(time)) + " h";
      return time < 0 ? told + " before" : told;
    }
    const seconds = Math.round(clock + time), days = Math.floor(seconds / DAY);
    const hour = Math.floor((seconds - days * DAY) / 3600), minute = Math.floor((seconds - days * DAY) / 60) % 60;
    const minutes = ":" + String(minute).padStart(2, "0");
    const told = data.units === "us" ? ((hour + 11) % 12) + 1 + minutes + (hour < 12 ? " am" : " pm") : hour + minutes;
    if (!days) return told;
    if (day) {
      const other = new Date(Date.UTC(day[0], day[1], day[2] + days));
      const year = other.getUTCFullYear() === day[0] ? "" : " " + other.getUTCFullYear();
      return other.getUTCDate() + " " + MONTHS[other.getUTCMonth()].slice(0, 3) + year + " " + told;
    }
    return (days === 1 ? "next day" : days === -1 ? "day before" :
      Math.abs(days) + " days " + (days > 0 ? "later" : "before")) + " " + told;
  }

  /* The clock: that of the pour button, else that of the scenario, else none. */

  function clockNow() {
    if (state.poured === null) {
      const day = data.day ? data.day.split("-").map(Number) : null;
      return { clock: data.clock, day: day && [day[0], day[1] - 1, day[2]] };
    }
    const at = new Date(state.poured);
    return {
      clock: at.getHours() * 3600 + at.getMinutes() * 60,
      day: [at.getFullYear(), at.getMonth(), at.getDate()],
    };
  }

  /* What a clock on the wall goes on by in a time after the pour: not the same in a night in which clocks are changed. */

  function onTheWall(time) {
    if (state.poured === null) return time;
    const [from, to] = [state.poured, state.poured + 1000 * time].map((moment) => {
      const at = new Date(moment);
      return Date.UTC(at.getFullYear(), at.getMonth(), at.getDate(), at.getHours(), at.getMinutes(), at.getSeconds());
    });
    return (to - from) / 1000;
  }

  function closed(name, time, clock) {
    if (data.open.length !== 2 || clock === null || time === null || time <= 0 || data.late.includes(name)) return "";
    const ofDay = (((clock + time) % DAY) + DAY) % DAY;
    if (ofDay >= data.open[0] && ofDay <= data.open[1]) return "";
    return "after closing: leave it overnight, from " + moment(data.open[0], 0, null);
  }

  function stepOf(jar, name) {
    const known = jar.steps[name], place = state.room * data.pours.length + state.pour;
    if (!known) return null;
    const { clock, day } = clockNow();
    const round = (raw) => (raw === null || raw === undefined ? null : safe(name, raw, clock || 0));
    const time = round("always" in known ? known.always : known.at[place]);
    const middle = round("always" in known ? known.always : known.middle[place]);
    const told = time === null ? known.never : moment(onTheWall(time), clock, day);
    let small = "";
    if (time !== null && clock !== null && time && Math.abs(time) < 2 * DAY)
      small = (time < 0 ? "-" : "+") + hoursMinutes(Math.abs(time));
    if (jar.cases && middle !== null && middle !== time)
      small += (small ? " " : "") + "(" + moment(onTheWall(middle), clock, day).replace(/ /g, "\u00a0") + ")";
    const shut = closed(name, time, clock);
    return { time, told, small: shut ? (small + " " + shut).trim() : small };
  }

  /* What a step is to somebody who looks now: still to come, or over. */

  function stateOf(name, time, now) {
    if (state.poured === null || time === null || name === "pour" || time < 0) return "";
    const left = state.poured / 1000 + time - now;
    const span = Math.abs(left) >= 2 * DAY ? Math.floor(Math.abs(left) / DAY) + "\u00a0d" : hoursMinutes(Math.floor(Math.abs(left) / 60) * 60) + "\u00a0h";
    if (data.late.includes(name)) return left > 0 ? span + " left" : "over for " + span;
    return left > 0 ? "in " + span : "since " + span;
  }

  let due = null;
  function showDay() {
    const now = Date.now() / 1000, passed = [];
    let next = null;
    for (const step of data.steps) {
      const row = one('[data-step="' + step.name + '"]');
      one("[data-why]", row).textContent = step.why[step.why.length > 1 ? state.pour : 0];
      let over = state.poured !== null;
      data.jars.forEach((jar, number) => {
        const cell = one('[data-cell="' + number + '"]', row), found = stepOf(jar, step.name);
        if (!found) return;
        one("b", cell).textContent = found.told;
        const is = stateOf(step.name, found.time, now);
        one("[data-when]", cell).textContent = is;
        one("small", cell).textContent = found.small;
        if (state.poured === null || found.time === null) { over = false; return; }
        const left = state.poured / 1000 + found.time - now;
        if (left > 0) {
          over = false;
          if (found.time > 0 && (!next || left < next.left))
            next = { left, name: step.name, text: (data.jars.length > 1 ? jar.short + ": " : "") + step.label + " " + found.told + ", " + is };
        } else passed.push(step.name + number);
      });
      row.classList.toggle("over", over);
      // What was done before the pour is no more of the day.
      row.hidden = state.poured !== null && data.jars.every((jar) => jar.steps[step.name] && jar.steps[step.name].always < 0);
    }
    for (const row of all("[data-step]")) row.classList.toggle("next", !!next && row.dataset.step === next.name);
    const told = one("[data-next]"), button = one("#poured");
    one("#correct").hidden = state.poured === null;
    if (state.poured === null) {
      button.textContent = "Poured now";
      told.textContent = "Press it when the last jar is poured. Until then times " +
        (data.clock === null ? "count from the pour." : "are those that were planned.");
    } else {
      const { clock, day } = clockNow(), at = new Date(), days = Math.round((Date.UTC(...day) - Date.UTC(at.getFullYear(), at.getMonth(), at.getDate())) / 864e5);
      button.textContent = "Poured at " + moment(clock, 0, null) + (days ? ", " + day[2] + " " + MONTHS[day[1]].slice(0, 3) : "");
      told.textContent = next ? "Next: " + next.text : "All that is planned may be done.";
      const news = passed.join();
      if (due !== null && news !== due && next) say(told.textContent);
      due = news;
    }
    button.disabled = state.poured !== null;
  }

  /* What the sliders move. */

  function sketch(jar, dips) {
    const points = jar.profile, own = data.own[0] * data.pours.length + data.own[1], was = jar.dips[own];
    const radius = points[points.length - 1][0];
    const bent = (depth, low, high, to, end) => (Math.abs(high - low) < 0.02 ? to + depth - low : to + ((depth - low) / (high - low)) * (end - to));
    const fallen = points.map(([r, depth]) => [r, depth > was[1] === was[2] > was[1]
      ? bent(depth, was[1], was[2], dips[1], dips[2]) : bent(depth, was[0], was[1], dips[0], dips[1])]);
    const right = fallen.map(([r, depth]) => 10 * r + " " + 10 * depth), left = fallen.slice(1).reverse().map(([r, depth]) => -10 * r + " " + 10 * depth);
    return "M" + left.concat(right).join("L") + "V160H" + -10 * radius + "z";
  }

  function showPlace() {
    const place = state.room * data.pours.length + state.pour;
    for (const what of ["room", "pour"]) {
      const told = names[what][state[what]];
      sliders[what].value = state[what];
      sliders[what].setAttribute("aria-valuetext", told);
      for (const shown of all("[data-" + what + "]")) shown.textContent = told;
    }
    data.jars.forEach((jar, number) => {
      const card = one('.answer[data-jar="' + number + '"]'), breaks = jar.breaks[place], flag = one("[data-flag]", card);
      flag.textContent = breaks ? "Breaks a limit: " + breaks : "Keeps all limits";
      flag.classList.toggle("bad", !!breaks);
      one("[data-notes]", card).replaceChildren(...jar.notes[place].map((index) => {
        const line = document.createElement("li");
        line.textContent = jar.said[index];
        return line;
      }));
      one("[data-advice]", card).textContent = jar.advice[state.room];
      one("[data-top]", card).textContent = jar.top[place];
      if (jar.profile.length) one("[data-sketch]", card).setAttribute("d", sketch(jar, jar.dips[place]));
    });
    one("#back").hidden = state.room === data.own[0] && state.pour === data.own[1];
    showDay();
  }

  function showTime() {
    const at = Number(sliders.time.value);
    one(".value[data-time]").textContent = data.times[at];
    sliders.time.setAttribute("aria-valuetext", data.times[at] + " since the pour");
    data.jars.forEach((jar, number) => {
      const figure = one('[data-live="' + number + '"]'), [wax, top, soft, front, stiff, cavity] = jar.wax[at];
      const put = (what, path) => all("[data-" + what + "]", figure).forEach((shape) => shape.setAttribute("d", path));
      put("wax", wax); put("topline", top); put("soft", soft); put("front", front); put("stiff", stiff); put("cavity", cavity);
      all("[data-band]", figure).forEach((shape, index) => shape.setAttribute("d", jar.bands[at][index]));
      all('[data-seen="' + number + '"]').forEach((shown, index) => { shown.textContent = jar.seen[at][index]; });
    });
    for (const button of all("button[data-time]")) button.classList.toggle("over", Number(button.dataset.time) <= at);
  }

  function say(text) { one("#news").textContent = text; }

  function tellPlace() {
    say(data.rooms[state.room] + ", pour " + data.pours[state.pour] + ". " + data.jars.map((jar, number) => {
      const found = stepOf(jar, "still"), breaks = jar.breaks[state.room * data.pours.length + state.pour];
      return (data.jars.length > 1 ? jar.short + ": " : "") + (breaks ? "breaks a limit, " + breaks + "; " : "") + "do not move until " + found.told;
    }).join(". "));
  }

  /* Kept in the browser, so that a reload goes on. */

  function keep() {
    try { localStorage.setItem(key, JSON.stringify(state)); } catch (_) { one("#forgets").hidden = state.poured === null; }
  }

  function recall() {
    try {
      const kept = JSON.parse(localStorage.getItem(key));
      const whole = (value, most) => Number.isInteger(value) && value >= 0 && value < most;
      if (kept && whole(kept.room, data.rooms.length) && whole(kept.pour, data.pours.length))
        state = { room: kept.room, pour: kept.pour, poured: Number.isFinite(kept.poured) ? kept.poured : null };
    } catch (_) { /* nothing was kept */ }
  }

  function pour(at) {
    state.poured = at === null ? null : Math.floor(at / 60000) * 60000;
    due = null;
    keep();
    showDay();
    say(one("[data-next]").textContent);
  }

  function move(what, by) {
    const slider = sliders[what];
    slider.value = Number(slider.value) + by;
    slider.dispatchEvent(new Event("input"));
    slider.dispatchEvent(new Event("change"));
  }

  let playing = null;
  function stop() {
    clearInterval(playing);
    playing = null;
    one("#play").textContent = "Play";
  }

  document.documentElement.classList.add("live");
  recall();
  for (const what of ["room", "pour"]) {
    sliders[what].addEventListener("input", () => { state[what] = Number(sliders[what].value); showPlace(); });
    sliders[what].addEventListener("change", () => { keep(); tellPlace(); });
  }
  sliders.time.addEventListener("input", showTime);
  for (const button of all("[data-less]")) button.addEventListener("click", () => move(button.dataset.less, -1));
  for (const button of all("[data-more]")) button.addEventListener("click", () => move(button.dataset.more, 1));
  for (const button of all("button[data-time]")) button.addEventListener("click", () => { stop(); sliders.time.value = button.dataset.time; showTime(); });
  one("#back").addEventListener("click", () => { [state.room, state.pour] = data.own; keep(); showPlace(); tellPlace(); });
  one("#poured").addEventListener("click", () => pour(Date.now()));
  one("#earlier").addEventListener("click", () => pour(state.poured - 300000));
  one("#later").addEventListener("click", () => pour(Math.min(state.poured + 300000, Date.now())));
  let sure = null;
  one("#clear").addEventListener("click", (event) => {
    const button = event.currentTarget;
    clearTimeout(sure);
    if (button.dataset.sure) { delete button.dataset.sure; button.textContent = "Not poured yet"; pour(null); one("#poured").focus(); return; }
    button.dataset.sure = "yes";
    button.textContent = "Press again to clear";
    sure = setTimeout(() => { delete button.dataset.sure; button.textContent = "Not poured yet"; }, 5000);
  });
  one("#play").addEventListener("click", () => {
    if (playing !== null) { stop(); return; }
    if (Number(sliders.time.value) >= data.times.length - 1) sliders.time.value = 0;
    one("#play").textContent = "Stop";
    playing = setInterval(() => {
      if (Number(sliders.time.value) >= data.times.length - 1) { stop(); return; }
      sliders.time.value = Number(sliders.time.value) + 1;
      showTime();
    }, 200);
  });
  sliders.time.addEventListener("pointerdown", stop);
  sliders.time.value = Math.max(...data.jars.map((jar) => (jar.events.find(([, text]) => text.startsWith("Top closed")) || [0])[0]));
  showPlace();
  showTime();
  setInterval(showDay, 15000);
  document.addEventListener("visibilitychange", showDay);
})();
